"""What stands on the page in the cab: of one trip, at one moment."""

import hashlib
from dataclasses import dataclass

from triplog.checks import due_checks_of, exemption, last_odometer, odometer_mm
from triplog.desk.desk import Desk
from triplog.desk.late_reasons import late_without_reason
from triplog.desk.road import unrevised
from triplog.desk.setting_up import units_of
from triplog.desk.stops import next_outlook
from triplog.journal.entries import ClockReading, time_text
from triplog.journal.trip import UNDER_WAY, Trip, TripState
from triplog.page.shown.due_said import DueSaid, all_said
from triplog.wording.amounts import Units
from triplog.wording.due import Say, clock, odometer
from triplog.wording.stops import stop_name

_CHECK = "Check the load"
BEFORE = (TripState.PLANNED, TripState.LOADED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A trip as the cab shows it.

    `is_still`: somebody drives, or nobody knows: nothing is shown then but how to say that it has
    stopped. `version` changes when anything on the page would. `last_read`: what the odometer read
    last and when, in words; "" where nobody read it. `units`: the reader's, or the carrier's.
    """

    trip: str
    label: str
    state: str
    is_still: bool
    is_before: bool
    is_under_way: bool
    is_delivered: bool
    is_ended: bool
    due: tuple[DueSaid, ...]
    notes: tuple[str, ...]
    next_stop: str
    last_read: str
    units: Units
    duty: str
    version: str

    @property
    def owed(self) -> tuple[DueSaid, ...]:
        """What is due or late."""
        return tuple(one for one in self.due if one.is_owed)


def standing(desk: Desk, trip: Trip, say: Say, units: Units | None = None) -> Standing:
    """How a trip stands now; `units`: the reader's own."""
    under_way = trip.state in UNDER_WAY
    is_still = under_way and (trip.is_driven or not trip.duty_by_driver)
    now = desk.now_on(trip)
    due = () if is_still else due_checks_of(trip, now.wall)
    said = all_said(due, now.offset_min, now.wall, say, units)
    notes = () if is_still else tuple(_notes(desk, trip, say))
    duty = ", ".join(sorted(set(trip.duty_by_driver.values())))
    told = (trip.state, is_still, [(one.key, one.state) for one in said], notes, _last(trip))
    return Standing(
        trip=trip.id,
        label=trip.label,
        state=str(trip.state),
        is_still=is_still,
        is_before=trip.state in BEFORE,
        is_under_way=under_way,
        is_delivered=trip.state is TripState.DELIVERED,
        is_ended=trip.state in (TripState.CLOSED, TripState.WITHDRAWN),
        due=said,
        notes=notes,
        next_stop="" if is_still else _next_stop(desk, trip),
        last_read="" if is_still else _last_read(trip, now, say),
        units=units or units_of(desk),
        duty=duty,
        version=hashlib.sha256(repr(told).encode()).hexdigest()[:16],
    )


def _last_read(trip: Trip, now: ClockReading, say: Say) -> str:
    """The last reading of the odometer, in its own unit."""
    found = last_odometer(trip)
    if found is None:
        return ""
    typed, moment = found
    reading = odometer(odometer_mm(typed), typed.rpartition(" ")[2])
    time = clock(moment, now.offset_min, now.wall)
    return say("last read {reading} at {time}").format(reading=reading, time=time)


def _last(trip: Trip) -> str:
    """When what people did was last written down; what the watcher says is none of it."""
    made = [
        fact.entry.entry_time
        for fact in trip.facts
        if not fact.original.kind.startswith(("prompt_", "office_message_"))
    ]
    return time_text(max(made)) if made else ""


def _notes(desk: Desk, trip: Trip, say: Say) -> list[str]:
    """What else has to be known before driving on."""
    found = []
    if trip.departure is not None and unrevised(trip):
        found.append(
            say(
                "Something was found or happened that the plan does not show yet (damaged, or the"
                " load moved): add before you release, have the plan made new and judged before"
                " rolling, and have a second person look."
            )
        )
    if exemption(trip) is not None:
        found.append(
            say(
                "Exempt from checks on the road; the load must not shift or fall all the same, and"
                " the look before driving stays."
            )
        )
    if trip.state in UNDER_WAY and late_without_reason(desk, trip):
        found.append(say("A check was late, and no reason was given."))
    if trip.holds:
        found.append(say("Under an evidence hold: nothing of this trip goes."))
    if trip.doubtful:
        found.append(say("Something was recorded with a time that cannot be right."))
    return found


def _next_stop(desk: Desk, trip: Trip) -> str:
    """Where the next planned stop is; "" where none is planned."""
    found = None if trip.state not in UNDER_WAY else next_outlook(desk, trip)
    if found is None:
        return ""
    return stop_name(found.stop.place, found.stop.at_mm, found.stop.unit)
