"""Trip bundles whose entries are damaged. Each function is named by its fault."""

import json
from pathlib import Path

from tests.specimens import builder
from tests.specimens.builder import TRIP
from tests.specimens.specimen import Fault, Specimen


def _trip(target: Path, lines: list[bytes]) -> Path:
    day = builder.a_day()
    beside = _beside(day)
    return builder.bag(target, lines, day.card(TRIP, beside), day.openings)


def _beside(day: builder.Log) -> list[str]:
    return [builder.entry_hash(entry) for entry in day.entries if entry["trip"] is None]


def _trip_lines() -> list[bytes]:
    day = builder.a_day()
    return day.lines(TRIP, _beside(day))


def trip_entry_removed(home: Path) -> Specimen:
    lines = [line for line in _trip_lines() if b'"departed"' not in line]
    return Specimen(
        path=_trip(home / "bundle", lines),
        codes=frozenset({"entry-removed"}),
        place="device dev-1 between entries 2 and 5",
    )


def first_trip_entry_removed(home: Path) -> Specimen:
    lines = [line for line in _trip_lines() if b'"trip_opened"' not in line]
    return Specimen(
        path=_trip(home / "bundle", lines),
        codes=frozenset({"entry-removed"}),
        place="device dev-1 before entry 2",
    )


def trip_entry_altered(home: Path) -> Specimen:
    lines = [line.replace(b"120,345 mi", b"120,245 mi") for line in _trip_lines()]
    return Specimen(
        path=_trip(home / "bundle", lines),
        codes=frozenset({"entry-altered"}),
        place="device dev-1 entry 3",
    )


def trip_entry_altered_before_other_business(home: Path) -> Specimen:
    """The entry altered has another trip's entry between it and the next one of its own."""
    day = builder.Log()
    day.add("trip_opened")
    day.add("departed", body={"odometer": "120,345 mi"})
    day.add("trip_opened", trip="trip-b")
    day.add("trip_closed")
    lines = [line.replace(b"120,345 mi", b"120,245 mi") for line in day.lines(TRIP)]
    return Specimen(
        path=builder.bag(home / "bundle", lines, day.card(TRIP)),
        codes=frozenset({"entry-altered"}),
        place="device dev-1 entry 1",
    )


def trip_entry_added(home: Path) -> Specimen:
    """A forged entry takes a number that the trip had left to other business."""
    day = builder.Log()
    day.add("trip_opened")
    departed = day.add("departed")
    day.add("trip_opened", trip="trip-b")
    day.add("trip_closed")
    lines = day.lines(TRIP)
    forged = json.loads(lines[1]) | {"seq": 2, "prev": departed, "trip_prev": departed}
    lines.insert(2, builder.canonical(forged))
    return Specimen(
        path=builder.bag(home / "bundle", lines, day.card(TRIP)),
        codes=frozenset({"entry-added"}),
        place="device dev-1 entry 2",
    )


def trip_entries_reordered(home: Path) -> Specimen:
    lines = _trip_lines()
    lines[5], lines[6] = lines[6], lines[5]
    return Specimen(
        path=_trip(home / "bundle", lines),
        codes=frozenset({"entries-reordered"}),
        place="device dev-1 entry 5",
    )


def trip_tail_cut(home: Path) -> Specimen:
    return Specimen(
        path=_trip(home / "bundle", _trip_lines()[:-1]),
        codes=frozenset({"tail-cut"}),
        place="device dev-2",
    )


def entry_beside_the_trip_altered(home: Path) -> Specimen:
    lines = [line.replace(b'"S-9"', b'"S-8"') for line in _trip_lines()]
    return Specimen(
        path=_trip(home / "bundle", lines),
        codes=frozenset({"entry-altered"}),
        place="device dev-1 entry 4",
    )


def entry_beside_the_trip_removed(home: Path) -> Specimen:
    lines = [line for line in _trip_lines() if b'"S-9"' not in line]
    return Specimen(
        path=_trip(home / "bundle", lines),
        codes=frozenset({"entry-removed"}),
        place="beside the trip",
    )


def entry_of_another_trip_added(home: Path) -> Specimen:
    day = builder.a_day()
    day.add("trip_opened", device="dev-2", trip="trip-b")
    return Specimen(
        path=_trip(home / "bundle", [*_trip_lines(), day.lines()[-1]]),
        codes=frozenset({"entry-added"}),
        place="device dev-2 entry 3",
    )


FAULTS: tuple[Fault, ...] = (
    trip_entry_removed,
    first_trip_entry_removed,
    trip_entry_altered,
    trip_entry_altered_before_other_business,
    trip_entry_added,
    trip_entries_reordered,
    trip_tail_cut,
    entry_beside_the_trip_altered,
    entry_beside_the_trip_removed,
    entry_of_another_trip_added,
)
