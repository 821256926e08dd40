"""Journals on two machines in a test: how one goes on from another, and what each of them holds."""

from contextlib import ExitStack
from pathlib import Path
from shutil import copytree

from tests.builders import StandingClock
from tests.desk.seat import Seat
from triplog.desk.desk import open_desk
from triplog.desk.keeping import back_up, restore
from triplog.desk.road import read_odometer
from triplog.desk.taking_in import TakenIn, take_in_from
from triplog.journal.copies import copy_store


def gone_on(seat: Seat, folder: Path, closing_all: ExitStack, *, as_new: bool) -> Seat:
    """The same journal on another machine: restored as a new device, or the very file copied."""
    folder.mkdir(exist_ok=True)
    clock = StandingClock()
    clock.forward(minutes=(seat.clock.wall - clock.wall).total_seconds() / 60)
    if as_new:
        back_up(seat.desk, folder / "copy.sqlite3")
        desk = restore(folder / "copy.sqlite3", folder / "home", clock, told_heads=[]).desk
    else:
        copytree(seat.desk.home, folder / "home")
        desk = open_desk(folder / "home", clock)
    closing_all.callback(desk.store.close)
    return Seat(desk=desk, clock=clock)


def reads(seat: Seat, miles: str) -> None:
    """Drive a little, read the odometer."""
    seat.later(10)
    read_odometer(seat.desk, seat.trip, miles, stopped=True, sure=True)


def file_of(seat: Seat, path: Path) -> Path:
    """A back-up of a seat's journal."""
    copy_store(seat.desk.store, path)
    return path


def held(seat: Seat, *, but: tuple[str, ...] = ()) -> dict[tuple[str, int], bytes]:
    """Every entry by its place, some devices left out."""
    rows = seat.desk.store.raw.execute("SELECT device, seq, data FROM entry")
    return {(device, seq): data for device, seq, data in rows if device not in but}


def opened(seat: Seat) -> set[tuple[str, str, str, str]]:
    """Every private value that can be read."""
    return set(seat.desk.store.raw.execute("SELECT * FROM opening"))


def rows_of(seat: Seat) -> dict[str, list[tuple[object, ...]]]:
    """Every derived row."""
    assert seat.desk.tables
    raw = seat.desk.store.raw
    own = ("entry", "opening", "store_fact", "tree_node", "fork_evidence")
    names = [n for (n,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    return {n: sorted(raw.execute(f"SELECT * FROM {n}"), key=repr) for n in names if n not in own}


def take(seat: Seat, path: Path) -> TakenIn:
    """Take in a file; the rows are then what a rebuilding gives."""
    found = take_in_from(seat.desk, path)
    standing = rows_of(seat)
    seat.desk.store.rebuild(seat.desk.tables)
    assert rows_of(seat) == standing
    assert seat.desk.store.check() == []
    return found


def own_chain(seat: Seat) -> str:
    """The device of a seat."""
    return seat.desk.store.device
