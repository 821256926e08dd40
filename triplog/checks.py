"""From a trip to the scheduler's facts, and from its answers to rows and entries. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Any, cast

from scheduler.counter import Counter, counter_row
from scheduler.counters import counters
from scheduler.due import DueCheck, State, at, in_order
from scheduler.progress import (
    CheckMark,
    DutyMark,
    DutyStatus,
    EventMark,
    ExemptMark,
    ObservedLoss,
    Progress,
    ReadingMark,
    StartMark,
    vehicle_duty,
)
from scheduler.prompts import Channel, Prompt, Said
from scheduler.recheck_rules import RecheckRule, rule_from_row
from scheduler.rules_combined import Combined, combined
from triplog.journal.entries import Body, Entry, time_text
from triplog.journal.folding import InForce
from triplog.journal.imported import DutySaid, duty_said, typed_duty
from triplog.journal.trip import Trip, TripState, records_in, text_in
from triplog.securement.quantity import Dimension, parse


def due_rows(trip: Trip) -> Iterable[dict[str, object]]:
    """The rows of a trip in the table `due`."""
    return [{**counter_row(counter), "due_at": _due_at(counter)} for counter in counters_of(trip)]


def _due_at(counter: Counter) -> str | None:
    """When a counter is due, told without a clock; None: that cannot be, or it is lifted."""
    moment = None if counter.exempt_reason else at(counter, counter.as_of).due_at
    return None if moment is None else time_text(moment)


def counters_of(trip: Trip) -> tuple[Counter, ...]:
    """The counters that run on a trip; none before departure or after its end."""
    return () if trip.departure is None else counters(pinned_rules(trip), progress_of(trip))


def due_checks_of(trip: Trip, now: datetime, *, reading: str | None = None) -> tuple[DueCheck, ...]:
    """The due checks of a trip at a moment, worst first.

    `reading`: an odometer reading of that moment that has not been recorded yet.
    """
    if reading is None or trip.departure is None:
        return in_order(at(counter, now) for counter in counters_of(trip))
    progress = progress_of(trip)
    mark = ReadingMark(key="now", at=now, odometer_mm=odometer_mm(reading), source="typed")
    readings = sorted([*progress.readings, mark], key=lambda one: one.at)
    running = counters(pinned_rules(trip), replace(progress, readings=tuple(readings)))
    return in_order(at(counter, now) for counter in running)


def pinned_rules(trip: Trip) -> tuple[RecheckRule, ...]:
    """The re-check rules that run on a trip, of those it departed with; none before departure."""
    return sorted_rules(trip).running


def sorted_rules(trip: Trip) -> Combined:
    """The re-check rules the trip departed with and took on since, sorted out; none before."""
    if trip.departure is None:
        return combined(())
    added = tuple(fact.entry for fact in trip.of("rules_added"))
    return _rules_in(trip.departure.entry, added)


def every_rule(trip: Trip) -> tuple[RecheckRule, ...]:
    """All rules the trip has, those that stand behind others and those only told among them."""
    found = sorted_rules(trip)
    return (*found.running, *(rule for rule, _ in found.behind), *found.told)


@lru_cache(maxsize=64)
def _rules_in(departure: Entry, added: tuple[Entry, ...]) -> Combined:
    rows = (row for entry in (departure, *added) for row in records_in(entry.body, "rules"))
    return combined(dict.fromkeys(rule_from_row(row) for row in rows))


def progress_of(trip: Trip) -> Progress:
    """What has happened on a departed trip, as the scheduler counts it."""
    departure = trip.departure
    assert departure is not None, "a trip that has not departed makes no progress"
    departed_at = departure.entry.event_time
    return Progress(
        trip=trip.id,
        starts=tuple(sorted(_starts(trip, departure), key=lambda mark: mark.at)),
        duty=tuple(map(_duty_mark, duty_said(trip))),
        readings=tuple(_readings(trip, departed_at)),
        checks=tuple(
            _check_mark(fact.entry, _key(fact))
            for fact in trip.of("check_completed")
            if fact.entry.event_time >= departed_at
        ),
        events=tuple(
            EventMark(
                key=_key(fact), at=fact.entry.event_time, what=text_in(fact.entry.body, "what")
            )
            for fact in trip.of("event_reported")
            if fact.entry.event_time >= departed_at
        ),
        exempt=_exempt(trip),
        ended=_ended(trip),
        top_speed_mm_per_h=top_speed_mm_per_h(trip),
        odometer_unit=odometer_unit(trip),
    )


def said_on(trip: Trip) -> tuple[Said, ...]:
    """What has been said on a trip, as the prompts count it."""
    outcomes = {
        text_in(fact.entry.body, "raised"): "recorded" for fact in trip.of("prompt_outcome")
    }
    return tuple(
        Said(
            due_key=text_in(fact.entry.body, "due"),
            stage=State(text_in(fact.entry.body, "stage")),
            channel=Channel(text_in(fact.entry.body, "channel")),
            number=cast(int, fact.entry.body["number"]),
            outcome=outcomes.get(fact.original.hash),
        )
        for fact in trip.of("prompt_raised")
    )


def unfinished_prompts(trip: Trip) -> tuple[InForce, ...]:
    """Prompts that were raised and have no outcome, because the program ended in between."""
    finished = {text_in(fact.entry.body, "raised") for fact in trip.of("prompt_outcome")}
    return tuple(fact for fact in trip.of("prompt_raised") if fact.original.hash not in finished)


def duty_of(trip: Trip) -> DutyStatus | None:
    """The duty status that decides what may be said in the vehicle; None: not recorded.

    What was typed decides; an imported status can only bring silence.
    """
    typed = vehicle_duty(map(_duty_mark, typed_duty(trip)))
    if trip.first("duty_imported") is None or typed is None:
        return typed
    counted = vehicle_duty(map(_duty_mark, duty_said(trip)))
    return DutyStatus.DRIVING if counted is DutyStatus.DRIVING else typed


def office_told_on(trip: Trip) -> frozenset[str]:
    """The due checks of a trip the office has a message about, or is to have."""
    return frozenset(text_in(fact.entry.body, "due") for fact in trip.of("office_message_queued"))


def last_odometer(trip: Trip) -> tuple[str, datetime] | None:
    """The last reading of a trip as typed, and when it was made; None: nothing was read."""
    read = [
        (fact.entry.event_time, odometer)
        for fact in trip.facts
        if isinstance(odometer := fact.entry.body.get("odometer"), str)
    ]
    return max(((text, moment) for moment, text in read), key=lambda one: one[1], default=None)


def prompt_body(prompt: Prompt, check: DueCheck) -> Body:
    """The body of the entry that says a prompt was raised."""
    counter = check.counter
    body: Body = {
        "due": prompt.due_key,
        "rule": counter.rule_id,
        "since": counter.from_key,
        "stage": str(prompt.stage),
        "channel": str(prompt.channel),
        "number": prompt.number,
        "state": str(check.state),
        "basis": str(check.basis),
        "value": check.value,
    }
    if counter.limit is not None:
        body["limit"] = counter.limit
    if check.late_by is not None:
        body["late_by"] = check.late_by
    if check.due_at is not None:
        body["due_at"] = time_text(check.due_at)
    return body


def prompt_in(body: Mapping[str, object]) -> Prompt:
    """The prompt that an entry says was raised."""
    return Prompt(
        due_key=cast(str, body["due"]),
        stage=State(cast(str, body["stage"])),
        channel=Channel(cast(str, body["channel"])),
        number=cast(int, body["number"]),
    )


def odometer_unit(trip: Trip) -> str | None:
    """What people last read the odometer in, else what a file says it in; None: nothing read."""
    read = [fact.entry for fact in reversed(trip.facts) if "odometer" in fact.entry.body]
    by_people = [entry for entry in read if entry.via != "imported"]
    texts = (one for entry in by_people or read if isinstance(one := entry.body["odometer"], str))
    return next(map(_unit, texts), None)


@lru_cache(maxsize=4096)
def _unit(typed: str) -> str:
    return parse(typed, Dimension.LENGTH).unit


@lru_cache(maxsize=4096)
def odometer_mm(typed: str) -> int:
    """An odometer reading in whole millimetres, nearest."""
    return round(parse(typed, Dimension.LENGTH).si * 1000)


def top_speed_mm_per_h(trip: Trip) -> int | None:
    """What no vehicle of a trip drives faster than; None: one of them has no top speed stated.

    A trip that went on with another vehicle is bounded by the faster of the two.
    """
    departure = trip.departure
    if departure is None:
        return None
    stated = [
        departure.entry.body["top_speed"],
        *(fact.entry.body.get("top_speed") for fact in vehicle_changes(trip)),
    ]
    speeds = [_mm_per_h(one) for one in stated if isinstance(one, str)]
    return max(speeds) if len(speeds) == len(stated) else None


def vehicle_changes(trip: Trip) -> list[InForce]:
    """The plans since the departure that took another vehicle; none before a departure."""
    departure = trip.departure
    if departure is None:
        return []
    return [
        fact
        for old, fact in _plans_since(trip, departure)
        if other_vehicle(old, cast(Body, fact.entry.body["document"]))
    ]


@lru_cache(maxsize=256)
def _mm_per_h(top_speed: str) -> int:
    return round(parse(top_speed, Dimension.SPEED).si * 3600 * 1000)


def _key(fact: InForce) -> str:
    """The entry a counter runs from: always the original, not its correction."""
    return fact.original.hash


def _odometer(entry: Entry) -> int | None:
    typed = entry.body.get("odometer")
    return odometer_mm(typed) if isinstance(typed, str) else None


def _starts(trip: Trip, departure: InForce) -> Iterable[StartMark]:
    """The departure, and each part delivery, loading or change of vehicle after it.

    Each makes another load to check. A loading or change of vehicle is seen by the plan.
    """
    departed_at = departure.entry.event_time
    yield _start_mark(departure.entry, _key(departure))
    for fact in trip.of("article_delivered"):
        if fact.entry.event_time >= departed_at:
            yield _start_mark(fact.entry, _key(fact))
    for old, fact in _plans_since(trip, departure):
        new = cast(Body, fact.entry.body["document"])
        other = other_vehicle(old, new)
        if (other or _article_ids(new) - _article_ids(old)) and (
            fact.entry.event_time >= departed_at
        ):
            yield _start_mark(fact.entry, _key(fact), other_vehicle=other)


def _plans_since(trip: Trip, departure: InForce) -> Iterable[tuple[Body, InForce]]:
    """The plans written since the departure, each with the document of the one before it."""
    plans = sorted(trip.of("plan_recorded"), key=lambda fact: _written(fact.original))
    for before, fact in pairwise(plans):
        if _written(fact.original) >= _written(departure.original):
            yield cast(Body, before.entry.body["document"]), fact


def other_vehicle(old: Mapping[str, Any], new: Mapping[str, Any]) -> bool:
    """Whether a plan's document is for another vehicle than the one before it."""
    return vehicle_name(old) not in (None, vehicle_name(new))


