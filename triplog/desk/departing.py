"""Departure: what is not met or unknown is listed and recorded, and never in the way."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from triplog.checks import due_checks_of, vehicle_name
from triplog.desk.desk import Desk, present
from triplog.desk.judging import Judgement, judge_trip, judgement_draft
from triplog.desk.odometer import odometer_text
from triplog.desk.planning import gear_out_of_use, looked_over, plan_draft
from triplog.desk.recheck_rules import countries_of, rows_to_pin
from triplog.desk.refused import Refused
from triplog.desk.second_look import lacking, unmet_second_look
from triplog.desk.stops import reading_there
from triplog.desk.vehicles import refuse_bad_top_speed, stated_top_speed
from triplog.journal.entries import Body, Draft, Entry
from triplog.journal.trip import Trip, TripState
from triplog.securement.finding import Verdict

if TYPE_CHECKING:
    from datetime import datetime

    from scheduler.due import DueCheck
    from scheduler.rules_combined import Combined

GEAR_RULE = "gear-standing"
"""Names, among what a departure left unmet, gear that is set aside, unfit or held."""
BEFORE_DEPARTURE = (TripState.PLANNED, TripState.LOADED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What there is to know before rolling.

    `gear_out` is the gear on the plan that may not be used, by label, with why and since when.
    `countries`: whose re-check rules the trip takes where nobody names any.
    `second_look`: why the second look that is asked for is missing; None: made, or not asked for.
    """

    judgement: Judgement
    top_speed: str | None
    gear_out: Mapping[str, str]
    countries: tuple[str, ...]
    second_look: str | None

    @property
    def is_settled(self) -> bool:
        """Whether every finding meets, all gear may be used and nobody is missing who looks."""
        return not (self.judgement.unsettled or self.gear_out or self.second_look)


@dataclass(frozen=True, slots=True, kw_only=True)
class Departure:
    """A recorded departure, with the checks that now run."""

    entry: Entry
    trip: Trip
    due: "tuple[DueCheck, ...]"


def outlook(
    desk: Desk, trip: Trip, *, driver: str | None = None, carried_before: bool | None = None
) -> Outlook:
    """The judgement of the plan a trip would leave with; Refused where it cannot leave.

    `driver`: a person's id, None: the person typing. `carried_before`: whether a load like this
    was, None: as told at loading.
    """
    if trip.state not in BEFORE_DEPARTURE:
        raise Refused(f"trip {trip.label} is {trip.state}; it does not depart again")
    return Outlook(
        judgement=judge_trip(trip),
        countries=countries_of(trip.document or {}),
        top_speed=stated_top_speed(desk, vehicle_name(trip.document or {})),
        gear_out=gear_out_of_use(desk, trip),
        second_look=lacking(desk, trip, driver=driver or desk.by, carried=carried_before),
    )


def rules_ahead(
    desk: Desk,
    found: Outlook,
    through: Sequence[str] = (),
    *,
    soft_load: bool = False,
    at: "datetime | None" = None,
) -> "Combined":
    """The re-check rules a departure now would have, sorted out; Refused as `depart` does."""
    from scheduler.recheck_rules import rule_from_row
    from scheduler.rules_combined import combined

    rows = _rows(desk, found, through, soft_load=soft_load, at=at)
    return combined(rule_from_row(row) for row in rows)


