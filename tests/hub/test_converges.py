"""The pushing as a state machine: whatever comes in whatever order, the same is held in the end.

Batches are cut anywhere, brought twice, late, in another order, to one hub or the other, or lost;
answers are lost; devices are restored from old copies, cloned and go on another way. After each
step all that has to hold is looked at; in the end every device that went one way is held whole.
"""

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from tests.builders import DRIVER, StandingClock, odometer_read, trip_opened
from tests.hub.holding import Oracle
from tests.hub.logs import Log, answered, new_log, pair_log
from tests.hub.scene import HubScene
from triplog.hub.app import Hub, application
from triplog.hub.carriers import add_carrier, keep_hub_key
from triplog.hub.database import Database, open_database
from triplog.journal.batch import Answer, batch_in, pack_batch
from triplog.journal.entries import Draft

_NUMBERS = count()
_COPIES_MAX = 6


class Letter(NamedTuple):
    """A batch on its way, and the copy of the device that wrote it."""

    copy: int
    packed: bytes


class Fleet(RuleBasedStateMachine):
    """One carrier, two hubs on one database, a few devices and their copies."""

    dsn: str
    home: Path

    def __init__(self) -> None:
        super().__init__()
        self.exits = ExitStack()
        self.copies: list[Log] = []
        self.secrets: dict[str, str] = {}
        self.post: list[Letter] = []
        self.clock = StandingClock()

    @initialize(devices=st.integers(1, 3))
    def begin(self, devices: int) -> None:
        """A carrier of its own, so that one database serves all examples."""
        first, second = (self.exits.enter_context(_open(self.dsn)) for _ in range(2))
        self.number = next(_NUMBERS)
        keep_hub_key(self.home)
        label = f"carrier-{self.number}"
        carrier = add_carrier(first, self.home, label, ["*"], self.clock.read())
        self.hubs = [
            HubScene(
                self.dsn,
                one,
                self.home,
                self.clock,
                carrier,
                application(Hub(database=one, home=self.home, clock=self.clock)),
            )
            for one in (first, second)
        ]
        self.oracle = Oracle(first)
        for device in range(devices):
            log = new_log(f"d{self.number}x{device}")
            self.secrets[log.device] = pair_log(self.hubs[0], log)
            self.copies.append(log)

    @rule(data=st.data(), how_many=st.integers(1, 9))
    def record(self, data: st.DataObject, how_many: int) -> None:
        """Something is recorded on a device, or on a copy of it."""
        log = data.draw(st.sampled_from(self.copies))
        for number in range(how_many):
            log.append(_draft(log, number))

    @rule(data=st.data(), is_new=st.booleans())
    def sign(self, data: st.DataObject, is_new: bool) -> None:
        """A head is signed, with a new key or the one there is."""
        log = data.draw(st.sampled_from(self.copies))
        if is_new:
            log.change_key()
        log.sign()

    @precondition(lambda self: len(self.copies) < _COPIES_MAX)
    @rule(data=st.data())
    def copy(self, data: st.DataObject) -> None:
        """A device restored from an old copy, or cloned as it is; both go on."""
        log = data.draw(st.sampled_from(self.copies))
        length = data.draw(st.integers(2, len(log.lines)))
        self.copies.append(log.copy(f"copy{len(self.copies)}", length))

    @rule(data=st.data())
    def cut(self, data: st.DataObject) -> None:
        """A batch is made and not brought yet."""
        copy = data.draw(st.integers(0, len(self.copies) - 1))
        log = self.copies[copy]
        begin = data.draw(st.integers(0, len(log.lines)))
        end = data.draw(st.integers(begin, len(log.lines)))
        self.clock.forward(minutes=1)
        self.post.append(Letter(copy, pack_batch(log.batch(begin, end))))

    @precondition(lambda self: self.post)
    @rule(data=st.data(), hub=st.integers(0, 1), stays=st.booleans(), is_heard=st.booleans())
    def bring(self, data: st.DataObject, hub: int, stays: bool, is_heard: bool) -> None:
        """Any batch on its way arrives; it may arrive once more, and the answer may be lost."""
        place = data.draw(st.integers(0, len(self.post) - 1))
        letter = self.post[place] if stays else self.post.pop(place)
        log = self.copies[letter.copy]
        answer = answered(self.hubs[hub], self.secrets[log.device], letter.packed)
        if is_heard:
            self._heard(log, letter, answer)

    @precondition(lambda self: self.post)
    @rule(data=st.data())
    def lose(self, data: st.DataObject) -> None:
        """A batch never arrives."""
        self.post.pop(data.draw(st.integers(0, len(self.post) - 1)))

    @rule(data=st.data(), hub=st.integers(0, 1), at_most=st.integers(1, 40))
    def push(self, data: st.DataObject, hub: int, at_most: int) -> None:
        """A device pushes as it does, all it has."""
        log = data.draw(st.sampled_from(self.copies))
        self._push(log, hub, at_most)

    @invariant()
    def holds(self) -> None:
        """All that has to hold, holds."""
        if self.secrets:
            self.oracle.looks(list(self.secrets), self.hubs[0].carrier.witness)

    def teardown(self) -> None:
        """All that is still on its way arrives; then every device pushes, and is held whole."""
        try:
            if self.secrets:
                self._converges()
        finally:
            self.exits.close()

    def _converges(self) -> None:
        for letter in self.post:
            secret = self.secrets[self.copies[letter.copy].device]
            answered(self.hubs[0], secret, letter.packed)
        for log in self.copies:
            self._push(log, 1, 7)
        self.holds()
        for device in self.secrets:
            held = self.oracle.held[device]
            ways = [one.lines for one in self.copies if one.device == device]
            longest = max(ways, key=len)
            if all(longest[: len(one)] == one for one in ways):
                assert held == longest, f"{device} went one way and is not held whole"
            else:
                assert held in ways, f"{device}: what is held is no copy's whole history"
                other = [one for one in ways if held[: len(one)] != one]
                kept = {seq for of, seq, _ in self.oracle.evidence if of == device}
                assert kept or not other, f"{device}: another history, and no evidence"

    def _push(self, log: Log, hub: int, at_most: int) -> None:
        secret = self.secrets[log.device]
        answer = log.push(
            lambda packed: answered(self.hubs[hub], secret, packed), lambda n: min(n, at_most)
        )
        assert answer is not None
        if answer.outcome == "taken":
            self.oracle.took(log.device, log.lines)

    def _heard(self, log: Log, letter: Letter, answer: Answer) -> None:
        batch = batch_in(letter.packed)
        if answer.outcome == "taken" and answer.head is not None and batch.entries:
            assert log.has(answer.head), "taken, and the head is none of this copy's"
            self.oracle.took(log.device, log.lines[: answer.head.seq + 1])
        if answer.outcome == "forked":
            held = self.hubs[0].held(log.device)
            begin = 0 if batch.after is None else batch.after.seq + 1
            assert held[begin : begin + len(batch.entries)] != list(batch.entries)


def _draft(log: Log, number: int) -> Draft:
    trip = f"{log.device}{len(log.lines) // 12}"
    if trip not in log.ends:
        return replace(trip_opened(trip), private={"origin": f"yard {number}"})
    if number % 4 == 3:
        body: dict[str, object] = {"id": f"{log.device}g{number}", "label": "S-1", "item": {}}
        return Draft(kind="gear_recorded", body=body, by=DRIVER)
    return odometer_read(f"{1000 + len(log.lines)} mi", trip)


@contextmanager
def _open(dsn: str) -> Iterator[Database]:
    database = open_database(dsn, connections=2)
    try:
        yield database
    finally:
        database.close()


def _run(dsn: str, home: Path, examples: int, steps: int) -> None:
    machine = type("FleetHere", (Fleet,), {"dsn": dsn, "home": home})
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=examples,
            stateful_step_count=steps,
            suppress_health_check=list(HealthCheck),
        ),
    )


def test_any_interleaving_converges(dsn: str, tmp_path: Path) -> None:
    _run(dsn, tmp_path, 15, 25)


@pytest.mark.long
def test_many_interleavings_converge(dsn: str, tmp_path: Path) -> None:
    _run(dsn, tmp_path, 100, 60)
