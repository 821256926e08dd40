"""The checks of a trip as a picture: way and time between looks, with the limits of the trip."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import cast

from scheduler.counter import Basis, Counter
from scheduler.due import DueCheck, State
from scheduler.recheck_rules import AT_THE_WHEEL, COUNT_PER_UNIT, FIRST, Kind
from triplog.checks import due_checks_of, odometer_unit
from triplog.drawing.svg import Drawing
from triplog.drawing.timeline import BarEnd, TimelineBar, TimelinePanel, timeline_picture
from triplog.journal.folding import InForce
from triplog.journal.trip import Trip, TripState
from triplog.wording.due import title
from triplog.wording.timeline import (
    DISTANCE,
    DRIVING_TIME,
    LEGEND,
    PART_DELIVERY,
    WORK_TIME,
    at_once,
    time_text,
    timeline_title,
    told,
)

_DISTANCES = (Kind.FIRST_DISTANCE, Kind.DISTANCE)
BARS_A_PICTURE = 20
"""As many bars as can be read on a page."""
_ENDS = ("check_completed", "check_left_open", "article_delivered", "trip_closed")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Times:
    departed: datetime
    offset_min: int

    def text(self, moment: datetime) -> str:
        return time_text(moment, self.departed, self.offset_min)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moment:
    """A moment at which counts end, with what was due just before it."""

    at: datetime
    end: BarEnd
    due: tuple[DueCheck, ...]
    partial: tuple[tuple[DueCheck, ...], ...]
    note: str = ""


def timeline_of(trip: Trip, now: datetime, *, invented: bool = False) -> Drawing | None:
    """The picture as the journal knows it now; None before departure, and with nothing counted.

    Times are local ones of the departure.
    """
    return next(iter(timelines_of(trip, now, invented=invented, bars_max=None)), None)


def timelines_of(
    trip: Trip, now: datetime, *, invented: bool = False, bars_max: int | None = BARS_A_PICTURE
) -> tuple[Drawing, ...]:
    """The same in pictures of so many bars each, for paper; `bars_max` None: in one.

    A look stands in one picture, however many bars it has.
    """
    if trip.departure is None:
        return ()
    departed = trip.departure.entry
    times = _Times(departed=departed.event_time, offset_min=departed.event_offset_min)
    parts = _batched(_moments(trip, now), bars_max)
    named = timeline_title(trip.label, times.departed, times.offset_min, invented=invented)
    drawings = (_drawing(named, part, odometer_unit(trip) or "mi", times) for part in parts)
    return tuple(one for one in drawings if one is not None)


def _batched(moments: Iterable[_Moment], bars_max: int | None) -> Iterator[Sequence[_Moment]]:
    """The moments in their order, as many at a time as have no more bars than that."""
    part: list[_Moment] = []
    bars = 0
    for moment in moments:
        more = sum(check.counter.limit is not None for check in moment.due)
        if part and bars_max is not None and bars + more > bars_max:
            yield part
            part, bars = [], 0
        part.append(moment)
        bars += more
    yield part


def _drawing(name: str, moments: Sequence[_Moment], unit: str, times: _Times) -> Drawing | None:
    panels = tuple(
        panel
        for panel in (
            _panel(DISTANCE, unit, _DISTANCES, moments, times),
            _panel(DRIVING_TIME, "h", AT_THE_WHEEL, moments, times),
            _panel(WORK_TIME, "h", (Kind.WORK_TIME,), moments, times),
        )
        if panel.bars
    )
    if not panels:
        return None
    return timeline_picture(name, panels, legend=LEGEND, notes=tuple(_notes(moments, times)))


def _moments(trip: Trip, now: datetime) -> Iterator[_Moment]:
    """Each completed check, each part delivery, and the end of the trip or now."""
    assert trip.departure is not None, "asked of a departed trip"
    partial: list[tuple[DueCheck, ...]] = []
    ended = trip.state not in (TripState.ROLLING, TripState.STOPPED)
    for place, fact in enumerate(trip.facts):
        kind = fact.original.kind
        if kind not in _ENDS or fact.entry.event_time < trip.departure.entry.event_time:
            continue
        before = _due_before(trip, place, fact)
        if kind == "check_left_open":
            partial.append(before)
            continue
        if not before:
            continue
        note = PART_DELIVERY if kind == "article_delivered" else ""
        last = kind == "trip_closed" or (note and not _due_after(trip, place, fact))
        end = BarEnd.LOOKED if kind == "check_completed" else BarEnd.OVER
        if note and not last:
            before = tuple(one for one in before if one.counter.kind in FIRST)
        yield _Moment(
            at=fact.entry.event_time,
            end=end,
            due=before,
            partial=tuple(partial),
            note="" if last else note,
        )
        if kind == "check_completed":
            partial.clear()
    if not ended:
        yield _Moment(
            at=now, end=BarEnd.STILL_RUNS, due=due_checks_of(trip, now), partial=tuple(partial)
        )


def _due_before(trip: Trip, place: int, fact: InForce) -> tuple[DueCheck, ...]:
    """What was due just before an entry, with the reading that came with it."""
    before = Trip(id=trip.id, facts=trip.facts[:place])
    reading = cast(str | None, fact.entry.body.get("odometer"))
    return due_checks_of(before, fact.entry.event_time, reading=reading)


def _due_after(trip: Trip, place: int, fact: InForce) -> tuple[DueCheck, ...]:
    after = Trip(id=trip.id, facts=trip.facts[: place + 1])
    return due_checks_of(after, fact.entry.event_time)


def _panel(
    name: str, unit: str, kinds: Iterable[Kind], moments: Iterable[_Moment], times: _Times
) -> TimelinePanel:
    bars = [
        _bar(check, moment, unit, times)
        for moment in moments
        for check in sorted(moment.due, key=lambda one: one.counter.limit or 0)
        if check.counter.kind in kinds
    ]
    return TimelinePanel(title=name, unit=unit, bars=tuple(bars))


def _bar(check: DueCheck, moment: _Moment, unit: str, times: _Times) -> TimelineBar:
    counter = check.counter
    known, most = _amounts(check)
    cannot_tell = check.state is State.CANNOT_TELL
    note = f"; {moment.note}" if moment.note else ""
    return TimelineBar(
        name=f"{times.text(counter.counted_since)} to {times.text(moment.at)}",
        known=_in(known, unit),
        up_to=None if cannot_tell else _in(most, unit),
        limit=None if check.state is State.EXEMPT else _in(counter.limit or 0, unit),
        limit_name=f"{counter.printed_limit} {counter.printed_unit}",
        end=moment.end,
        told=told(
            check,
            looked=moment.end is BarEnd.LOOKED,
            ended=moment.end is BarEnd.OVER and not moment.note,
        )
        + note,
        partial=tuple(
            _in(_amounts(one)[0], unit)
            for looks in moment.partial
            for one in looks
            if one.due_key == check.due_key
        ),
    )


def _amounts(check: DueCheck) -> tuple[int, int]:
    """What is known, and the most it can be: no less than what is known."""
    counter: Counter = check.counter
    known = check.value if check.basis is Basis.KNOWN else counter.known
    return known, max(known, check.value, counter.estimate or 0)


def _in(count: int, unit: str) -> float:
    return count / COUNT_PER_UNIT[unit]


def _notes(moments: Iterable[_Moment], times: _Times) -> Iterator[str]:
    """What was due at once, at each look or now."""
    for moment in moments:
        for check in moment.due:
            if check.counter.limit is None:
                yield at_once(check, times.text(moment.at), title(check))
