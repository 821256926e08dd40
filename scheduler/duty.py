"""Driving, stops and duty changes, read out of duty marks. Pure.

The vehicle is driven while any driver on board is driving: a jam counts, a break does not. A stop
lasts from the moment the driving ends to the moment it resumes, both included.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from scheduler.progress import DutyMark, DutyStatus, Progress

WORK = (DutyStatus.DRIVING, DutyStatus.ON_DUTY)
"""The statuses that are work: looking at a load is work too."""


class Spell(NamedTuple):
    """The vehicle driven or not, from `begin_ms` to `end_ms` (None: still so at the last mark).

    `begin_ms` None: from before the first mark. `driven` None: no duty status was recorded.
    """

    begin_ms: int | None
    end_ms: int | None
    driven: bool | None


class Stop(NamedTuple):
    """From the end of driving to its resumption. `end_ms` None: it goes on.

    A change of the driver at the wheel from one moment to the next is a stop of no length. Where
    nothing was known before, a stop begins with the first status that is not driving.
    """

    begin_ms: int
    end_ms: int | None

    def holds(self, at_ms: int) -> bool:
        """Whether a moment falls into the stop, its two ends included."""
        return self.begin_ms <= at_ms and (self.end_ms is None or at_ms <= self.end_ms)


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyRecord:
    """What the duty marks say: spells without a gap, stops, and the marks that are changes."""

    spells: tuple[Spell, ...]
    stops: tuple[Stop, ...]
    changes: tuple[DutyMark, ...]

    @property
    def driven_now(self) -> bool | None:
        """Whether the vehicle is driven after the last mark; None when nothing was recorded."""
        return self.spells[-1].driven

    def between(self, begin_ms: int, end_ms: int) -> tuple[Spell, ...]:
        """The spells from one moment to another, cut to fit; those of no length left out."""
        cut: list[Spell] = []
        for spell in self.spells:
            begin = begin_ms if spell.begin_ms is None else max(begin_ms, spell.begin_ms)
            end = end_ms if spell.end_ms is None else min(end_ms, spell.end_ms)
            if begin < end:
                cut.append(Spell(begin_ms=begin, end_ms=end, driven=spell.driven))
        return tuple(cut)

    def stood_still(self, begin_ms: int, end_ms: int) -> bool:
        """Whether the vehicle is known not to have been driven from one moment to another."""
        return all(spell.driven is False for spell in self.between(begin_ms, end_ms))

    def stop_number(self, since_ms: int) -> int:
        """How many times the driving has ended since a moment."""
        return sum(1 for stop in self.stops if stop.begin_ms > since_ms)

    def resumed_ms(self, since_ms: int) -> int | None:
        """When driving first resumed at or after a moment; None if it has not."""
        ends = (stop.end_ms for stop in self.stops if stop.end_ms is not None)
        return next((end_ms for end_ms in ends if end_ms >= since_ms), None)

    def open_changes(self, check_ms: int | None) -> tuple[DutyMark, ...]:
        """The changes a completed check has not closed.

        A check closes every change before it, and those of the stop it was made in, up to and
        including the one by which driving resumes: going to check and back is one stop. None:
        no check was completed.
        """
        if check_ms is None:
            return self.changes
        closed_ms = [check_ms]
        for stop in self.stops:
            if stop.holds(check_ms):
                if stop.end_ms is None:
                    return ()
                closed_ms.append(stop.end_ms)
        return tuple(change for change in self.changes if change.at_ms > max(closed_ms))


def duty_record(progress: Progress) -> DutyRecord:
    """Read the duty marks of a trip that has departed.

    Before the first mark the status is unknown; a driver without a mark is taken as not driving
    once another has one. A driver's first mark after departure is a change only if it says
    driving: what it was before is not known.
    """
    departed_ms = progress.starts[0].at_ms
    status_by_driver: dict[str, DutyStatus] = {}
    turns: list[tuple[int | None, bool | None]] = [(None, None)]
    stops: list[Stop] = []
    changes: list[DutyMark] = []
    at_the_wheel: frozenset[str] = frozenset()
    for at_ms, marks in groupby(progress.duty, key=lambda mark: mark.at_ms):
        was_known = bool(status_by_driver)
        for mark in marks:
            before = status_by_driver.get(mark.driver)
            first_but_not_driving = before is None and mark.status != DutyStatus.DRIVING
            if at_ms > departed_ms and mark.status != before and not first_but_not_driving:
                changes.append(mark)
            status_by_driver[mark.driver] = mark.status
        now_at_the_wheel = _driving(status_by_driver)
        if turns[-1][1] is not bool(now_at_the_wheel):
            turns.append((at_ms, bool(now_at_the_wheel)))
        if at_ms > departed_ms:
            _note_stop(stops, at_ms, at_the_wheel, now_at_the_wheel, was_known=was_known)
        at_the_wheel = now_at_the_wheel
    return DutyRecord(spells=_spells(turns), stops=tuple(stops), changes=tuple(changes))


def work_record(progress: Progress) -> DutyRecord:
    """The same with work in the place of driving: driving, or on duty and not driving.

    Any driver on board working counts, an upper bound for each of them. It has no stops and no
    changes.
    """
    status_by_driver: dict[str, DutyStatus] = {}
    turns: list[tuple[int | None, bool | None]] = [(None, None)]
    for at_ms, marks in groupby(progress.duty, key=lambda mark: mark.at_ms):
        status_by_driver.update((mark.driver, mark.status) for mark in marks)
        works = any(status in WORK for status in status_by_driver.values())
        if turns[-1][1] is not works:
            turns.append((at_ms, works))
    return DutyRecord(spells=_spells(turns), stops=(), changes=())


def _driving(status_by_driver: dict[str, DutyStatus]) -> frozenset[str]:
    return frozenset(
        driver for driver, status in status_by_driver.items() if status == DutyStatus.DRIVING
    )


def _spells(turns: Sequence[tuple[int | None, bool | None]]) -> tuple[Spell, ...]:
    """The spells between the moments from which the vehicle was driven, or was not."""
    ends = [*(begin_ms for begin_ms, _ in turns[1:]), None]
    return tuple(
        Spell(begin_ms=begin_ms, end_ms=end_ms, driven=driven)
        for (begin_ms, driven), end_ms in zip(turns, ends, strict=True)
    )


def _note_stop(
    stops: list[Stop],
    at_ms: int,
    before: frozenset[str],
    after: frozenset[str],
    *,
    was_known: bool,
) -> None:
    """Begin, end, or begin and end a stop, by who was and who is driving."""
    if (before or not was_known) and not after:
        stops.append(Stop(begin_ms=at_ms, end_ms=None))
    elif after and not before and _is_open(stops):
        stops[-1] = Stop(begin_ms=stops[-1].begin_ms, end_ms=at_ms)
    elif before and after and not before & after:
        stops.append(Stop(begin_ms=at_ms, end_ms=at_ms))


def _is_open(stops: Sequence[Stop]) -> bool:
    return bool(stops) and stops[-1].end_ms is None
