"""Departure: what is not met or unknown is listed and recorded, and never in the way."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from triplog.checks import due_checks_of, vehicle_name
from triplog.desk.desk import Desk, present
from triplog.desk.judging import Judgement, judge_trip, judgement_draft
from triplog.desk.odometer import odometer_text
from triplog.desk.planning import gear_out_of_use, looked_over, plan_draft
from triplog.desk.refused import Refused
from triplog.desk.stops import reading_there
from triplog.desk.vehicles import refuse_bad_top_speed, stated_top_speed
from triplog.journal.entries import Draft, Entry
from triplog.journal.trip import Trip, TripState
from triplog.securement.finding import Scope, Verdict
from triplog.securement.model import Plan
from triplog.securement.rules.us_393.scope import law_scope

if TYPE_CHECKING:
    from datetime import datetime

    from scheduler.due import DueCheck

RULE_SET = "us-392.9"
GEAR_RULE = "gear-standing"
"""Names, among what a departure left unmet, gear that is set aside, unfit or held."""
BEFORE_DEPARTURE = (TripState.PLANNED, TripState.LOADED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What there is to know before rolling.

    `gear_out` is the gear on the plan that may not be used, by label, with why and since when.
    """

    judgement: Judgement
    top_speed: str | None
    gear_out: Mapping[str, str]

    @property
    def is_settled(self) -> bool:
        """Whether every finding meets and all gear may be used."""
        return not (self.judgement.unsettled or self.gear_out)


@dataclass(frozen=True, slots=True, kw_only=True)
class Departure:
    """A recorded departure, with the checks that now run."""

    entry: Entry
    trip: Trip
    due: "tuple[DueCheck, ...]"


def outlook(desk: Desk, trip: Trip) -> Outlook:
    """The judgement of the plan a trip would leave with; Refused where it cannot leave."""
    if trip.state not in BEFORE_DEPARTURE:
        raise Refused(f"trip {trip.label} is {trip.state}; it does not depart again")
    return Outlook(
        judgement=judge_trip(trip),
        top_speed=stated_top_speed(desk, vehicle_name(trip.document or {})),
        gear_out=gear_out_of_use(desk, trip),
    )


def depart(
    desk: Desk,
    trip: Trip,
    *,
    driver: str,
    odometer: str | None,
    top_speed: str | None,
    next_stop: str | None,
    reason: str | None,
    at: "datetime | None" = None,
    next_stop_odometer: str | None = None,
) -> Departure:
    """Record the loading, the judgement and the departure together.

    `driver` is a person's id; `odometer` and `top_speed` None: not known, recorded as such.
    `next_stop_odometer`: what it will read at the next stop, or "+42 mi" from here.
    """
    found = outlook(desk, trip)
    top_speed = top_speed or found.top_speed
    if top_speed is not None:
        refuse_bad_top_speed(top_speed)
    here = None if odometer is None else odometer_text(desk, odometer)
    stop_at = next_stop_odometer and reading_there(desk, trip, next_stop_odometer, here=here)
    plan = trip.plan
    assert plan is not None, "a judged plan is there"
    unmet = [
        {"rule": one.rule, "about": list(one.about), "verdict": str(one.verdict)}
        for one in found.judgement.unsettled
    ]
    for label in found.gear_out:
        not_met = str(Verdict.DOES_NOT_MEET)
        unmet.append({"rule": GEAR_RULE, "about": [label], "verdict": not_met})
    with desk.writing() as writing:
        judged = writing.append(judgement_draft(desk, trip, found.judgement))
        if trip.state is TripState.PLANNED:
            writing.append(loading_draft(desk, trip, at=at))
        entry = desk.append(
            writing,
            desk.draft(
                "departed",
                {
                    "revision": plan.entry.hash,
                    "rules": _rules(found.judgement.plan, writing.reading.wall),
                    "driver": driver,
                    "odometer": here,
                    "top_speed": top_speed,
                    "judgement": judged.hash,
                    "unmet": unmet,
                    **present(vehicle=_vehicle_id(desk, trip), next_stop_odometer=stop_at),
                },
                trip=trip.id,
                private={
                    "next_stop": next_stop,
                    "reason": reason if found.is_settled else (reason or "no reason given"),
                },
                at=at,
            ),
        )
    trip = desk.trip(trip.id)
    return Departure(entry=entry, trip=trip, due=due_checks_of(trip, desk.now().wall))


def record_loading(desk: Desk, trip: Trip, *, over: bool, note: str | None) -> Entry:
    """Record that the load is on and tied as planned.

    `over`: all gear was looked at and has no damage and no knots; the plan says so from then on.
    """
    if trip.state is not TripState.PLANNED:
        raise Refused(f"trip {trip.label} is {trip.state}; loading is recorded once, before that")
    if not trip.article_ids:
        raise Refused(f"the plan of trip {trip.label} holds no article yet")
    with desk.writing() as writing:
        if over:
            desk.append(writing, plan_draft(desk, trip, looked_over()))
            return writing.append(loading_draft(desk, desk.trip(trip.id), over=True, note=note))
        return desk.append(writing, loading_draft(desk, trip, note=note))


def loading_draft(
    desk: Desk,
    trip: Trip,
    *,
    over: bool = False,
    note: str | None = None,
    at: "datetime | None" = None,
) -> Draft:
    """The draft that says the load is on."""
    plan = trip.plan
    assert plan is not None, "a loaded trip has a plan"
    return desk.draft(
        "loading_recorded",
        present(revision=plan.entry.hash, looked_over=True if over else None),
        trip=trip.id,
        private={"note": note},
        at=at,
    )


def _rules(plan: Plan, wall: "datetime") -> list[dict[str, str]]:
    """The re-check rules to depart with: where they do not bind this vehicle, as a yardstick."""
    from scheduler.recheck_rules import LegalForce, load_rules, rule_row

    rules = load_rules(RULE_SET, wall.date())
    if law_scope(plan) is not Scope.LAW:
        rules = tuple(
            replace(rule, legal_force=LegalForce.YARDSTICK)
            if rule.legal_force is LegalForce.LAW
            else rule
            for rule in rules
        )
    return [rule_row(rule) for rule in rules]


def _vehicle_id(desk: Desk, trip: Trip) -> str | None:
    label = vehicle_name(trip.document or {})
    row = desk.store.raw.execute("SELECT id FROM vehicle WHERE label = ?", (label,)).fetchone()
    return None if row is None else str(row[0])
