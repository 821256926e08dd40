"""Duty statuses that were imported on a trip, beside those people recorded: pure folds.

Nothing imported takes the place of what was typed. An imported change of duty status counts where
nobody typed one: within ten minutes of a typed change the typed one is the word on what happened
(a duty-record device's clock may be ten minutes off: 49 CFR 395, subpart B, appendix A, 4.3.1.5).
Driving is left out only for driving that was typed: a driver who stopped, typed it and drove on
eight minutes later has driven, and the stop after that ends it.
An imported stop counts once the record says that it ended: until then nobody has said that the
vehicle has not driven on.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import cast

from triplog.journal.trip import Trip, text_in

NEAR = timedelta(minutes=10)
_DRIVING = "driving"


@dataclass(frozen=True, slots=True, kw_only=True)
class DutySaid:
    """A driver's duty status from a moment on; `key`: the entry that says so."""

    key: str
    at: datetime
    driver: str
    status: str
    imported: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """A time in which what was typed and what was imported are not the same. `end` None: still."""

    driver: str
    begin: datetime
    end: datetime | None
    typed: str
    imported: str


def typed_duty(trip: Trip) -> tuple[DutySaid, ...]:
    """The duty statuses people recorded, the departure's among them, in order of time."""
    return tuple(
        DutySaid(
            key=fact.original.hash,
            at=fact.entry.event_time,
            driver=text_in(fact.entry.body, "driver"),
            status=cast(str, fact.entry.body.get("status", _DRIVING)),
        )
        for fact in trip.of("departed", "duty_changed")
    )


def imported_duty(trip: Trip) -> tuple[DutySaid, ...]:
    """The duty statuses that were imported, in order of time."""
    return tuple(
        DutySaid(
            key=fact.original.hash,
            at=fact.entry.event_time,
            driver=text_in(fact.entry.body, "driver"),
            status=text_in(fact.entry.body, "status"),
            imported=True,
        )
        for fact in trip.of("duty_imported")
    )


def duty_said(trip: Trip) -> tuple[DutySaid, ...]:
    """The duty statuses that count, in order of time: all typed ones, imported ones beside them."""
    typed = typed_duty(trip)
    if trip.first("duty_imported") is None:
        return typed
    imported = _not_typed(imported_duty(trip), typed)
    said = sorted((*typed, *imported), key=lambda one: (one.at, one.imported))
    return tuple(
        one for one in said if not one.imported or one.status == _DRIVING or _ended(one, said)
    )


def duty_differences(trip: Trip) -> tuple[Difference, ...]:
    """Where typed and imported duty are not the same for more than ten minutes."""
    imported, typed = imported_duty(trip), typed_duty(trip)
    drivers = dict.fromkeys(one.driver for one in imported)
    return tuple(
        difference
        for driver in drivers
        for difference in _differences(
            driver,
            [one for one in typed if one.driver == driver],
            [one for one in imported if one.driver == driver],
        )
    )


def _not_typed(imported: Iterable[DutySaid], typed: Iterable[DutySaid]) -> list[DutySaid]:
    """The imported changes that no typed one stands for."""
    kept: list[DutySaid] = []
    for one in imported:
        by_hand = [other for other in typed if other.driver == one.driver]
        near = {other.status for other in by_hand if abs(other.at - one.at) <= NEAR}
        if one.status == _DRIVING:
            counts = _DRIVING not in near
        else:
            counts = not near or _ends_driving(one, kept, by_hand)
        if counts:
            kept.append(one)
    return kept


def _ends_driving(stop: DutySaid, kept: list[DutySaid], by_hand: list[DutySaid]) -> bool:
    """Whether imported driving that counts, and that nothing typed ended, goes on up to a stop."""
    before = [one for one in kept if one.driver == stop.driver]
    if not before or before[-1].status != _DRIVING:
        return False
    return not any(before[-1].at < one.at <= stop.at for one in by_hand)


def _ended(stop: DutySaid, said: list[DutySaid]) -> bool:
    """Whether an imported stop is known to have ended, or was none: the driver drove no more."""
    of_driver = [one for one in said if one.driver == stop.driver]
    if any(one.at > stop.at and one.status == _DRIVING for one in of_driver):
        return True
    typed = [one for one in of_driver if not one.imported and one.at <= stop.at]
    return not typed or typed[-1].status != _DRIVING


def _differences(
    driver: str, typed: list[DutySaid], imported: list[DutySaid]
) -> Iterable[Difference]:
    """The spans from the first imported status on in which the two do not say the same."""
    moments = sorted({one.at for one in (*typed, *imported) if one.at >= imported[0].at})
    begin, differs = None, ("", "")
    for at in moments:
        now = (_status_at(typed, at), _status_at(imported, at))
        if begin is not None and now != differs:
            if at - begin > NEAR:
                yield _difference(driver, begin, at, differs)
            begin = None
        if begin is None and now[0] != now[1]:
            begin, differs = at, now
    if begin is not None:
        yield _difference(driver, begin, None, differs)


def _difference(
    driver: str, begin: datetime, end: datetime | None, statuses: tuple[str, str]
) -> Difference:
    return Difference(driver=driver, begin=begin, end=end, typed=statuses[0], imported=statuses[1])


def _status_at(said: list[DutySaid], at: datetime) -> str:
    before = [one.status for one in said if one.at <= at]
    return before[-1] if before else "not recorded"