def _written(entry: Entry) -> tuple[datetime, int]:
    return entry.entry_time, entry.seq


def _article_ids(document: Body) -> set[str]:
    return {one["id"] for one in records_in(document, "article")}


def vehicle_name(document: Mapping[str, Any]) -> str | None:
    """What the vehicle of a plan's document is called; None: there is none, or it has no name."""
    return cast(str | None, document.get("vehicle", {}).get("name"))


def _readings(trip: Trip, departed_at: datetime) -> Iterable[ReadingMark]:
    for fact in trip.facts:
        entry = fact.entry
        if "odometer" in entry.body and entry.event_time >= departed_at:
            mark = _reading_mark(entry, _key(fact))
            if mark is not None:
                yield mark


# A trip's marks are wanted again at each of its later entries: each is made and checked once.


@lru_cache(maxsize=4096)
def _start_mark(entry: Entry, key: str, *, other_vehicle: bool = False) -> StartMark:
    return StartMark(
        key=key,
        at=entry.event_time,
        odometer_mm=_odometer(entry),
        odometer_anew=other_vehicle,
    )


@lru_cache(maxsize=4096)
def _duty_mark(said: DutySaid) -> DutyMark:
    return DutyMark(key=said.key, at=said.at, driver=said.driver, status=DutyStatus(said.status))


