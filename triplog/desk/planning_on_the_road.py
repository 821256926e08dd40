"""A plan changed at a stop: the next revision and its judgement are one."""

from triplog.desk.desk import Desk
from triplog.desk.judging import Judgement, judge_trip, judgement_draft
from triplog.desk.planning import Change, plan_draft
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_at_the_wheel
from triplog.journal.entries import Entry
from triplog.journal.trip import OPEN_STATES, Trip


def change_and_judge(desk: Desk, trip: Trip, change: Change) -> tuple[Entry, Judgement]:
    """Record the next revision of a trip's plan with its judgement.

    Raises Refused while somebody drives, for a trip that has ended, and where the changed plan
    cannot be one.
    """
    if trip.state not in OPEN_STATES:
        raise Refused(f"trip {trip.label} is {trip.state}; its plan is not changed any more")
    refuse_at_the_wheel(trip)
    with desk.writing() as writing:
        entry = desk.append(writing, plan_draft(desk, trip, change))
        planned = desk.trip(trip.id)
        judgement = judge_trip(planned)
        writing.append(judgement_draft(desk, planned, judgement))
    return entry, judgement
