"""The check on the road: what was found on each tie-down."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Unpack

from scheduler.due import DueCheck, State
from scheduler.recheck_rules import FIRST, TIMED
from triplog.checks import due_checks_of
from triplog.desk.desk import Desk, present
from triplog.desk.gear import hurt_drafts
from triplog.desk.odometer import ReadingTold, reading_fields
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_before_departure, refuse_while_driving, stopped_draft
from triplog.desk.tension_found import loss_body, reading_of
from triplog.journal.entries import Body, Entry
from triplog.journal.trip import UNDER_WAY, Trip, records_in
from triplog.securement.quantity import Dimension, parse


class Found(StrEnum):
    """What was found on one tie-down."""

    NOT_LOOKED_AT = "not looked at"
    FINE = "fine"
    SLACK = "slack, tightened"
    DAMAGED = "damaged"
    MOVED = "moved"


LOOKS = (
    "cargo",
    "dunnage and blocking",
    "edge protection",
    "hooks and anchor points",
    "ratchets and binders",
    "tails",
    "tarps",
    "doors and tailgate",
)
"""What else is looked at on the lap, in its order; each is *not looked at* until somebody says so.
Entries of earlier versions name other items, and stay as they are.
"""


CARGO = LOOKS[0]


class Fault(StrEnum):
    """What was found on one of LOOKS that was not as it should be."""

    LOOSE = "loose"
    OPEN = "open"
    MOVED = "moved"
    DAMAGED = "damaged"
    MISSING = "missing"


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemFound:
    """One of LOOKS that was not as it should be. `put_right`: whether it was said to be, there."""

    item: str
    fault: Fault
    put_right: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A tie-down's line. `notches`: how far a slack one was tightened; `moved`: how far cargo.

    `tension`: what a gauge read, as found; None: none was used.
    """

    tie_down: str
    found: Found
    notches: int | None = None
    moved: str | None = None
    tension: str | None = None

    def __post_init__(self) -> None:
        if self.notches is not None and not 0 < self.notches <= 100:
            raise Refused(f"{self.tie_down}: {self.notches} notches cannot be right")
        if self.moved is not None:
            try:
                parse(self.moved, Dimension.LENGTH)
            except ValueError as problem:
                raise Refused(str(problem)) from problem
        if self.tension is not None:
            reading_of(self.tension)


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """A recorded look. `complete` False: some tie-downs were not looked at; it resets nothing."""

    entry: Entry
    complete: bool
    closed: tuple[DueCheck, ...]
    late: tuple[DueCheck, ...]
    lines: tuple[Line, ...]
    items: tuple[ItemFound, ...]
    trip: Trip

    @property
    def not_looked_at(self) -> tuple[str, ...]:
        """The tie-downs that were not looked at."""
        return tuple(line.tie_down for line in self.lines if line.found is Found.NOT_LOOKED_AT)

    @property
    def found_damage(self) -> bool:
        """Whether gear was found damaged; it is set aside with the check."""
        return any(line.found is Found.DAMAGED for line in self.lines)

    @property
    def calls_for_new_plan(self) -> bool:
        """Whether a tie-down was damaged or the load has moved."""
        return any(line.found in (Found.DAMAGED, Found.MOVED) for line in self.lines) or any(
            one.item == CARGO and one.fault is Fault.MOVED for one in self.items
        )

    @property
    def left_wrong(self) -> tuple[ItemFound, ...]:
        """What was found beside the tie-downs and not said to be put right."""
        return tuple(one for one in self.items if not one.put_right)


def tie_downs_of(trip: Trip) -> tuple[str, ...]:
    """The tie-downs of the plan in force, each with its line in a check."""
    return tuple(one["id"] for one in records_in(trip.document or {}, "tie_down"))


def late_checks(
    trip: Trip, now: datetime, *, at: datetime | None = None, reading: str | None = None
) -> tuple[DueCheck, ...]:
    """The due checks that are late now, or were at an earlier moment: a reason is asked for them.

    `reading`: the odometer reading that goes with the check, with its unit.
    """
    due = due_checks_of(trip.as_it_stood(at), at or now, reading=reading)
    return tuple(check for check in due if check.calls_for_reason)


