"""Two installations beside each other: taken in both ways, forks, restored copies.

That the entries are the very same bytes afterwards is a matter of SHA-256 (FIPS 180-4); the rest
is our own design.
"""

import json
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from itertools import permutations
from pathlib import Path
from shutil import copytree
from unittest.mock import patch

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from exports.verify import verify
from tests.builders import StandingClock
from tests.desk.seat import Seat, take_seat
from triplog.desk.desk import open_desk
from triplog.desk.exporting import export
from triplog.desk.keeping import back_up, restore
from triplog.desk.people import add_person
from triplog.desk.refused import Refused
from triplog.desk.road import read_odometer
from triplog.desk.taking_in import TakenIn, take_in_from
from triplog.journal.copies import copy_store
from triplog.journal.forks import evidence, forks
from triplog.journal.store_file import STORE_NAME
from triplog.wording.moving import taken_in_lines

ROOT = Path(__file__).parents[2]
Sit = Callable[[str], Seat]


@pytest.fixture
def closing_all() -> Iterator[ExitStack]:
    with ExitStack() as stack:
        yield stack


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


def test_two_installations_taken_in_both_ways_hold_the_same_but_for_what_each_wrote_of_it(
    sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    one = sit("a first check made")
    two = gone_on(one, tmp_path / "two", closing_all, as_new=True)
    reads(one, "24170")
    reads(two, "24171")
    take(one, file_of(two, tmp_path / "from-two.sqlite3"))
    take(two, file_of(one, tmp_path / "from-one.sqlite3"))
    take(one, file_of(two, tmp_path / "again.sqlite3"))
    own = own_chain(one)
    assert held(one, but=(own,)) == held(two, but=(own,))
    in_two = {place: data for place, data in held(two).items() if place[0] == own}
    assert in_two.items() <= held(one).items()
    assert opened(two) <= opened(one)
    assert one.trip.label == two.trip.label
    readings = [fact.entry.hash for fact in one.trip.of("odometer_read")]
    assert readings == [fact.entry.hash for fact in two.trip.of("odometer_read")]
    assert len(readings) == 2


def test_taking_in_the_same_twice_adds_nothing_and_a_longer_one_only_what_is_new(
    sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    one = sit("a first check made")
    two = gone_on(one, tmp_path / "two", closing_all, as_new=True)
    path = file_of(two, tmp_path / "from-two.sqlite3")
    assert take(one, path).taken.new == 2
    count = one.count()
    again = take(one, path)
    assert (again.entry, again.taken.new, one.count()) == (None, 0, count)
    reads(two, "24171")
    longer = take(one, file_of(two, tmp_path / "longer.sqlite3"))
    assert longer.taken.devices[own_chain(two)].new == 1
    assert longer.entry is not None
    received = longer.entry.body["received"]
    assert isinstance(received, dict)
    seq, head = two.desk.store.heads()[own_chain(two)]
    assert received[own_chain(two)] == {"seq": seq, "hash": head, "new": 1}


@pytest.mark.parametrize("form", ["bundle", "lines"])
def test_a_bundle_and_raw_entries_bring_the_same_entries_as_the_file(
    form: str, sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    one = sit("a first check made")
    two = gone_on(one, tmp_path / "two", closing_all, as_new=True)
    reads(two, "24171")
    made = export(two.desk, tmp_path / "out", (form,), None)
    took = take(one, made.files[0])
    assert took.forked == {}
    missing = {place[1] for place in held(two).keys() - held(one).keys()}
    assert missing <= {two.last("checkpoint_signed").seq}
    assert len(one.trip.of("odometer_read")) == 1


def test_the_bundle_of_one_trip_has_gaps_and_is_refused(
    sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    one = sit("a first check made")
    two = gone_on(one, tmp_path / "two", closing_all, as_new=True)
    made = export(two.desk, tmp_path / "out", ("bundle",), two.trip)
    with pytest.raises(Refused, match="chain with gaps cannot be taken in"):
        take_in_from(one.desk, made.files[0])


def test_a_trip_handed_over_and_back_is_one_trip_on_both(
    sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    one = sit("a first check made")
    two = gone_on(one, tmp_path / "two", closing_all, as_new=True)
    for turn, (here, there) in enumerate([(two, one), (one, two), (two, one), (one, two)]):
        here.clock.forward(minutes=(there.clock.wall - here.clock.wall).total_seconds() / 60)
        reads(here, str(24171 + turn))
        take(there, file_of(here, tmp_path / f"turn-{turn}.sqlite3"))
    assert [f.entry.body["odometer"] for f in one.trip.of("odometer_read")] == [
        f"{24171 + turn} mi" for turn in range(4)
    ]
    assert one.trip.state == two.trip.state


def test_what_does_not_hold_together_is_refused_and_leaves_nothing(
    sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    one = sit("a first check made")
    two = gone_on(one, tmp_path / "two", closing_all, as_new=True)
    reads(two, "24171")
    made = export(two.desk, tmp_path / "out", ("lines",), None).files[0]
    lines = made.read_bytes().splitlines(keepends=True)
    first = next(n for n, line in enumerate(lines) if b'"kind":"store_restored"' in line)
    own = [n for n, line in enumerate(lines) if own_chain(two).encode() in line and n >= first]
    before = held(one), rows_of(one), opened(one)

    def with_first(old: bytes, new: bytes) -> list[bytes]:
        assert old in lines[first]
        return [*lines[:first], lines[first].replace(old, new), *lines[first + 1 :]]

    wrong = {
        "edited": (with_first(b'"via":"typed"', b'"via":"page"'), "does not name the hash"),
        "left out": (lines[: own[1]] + lines[own[1] + 1 :], "there is a gap"),
        "begun late": (lines[:first] + lines[first + 1 :], "the ones before are not here"),
        "spaced": (with_first(b'"by":', b'"by": '), "not canonical"),
        "a fraction": (with_first(b'"seq":0,', b'"seq":0.0,'), "no journal entry"),
        "no entry": ([b"[1]\n", *lines], "no journal entry"),
        "cut off": ([*lines, lines[-1][:-5]], "breaks off"),
        "nothing": ([], "no entry in it"),
        "invented": (with_first(b'"source":"machine"', b'"source":"demo"'), "never mixed"),
        "unknown": (with_first(b"store_restored", b"store_dreamed"), "newer triplog wrote it"),
        "another trip": (with_first(b'"trip_prev":null', b'"trip_prev":"x"'), "no journal entry"),
    }
    for name, (changed, told) in wrong.items():
        path = tmp_path / "wrong.jsonl"
        path.write_bytes(b"".join(changed))
        with pytest.raises(Refused, match=told):
            take_in_from(one.desk, path)
        assert (held(one), rows_of(one), opened(one)) == before, name
    assert take_in_from(one.desk, made).taken.new == len(own)


def test_a_private_value_that_is_not_what_its_entry_stands_for_is_refused(
    sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    one = sit("a first check made")
    two = gone_on(one, tmp_path / "two", closing_all, as_new=True)
    entry = add_person(two.desk, label="helper", roles=["loads"], name="the helper")
    made = export(two.desk, tmp_path / "out", ("lines",), None).files[0]
    (row,) = two.desk.store.opening_rows("hash = ?", (entry.hash,))
    told = dict(zip(("entry", "field", "salt", "value"), row, strict=True))
    path = tmp_path / "openings.jsonl"
    path.write_text(json.dumps({**told, "value": "another"}) + "\n")
    before = held(one)
    with pytest.raises(Refused, match="is not what entry"):
        take_in_from(one.desk, made, path)
    path.write_text(json.dumps({**told, "entry": "0" * 64}) + "\n")
    with pytest.raises(Refused, match="belongs to no entry"):
        take_in_from(one.desk, made, path)
    assert held(one) == before
    path.write_text(json.dumps(told) + "\n")
    take_in_from(one.desk, made, path)
    assert one.opened(entry) == {"name": "the helper"}


def test_a_head_signed_over_another_history_is_refused(
    sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    """The chain of a rewritten journal holds; the tree its old signature stands for does not."""
    one = sit("a first check made")
    two = gone_on(one, tmp_path / "two", closing_all, as_new=True)
    made = export(two.desk, tmp_path / "out", ("lines", "bundle"), None)
    sign = patch("triplog.journal.taking_in.StoredTree.checkpoint", lambda *_: None)
    with sign, pytest.raises(Refused, match="do not give the root that was signed"):
        take_in_from(one.desk, made.files[1])
    with (
        patch("triplog.desk.taking_in.did_sign", lambda *_: False),
        pytest.raises(Refused, match="does not fit the checkpoint"),
    ):
        take_in_from(one.desk, made.files[1])


def test_a_fork_is_told_kept_as_evidence_and_recorded_once(
    sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    two = sit("a first check made")
    one = gone_on(two, tmp_path / "one", closing_all, as_new=True)
    twin = gone_on(two, tmp_path / "twin", closing_all, as_new=False)
    forked_at = two.desk.store.heads()[own_chain(two)][0] + 1
    reads(two, "24170")
    reads(twin, "24171")
    reads(twin, "24172")
    take(one, file_of(two, tmp_path / "two.sqlite3"))
    found = take(one, file_of(twin, tmp_path / "twin.sqlite3"))
    (fork,) = forks(one.desk.store)
    assert (fork.device, fork.seq, fork.entries) == (own_chain(two), forked_at, 2)
    told = one.last("fork_found").body
    assert (told["of"], told["seq"]) == (own_chain(two), forked_at)
    assert told["held"] == held_hash(two, forked_at)
    assert told["other"] == held_hash(twin, forked_at)
    assert [e.data for e in evidence(one.desk.store)] == [
        data for (_, seq), data in sorted(held(twin).items()) if seq >= forked_at
    ]
    assert list(found.forked) == [own_chain(two)]
    assert [f.entry.body["odometer"] for f in one.trip.of("odometer_read")] == ["24170 mi"]
    count = one.count()
    assert take(one, tmp_path / "twin.sqlite3").forked
    assert one.count() == count
    reads(twin, "24173")
    take(one, file_of(twin, tmp_path / "longer.sqlite3"))
    assert len(one.entries("fork_found")) == 1
    assert forks(one.desk.store)[0].entries == 3
    with pytest.raises(sqlite3.IntegrityError, match="never removed"):
        one.desk.store.raw.execute("DELETE FROM fork_evidence")
    made = export(one.desk, tmp_path / "out", ("bundle",), None).files[0]
    assert verify(made).problems == ()
    three = gone_on(two, tmp_path / "three", closing_all, as_new=True)
    take(three, made)
    assert len(list(evidence(three.desk.store))) == 3


def held_hash(seat: Seat, seq: int) -> str:
    """The hash of an entry of the chain that two machines wrote."""
    (found,) = seat.desk.store.entries("device = ? AND seq = ?", (own_chain(seat), seq))
    return found.hash


def test_a_clone_of_this_very_device_is_a_fork_and_an_old_copy_of_it_is_refused(
    sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    one = sit("a first check made")
    twin = gone_on(one, tmp_path / "twin", closing_all, as_new=False)
    reads(twin, "24171")
    path = file_of(twin, tmp_path / "twin.sqlite3")
    before = held(one)
    with pytest.raises(Refused, match="this journal is an old copy"):
        take_in_from(one.desk, path)
    assert held(one) == before
    reads(one, "24170")
    found = take(one, path)
    assert list(found.forked) == [own_chain(one)]
    said = "\n".join(taken_in_lines(found.taken, own_chain(one), "twin"))
    assert "this is the chain of this very device" in said


def test_taking_in_that_is_killed_in_the_middle_leaves_nothing(
    sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    one = sit("a first check made")
    two = gone_on(one, tmp_path / "two", closing_all, as_new=True)
    reads(two, "24171")
    path = file_of(two, tmp_path / "two.sqlite3")
    before = held(one), opened(one), rows_of(one)
    program = f"""
import os, signal
from unittest.mock import patch
from pathlib import Path
from triplog.cli.machine_clock import MachineClock
from triplog.desk.desk import open_desk
from triplog.desk.taking_in import take_in_from
desk = open_desk(Path({str(one.desk.home)!r}), MachineClock())
desk.store.raw.execute("PRAGMA cache_size = 2")
kill = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
with patch("triplog.journal.taking_in._make_rows", kill):
    take_in_from(desk, Path({str(path)!r}))
"""
    died = subprocess.run([sys.executable, "-c", program], cwd=ROOT, check=False)
    assert died.returncode == -signal.SIGKILL
    assert (held(one), opened(one), rows_of(one)) == before
    assert take(one, path).taken.new == 3


@settings(
    max_examples=8,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(order=st.lists(st.tuples(st.integers(0, 2), st.integers(0, 2)), max_size=6))
def test_three_journals_taken_in_in_any_order_come_to_the_same(
    order: list[tuple[int, int]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    with ExitStack() as stack:
        folder = tmp_path_factory.mktemp("three")
        first = take_seat("a first check made", folder)
        stack.callback(first.desk.store.close)
        seats = [first] + [
            gone_on(first, folder / name, stack, as_new=True) for name in ("two", "three")
        ]
        turn = 0

        def taking(into: int, of: int) -> None:
            nonlocal turn
            turn += 1
            path = file_of(seats[of], folder / f"turn-{turn}.sqlite3")
            take_in_from(seats[into].desk, path)

        for into, of in order:
            if into == of:
                turn += 1
                reads(seats[into], str(24200 + turn))
            else:
                taking(into, of)
        written = {place: data for seat in seats for place, data in held(seat).items()}
        for into, of in permutations(range(3), 2):
            taking(into, of)
        for seat in seats:
            assert written.items() <= held(seat).items()
            assert seat.desk.store.check() == []
        assert rows_of(seats[0]) == rows_of(seats[1]) == rows_of(seats[2])
        assert opened(seats[0]) >= {one for one in opened(seats[1]) if one[1] != "name"}


def test_a_back_up_behind_a_known_head_is_restored_only_when_told_so_and_that_is_recorded(
    sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    one = sit("a first check made")
    one.desk.heads = tmp_path / "heads"
    path = file_of(one, tmp_path / "copy.sqlite3")
    reads(one, "24170")
    made = export(one.desk, tmp_path / "out", ("lines",), None)
    assert made.head is not None
    seq, head = one.desk.store.heads()[own_chain(one)]
    checkpoint = tmp_path / "heads" / f"{own_chain(one)}.checkpoint"
    known = (f"{own_chain(one)}:{seq}:{head}", str(checkpoint), made.head.code)
    for told in known:
        with pytest.raises(Refused, match="--although-behind"):
            restore(path, tmp_path / "new", one.clock, told_heads=[told])
    with pytest.raises(Refused, match="are known of: the last"):
        restore(path, tmp_path / "new", one.clock, told_heads=[], heads_kept=tmp_path / "heads")
    assert not (tmp_path / "new" / STORE_NAME).exists()
    found = restore(
        path,
        tmp_path / "new",
        one.clock,
        told_heads=list(known),
        although_behind=True,
    )
    closing_all.callback(found.desk.store.close)
    first, second = found.desk.store.entries("device = ?", (found.desk.store.device,))
    assert first.kind == "store_restored"
    told_heads = first.body["told_heads"]
    assert isinstance(told_heads, list)
    assert (told_heads[0], told_heads[2]) == (known[0], made.head.code)
    behind = first.body["behind"]
    assert isinstance(behind, list)
    assert [one["told"] for one in behind] == told_heads
    assert (second.kind, second.body["why"]) == ("key_recorded", "restored")
    later = restore(
        file_of(one, tmp_path / "later.sqlite3"),
        tmp_path / "newer",
        one.clock,
        told_heads=list(known),
        heads_kept=tmp_path / "heads",
    )
    closing_all.callback(later.desk.store.close)
    assert all(one.is_reached for one in later.told)
    (entry, _) = later.desk.store.entries("device = ?", (later.desk.store.device,))
    assert "behind" not in entry.body


def test_a_known_head_of_another_history_is_no_head_the_back_up_reaches(
    sit: Sit, tmp_path: Path
) -> None:
    one = sit("a first check made")
    path = file_of(one, tmp_path / "copy.sqlite3")
    with pytest.raises(Refused, match="tells another history"):
        restore(path, tmp_path / "new", one.clock, told_heads=[f"{own_chain(one)}:3:{'0' * 64}"])
    with pytest.raises(Refused, match="is no head"):
        restore(path, tmp_path / "new", one.clock, told_heads=["what"])