@lru_cache(maxsize=4096)
def _reading_mark(entry: Entry, key: str) -> ReadingMark | None:
    distance_mm = _odometer(entry)
    if distance_mm is None:
        return None
    below, above = entry.body.get("below"), entry.body.get("above")
    return ReadingMark(
        key=key,
        at=entry.event_time,
        odometer_mm=distance_mm,
        source=entry.via,
        below_mm=odometer_mm(below) if isinstance(below, str) else 0,
        above_mm=odometer_mm(above) if isinstance(above, str) else 0,
        odometer_anew=bool(entry.body.get("replaced")),
    )


@lru_cache(maxsize=4096)
def _check_mark(entry: Entry, key: str) -> CheckMark:
    return CheckMark(
        key=key,
        at=entry.event_time,
        odometer_mm=_odometer(entry),
        observed_loss=observed_loss(entry),
    )


def observed_loss(entry: Entry) -> ObservedLoss | None:
    """The tension found lost, and what may be, as a check recorded them."""
    recorded = cast(dict[str, str] | None, entry.body.get("observed_loss"))
    if recorded is None:
        return None
    lost, allowed = Fraction(recorded["lost"]), Fraction(recorded["allowed"])
    return ObservedLoss(lost=lost, allowed=allowed)


def exemption(trip: Trip) -> InForce | None:
    """The exemption that holds: it is for the load as it stood, and ends where that changes."""
    fact, departure = trip.last("checks_exempted"), trip.departure
    if fact is None or departure is None:
        return fact
    changed = (mark.at for mark in _starts(trip, departure) if mark.key != _key(departure))
    return None if any(at > fact.entry.event_time for at in changed) else fact


def _exempt(trip: Trip) -> ExemptMark | None:
    fact = exemption(trip)
    if fact is None:
        return None
    return ExemptMark(
        key=_key(fact), at=fact.entry.event_time, reason=text_in(fact.entry.body, "grounds")
    )


def _ended(trip: Trip) -> datetime | None:
    """When there was nothing left to check: everything delivered, closed or withdrawn."""
    if trip.state is TripState.DELIVERED:
        return trip.of("article_delivered")[-1].entry.event_time
    fact = trip.first("trip_closed") or trip.first("trip_withdrawn")
    return None if fact is None else fact.entry.event_time
