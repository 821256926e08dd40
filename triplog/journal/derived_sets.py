"""Which rows a whole trip or thing has in the derived tables, whatever database holds those."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TypeAlias

from sqlmodel import SQLModel

from triplog.journal import derived
from triplog.journal.derived_rows import Row, row_of_trip, rows_of_fact
from triplog.journal.trip import Trip

Cells: TypeAlias = tuple[object, ...]
DueRows: TypeAlias = Callable[[Trip], Iterable[dict[str, object]]]
OF_TRIP: tuple[type[SQLModel], ...] = (
    derived.PlanRow,
    derived.ArticleRow,
    derived.TieDownRow,
    derived.FindingRow,
    derived.ReadingRow,
    derived.DutyRow,
    derived.CheckRow,
    derived.CheckLineRow,
    derived.CheckLookRow,
    derived.PromptRow,
    derived.TripEventRow,
    derived.PhotoRow,
)
"""The tables of what happened on a trip; its own row and those of `due` stand beside."""
OF_THING: tuple[tuple[type[SQLModel], str], ...] = (
    (derived.GearRow, "id"),
    (derived.VehicleRow, "id"),
    (derived.PersonRow, "id"),
    (derived.AnchorRow, "vehicle"),
)
"""The tables of gear, vehicles and people, each with its column that names the thing."""


def rows_of_facts(trip: Trip) -> Iterator[Row]:
    """The rows of all that happened on a trip."""
    for fact in (*trip.facts, *trip.doubtful):
        yield from rows_of_fact(trip, fact)


def own_row(trip: Trip) -> list[Row]:
    """The trip's own row; none where nothing of it stands."""
    return [(derived.TripRow, row_of_trip(trip))] if trip.facts else []


def rows_of_due(trip: Trip, due_rows: DueRows) -> Iterator[Row]:
    """The trip's rows in `due`."""
    return ((derived.DueRow, row) for row in due_rows(trip))


def by_table(rows: Iterable[Row]) -> defaultdict[type[SQLModel], list[dict[str, object]]]:
    """The rows of each table."""
    found: defaultdict[type[SQLModel], list[dict[str, object]]] = defaultdict(list)
    for model, row in rows:
        found[model].append(row)
    return found


def in_columns(names: Iterable[str], rows: Iterable[Mapping[str, object]]) -> list[Cells]:
    """The rows with their values in the order of a table's columns."""
    return [tuple([row[name] for name in names]) for row in rows]
