"""Two installations beside each other: taken in both ways, in any order, whole or not at all.

That the entries are the very same bytes afterwards is a matter of SHA-256 (FIPS 180-4); the rest
is our own design.
"""

import json
import signal
import subprocess
import sys
from collections.abc import Callable
from contextlib import ExitStack
from itertools import permutations
from pathlib import Path
from unittest.mock import patch

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.desk.moved import file_of, gone_on, held, opened, own_chain, reads, rows_of, take
from tests.desk.seat import Seat, take_seat
from triplog.desk.exporting import export
from triplog.desk.people import add_person
from triplog.desk.refused import Refused
from triplog.desk.taking_in import take_in_from

ROOT = Path(__file__).parents[2]
Sit = Callable[[str], Seat]


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
