"""Gear replaced on the road: the new piece on and tensioned first, then the old one off.

A driver was killed when a strap was let off so that another could be added; so the steps come in
that order, and where it was done otherwise the record says so.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any, cast

from triplog.desk.desk import Desk, present
from triplog.desk.finding_things import gear_named, labels_taken
from triplog.desk.judging import Judgement, judge_trip, judgement_draft
from triplog.desk.planning import Change, Document, change_tie_down, combined, plan_draft
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_while_driving, stopped_draft, unrevised
from triplog.desk.time_doubts import refuse_before_departure
from triplog.journal.derived import GearRow
from triplog.journal.entries import Draft, Entry
from triplog.journal.things import Standing
from triplog.journal.trip import UNDER_WAY, Trip, records_in


class Order(StrEnum):
    """In which order it was done."""

    NEW_ON_FIRST = "the new one on first"
    OLD_OFF_FIRST = "the old one off first"


@dataclass(frozen=True, slots=True, kw_only=True)
class Replaced:
    """A recorded replacement; `old` None: the tie-down had no gear named."""

    entry: Entry
    old: str | None
    judgement: Judgement
    trip: Trip

    @property
    def is_settled(self) -> bool:
        """Whether it was done in the order asked for, and the plan leaves nothing open."""
        in_order = self.entry.body["order"] == Order.NEW_ON_FIRST
        return in_order and not self.judgement.unsettled and not self.asks_for_more

    @property
    def asks_for_more(self) -> bool:
        """Whether something broke or moved, and another piece in its place is no answer to it."""
        return bool(unrevised(self.trip))


def gear_of(trip: Trip, tie_down: str) -> str | None:
    """The gear of a tie-down of the plan in force, by label; Refused where there is none such."""
    listed = records_in(trip.document or {}, "tie_down")
    for one in listed:
        if one["id"] == tie_down:
            return one.get("gear")
    there = ", ".join(one["id"] for one in listed) or "none yet"
    raise Refused(f"there is no tie-down {tie_down!r} on this plan; there is: {there}")


def replace_gear(
    desk: Desk,
    trip: Trip,
    tie_down: str,
    new: str,
    *,
    order: Order,
    stopped: bool,
    cause: str | None,
    kept: str | None,
    at: datetime | None = None,
    note: str | None = None,
) -> Replaced:
    """Record that other gear holds in a tie-down's place, with the next plan and its judgement.

    Both steps are done: the new piece is on and tensioned without a knot, the old one is off. The
    old one is set aside. `cause`: why it had to be, None where nobody has found out; the plan then
    still asks for a new revision. `kept`: where the old one lies. Raises Refused before departure,
    while somebody drives, for gear that may not be used, and for an unknown tie-down.
    """
    if trip.state not in UNDER_WAY:
        raise Refused(
            f"trip {trip.label} is {trip.state}; gear is replaced under way, and before departure"
            " `triplog tie-down change` does it"
        )
    refuse_before_departure(trip, at)
    refuse_while_driving(trip, stopped=stopped)
    cause = (cause or "").strip() or None
    old = gear_of(trip, tie_down)
    swap = change_tie_down(desk, trip.label, tie_down, tie_down={"knots": False}, gear=new)
    change = Change(
        cause=f"{tie_down}: {new} in place of {old or 'what was there'}",
        edit=combined([swap, _without_tension(tie_down)]).edit,
        reason=cause,
    )
    with desk.writing() as writing:
        for draft in stopped_draft(desk, trip, at=at):
            writing.append(draft)
        for aside in _set_aside(desk, trip, old, tie_down, cause, kept, at):
            writing.append(aside)
        plan = desk.append(writing, plan_draft(desk, desk.trip(trip.id), change))
        body = present(
            tie_down=tie_down,
            out=old,
            order=str(order),
            cause_found=cause is not None,
            revision=plan.hash,
        )
        draft = desk.draft(
            "gear_replaced",
            {**body, "in": new},
            trip=trip.id,
            private={"reason": cause or "cause not known", "place": kept, "note": note},
            at=at,
        )
        entry = writing.append(draft)
        planned = desk.trip(trip.id)
        judgement = judge_trip(planned)
        writing.append(judgement_draft(desk, planned, judgement))
    return Replaced(entry=entry, old=old, judgement=judgement, trip=desk.trip(trip.id))


def _without_tension(tie_down: str) -> Change:
    """The tension that was measured was that of the old piece."""

    def edit(document: Document) -> None:
        for one in cast(list[dict[str, Any]], document["tie_down"]):
            if one["id"] == tie_down:
                one.pop("tension", None)

    return Change(cause="tension not measured", edit=edit)


def _set_aside(
    desk: Desk,
    trip: Trip,
    old: str | None,
    tie_down: str,
    cause: str | None,
    kept: str | None,
    at: datetime | None,
) -> list[Draft]:
    """The draft that sets the old piece aside; none where it has no card or is out already."""
    if old is None or old not in labels_taken(desk, GearRow):
        return []
    thing = gear_named(desk, old)
    if thing.standing is not Standing.IN_STOCK:
        return []
    parts = (cause or "cause not known", f"replaced on trip {trip.label}, {tie_down}")
    reason = ", ".join([*parts, *([f"kept: {kept}"] if kept else [])])
    return [
        desk.draft(
            "gear_standing_set",
            {"gear": thing.id, "standing": str(Standing.SET_ASIDE)},
            private={"reason": reason},
            at=at,
        )
    ]
