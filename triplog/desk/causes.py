"""Why gear had to be replaced, found out and told after it: the replacement stays as it is.

A driver alone who finds the sharp edge an hour later answers with it what the broken strap asked.
"""

from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_at_the_wheel
from triplog.desk.swaps import swaps_without_cause
from triplog.journal.entries import Body, Entry
from triplog.journal.trip import Trip, text_in


def tell_cause(desk: Desk, trip: Trip, tie_down: str | None, cause: str) -> Entry:
    """Record why the gear of a tie-down had to be replaced, found out since.

    `tie_down` None: of the only replacement that has no cause yet. Raises Refused while driving,
    for an empty cause, and where no replacement, or more than one, is meant.
    """
    refuse_at_the_wheel(trip)
    if not cause.strip():
        raise Refused("say why it had to be replaced")
    open_ones = {text_in(fact.entry.body, "tie_down"): fact for fact in swaps_without_cause(trip)}
    if tie_down is None and len(open_ones) == 1:
        (tie_down,) = open_ones
    if tie_down is None or tie_down not in open_ones:
        there = ", ".join(sorted(open_ones)) or "none"
        asked = "say of which tie-down" if tie_down is None else f"of {tie_down} nothing is open"
        raise Refused(f"{asked}; replaced without a cause on trip {trip.label}: {there}")
    body: Body = {"replacement": open_ones[tie_down].original.hash, "tie_down": tie_down}
    return desk.record(
        desk.draft("cause_told", body, trip=trip.id, private={"reason": cause.strip()})
    )
