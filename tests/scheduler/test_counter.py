"""A counter's row, there and back, and the rows that are refused."""

import pytest

from scheduler.counter import Counter, CounterRowBroken, counter_from_row, counter_row
from scheduler.counters import counters
from tests.scheduler.day import (
    FIRST,
    US,
    Day,
)


def busy_day() -> Day:
    """A day whose counters between them fill every column."""
    day = Day()
    day.read(50, 12_052)
    day.event(55, "kerb")
    day.stop(60)
    day.drive(70)
    return day


def test_a_counter_comes_back_from_its_row_unchanged() -> None:
    for counter in counters(US, busy_day().progress()):
        row = counter_row(counter)
        assert counter_from_row(row) == counter
        assert row["due_key"] == counter.due_key
        assert all(type(value) in (str, int, type(None)) for value in row.values())


def one_row() -> dict[str, str | int | None]:
    first: Counter = busy_day().counters()[FIRST]
    return counter_row(first)


@pytest.mark.parametrize(
    ("column", "value", "wanted"),
    [
        ("kind", "mileage", "one of first_distance"),
        ("known", "12", "a whole number wanted, found '12'"),
        ("known", None, "a value wanted"),
        ("trip", 5, "a text wanted"),
        ("as_of", "2026-03-02 08:00", "a time with its offset"),
        ("goes_on", 2, "0 or 1 wanted"),
        ("limit", None, "does not go with first_distance"),
        ("estimate", 1, "column estimate"),
    ],
)
def test_a_broken_row_is_refused_naming_the_column(
    column: str, value: str | int | None, wanted: str
) -> None:
    with pytest.raises(CounterRowBroken, match=wanted):
        counter_from_row({**one_row(), column: value})


def test_a_row_without_a_column_is_refused() -> None:
    row = one_row()
    del row["rate_per_h"]
    with pytest.raises(CounterRowBroken, match="column rate_per_h of a stored counter"):
        counter_from_row(row)
