"""One trip on two devices, without an office between: told in words, nothing put into the other.

Which entries are one and the same is a matter of their bytes (SHA-256, FIPS 180-4); that a restored
store never goes on under its old name, and what is told of a fork, is our own design.
"""

import json
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from shutil import copytree

import pytest

from exports.verify import Outside, outside_head, verify
from tests.builders import StandingClock
from tests.cli.terminal import Terminal
from tests.desk.seat import Seat
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, FOUND
from triplog.desk.desk import open_desk
from triplog.desk.exporting import export
from triplog.desk.keeping import back_up, restore
from triplog.desk.road import read_odometer
from triplog.desk.two_journals import beside_record, lay_beside
from triplog.wording.two_journals import beside_lines

Sit = Callable[[str], Seat]


@pytest.fixture
def closing() -> Iterator[ExitStack]:
    with ExitStack() as stack:
        yield stack


def copied(seat: Seat, folder: Path, closing: ExitStack) -> Seat:
    """The very file, copied to another machine, which goes on with it."""
    copytree(seat.desk.home, folder / "copied")
    clock = StandingClock()
    clock.forward(minutes=(seat.clock.wall - clock.wall).total_seconds() / 60)
    other = Seat(desk=open_desk(folder / "copied", clock), clock=clock)
    closing.callback(other.desk.store.close)
    return other


def restored(seat: Seat, folder: Path, closing: ExitStack) -> Seat:
    """Another machine that goes on from a back-up."""
    back_up(seat.desk, folder / "copy.sqlite3")
    clock = StandingClock()
    clock.forward(minutes=(seat.clock.wall - clock.wall).total_seconds() / 60)
    desk = restore(folder / "copy.sqlite3", folder / "restored", clock, told_heads=[]).desk
    closing.callback(desk.store.close)
    return Seat(desk=desk, clock=clock)


def reads(seat: Seat, miles: str) -> None:
    """Drive a little, read the odometer."""
    seat.later(10)
    read_odometer(seat.desk, seat.trip, miles, stopped=True, sure=True)


def bundle(seat: Seat, folder: Path, *, of_trip: bool = True) -> Path:
    """What is given to the other: a bundle."""
    made = export(seat.desk, folder, ("bundle",), seat.trip if of_trip else None)
    return made.files[0]


def told(seat: Seat, path: Path) -> str:
    """What is said of a bundle beside the journal of a seat."""
    found, labels = lay_beside(seat.desk, path)
    return "\n".join(beside_lines(found, labels, seat.desk.store.device))


@pytest.mark.parametrize("of_trip", [True, False], ids=["a trip", "the store"])
def test_a_copied_file_that_went_on_twice_is_a_fork_from_the_first_other_entry_on(
    of_trip: bool, sit: Sit, tmp_path: Path, closing: ExitStack
) -> None:
    seat = sit("a first check made")
    other = copied(seat, tmp_path, closing)
    at_the_copy = seat.desk.store.heads()[seat.desk.store.device][0]
    reads(seat, "24170")
    reads(other, "24171")
    path = bundle(other, tmp_path / "out", of_trip=of_trip)
    found, labels = lay_beside(seat.desk, path)
    (device,) = found.devices
    assert device.parted_at == at_the_copy + 1
    assert found.have_parted
    assert labels == {seat.trip.id: "T-1"}
    said = told(seat, path)
    assert f"from its entry {at_the_copy + 1} on the two tell different histories" in said
    assert "a fork" in said
    assert "odometer read  24171 mi" in said.split("only here:")[0]
    assert "odometer read  24170 mi" in said.split("only here:")[1]


def test_verify_alone_sees_the_fork_only_against_a_head_that_is_held(
    sit: Sit, tmp_path: Path, closing: ExitStack
) -> None:
    seat = sit("a first check made")
    other = copied(seat, tmp_path, closing)
    reads(seat, "24170")
    reads(other, "24171")
    path = bundle(other, tmp_path / "out")
    device = seat.desk.store.device
    seq, head = seat.desk.store.heads()[device]
    assert verify(path).problems == ()
    against = verify(path, Outside(heads=(outside_head(f"{device}:{seq}:{head}"),)))
    assert [one.code for one in against.problems] == ["outside-head-differs"]


def test_two_devices_that_go_on_from_a_back_up_are_no_fork_and_neither_knows_the_other(
    sit: Sit, tmp_path: Path, closing: ExitStack
) -> None:
    seat = sit("a first check made")
    other = restored(seat, tmp_path, closing)
    assert other.desk.store.device != seat.desk.store.device
    reads(seat, "24170")
    reads(other, "24171")
    found, labels = lay_beside(seat.desk, bundle(other, tmp_path / "out"))
    assert [one.parted_at for one in found.devices] == [None, None]
    assert found.have_parted
    assert "neither counts what the other recorded" in told(seat, bundle(other, tmp_path / "o"))
    assert json.dumps(beside_record(found, labels))


def test_two_devices_that_have_only_handed_out_the_trip_have_not_both_gone_on_with_it(
    sit: Sit, tmp_path: Path, closing: ExitStack
) -> None:
    """Each export signs a head, which is an entry of the trip too."""
    seat = sit("a first check made")
    other = restored(seat, tmp_path, closing)
    bundle(seat, tmp_path / "ours")
    path = bundle(other, tmp_path / "theirs")
    found, _ = lay_beside(seat.desk, path)
    assert not found.have_parted


def test_an_older_bundle_of_our_own_contradicts_nothing(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a first check made")
    path = bundle(seat, tmp_path / "out")
    reads(seat, "24170")
    found, _ = lay_beside(seat.desk, path)
    assert not found.have_parted
    assert "nothing in the one contradicts the other" in told(seat, path)


def test_nothing_is_written_and_a_trip_that_is_not_here_is_named_all_the_same(
    sit: Sit, tmp_path: Path
) -> None:
    seat = sit("a first check made")
    path = bundle(seat, tmp_path / "out")
    other = Terminal(folder=tmp_path / "elsewhere")
    other.folder.mkdir()
    set_scene("a journal just begun", other)
    before = other.entry_count()
    said = other.type("verify", str(path), "--beside")
    assert said.code == DONE
    assert "trip T-1, only in the bundle:" in said.out
    assert other.entry_count() == before


def test_the_command_ends_with_one_where_they_have_parted(
    tmp_path: Path,
) -> None:
    terminal = Terminal(folder=tmp_path / "here")
    terminal.folder.mkdir()
    set_scene("a first check made", terminal)
    copytree(terminal.home, terminal.folder / "copied")
    terminal.type("odometer", "24170", "--sure")
    terminal.type("--home", "copied", "odometer", "24171", "--sure")
    terminal.type("--home", "copied", "export", "--form", "bundle", "--to", "out")
    said = terminal.type("verify", "out/trip-T-1-bundle.zip", "--beside")
    assert (said.code, said.err) == (FOUND, "")
    assert "outcome    everything that can be compared matches" in said.out
    assert "a fork" in said.out
    as_json = json.loads(
        terminal.type("verify", "out/trip-T-1-bundle.zip", "--beside", "--json").out
    )
    assert as_json["beside"]["have_parted"]
