"""Looking things up: lists and cards, read from the derived tables and the journal."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, TypeVar, cast

from sqlmodel import SQLModel, col, select

from triplog.checks import due_checks_of
from triplog.desk.clashing_labels import Table, shown_labels
from triplog.desk.desk import Desk
from triplog.desk.finding_things import person_label
from triplog.desk.gear import HELD, out_of_use
from triplog.desk.gear_life import LifeLine, life_of
from triplog.desk.judging import recorded_findings
from triplog.desk.planning import gear_in_use
from triplog.desk.refused import Refused
from triplog.dossier.slip import found_moving
from triplog.journal.derived import (
    AnchorRow,
    GearRow,
    PersonRow,
    PlanRow,
    TieDownRow,
    TripRow,
    VehicleRow,
)
from triplog.journal.entries import Entry, time_text
from triplog.journal.folding import in_force
from triplog.journal.things import Standing, Thing
from triplog.journal.trip import Trip

ON_A_TRIP = "on a trip"
STANDINGS = (str(Standing.IN_STOCK), ON_A_TRIP, str(Standing.SET_ASIDE), str(Standing.UNFIT))
Record = dict[str, Any]
Model = TypeVar("Model", bound=SQLModel)


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryLine:
    """An entry with how it stands: *in force*, *corrected*, *taken back*, and its openings.

    `followed_by`: what holds in its place, or took it back; None where nothing does.
    """

    entry: Entry
    standing: str
    opened: dict[str, str]
    followed_by: Entry | None


def trips(desk: Desk, *, open_only: bool) -> list[Record]:
    """The trips, newest last."""
    query = select(TripRow).order_by(col(TripRow.opened_at), col(TripRow.id))
    if open_only:
        query = query.where(col(TripRow.is_open) == 1)
    with desk.session() as session:
        rows = [row.model_dump() for row in session.exec(query)]
    for row in rows:
        row["kept"] = HELD if row["holds"] else _deleted_text(desk, row)
    return _told_apart(desk, "trip", rows)


def _deleted_text(desk: Desk, row: Record) -> str | None:
    """When and by whom a trip's private values were deleted under retention; None: never."""
    if row["deleted_at"] is None:
        return None
    by = person_label(desk, row["deleted_by"])
    return f"deleted under retention, {row['deleted_at'][:10]} by {by}"


def gear(desk: Desk, *, standing: str | None = None, inspect_on: str | None = None) -> list[Record]:
    """The gear by label; what stands in stock and on an open trip's plan is *on a trip*.

    `standing` None: all. `inspect_on`: only gear whose day to be looked at has come by that day.
    """
    query = select(GearRow).order_by(col(GearRow.id))
    if inspect_on is not None:
        query = query.where(
            col(GearRow.inspect_by) <= inspect_on, col(GearRow.standing) != str(Standing.UNFIT)
        )
    in_use = gear_in_use(desk)
    with desk.session() as session:
        rows = [row.model_dump() for row in session.exec(query)]
    for row in rows:
        row["on_trip"] = in_use.get(row["label"])
        if row["on_trip"] is not None and row["standing"] == Standing.IN_STOCK:
            row["standing"] = ON_A_TRIP
        row["hold"] = HELD if row["is_held"] else None
    _told_apart(desk, "gear", rows)
    rows.sort(key=lambda row: by_number(row["label"]))
    return [row for row in rows if standing is None or row["standing"] == standing]


def by_number(label: str) -> list[tuple[int, int, str]]:
    """A label to be sorted by: S-2 before S-10."""
    parts = re.findall(r"[0-9]+|[^0-9]+", label)
    return [(0, int(part), "") if part.isdecimal() else (1, 0, part) for part in parts]


def known_standing(word: str | None) -> str | None:
    """The word for where gear stands, None for all; Refused for any other word."""
    if word is not None and word not in STANDINGS:
        raise Refused(f"gear is {', '.join(STANDINGS)}; found {word!r}")
    return word


def gear_life(desk: Desk, thing: Thing) -> Record:
    """A piece of gear: its card, where it stands, the trips that planned it, what was found."""
    query = (
        select(TripRow.label)
        .join(TieDownRow, col(TieDownRow.trip) == col(TripRow.id))
        .where(col(TieDownRow.gear) == thing.label)
        .distinct()
    )
    with desk.session() as session:
        labels = list(session.exec(query))
    return {
        "id": thing.id,
        "label": thing.label,
        "standing": _standing(thing, gear_in_use(desk)),
        "why_not_in_use": out_of_use(desk, thing),
        "inspect_by": thing.inspect_by,
        "item": thing.item,
        "trips": labels,
        "history": [_life_record(line) for line in life_of(desk, thing)],
    }


def _standing(thing: Thing, in_use: dict[str, str]) -> str:
    used = thing.standing is Standing.IN_STOCK and thing.label in in_use
    return ON_A_TRIP if used else str(thing.standing)