def depart(
    desk: Desk,
    trip: Trip,
    *,
    driver: str,
    odometer: str | None,
    top_speed: str | None,
    next_stop: str | None,
    reason: str | None,
    through: Sequence[str] = (),
    soft_load: bool = False,
    at: "datetime | None" = None,
    next_stop_odometer: str | None = None,
    carried_before: bool | None = None,
) -> Departure:
    """Record the loading, the judgement and the departure together.

    `driver` is a person's id; `odometer` and `top_speed` None: not known, recorded as such.
    `through`: the countries the trip touches, or rule sets by name; none named: the outlook's.
    `soft_load`: bales, bags or sacks, which settle at once.
    `next_stop_odometer`: what it will read at the next stop, or "+42 mi" from here.
    """
    found = outlook(desk, trip, driver=driver, carried_before=carried_before)
    rules = _rows(desk, found, through, soft_load=soft_load, at=at)
    top_speed = top_speed or found.top_speed
    if top_speed is not None:
        refuse_bad_top_speed(top_speed)
    here = None if odometer is None else odometer_text(desk, odometer)
    stop_at = next_stop_odometer and reading_there(desk, trip, next_stop_odometer, here=here)
    plan = trip.plan
    assert plan is not None, "a judged plan is there"
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
                    "rules": rules,
                    "driver": driver,
                    "odometer": here,
                    "top_speed": top_speed,
                    "judgement": judged.hash,
                    "unmet": _unmet(trip, found),
                    **present(
                        vehicle=_vehicle_id(desk, trip),
                        next_stop_odometer=stop_at,
                        carried_before=carried_before,
                    ),
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
    return Departure(entry=entry, trip=trip, due=due_checks_of(trip, desk.now_on(trip).wall))


def _unmet(trip: Trip, found: Outlook) -> list[Body]:
    """What is not met or not known at departure, as the entry lists it."""
    unmet: list[Body] = [
        {"rule": one.rule, "about": list(one.about), "verdict": str(one.verdict)}
        for one in found.judgement.unsettled
    ]
    for label in found.gear_out:
        not_met = str(Verdict.DOES_NOT_MEET)
        unmet.append({"rule": GEAR_RULE, "about": [label], "verdict": not_met})
    if found.second_look is not None:
        unmet.append(unmet_second_look(trip))
    return unmet


def _rows(
    desk: Desk,
    found: Outlook,
    through: Sequence[str],
    *,
    soft_load: bool,
    at: "datetime | None",
) -> list[dict[str, str]]:
    on = (at or desk.now().wall).date()
    countries = through or found.countries
    return rows_to_pin(desk, countries, on, found.judgement.plan, soft_load=soft_load)


def record_loading(
    desk: Desk, trip: Trip, *, over: bool, note: str | None, carried_before: bool | None = None
) -> Entry:
    """Record that the load is on and tied as planned.

    `over`: all gear was looked at and has no damage and no knots; the plan says so from then on.
    `carried_before`: whether a load like this was; None: nobody said.
    """
    if trip.state is not TripState.PLANNED:
        raise Refused(f"trip {trip.label} is {trip.state}; loading is recorded once, before that")
    if not trip.article_ids:
        raise Refused(f"the plan of trip {trip.label} holds no article yet")
    with desk.writing() as writing:
        if over:
            desk.append(writing, plan_draft(desk, trip, looked_over()))
            trip = desk.trip(trip.id)
            return writing.append(
                loading_draft(desk, trip, over=True, note=note, carried_before=carried_before)
            )
        return desk.append(
            writing, loading_draft(desk, trip, note=note, carried_before=carried_before)
        )


def loading_draft(
    desk: Desk,
    trip: Trip,
    *,
    over: bool = False,
    note: str | None = None,
    at: "datetime | None" = None,
    carried_before: bool | None = None,
) -> Draft:
    """The draft that says the load is on."""
    plan = trip.plan
    assert plan is not None, "a loaded trip has a plan"
    return desk.draft(
        "loading_recorded",
        present(
            revision=plan.entry.hash,
            looked_over=True if over else None,
            carried_before=carried_before,
        ),
        trip=trip.id,
        private={"note": note},
        at=at,
    )


def _vehicle_id(desk: Desk, trip: Trip) -> str | None:
    label = vehicle_name(trip.document or {})
    row = desk.store.raw.execute("SELECT id FROM vehicle WHERE label = ?", (label,)).fetchone()
    return None if row is None else str(row[0])
