"""One counter of a trip: everything a due check needs to be answered later from `now` alone.

What is known, the upper bound, and whether and how fast they grow; with one flat row for each
counter, and the way back. Pure.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from enum import StrEnum
from typing import TypeVar

from scheduler.progress import check_aware
from scheduler.recheck_rules import MEASURED, Kind, LegalForce

Word = TypeVar("Word", bound=StrEnum)
Needed = TypeVar("Needed")


class Basis(StrEnum):
    """What a value rests on."""

    KNOWN = "known"
    ESTIMATED = "estimated"
    UNKNOWN = "unknown"
    ELAPSED = "elapsed"


class CounterRowBroken(ValueError):
    """A stored row is no counter; the message names the column."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Counter:
    """One counter of a trip, as of its last mark.

    Measured kinds: `limit`, `known` and `estimate` (the upper bound) are milliseconds for the timed
    ones, millimetres for distance. The kinds without limit: due since `due_since`, late since
    `resumed_at` (driving resumed without a check; None: not late), and `known` and
    `estimate` are the millimetres driven since then.

    `estimate` None: no top road speed is stated, so there is no upper bound. `goes_on`: the
    vehicle is driven after `as_of`, so the values grow; None: no duty status is recorded, so the
    upper bound grows. `coming_up_since`, `due_since` None: not reached at `as_of`.
    `limit_at_odometer_mm`: at or before which odometer reading the limit comes; None: not known.
    `stop_number`: how many times the driving has ended since the counter began. `reasons`: the
    keys of the marks that raised it. `what`: the event's word. `exempt_reason` None: not exempt.
    `odometer_unit` None: nothing was read.
    """

    trip: str
    rule_id: str
    from_key: str
    kind: Kind
    legal_force: LegalForce
    source: str
    clause: str
    printed_limit: str
    printed_unit: str
    counted_since: datetime
    as_of: datetime
    limit: int | None
    known: int
    estimate: int | None
    rate_per_h: int | None
    basis: Basis
    goes_on: bool | None
    top_speed_mm_per_h: int | None
    coming_up_since: datetime | None
    due_since: datetime | None
    resumed_at: datetime | None
    limit_at_odometer_mm: int | None
    stop_number: int
    reasons: tuple[str, ...]
    what: str | None
    exempt_reason: str | None
    odometer_unit: str | None = None

    def __post_init__(self) -> None:
        """Refuse a measured counter without limit, and a value below zero (CounterRowBroken)."""
        if (self.limit is not None) != (self.kind in MEASURED):
            raise CounterRowBroken(f"column limit: {self.limit} does not go with {self.kind}")
        if self.known < 0 or (self.estimate is not None and self.estimate < self.known):
            raise CounterRowBroken(f"column estimate: {self.estimate} for known {self.known}")

    @property
    def due_key(self) -> str:
        """The name of the due check: trip, rule, and the entry the counter runs from."""
        return f"{self.trip}/{self.rule_id}/{self.from_key}"


def coming_up_from(limit: int) -> int:
    """The count at which a check is coming up: 80 % of the limit, in the limit's measure."""
    return -(-limit * 4 // 5)


def counter_row(counter: Counter) -> dict[str, str | int | None]:
    """The counter as one flat row, `due_key` first. Times are UTC with three decimals and Z."""
    row: dict[str, str | int | None] = {"due_key": counter.due_key}
    for field in fields(counter):
        value = getattr(counter, field.name)
        if isinstance(value, datetime):
            value = value.isoformat(timespec="milliseconds").replace("+00:00", "Z")
        elif isinstance(value, tuple):
            value = " ".join(value)
        elif isinstance(value, bool):
            value = int(value)
        elif isinstance(value, str):
            value = str(value)
        row[field.name] = value
    return row


def counter_from_row(row: Mapping[str, object]) -> Counter:
    """The counter a row stands for; columns it does not know are left alone.

    Raises CounterRowBroken, naming the column, when the row is no counter.
    """
    cells = _Cells(row)
    return Counter(
        trip=cells.text("trip"),
        rule_id=cells.text("rule_id"),
        from_key=cells.text("from_key"),
        kind=cells.word("kind", Kind),
        legal_force=cells.word("legal_force", LegalForce),
        source=cells.text("source"),
        clause=cells.text("clause"),
        printed_limit=cells.text("printed_limit"),
        printed_unit=cells.text("printed_unit"),
        counted_since=cells.moment("counted_since"),
        as_of=cells.moment("as_of"),
        limit=cells.number_or_none("limit"),
        known=cells.number("known"),
        estimate=cells.number_or_none("estimate"),
        rate_per_h=cells.number_or_none("rate_per_h"),
        basis=cells.word("basis", Basis),
        goes_on=cells.yes_no_or_none("goes_on"),
        top_speed_mm_per_h=cells.number_or_none("top_speed_mm_per_h"),
        coming_up_since=cells.moment_or_none("coming_up_since"),
        due_since=cells.moment_or_none("due_since"),
        resumed_at=cells.moment_or_none("resumed_at"),
        limit_at_odometer_mm=cells.number_or_none("limit_at_odometer_mm"),
        stop_number=cells.number("stop_number"),
        reasons=tuple(cells.text("reasons").split()),
        what=cells.text_or_none("what"),
        exempt_reason=cells.text_or_none("exempt_reason"),
        odometer_unit=cells.text_or_none("odometer_unit"),
    )


class _Cells:
    """The cells of a row, each read as what it must be; CounterRowBroken names the column."""

    def __init__(self, row: Mapping[str, object]) -> None:
        self._row = row

    def text(self, column: str) -> str:
        return self._needed(column, self.text_or_none(column))

    def text_or_none(self, column: str) -> str | None:
        value = self._cell(column)
        if value is None or isinstance(value, str):
            return value
        raise _broken(column, "a text", value)

    def number(self, column: str) -> int:
        return self._needed(column, self.number_or_none(column))

    def number_or_none(self, column: str) -> int | None:
        value = self._cell(column)
        if value is None or (isinstance(value, int) and not isinstance(value, bool)):
            return value
        raise _broken(column, "a whole number", value)

    def yes_no_or_none(self, column: str) -> bool | None:
        value = self.number_or_none(column)
        if value not in (None, 0, 1):
            raise _broken(column, "0 or 1", value)
        return None if value is None else bool(value)

    def moment(self, column: str) -> datetime:
        return self._needed(column, self.moment_or_none(column))

    def moment_or_none(self, column: str) -> datetime | None:
        text = self.text_or_none(column)
        if text is None:
            return None
        try:
            moment = datetime.fromisoformat(text)
            check_aware(column, moment)
        except ValueError:
            raise _broken(column, "a time with its offset", text) from None
        return moment

    def word(self, column: str, words: type[Word]) -> Word:
        text = self.text(column)
        try:
            return words(text)
        except ValueError:
            raise _broken(column, "one of " + ", ".join(words), text) from None

    def _cell(self, column: str) -> object:
        if column not in self._row:
            raise _broken(column, "this column", "none")
        return self._row[column]

    def _needed(self, column: str, value: Needed | None) -> Needed:
        if value is None:
            raise _broken(column, "a value", None)
        return value


def _broken(column: str, wanted: str, found: object) -> CounterRowBroken:
    return CounterRowBroken(
        f"column {column} of a stored counter: {wanted} wanted, found {found!r}; "
        "rebuild the derived tables"
    )