def record_check(
    desk: Desk,
    trip: Trip,
    *,
    lines: list[Line],
    looked_at: tuple[str, ...],
    stopped: bool,
    items: tuple[ItemFound, ...] = (),
    at: datetime | None = None,
    place: str | None = None,
    note: str | None = None,
    reason: str | None = None,
    is_left_off: bool = False,
    **told: Unpack[ReadingTold],
) -> Checked:
    """Record a look at the load; tie-downs without a line were not looked at.

    Tension found lost, by a gauge or slack, is recorded with what may be lost where the plan tells.

    `looked_at`: which of LOOKS were looked at; `items`: which of them were not as they should be,
    each looked at too. `stopped`: the driver has said that the vehicle
    stands off the road; a driver who was driving is then on duty, not driving. `is_left_off`:
    whoever told it stopped before the end; it answers nothing, whatever was told by then.
    """
    if trip.state not in UNDER_WAY:
        raise Refused(f"trip {trip.label} is {trip.state}; checks are made under way")
    refuse_before_departure(trip, at)
    refuse_while_driving(trip, stopped=stopped)
    moment = at or desk.now_on(trip).wall
    read = reading_fields(desk, trip, at=at, **told)
    whole = _all_lines(trip, lines)
    complete = not is_left_off and all(line.found is not Found.NOT_LOOKED_AT for line in whole)
    # Asks the static estimate, which takes its time: before anybody has to wait for the store.
    loss = _observed_loss(trip, whole) if complete else None
    with desk.writing() as writing:
        for draft in stopped_draft(desk, trip, at=at):
            writing.append(draft)
        trip = desk.trip(trip.id)
        before = due_checks_of(trip.as_it_stood(at), moment, reading=_same_instrument(read))
        late = tuple(check for check in before if check.calls_for_reason) if complete else ()
        closed = tuple(check for check in before if _closes(check)) if complete else ()
        body = present(
            revision=trip.plan.entry.hash if trip.plan else None,
            lines=[_line_body(line) for line in whole],
            looks=_looks_body(looked_at, items),
            **read,
        )
        if complete:
            body["closes"] = [check.due_key for check in closed]
            body |= present(observed_loss=loss)
            if late:
                body["late"] = [_late_body(check) for check in late]
        private = {"place": place, "note": note}
        if complete:
            private["reason"] = (reason or "no reason given") if late else reason
        damaged = [line.tie_down for line in whole if line.found is Found.DAMAGED]
        for draft in hurt_drafts(desk, trip, damaged, "found damaged at a check", at=at):
            writing.append(draft)
        kind = "check_completed" if complete else "check_left_open"
        entry = desk.append(writing, desk.draft(kind, body, trip=trip.id, private=private, at=at))
    return Checked(
        entry=entry,
        complete=complete,
        closed=closed,
        late=late,
        lines=tuple(whole),
        items=items,
        trip=desk.trip(trip.id),
    )


def _all_lines(trip: Trip, lines: list[Line]) -> list[Line]:
    known = tie_downs_of(trip)
    given = {line.tie_down: line for line in lines}
    unknown = [name for name in given if name not in known]
    if unknown:
        raise Refused(f"there is no tie-down {', '.join(unknown)}; there is: {', '.join(known)}")
    if len(given) != len(lines):
        raise Refused("a tie-down is named twice; give each one line")
    return [given.get(name, Line(tie_down=name, found=Found.NOT_LOOKED_AT)) for name in known]


def _same_instrument(read: Body) -> str | None:
    """The reading by which the way until here is known; None where there is none."""
    reading = read.get("odometer")
    return None if read.get("replaced") or not isinstance(reading, str) else reading


def _closes(check: DueCheck) -> bool:
    """Whether a completed check answers this one: what is owed, and a first check under way."""
    if check.state in (State.DUE, State.LATE, State.COMING_UP, State.CANNOT_TELL):
        return True
    first = check.counter.kind in FIRST
    return first and check.state is State.NOTHING_DUE and check.value > 0


def _line_body(line: Line) -> Body:
    return present(
        tie_down=line.tie_down,
        found=str(line.found),
        notches=line.notches,
        moved=line.moved,
        tension=line.tension,
    )


def _looks_body(looked_at: tuple[str, ...], items: tuple[ItemFound, ...]) -> list[Body]:
    """Each of LOOKS, with what was found where something was."""
    found = {one.item: one for one in items}
    if len(found) != len(items):
        raise Refused("something beside the tie-downs is named twice; say once what was found")
    if unknown := found.keys() - set(LOOKS):
        raise Refused(f"{', '.join(unknown)} is none of: {', '.join(LOOKS)}")
    return [
        present(
            item=item,
            looked_at=item in looked_at or item in found,
            found=str(found[item].fault) if item in found else None,
            put_right=found[item].put_right if item in found else None,
        )
        for item in LOOKS
    ]


def _observed_loss(trip: Trip, lines: list[Line]) -> Body | None:
    readings = {one.tie_down: reading_of(one.tension) for one in lines if one.tension is not None}
    slack = [one.tie_down for one in lines if one.found is Found.SLACK]
    return loss_body(trip, readings, slack) if readings or slack else None


def _late_body(check: DueCheck) -> Body:
    return {
        "due": check.due_key,
        "by": check.late_by or 0,
        "measure": "ms" if check.counter.kind in TIMED else "mm",
    }
