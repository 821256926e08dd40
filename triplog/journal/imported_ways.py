"""Ways imported on a trip, beside the odometer: pure folds. Neither corrects the other."""

from dataclasses import dataclass
from datetime import datetime

from triplog.journal.entries import time_of
from triplog.journal.folding import InForce
from triplog.journal.trip import Trip, records_in, text_in
from triplog.securement.quantity import Dimension, parse


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportedWay:
    """How far one source says the vehicle went. `samples`: moments with whole metres so far.

    `gaps`: times without a fix, with the straight line across in metres. `entries`: where it is
    written down.
    """

    source: str
    feed: str
    samples: tuple[tuple[datetime, int], ...]
    gaps: tuple[tuple[datetime, datetime, int], ...]
    entries: tuple[str, ...]

    def along_m(self, at: datetime) -> float | None:
        """Metres so far at a moment, between two samples in proportion; None outside of them."""
        for (begin, begin_m), (end, end_m) in zip(self.samples, self.samples[1:], strict=False):
            if begin <= at <= end:
                return begin_m + (end_m - begin_m) * ((at - begin) / (end - begin))
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """The same stretch by the odometer and by a way, between two odometer readings."""

    begin: datetime
    end: datetime
    odometer_m: float
    way_m: float


def imported_ways(trip: Trip) -> tuple[ImportedWay, ...]:
    """The ways that were imported, those of one source that was followed as one."""
    by_feed: dict[str, list[InForce]] = {}
    for fact in trip.of("readings_imported"):
        if "way" in fact.entry.body:
            by_feed.setdefault(text_in(fact.entry.body, "feed"), []).append(fact)
    return tuple(_way(feed, facts) for feed, facts in by_feed.items())


def _way(feed: str, facts: list[InForce]) -> ImportedWay:
    bodies = [fact.entry.body for fact in facts]
    samples = {
        time_of(one["at"]): int(one["metres"]) for body in bodies for one in records_in(body, "way")
    }
    gaps = [
        (time_of(one["begin"]), time_of(one["end"]), int(one["metres"]))
        for body in bodies
        for one in records_in(body, "gaps")
    ]
    return ImportedWay(
        source=text_in(bodies[0], "source"),
        feed=feed,
        samples=tuple(sorted(samples.items())),
        gaps=tuple(sorted(gaps)),
        entries=tuple(fact.entry.hash for fact in facts),
    )


def beside_odometer(trip: Trip, way: ImportedWay) -> Beside | None:
    """The longest stretch both tell of; None where no two odometer readings lie on the way.

    The readings are those people took off the dash.
    """
    read = [
        (fact.entry.event_time, odometer)
        for fact in trip.facts
        if isinstance(odometer := fact.entry.body.get("odometer"), str)
        and fact.entry.via != "imported"
        and way.along_m(fact.entry.event_time) is not None
    ]
    if len(read) < 2:
        return None
    (begin, first), (end, last) = read[0], read[-1]
    first_m, last_m = way.along_m(begin), way.along_m(end)
    assert first_m is not None and last_m is not None, "both lie on the way"
    odometer_m = parse(last, Dimension.LENGTH).si - parse(first, Dimension.LENGTH).si
    return Beside(begin=begin, end=end, odometer_m=float(odometer_m), way_m=last_m - first_m)
