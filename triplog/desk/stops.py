"""Planned stops: where the next one is, and whether a limit comes before it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import cast

from scheduler.counter import Counter
from scheduler.due import DueCheck, State
from scheduler.recheck_rules import ADVICE, AT_THE_WHEEL, FIRST, Kind, RecheckRule
from triplog.checks import due_checks_of, odometer_mm, pinned_rules, top_speed_mm_per_h
from triplog.desk.desk import Desk, present
from triplog.desk.odometer import odometer_text
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_at_the_wheel, refuse_before_departure
from triplog.journal.entries import Draft, Entry
from triplog.journal.trip import Trip
from triplog.securement.quantity import Dimension, decimal_text, parse

_HOUR_MS = 3_600_000
_FROM_HERE = "+"
_DISTANCES = (Kind.FIRST_DISTANCE, Kind.DISTANCE)


class Before(StrEnum):
    """Whether the next limit comes before a planned stop."""

    NO = "no"
    YES = "yes"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedStop:
    """A stop that is still ahead. `place` None: not named; `at` None: no reading was named."""

    place: str | None
    at: str | None
    planned_at: datetime

    @property
    def at_mm(self) -> int | None:
        """The odometer reading there."""
        return None if self.at is None else odometer_mm(self.at)

    @property
    def unit(self) -> str:
        """The unit of that reading; miles where there is none."""
        return "km" if (self.at or "").endswith("km") else "mi"


@dataclass(frozen=True, slots=True, kw_only=True)
class StopOutlook:
    """A planned stop against the limits that run until it is reached.

    `limit_mm`: at or before which odometer reading the first limit in distance comes, `limited_by`
    which check that is; None: none runs by distance, or its reading is not known. `check_before`:
    a check is to be made at an earlier planned stop, and the limits run from there.
    `mean_speed_mm_per_h_min`: driven slower than this on the whole, `timed_by`, a limit of driving
    time, comes first; None: it cannot be told or does not run. `top_speed_is_less`: no vehicle of
    the trip drives that fast; `time_matters`: it is half of that or more, or that is not known.
    """

    stop: PlannedStop
    before: Before
    limit_mm: int | None
    limited_by: str | None
    way_mm: int | None
    mean_speed_mm_per_h_min: int | None
    timed_by: str | None
    top_speed_is_less: bool
    time_matters: bool
    check_before: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Limits:
    """From where a leg runs, and its limits: by reading, with the rule, and by driving time."""

    from_mm: int | None
    limit_mm: int | None
    limited_by: str | None
    driving_ms: int | None
    timed_by: str | None
    known: bool


def stop_draft(
    desk: Desk,
    trip: Trip,
    *,
    place: str | None,
    odometer: str | None,
    note: str | None = None,
) -> Draft:
    """The draft that says where the next stop is planned.

    `odometer`: what it will read there, or "+42 mi" from here. Raises Refused where neither is
    given, the stop lies behind, or the way from here cannot be counted from any reading.
    """
    place = (place or "").strip() or None
    if place is None and odometer is None:
        raise Refused("say where the stop is: a place, the odometer reading there, or both")
    body = present(
        at_odometer=None if odometer is None else reading_there(desk, trip, odometer),
        after=odometer if odometer is not None and _is_from_here(odometer) else None,
    )
    return desk.draft("stop_planned", body, trip=trip.id, private={"place": place, "note": note})


def plan_stop(
    desk: Desk,
    trip: Trip,
    *,
    place: str | None,
    odometer: str | None,
    note: str | None = None,
) -> Entry:
    """Record where a stop is planned; Refused while somebody drives."""
    refuse_before_departure(trip, None)
    refuse_at_the_wheel(trip)
    return desk.record(stop_draft(desk, trip, place=place, odometer=odometer, note=note))


def reading_there(desk: Desk, trip: Trip, typed: str, *, here: str | None = None) -> str:
    """The odometer reading at a stop, from what was typed: that, or "+42 mi" from here.

    `here`: a reading of this moment that has not been recorded yet.
    """
    text = typed.strip()
    base = here or _reading_here(trip)
    if not _is_from_here(text):
        there = odometer_text(desk, text)
    else:
        way = odometer_text(desk, text.removeprefix(_FROM_HERE))
        if base is None:
            raise Refused(
                f"{text} is counted from the odometer reading of this stop, and none is recorded;"
                " record it first, or say what it will read there"
            )
        unit = base.rsplit(" ", 1)[1]
        there_si = parse(base, Dimension.LENGTH).si + parse(way, Dimension.LENGTH).si
        whole = there_si / parse(f"1 {unit}", Dimension.LENGTH).si
        there = f"{decimal_text(whole, 0, 'up', thousands=False)} {unit}"
    last = base or _last_reading(trip)
    if last is not None and odometer_mm(there) <= odometer_mm(last):
        raise Refused(f"a stop at {there} lies behind: the odometer has read {last}")
    return there


def planned_stops(desk: Desk, trip: Trip) -> tuple[PlannedStop, ...]:
    """The planned stops that are still ahead, in the order they come.

    A stop with a reading is behind once the odometer has read it, up to the mile or kilometre that
    was not full yet; one without is behind at the next end of driving.
    """
    last = _last_reading(trip)
    furthest_mm = -1 if last is None else odometer_mm(last) + odometer_mm(f"1 {last.split()[-1]}")
    ahead = []
    for fact in trip.of("departed", "stop_planned"):
        body, opened = fact.entry.body, desk.store.openings(fact.entry.hash)
        departed = fact.original.kind == "departed"
        stop = PlannedStop(
            place=opened.get("next_stop" if departed else "place"),
            at=cast(str | None, body.get("next_stop_odometer" if departed else "at_odometer")),
            planned_at=fact.entry.event_time,
        )
        if stop.at_mm is None:
            named = not departed or stop.place is not None
            if named and not _stopped_since(trip, stop.planned_at):
                ahead.append(stop)
        elif stop.at_mm > furthest_mm:
            ahead.append(stop)
    return tuple(sorted(ahead, key=_order))


def stop_from(draft: Draft, now: datetime) -> PlannedStop:
    """The stop that a draft, not recorded yet, is about."""
    return PlannedStop(
        place=draft.private.get("place"),
        at=cast(str | None, draft.body.get("at_odometer")),
        planned_at=now,
    )


def outlooks(trip: Trip, stops: tuple[PlannedStop, ...], now: datetime) -> tuple[StopOutlook, ...]:
    """Each planned stop against the limits; none where no check is counted or all are exempt.

    At each stop a check is taken to be made, so that the limits after it run from there.
    """
    limits = _limits_now(trip, due_checks_of(trip, now))
    if limits is None:
        return ()
    top_speed = top_speed_mm_per_h(trip)
    found = []
    for number, stop in enumerate(stops):
        found.append(_outlook(stop, limits, top_speed, check_before=number > 0))
        limits = _limits_from(trip, stop)
    return tuple(found)


def next_outlook(desk: Desk, trip: Trip) -> StopOutlook | None:
    """The next planned stop against the next limit; None: no stop is planned, or none needed."""
    stops = planned_stops(desk, trip)
    return next(iter(outlooks(trip, stops[:1], desk.now_on(trip).wall)), None)


def _is_from_here(typed: str) -> bool:
    return typed.strip().startswith(_FROM_HERE)


def _outlook(
    stop: PlannedStop, limits: _Limits, top_speed: int | None, *, check_before: bool
) -> StopOutlook:
    at_mm = stop.at_mm
    way_mm = None if at_mm is None or limits.from_mm is None else at_mm - limits.from_mm
    slowest = None
    if way_mm is not None and limits.driving_ms is not None:
        slowest = -(-way_mm * _HOUR_MS // limits.driving_ms) if limits.driving_ms else None
    too_fast = slowest is not None and top_speed is not None and slowest > top_speed
    before = Before.NO
    if at_mm is None or not limits.known:
        before = Before.CANNOT_TELL
    if at_mm is not None and limits.limit_mm is not None and at_mm > limits.limit_mm:
        before = Before.YES
    if too_fast or limits.driving_ms == 0:
        before = Before.YES
    return StopOutlook(
        stop=stop,
        before=before,
        limit_mm=limits.limit_mm,
        limited_by=limits.limited_by,
        way_mm=way_mm,
        mean_speed_mm_per_h_min=slowest,
        timed_by=limits.timed_by,
        top_speed_is_less=too_fast,
        time_matters=slowest is not None and (top_speed is None or 2 * slowest >= top_speed),
        check_before=check_before,
    )


def _limits_now(trip: Trip, due: tuple[DueCheck, ...]) -> _Limits | None:
    """The limits of the counters that run; None: there is none."""
    running = [
        one for one in due if one.counter.limit is not None and one.state is not State.EXEMPT
    ]
    if not running:
        return None
    by_way = [one.counter for one in running if one.counter.kind in _DISTANCES]
    at = [
        (one.limit_at_odometer_mm, _limit_name(one))
        for one in by_way
        if one.limit_at_odometer_mm is not None
    ]
    timed = [
        (one.remaining or 0, _limit_name(one.counter))
        for one in running
        if one.counter.kind in AT_THE_WHEEL and one.remaining is not None
    ]
    last = _last_reading(trip)
    first, soonest = min(at, default=(None, None)), min(timed, default=(None, None))
    return _Limits(
        from_mm=None if last is None else odometer_mm(last),
        limit_mm=first[0],
        limited_by=first[1],
        driving_ms=soonest[0],
        timed_by=soonest[1],
        known=len(at) == len(by_way) and (last is not None or not timed),
    )


def _limits_from(trip: Trip, stop: PlannedStop) -> _Limits:
    """The limits that run after a check at a stop; the first check is then behind."""
    rules = pinned_rules(trip)
    ways = [
        (one.limit_count, _limit_name(one))
        for one in rules
        if one.kind is Kind.DISTANCE and one.limit_count is not None
    ]
    times = [
        (one.limit_count, _limit_name(one))
        for one in rules
        if one.kind in AT_THE_WHEEL and one.kind not in FIRST and one.limit_count is not None
    ]
    way, time = min(ways, default=(None, None)), min(times, default=(None, None))
    at_mm = stop.at_mm
    return _Limits(
        from_mm=at_mm,
        limit_mm=None if way[0] is None or at_mm is None else at_mm + way[0],
        limited_by=way[1],
        driving_ms=time[0],
        timed_by=time[1],
        known=at_mm is not None,
    )


def _limit_name(limit: Counter | RecheckRule) -> str:
    """A limit as printed; before one that does not bind its force, "guidance 1 h"."""
    if isinstance(limit, Counter):
        printed = f"{limit.printed_limit} {limit.printed_unit}"
    else:
        printed = f"{limit.limit} {limit.unit}"
    return f"{limit.legal_force} {printed}" if limit.legal_force in ADVICE else printed


def _readings(trip: Trip) -> Iterator[tuple[datetime, str]]:
    for fact in trip.facts:
        typed = fact.entry.body.get("odometer")
        if isinstance(typed, str):
            yield fact.entry.event_time, typed


def _last_reading(trip: Trip) -> str | None:
    """The last odometer reading recorded; None: none."""
    readings = [typed for _, typed in _readings(trip)]
    return readings[-1] if readings else None


def _reading_here(trip: Trip) -> str | None:
    """The last reading where nobody has driven since it was taken; None: there is none."""
    readings = [*_readings(trip)]
    if not readings:
        return None
    taken_at, typed = readings[-1]
    return typed if _stood_since(trip, taken_at) else None


def _stood_since(trip: Trip, when: datetime) -> bool:
    """Whether nobody has been at the wheel from a moment on."""
    if trip.as_it_stood(when).is_driven:
        return False
    return not any(
        fact.entry.body.get("status") == "driving" and fact.entry.event_time > when
        for fact in trip.of("duty_changed")
    )


def _stopped_since(trip: Trip, when: datetime) -> bool:
    """Whether driving has ended after a moment."""
    driven = trip.as_it_stood(when).is_driven
    for fact in trip.of("duty_changed"):
        if fact.entry.event_time <= when:
            continue
        if fact.entry.body["status"] == "driving":
            driven = True
        elif driven:
            return True
    return False


def _order(stop: PlannedStop) -> tuple[bool, int, datetime]:
    """By reading; those without come last, in the order they were planned."""
    return stop.at_mm is None, stop.at_mm or 0, stop.planned_at
