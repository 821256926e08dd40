"""A second look at the load by another person: asked for where it is carried for the first time."""

from enum import StrEnum
from typing import cast

from triplog.desk.desk import NOBODY, Desk, present
from triplog.desk.finding_things import person_label, person_named
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_at_the_wheel
from triplog.journal.entries import Body, Entry
from triplog.journal.folding import InForce
from triplog.journal.trip import UNDER_WAY, Trip, TripState, text_in

RULE = "second-look"
"""Names, among what a departure left unmet, a second look that was asked for and is missing."""
_STATES = (TripState.LOADED, *UNDER_WAY)


class How(StrEnum):
    """How the second person looked."""

    ON_THE_SPOT = "on the spot"
    PHOTO_ANSWERED = "by photo, answered"
    PHOTO_UNANSWERED = "by photo, no answer"


class Seen(StrEnum):
    """What the second person says of it."""

    AS_PLANNED = "as planned"
    TO_PUT_RIGHT = "something to put right"


def record_second_look(
    desk: Desk,
    trip: Trip,
    *,
    by: str | None,
    how: How,
    seen: Seen | None,
    place: str | None = None,
    note: str | None = None,
) -> Entry:
    """Record that another person looked at the load as it is planned and tied now.

    `by`: that person's label; None: the person typing. `seen` None: nobody answered. Raises
    Refused before the loading is recorded, while somebody drives, and for whoever loaded or drives.
    """
    if trip.state not in _STATES:
        raise Refused(
            f"trip {trip.label} is {trip.state}; a second look is at a load that is on: record"
            " `triplog loaded` first"
        )
    refuse_at_the_wheel(trip)
    person = desk.by if by is None else person_named(desk, by).id
    if person == NOBODY:
        raise Refused("say with --by who looked; nobody is set to type here")
    part = _part_in(trip, person)
    if part is not None:
        raise Refused(
            f"{person_label(desk, person)} {part}; a second look is another person's. Name them"
            " with --by LABEL; `triplog person add` makes their card"
        )
    plan = trip.plan
    assert plan is not None, "a loaded trip has a plan"
    assert (seen is None) == (how is How.PHOTO_UNANSWERED), "whoever answered said something"
    return desk.record(
        desk.draft(
            "second_look_recorded",
            present(
                revision=plan.entry.hash,
                by_whom=person,
                how=str(how),
                seen=None if seen is None else str(seen),
            ),
            trip=trip.id,
            private={"place": place, "note": note},
        )
    )


def carried_before(trip: Trip) -> bool | None:
    """Whether a load like this was carried before, as told at loading; None: nobody said."""
    fact = trip.last("loading_recorded")
    return None if fact is None else cast(bool | None, fact.entry.body.get("carried_before"))


def lacking(desk: Desk, trip: Trip, *, driver: str, carried: bool | None) -> str | None:
    """Why the second look that is asked for has not been made; None: made, or not asked for.

    `driver`: who is about to drive. `carried` None: what was told at loading holds.
    """
    told = carried_before(trip) if carried is None else carried
    if told is not False:
        return None
    looks = trip.of("second_look_recorded")
    if not looks:
        return "no second person has looked at it"
    look = looks[-1]
    by, said = text_in(look.entry.body, "by_whom"), look.entry.body.get("seen")
    whose = person_label(desk, by)
    if said is None:
        return f"a photo was sent to {whose}, and nobody answered"
    if by == driver or _part_in(trip, by) is not None:
        return f"the second look was by {whose}, who loads or drives"
    if not _is_of_plan(trip, look):
        return f"the plan was changed after {whose} looked"
    if said == Seen.TO_PUT_RIGHT:
        return f"{whose} found something to put right, and has not looked again"
    return None


def unmet_second_look(trip: Trip) -> Body:
    """The line among what a departure left unmet."""
    return {"rule": RULE, "about": list(trip.article_ids), "verdict": "does not meet"}


def _part_in(trip: Trip, person: str) -> str | None:
    """What a person has done with this load already; None: nothing."""
    loaded = trip.last("loading_recorded")
    if loaded is not None and loaded.entry.by == person:
        return "recorded the loading"
    return "drives" if person in trip.duty_by_driver else None


def _is_of_plan(trip: Trip, look: InForce) -> bool:
    plan = trip.plan
    return plan is not None and look.entry.body["revision"] in plan.hashes
