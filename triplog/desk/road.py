"""On the road: odometer, duty, events, prompts heard."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Unpack, cast

from scheduler.due import DueCheck
from scheduler.progress import DutyStatus
from scheduler.prompts import shown_before_driving
from triplog.checks import due_checks_of, prompt_body, said_on
from triplog.desk.desk import Desk, present
from triplog.desk.gear import hurt_drafts
from triplog.desk.odometer import Answered, reading_fields
from triplog.desk.refused import Refused
from triplog.desk.when import local_text
from triplog.journal.entries import Body, Draft, Entry
from triplog.journal.folding import InForce
from triplog.journal.repeats import AlreadyRecorded
from triplog.journal.store import Writing
from triplog.journal.trip import UNDER_WAY, Trip, TripState, records_in, text_in
from triplog.wording.happened import BROKEN, MOVED


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """What stands before a driver who is about to drive on.

    `unrevised`: entries that call for a new plan revision which has not been made.
    """

    due: tuple[DueCheck, ...]
    unrevised: tuple[str, ...]


def refuse_while_driving(trip: Trip, *, stopped: bool) -> None:
    """Refuse an entry while the duty status is driving and nobody has said that it stands."""
    if trip.is_driven and not stopped:
        raise Refused(
            "the duty status is driving: stop off the road at the next safe place first, then say"
            " so with --stopped"
        )


def refuse_at_the_wheel(trip: Trip) -> None:
    """Refuse what can wait for a stop while the duty status is driving."""
    if trip.is_driven:
        raise Refused(
            "the duty status is driving: stop off the road at the next safe place first, then"
            ' record the stop with `triplog duty "on duty"`'
        )


def read_odometer(
    desk: Desk,
    trip: Trip,
    typed: str,
    *,
    stopped: bool,
    at: datetime | None = None,
    note: str | None = None,
    **answered: Unpack[Answered],
) -> Entry:
    """Record a reading.

    `stopped`: the driver has said that the vehicle stands off the road. Raises Refused while
    driving, and where something is odd and was not confirmed.
    """
    refuse_before_departure(trip, at)
    refuse_while_driving(trip, stopped=stopped)
    body = reading_fields(desk, trip, at=at, odometer=typed, **answered)
    return _record_standing(
        desk, trip, desk.draft("odometer_read", body, trip=trip.id, private={"note": note}, at=at)
    )


def before_driving(trip: Trip, now: datetime, *, at: datetime | None = None) -> Stretch:
    """What is due, or was at an earlier moment, and what the plan does not show yet."""
    trip = trip.as_it_stood(at)
    return Stretch(due=due_checks_of(trip, at or now), unrevised=unrevised(trip))


def change_duty(
    desk: Desk,
    trip: Trip,
    status: DutyStatus,
    *,
    driver: str,
    at: datetime | None,
    place: str | None,
    reason: str | None,
    planned: Draft | None = None,
) -> tuple[Entry, Stretch]:
    """Record a change of duty status; before driving, that every due check was shown.

    `reason`: why a late check has not been made, asked before driving. `planned`: the draft of the
    next stop, recorded with it.
    """
    refuse_before_departure(trip, at)
    now_is = trip.duty_by_driver.get(driver)
    if now_is == str(status) and (at is None or at >= _last_duty(trip, driver).event_time):
        last = _last_duty(trip, driver)
        since = local_text(last.event_time, last)
        raise Refused(f"the duty status is {status} already, since {since}")
    stretch = before_driving(trip, desk.now_on(trip).wall, at=at)
    driving = status is DutyStatus.DRIVING
    late = driving and any(
        check.late_by is not None and check.calls_for_reason for check in stretch.due
    )
    with desk.writing() as writing:
        if planned is not None:
            writing.append(planned)
        if driving:
            _shown(desk, writing, trip, stretch.due)
        entry = desk.append(
            writing,
            desk.draft(
                "duty_changed",
                present(
                    driver=driver,
                    status=str(status),
                    unrevised=list(stretch.unrevised) if driving and stretch.unrevised else None,
                ),
                trip=trip.id,
                private={
                    "place": place,
                    "reason": (reason or "no reason given") if late else reason,
                },
                at=at,
            ),
        )
    return entry, stretch if driving else Stretch(due=(), unrevised=())


def _record_standing(
    desk: Desk, trip: Trip, draft: Draft, *, before: Iterable[Draft] = ()
) -> Entry:
    """Record a draft; before it, where a driver was driving, that the vehicle stands now.

    `before`: what goes before it too, in the same transaction.
    """
    with desk.writing() as writing:
        for earlier in (*stopped_draft(desk, trip, at=None), *before):
            writing.append(earlier)
        return desk.append(writing, draft)


def stopped_draft(desk: Desk, trip: Trip, *, at: datetime | None) -> list[Draft]:
    """The drafts that say every driver who was driving has stopped off the road.

    At the moment of what is recorded with it; now, where driving was recorded after that moment.
    """

    def when(driver: str) -> datetime | None:
        return None if at is None or at < _last_duty(trip, driver).event_time else at

    return [
        desk.draft(
            "duty_changed",
            {"driver": driver, "status": str(DutyStatus.ON_DUTY)},
            trip=trip.id,
            at=when(driver),
        )
        for driver, status in trip.duty_by_driver.items()
        if status == str(DutyStatus.DRIVING)
    ]


def report_event(
    desk: Desk,
    trip: Trip,
    what: str,
    *,
    stopped: bool,
    tie_downs: list[str],
    moved: str | None,
    at: datetime | None,
    note: str | None,
    place: str | None,
) -> Entry:
    """Record that something happened on the road: a check is due at the next safe place."""
    if trip.state not in UNDER_WAY:
        raise Refused(f"trip {trip.label} is {trip.state}; events are those of a trip under way")
    refuse_while_driving(trip, stopped=stopped)
    refuse_before_departure(trip, at)
    known = {one["id"] for one in records_in(trip.document or {}, "tie_down")}
    unknown = [one for one in tie_downs if one not in known]
    if unknown:
        raise Refused(f"there is no tie-down {', '.join(unknown)} on this plan")
    happened = what.strip().lower()
    if not happened:
        raise Refused("say what happened, such as hard braking")
    event = desk.draft(
        "event_reported",
        present(what=happened, tie_downs=tie_downs or None, moved=moved),
        trip=trip.id,
        private={"note": note, "place": place},
        at=at,
    )
    hurt = tie_downs if happened == BROKEN else []
    return _record_standing(
        desk, trip, event, before=hurt_drafts(desk, trip, hurt, happened, at=at)
    )


def hear_prompts(desk: Desk, trip: Trip, *, note: str | None) -> list[Entry]:
    """Record that the driver has heard or read what is due; it closes nothing."""
    refuse_at_the_wheel(trip)
    due = [check for check in due_checks_of(trip, desk.now_on(trip).wall) if check.is_due]
    if not due:
        raise Refused(f"nothing is due on trip {trip.label}; there is nothing to hear")
    drafts = [
        desk.draft("prompt_heard", {"due": check.due_key}, trip=trip.id, private={"note": note})
        for check in due
    ]
    with desk.writing() as writing:
        first = desk.append(writing, drafts[0])
        return [first, *(writing.append(draft) for draft in drafts[1:])]


def unrevised(trip: Trip) -> tuple[str, ...]:
    """Entries since the last new plan that call for one: a broken strap, a moved load.

    What a delivery writes down by itself is none; nor is other gear in the place of the old, unless
    it was found out why it had to be, or a second person has looked at it.
    """
    looked_at = {
        fact.entry.body["revision"]
        for fact in trip.of("second_look_recorded")
        if fact.entry.body.get("seen") == "as planned"
    }
    swapped = {
        text_in(fact.entry.body, "revision")
        for fact in trip.of("gear_replaced")
        if not fact.entry.body["cause_found"]
    } - looked_at
    since = max(
        _written(fact)
        for fact in trip.of("plan_recorded")
        if not (fact.hashes & swapped or _by_a_delivery(fact))
    )
    found = []
    for fact in trip.of("event_reported", "check_completed", "check_left_open"):
        body = fact.entry.body
        lines = {line["found"] for line in records_in(body, "lines")}
        cargo = [one for one in records_in(body, "looks") if one["item"] == "cargo"]
        moved = any(one.get("found") == "moved" for one in cargo)
        calls = body.get("what") in (BROKEN, MOVED) or moved or lines & {"damaged", "moved"}
        if calls and _written(fact) >= since:
            found.append(fact.original.hash)
    return (*found, *_left_open_by_delivery(trip))


def _written(fact: InForce) -> tuple[datetime, int]:
    return fact.original.entry_time, fact.original.seq


def _by_a_delivery(plan: InForce) -> bool:
    return str(plan.original.body.get("cause", "")).endswith(" delivered")


def _left_open_by_delivery(trip: Trip) -> tuple[str, ...]:
    """The delivery after which nobody has planned anew although what is left does not meet.

    A delivery writes down what is left by itself; where that plan meets, no other is asked for.
    """
    plan, judged, delivery = trip.plan, trip.judgement, trip.last("article_delivered")
    if plan is None or judged is None or delivery is None or trip.state is TripState.DELIVERED:
        return ()
    findings = records_in(cast(Body, judged.entry.body["findings"]), "findings")
    if _by_a_delivery(plan) and {one["verdict"] for one in findings} & {
        "does not meet",
        "cannot tell",
    }:
        return (delivery.original.hash,)
    return ()


def refuse_before_departure(trip: Trip, at: datetime | None) -> None:
    """Refuse what is said to have happened on the road before the trip departed."""
    departure = trip.departure
    if departure is None:
        raise Refused(f"trip {trip.label} is {trip.state}; `triplog depart` comes first")
    if at is not None and at < departure.entry.event_time:
        raise Refused(
            f"{local_text(at, departure.entry)} is before trip {trip.label} departed"
            f" ({local_text(departure.entry.event_time, departure.entry)}); look at --at"
        )


def driver_on(trip: Trip, named: str | None) -> str:
    """The driver a command is about: the one named, or the only one on board."""
    if named is not None:
        return named
    drivers = list(trip.duty_by_driver)
    if len(drivers) != 1:
        raise Refused("several drivers are on board; say which with --driver")
    return drivers[0]


def _shown(desk: Desk, writing: Writing, trip: Trip, due: tuple[DueCheck, ...]) -> None:
    """Record that the due checks were shown: the text attempt before driving is recorded."""
    by_key = {check.due_key: check for check in due}
    for prompt in shown_before_driving(due, said_on(trip)):
        body = prompt_body(prompt, by_key[prompt.due_key])
        draft = desk.draft("prompt_raised", body, trip=trip.id)
        try:
            raised = writing.append(replace(draft, idem=prompt.idem))
        except AlreadyRecorded:
            continue
        writing.append(
            desk.draft(
                "prompt_outcome",
                {"raised": raised.hash, "outcomes": [{"by": "before driving", "came": "accepted"}]},
                trip=trip.id,
            )
        )


def _last_duty(trip: Trip, driver: str) -> Entry:
    facts = [
        fact
        for fact in trip.of("departed", "duty_changed")
        if text_in(fact.entry.body, "driver") == driver
    ]
    return facts[-1].entry
