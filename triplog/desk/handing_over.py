"""Handing a trip over to a relief driver, and the slip that goes with it.

A hand-over changes nobody's duty status and closes nothing: whoever takes over looks for
themselves, and a look is due by the change of duty status that always comes with it.
"""

from datetime import datetime
from typing import Unpack

from triplog.checks import due_checks_of
from triplog.desk.checkpoints import with_checkpoint
from triplog.desk.desk import Desk, present
from triplog.desk.finding_things import person_label, person_named
from triplog.desk.odometer import ReadingTold, reading_fields
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_while_driving, stopped_draft, unrevised
from triplog.desk.time_doubts import refuse_before_departure
from triplog.dossier.slip import Slip, SlipFacts, before_a_look, slip_of
from triplog.journal.entries import ClockReading, Entry
from triplog.journal.trip import UNDER_WAY, Trip, text_in


def hand_over(
    desk: Desk,
    trip: Trip,
    *,
    to: str,
    giver: str | None,
    looked_together: bool | None,
    stopped: bool,
    open_points: str | None = None,
    at: datetime | None = None,
    place: str | None = None,
    note: str | None = None,
    **told: Unpack[ReadingTold],
) -> Entry:
    """Record that a driver hands the trip over, with the heads of its chains as known then.

    `to` and `giver` are labels; `giver` None: who drives it now, where that can be told.
    `looked_together` None: nobody said. A driver who was driving is then on duty, not driving;
    no other duty status changes. Raises Refused before departure and after the last delivery,
    while driving, for somebody without a card, for a giver who is not on board, and for a
    hand-over to oneself.
    """
    refuse_before_departure(trip, at)
    if trip.state not in UNDER_WAY:
        raise Refused(f"trip {trip.label} is {trip.state}; a trip under way is handed over")
    refuse_while_driving(trip, stopped=stopped)
    giver_id, taker_id = parties(desk, trip, to=to, giver=giver)
    read = reading_fields(desk, trip, at=at, **told)
    body = present(to=taker_id, looked_together=looked_together, **read)
    body["from"] = giver_id
    private = {"open_points": open_points or None, "place": place, "note": note}
    with with_checkpoint(desk, "handed over", trip.id) as writing:
        for draft in stopped_draft(desk, trip, at=at):
            writing.append(draft)
        body["trip_heads"] = desk.store.trip_heads(trip.id)
        return desk.append(
            writing, desk.draft("handed_over", body, trip=trip.id, private=private, at=at)
        )


def parties(desk: Desk, trip: Trip, *, to: str, giver: str | None) -> tuple[str, str]:
    """The ids of who hands over and who takes over; Refused as `hand_over` does."""
    giver_id, taker_id = _giver(desk, trip, giver), person_named(desk, to).id
    if giver_id == taker_id:
        raise Refused(
            f"{to} has the trip already; say with --to who takes over, or with --from who hands it"
            f" to {to}"
        )
    return giver_id, taker_id


def slip(desk: Desk, trip: Trip, reading: ClockReading) -> Slip:
    """The hand-over slip of a trip as it stands at a moment."""
    return slip_of(trip, _facts(desk, trip, reading))


def last_look(desk: Desk, trip: Trip, reading: ClockReading, width: int) -> list[str]:
    """What the last look found and which tie-downs keep moving, as lines; none before a look."""
    return before_a_look(trip, _facts(desk, trip, reading), width)


def _facts(desk: Desk, trip: Trip, reading: ClockReading) -> SlipFacts:
    people = dict(desk.store.raw.execute("SELECT id, label FROM person").fetchall())
    hashes = [fact.entry.hash for fact in trip.facts if fact.entry.private]
    return SlipFacts(
        people=people,
        opened={one: desk.store.openings(one) for one in hashes},
        due=due_checks_of(trip, reading.wall),
        is_unrevised=trip.departure is not None and bool(unrevised(trip)),
        now=reading.wall,
        offset_min=reading.offset_min,
        invented=desk.invented,
    )


def _giver(desk: Desk, trip: Trip, label: str | None) -> str:
    """Who hands over: named, the only one driving, who took over last, the only one on board."""
    on_board = list(trip.duty_by_driver)
    listed = ", ".join(person_label(desk, one) for one in on_board)
    if label is not None:
        person = person_named(desk, label).id
        if person not in on_board:
            raise Refused(f"{label} has not driven trip {trip.label}; on board: {listed}")
        return person
    driving = [one for one, status in trip.duty_by_driver.items() if status == "driving"]
    before = trip.last("handed_over")
    taken = [] if before is None else [text_in(before.entry.body, "to")]
    for some in (driving, taken, on_board):
        if len(some) == 1:
            return some[0]
    raise Refused(f"several drivers are on board ({listed}); say with --from who hands over")
