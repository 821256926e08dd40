"""Why a check was late, told after it: the check says *no reason given*, and stays as it is."""

from triplog.checks import due_checks_of
from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_at_the_wheel
from triplog.journal.entries import Entry
from triplog.journal.trip import Trip, records_in, text_in

NO_REASON = "no reason given"


def give_late_reason(desk: Desk, trip: Trip, reason: str) -> list[Entry]:
    """Record why each check was late that nobody has given a reason for, an entry for each.

    Those made late without a reason, and those that are late now. Raises Refused while driving,
    for an empty reason, and where there is no such check.
    """
    refuse_at_the_wheel(trip)
    if not reason.strip():
        raise Refused("say why the check was late")
    due = late_without_reason(desk, trip)
    if not due:
        raise Refused(
            f"no check of trip {trip.label} was late without its reason; to change a reason that"
            " was given, correct the check: `triplog correct`"
        )
    first, *others = (
        desk.draft("late_reason_given", {"due": one}, trip=trip.id, private={"reason": reason})
        for one in due
    )
    with desk.writing() as writing:
        return [desk.append(writing, first), *(writing.append(draft) for draft in others)]


def late_without_reason(desk: Desk, trip: Trip) -> tuple[str, ...]:
    """The names of the late checks that nobody has given a reason for, the earliest first."""
    made_late = [
        one["due"]
        for fact in trip.of("check_completed")
        if "late" in fact.entry.body
        and desk.store.openings(fact.entry.hash).get("reason") == NO_REASON
        for one in records_in(fact.entry.body, "late")
    ]
    late_now = [
        check.due_key
        for check in due_checks_of(trip, desk.now_on(trip).wall)
        if check.calls_for_reason
    ]
    given = {text_in(fact.entry.body, "due") for fact in trip.of("late_reason_given")}
    return tuple(one for one in dict.fromkeys((*made_late, *late_now)) if one not in given)