def _life_record(line: LifeLine) -> Record:
    entry = line.entry
    return {
        "entry": entry.hash,
        "kind": entry.kind,
        "event_time": time_text(entry.event_time),
        "entry_time": time_text(entry.entry_time),
        "offset_min": entry.event_offset_min,
        "entered_late_by_min": int(entry.entered_late_by.total_seconds() // 60),
        "what": line.what,
        "trip": line.trip,
        "by": line.by,
        "standing": line.standing,
        "opened": line.opened,
    }


def vehicles(desk: Desk) -> list[Record]:
    """The vehicles by label."""
    return _all(desk, VehicleRow, "vehicle")


def anchors(desk: Desk, vehicle: Thing) -> list[Record]:
    """The anchor points of a vehicle, in the order they were given, with what fits each."""
    query = select(AnchorRow).where(col(AnchorRow.vehicle) == vehicle.id)
    with desk.session() as session:
        rows = {row.id: row.model_dump() for row in session.exec(query)}
    told = cast(list[Record], vehicle.body["anchors"])
    return [
        rows[one["id"]] | {name: one.get(name) for name in ("breaking", "opening", "accepts")}
        for one in told
    ]


def people(desk: Desk) -> list[Record]:
    """The people by label, with the name where it can be opened."""
    rows = _all(desk, PersonRow, "person")
    for row in rows:
        cards = in_force(desk.store.thing_entries(row["id"]))
        row["name"] = desk.store.openings(cards[-1].entry.hash).get("name")
        row["types_here"] = row["id"] == desk.by
    return rows


def plans(desk: Desk, trip: Trip) -> list[Record]:
    """The plan revisions of a trip."""
    query = select(PlanRow).where(col(PlanRow.trip) == trip.id).order_by(col(PlanRow.number))
    with desk.session() as session:
        return [row.model_dump() for row in session.exec(query)]


def trip_record(desk: Desk, trip: Trip) -> Record:
    """A trip as it stands: state, plan, findings, due checks and everything that happened."""
    due = due_checks_of(trip, desk.now_on(trip).wall)
    opened = trip.first("trip_opened")
    return {
        "id": trip.id,
        "label": trip.label,
        "state": str(trip.state),
        "opened": {} if opened is None else desk.store.openings(opened.entry.hash),
        "holds": [fact.original.hash for fact in trip.holds],
        "duty": trip.duty_by_driver,
        "plan": trip.document,
        "plan_number": None if trip.plan is None else trip.plan.entry.body["number"],
        "findings": recorded_findings(trip),
        "due": [
            {"due": check.due_key, "state": str(check.state), "basis": str(check.basis)}
            for check in due
        ],
        "slack_or_moved": dict(found_moving(trip)),
        "facts": [
            {
                "entry": fact.entry.hash,
                "kind": fact.original.kind,
                "event_time": time_text(fact.entry.event_time),
                "entry_time": time_text(fact.entry.entry_time),
                "corrected": bool(fact.replaced),
                "time_doubt": fact.entry.body.get("time_doubt"),
            }
            for fact in (*trip.facts, *trip.doubtful)
        ],
    }


def entry_named(desk: Desk, hash_start: str) -> Entry:
    """The entry whose hash starts so; Refused, in words, for none or several."""
    try:
        return desk.store.entry(hash_start)
    except LookupError as problem:
        raise Refused(str(problem.args[0])) from problem


def entry_lines(desk: Desk, trip: Trip | None, last: int | None) -> Iterator[EntryLine]:
    """The entries of a trip or of the store, in their order, with how each stands."""
    where, values = ("1", ()) if trip is None else ("trip = ?", (trip.id,))
    entries = list(desk.store.entries(where, values))
    facts = in_force(entries)
    standing = {fact.entry.hash: "in force" for fact in facts}
    corrected = {one.hash: fact.entry for fact in facts for one in fact.replaced}
    withdrawn = {one.follows: one for one in entries if one.kind == "entry_withdrawn"}
    entries.sort(key=lambda one: (one.entry_time, one.device, one.seq))
    for entry in entries[-last:] if last else entries:
        if entry.kind == "entry_withdrawn":
            word = "takes back"
        elif entry.hash in corrected:
            word = "corrected"
        else:
            word = standing.get(entry.hash, "taken back")
        yield EntryLine(
            entry=entry,
            standing=word,
            opened=desk.store.openings(entry.hash),
            followed_by=corrected.get(entry.hash, withdrawn.get(entry.hash)),
        )


def _all(desk: Desk, model: type[Model], table: Table) -> list[Record]:
    with desk.session() as session:
        rows = [row.model_dump() for row in session.exec(select(model))]
    return sorted(_told_apart(desk, table, rows), key=lambda row: str(row["label"]))


def _told_apart(desk: Desk, table: Table, rows: list[Record]) -> list[Record]:
    """The rows, those that share their label shown with their device."""
    clashing = shown_labels(desk.store, table)
    for row in rows:
        row["label"] = clashing.get(row["id"], row["label"])
    return rows
