"""What is odd about a trip, for the hand-over slip: the worst first, each in one line."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import TypeAlias

from triplog.checks import exemption
from triplog.journal.folding import InForce
from triplog.journal.trip import Trip, records_in, text_in
from triplog.wording import happened
from triplog.wording import slip as wording
from triplog.wording.looks import beside_text

LOOKS = ("check_completed", "check_left_open")
_STAYS = (happened.BROKEN, happened.MOVED)
"""What is told whenever it happened; else only what no completed check has answered."""
Told: TypeAlias = tuple[str, str]
Openings: TypeAlias = Mapping[str, Mapping[str, str]]
Clock: TypeAlias = Callable[[datetime], str]


def odd_told(
    trip: Trip, people: Mapping[str, str], opened: Openings, clock: Clock, is_unrevised: bool
) -> Iterator[Told]:
    """Each odd thing with a short name before it; nothing where nothing is odd.

    `opened`: the private values of an entry by its hash; `clock` words a moment.
    """
    if is_unrevised:
        yield "Plan", wording.NOT_PLANNED_ANEW
    yield from _exempt(trip)
    handed = trip.last("handed_over")
    points = handed and opened.get(handed.entry.hash, {}).get("open_points")
    if points:
        yield "Still open", wording.shortened(points)
    yield from _happened(trip, opened, clock)
    yield from _gear(trip, opened, clock)
    yield from _left_wrong(trip, clock)
    yield from _second_look(trip, people)
    yield from _part_looks(trip, clock)
    yield from _departure(trip, opened)
    yield from _notes(trip, opened, clock)


def shown_first(told: Sequence[Told], most: int, where: str) -> tuple[Told, ...]:
    """The first of what is told; where that is not all, how many more stand in `where`."""
    if len(told) <= most:
        return tuple(told)
    return (*told[: most - 1], ("More", f"{len(told) - most + 1} more: {where}"))


def _exempt(trip: Trip) -> Iterator[Told]:
    fact = exemption(trip)
    if fact is not None:
        body = fact.entry.body
        seal = body.get("seal")
        yield "Exempt", f"{body['grounds']}{f', seal {seal}' if seal else ''}"


def _happened(trip: Trip, opened: Openings, clock: Clock) -> Iterator[Told]:
    checked = trip.last("check_completed")
    since = 0 if checked is None else trip.facts.index(checked)
    for fact in trip.of("event_reported"):
        body = fact.entry.body
        what = text_in(body, "what")
        is_open = trip.facts.index(fact) > since
        if not (is_open or what in _STAYS):
            continue
        tie_downs = body.get("tie_downs")
        on = [", ".join(map(str, tie_downs))] if isinstance(tie_downs, list) else []
        moved = [f"by {body['moved']}"] if "moved" in body else []
        note = opened.get(fact.entry.hash, {}).get("note")
        said = [wording.shortened(note)] if note else []
        parts = ", ".join([f"{clock(fact.entry.event_time)} {what}", *on, *moved, *said])
        yield "Happened", parts if not is_open else f"{parts}; {wording.NO_LOOK_SINCE}"


def _gear(trip: Trip, opened: Openings, clock: Clock) -> Iterator[Told]:
    """What was found damaged and is on still, and what was replaced on the road."""
    replaced = trip.of("gear_replaced")
    for look in trip.of(*LOOKS):
        later = {
            text_in(one.entry.body, "tie_down")
            for one in replaced
            if trip.facts.index(one) > trip.facts.index(look)
        }
        for line in records_in(look.entry.body, "lines"):
            if line["found"] == "damaged" and line["tie_down"] not in later:
                when = clock(look.entry.event_time)
                yield "Damaged", f"{line['tie_down']}, found at {when}; no replacement is recorded"
    for fact in replaced:
        body = fact.entry.body
        why = opened.get(fact.entry.hash, {}).get("reason") or "cause not known"
        out, when = body.get("out", "what was there"), clock(fact.entry.event_time)
        swap = f"{body['tie_down']}: {body['in']} in place of {out} at {when}"
        yield "Replaced", f"{swap}, {wording.shortened(why)}"


def _left_wrong(trip: Trip, clock: Clock) -> Iterator[Told]:
    """What was found beside the tie-downs, unless it was put right or found fine since."""
    last: dict[str, tuple[InForce, Mapping[str, str]]] = {}
    for fact in trip.of(*LOOKS):
        for look in records_in(fact.entry.body, "looks"):
            if look["looked_at"]:
                last[look["item"]] = (fact, look)
    for fact, found in last.values():
        if "found" in found and not found["put_right"]:
            yield "Found", f"{clock(fact.entry.event_time)} {beside_text(found)}"


def _second_look(trip: Trip, people: Mapping[str, str]) -> Iterator[Told]:
    fact = trip.last("second_look_recorded")
    if fact is not None and fact.entry.body.get("seen") != "as planned":
        by = text_in(fact.entry.body, "by_whom")
        said = fact.entry.body.get("seen", "a photo was sent, and nobody answered")
        yield "Second look", f"{people.get(by, by)}: {said}"


def _part_looks(trip: Trip, clock: Clock) -> Iterator[Told]:
    """Part looks since the last whole one; the last look of all is told elsewhere."""
    parts: list[InForce] = []
    for look in trip.of(*LOOKS)[:-1]:
        parts = [*parts, look] if look.original.kind == "check_left_open" else []
    looks = trip.of(*LOOKS)
    if parts and looks[-1].original.kind == "check_left_open":
        yield "Part looks", ", ".join(clock(one.entry.event_time) for one in parts)


def _departure(trip: Trip, opened: Openings) -> Iterator[Told]:
    fact = trip.departure
    if fact is None:
        return
    unmet = records_in(fact.entry.body, "unmet")
    if unmet:
        words = wording.unmet_text(
            [one["rule"] for one in unmet if one["verdict"] == "does not meet"],
            [one["rule"] for one in unmet if one["verdict"] != "does not meet"],
        )
        reason = opened.get(fact.entry.hash, {}).get("reason")
        yield "Left with", f"{words}{f'; reason: {wording.shortened(reason)}' if reason else ''}"


def _notes(trip: Trip, opened: Openings, clock: Clock) -> Iterator[Told]:
    """Notes made with a look or with the hand-over, the newest first."""
    for fact in reversed(trip.of(*LOOKS, "handed_over", "stop_planned", "loading_recorded")):
        note = opened.get(fact.entry.hash, {}).get("note")
        if note:
            yield "Note", f"{clock(fact.entry.event_time)} {wording.shortened(note)}"
