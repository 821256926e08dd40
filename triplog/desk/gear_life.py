"""The life of one piece of gear: every entry about it, and what it went through on trips."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import cast

from triplog.desk.desk import Desk
from triplog.desk.finding_things import person_label
from triplog.desk.gear import damage_text
from triplog.journal.entries import Body, Entry
from triplog.journal.folding import InForce, in_force
from triplog.journal.things import Thing
from triplog.journal.trip import Trip, records_in, text_in


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeLine:
    """One thing that happened to the piece; `standing`: in force, corrected or taken back.

    `trip` None: the entry is about the piece itself.
    """

    entry: Entry
    what: str
    standing: str
    by: str
    trip: str | None = None
    opened: dict[str, str]


def life_of(desk: Desk, thing: Thing) -> list[LifeLine]:
    """Everything about the piece, in the order it happened."""
    found = [*_own_lines(desk, thing)]
    for trip_id in _trips(desk, thing):
        found += _lines_of_trip(desk, thing, desk.trip(trip_id))
    return sorted(found, key=_order)


def _order(line: LifeLine) -> tuple[datetime, datetime, str, int]:
    entry = line.entry
    return entry.event_time, entry.entry_time, entry.device, entry.seq


def _own_lines(desk: Desk, thing: Thing) -> Iterator[LifeLine]:
    entries = desk.store.thing_entries(thing.id)
    facts = in_force(entries)
    holding = {fact.entry.hash for fact in facts}
    corrected = {one.hash for fact in facts for one in fact.replaced}
    for entry in entries:
        standing = "in force" if entry.hash in holding else "taken back"
        if entry.hash in corrected:
            standing = "corrected"
        if entry.kind == "entry_withdrawn":
            standing = "takes back"
        yield _line(desk, entry, _what(entry), standing)


def _what(entry: Entry) -> str:
    body = entry.body
    match entry.kind:
        case "gear_recorded":
            return f"recorded as {text_in(cast(Body, body['item']), 'kind')}"
        case "gear_standing_set":
            return text_in(body, "standing")
        case "gear_inspected":
            return f"inspected: {damage_text(body) or 'no damage'}: {text_in(body, 'answer')}"
        case "hold_placed":
            return "put under an evidence hold"
        case "hold_lifted":
            return "evidence hold lifted"
        case "openings_destroyed":
            count = len(cast(list[Body], body["openings"]))
            return f"{count} private value(s) destroyed: {text_in(body, 'why')}"
        case "deletion_refused":
            return f"asked to be deleted: {text_in(body, 'what')}; refused: {text_in(body, 'why')}"
        case _:
            return f"takes back {(entry.follows or '')[:8]}"


def _trips(desk: Desk, thing: Thing) -> list[str]:
    """The ids of the trips whose plans name the piece, by its card or by its label."""
    rows = desk.store.raw.execute(
        "SELECT DISTINCT trip FROM tie_down WHERE gear = ?", (thing.label,)
    )
    return [trip for (trip,) in rows]


def _lines_of_trip(desk: Desk, thing: Thing, trip: Trip) -> Iterator[LifeLine]:
    planned = False
    names: set[str] = set()
    for fact in trip.facts:
        if fact.original.kind == "plan_recorded":
            document = cast(Body, fact.entry.body["document"])
            tie_downs = records_in(document, "tie_down")
            names = {str(one["id"]) for one in tie_downs if one.get("gear") == thing.label}
            if bool(names) is not planned:
                planned = bool(names)
                what = f"planned as {', '.join(sorted(names))}" if names else "taken off the plan"
                yield _line(desk, fact.entry, what, "in force", trip.label)
            continue
        happened = _on_trip(thing, names, fact)
        if happened is not None:
            yield _line(desk, fact.entry, happened, "in force", trip.label)


def _on_trip(thing: Thing, names: set[str], fact: InForce) -> str | None:
    """What an entry of a trip says of the piece; None: nothing."""
    body = fact.entry.body
    match fact.original.kind:
        case "departed" if names:
            return "departed"
        case "check_completed" | "check_left_open":
            lines = records_in(body, "lines")
            found = {str(one["found"]) for one in lines if one["tie_down"] in names}
            return f"checked: {', '.join(sorted(found))}" if found else None
        case "event_reported":
            touched = names & set(cast(list[str], body.get("tie_downs", [])))
            return text_in(body, "what") if touched else None
        case "gear_replaced" if thing.label == body["in"]:
            return f"put on as {body['tie_down']} in place of {body.get('out', 'nothing')}"
        case "gear_replaced" if thing.label == body.get("out"):
            return f"replaced as {body['tie_down']} by {body['in']}, {body['order']}"
        case "trip_closed" if thing.label in cast(list[str], body.get("missing", [])):
            return "missing at the end of the trip"
        case "trip_closed" if thing.label in cast(list[str], body["gear_back"]):
            return "counted back"
    return None


def _line(desk: Desk, entry: Entry, what: str, standing: str, trip: str | None = None) -> LifeLine:
    return LifeLine(
        entry=entry,
        what=what,
        standing=standing,
        by=person_label(desk, entry.by),
        trip=trip,
        opened=desk.store.openings(entry.hash),
    )
