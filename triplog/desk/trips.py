"""Opening a trip, withdrawing one that never left, closing one that is done."""

from dataclasses import dataclass
from typing import Any, cast

from triplog.desk.checkpoints import with_checkpoint
from triplog.desk.desk import Desk, present
from triplog.desk.finding_things import gear_named, labels_taken, next_label, refuse_label
from triplog.desk.planning import (
    Change,
    Document,
    combined,
    empty_document,
    plan_draft,
    use_vehicle,
)
from triplog.desk.refused import Refused
from triplog.journal.derived import GearRow, TripRow
from triplog.journal.entries import Body, Draft, Entry
from triplog.journal.store import new_id
from triplog.journal.things import Standing
from triplog.journal.trip import OPEN_STATES, Trip, TripState

_BEFORE_DEPARTURE = (TripState.PLANNED, TripState.LOADED)
_CARRIED_OVER = ("rules", "vehicle", "anchor", "article", "assumptions")


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """What a trip is opened with; places and note are private. `like`: an earlier trip."""

    label: str
    like: Trip | None = None
    origin: str | None = None
    destination: str | None = None
    papers: str | None = None
    note: str | None = None


def open_trip(desk: Desk, opening: Opening, changes: list[Change]) -> Trip:
    """Open a trip with its first plan, made by the changes in their order."""
    refuse_label(desk, TripRow, opening.label)
    trip_id = new_id()
    with desk.writing() as writing:
        desk.append(
            writing,
            desk.draft(
                "trip_opened",
                present(
                    id=trip_id,
                    label=opening.label,
                    like=None if opening.like is None else opening.like.id,
                    papers=opening.papers,
                ),
                trip=trip_id,
                private={
                    "origin": opening.origin,
                    "destination": opening.destination,
                    "note": opening.note,
                },
            ),
        )
        writing.append(plan_draft(desk, desk.trip(trip_id), combined(changes)))
    return desk.trip(trip_id)


def new_trip_label(desk: Desk) -> str:
    """The first free label T-1, T-2 ..."""
    return next_label(desk, TripRow, "T")


def vehicle_change(desk: Desk, label: str | None) -> list[Change]:
    """Plan on the vehicle named, or on the only one there is; none where there are no vehicles.

    Refused, listing them, where several could be meant.
    """
    (count,) = desk.store.raw.execute("SELECT count(*) FROM vehicle").fetchone()
    return [use_vehicle(desk, label)] if label is not None or count else []


def like_change(earlier: Trip) -> Change:
    """The load, its friction mats and vehicle of an earlier trip; tie-downs are planned anew."""

    def edit(document: Document) -> None:
        source = cast(dict[str, Any], earlier.document or empty_document())
        document.update({name: source[name] for name in _CARRIED_OVER if name in source})
        mats = {one.get("mat") for one in source.get("article", [])}
        if gear := [one for one in source.get("gear", []) if one["id"] in mats]:
            document["gear"] = gear

    return Change(cause=f"like trip {earlier.label}", edit=edit)


def rules_change(rules: list[str]) -> Change:
    """The rule sets to judge by, in this order."""

    def edit(document: Document) -> None:
        document["rules"] = list(rules)

    return Change(cause=f"judged by {', '.join(rules)}", edit=edit)


def withdraw_trip(desk: Desk, trip: Trip, *, reason: str | None) -> Entry:
    """Withdraw a trip that has not departed; it stays in the journal."""
    if trip.state not in _BEFORE_DEPARTURE:
        raise Refused(
            f"trip {trip.label} is {trip.state}; only a trip that never left is withdrawn"
        )
    return desk.record(
        desk.draft(
            "trip_withdrawn", {}, trip=trip.id, private={"reason": reason or "no reason given"}
        )
    )


def close_trip(
    desk: Desk,
    trip: Trip,
    *,
    release_done: bool,
    gear_missing: list[str] | None,
    note: str | None,
) -> Entry:
    """Close a trip: the gear counted back in or named as missing, the heads of its chains kept.

    `gear_missing` None: nobody counted, which is recorded. What is missing is set aside.
    """
    if trip.departure is None or trip.state not in OPEN_STATES:
        raise Refused(f"trip {trip.label} is {trip.state}; only a trip that has departed is closed")
    out = gear_out(trip)
    missing = gear_missing or []
    unknown = [label for label in missing if label not in out]
    if unknown:
        raise Refused(f"{', '.join(unknown)} was not on this trip; out were: {', '.join(out)}")
    counted = gear_missing is not None
    body = present(
        release_done=release_done,
        gear_back=[label for label in out if counted and label not in missing],
        missing=missing,
        not_counted=None if counted or not out else out,
    )
    with with_checkpoint(desk, "closed", trip.id) as writing:
        for draft in _missing_drafts(desk, trip, missing):
            writing.append(draft)
        body["trip_heads"] = desk.store.trip_heads(trip.id)
        draft = desk.draft("trip_closed", body, trip=trip.id, private={"note": note})
        return desk.append(writing, draft)


def _missing_drafts(desk: Desk, trip: Trip, missing: list[str]) -> list[Draft]:
    """The drafts that set aside what did not come back; none for gear without a card, or out."""
    drafts = []
    labels = labels_taken(desk, GearRow)
    for label in missing:
        thing = gear_named(desk, label) if label in labels else None
        if thing is not None and thing.standing is Standing.IN_STOCK:
            body: Body = {"gear": thing.id, "standing": str(Standing.SET_ASIDE)}
            reason = f"missing at the end of trip {trip.label}"
            drafts.append(desk.draft("gear_standing_set", body, private={"reason": reason}))
    return drafts


def gear_out(trip: Trip) -> list[str]:
    """The gear of every plan the trip left with or changed to on the road, in order of labels."""
    departure = trip.departure
    if departure is None:
        return []
    labels: set[str] = set()
    for fact in trip.of("plan_recorded"):
        entered = fact.original.entry_time
        left_with = departure.entry.body["revision"] in fact.hashes
        if left_with or entered >= departure.original.entry_time:
            document = cast(dict[str, Any], fact.entry.body["document"])
            labels |= {one["id"] for one in document.get("gear", [])}
    return sorted(labels)
