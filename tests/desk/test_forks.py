"""One device with two histories: what is held stays, the other is kept, and it is told.

What a fork is follows from the chain (evidence of two entries under one number); how it is kept is
our own design.
"""

import sqlite3
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

import pytest

from exports.verify import verify
from tests.desk.moved import file_of, gone_on, held, own_chain, reads, take
from tests.desk.seat import Seat
from triplog.desk.exporting import export
from triplog.desk.refused import Refused
from triplog.desk.taking_in import take_in_from
from triplog.journal.forks import evidence, forks
from triplog.wording.moving import taken_in_lines

Sit = Callable[[str], Seat]


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
