"""How long records are to be kept, by kind, from the table beside, and until which day that is.

No rule here deletes anything: it says what has to stay. The longest period wins; a carrier's own
counts where it is longer. Local law goes before the table.
"""

import csv
import io
from calendar import monthrange
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from functools import cache
from importlib.resources import files
from typing import TypeVar

Word = TypeVar("Word", bound=StrEnum)
TABLE_FILE = "retention.csv"
_MONTHS_MAX = 1200


class RetentionTableBroken(ValueError):
    """The table cannot be used; the message names file, line and column."""


class About(StrEnum):
    """What a period is for; *elsewhere*: a record that is not kept in this log."""

    TRIP = "trip"
    INCIDENT = "incident"
    GEAR = "gear"
    ELSEWHERE = "elsewhere"


class Force(StrEnum):
    """What stands behind a period."""

    LAW = "law"
    CLAIM = "time to claim"
    OWN = "own judgement"
    COMPANY = "company rule"


class HowSure(StrEnum):
    """How the period is known."""

    READ = "read"
    SECOND_HAND = "second-hand"
    MEMORY = "memory"
    OWN = "own judgement"


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """A row of the table: so many whole months for a kind of record, counted from an event."""

    id: str
    what: str
    about: About
    months: int
    counted_from: str
    force: Force
    source: str
    clause: str
    edition: str
    how_sure: HowSure
    note: str

    def __post_init__(self) -> None:
        """Refuse a blank that must not be, and a length that cannot be."""
        for column in ("id", "what", "counted_from", "source", "clause", "edition"):
            if not getattr(self, column):
                raise RetentionTableBroken(f"column {column}: it is blank; write it")
        if not 0 < self.months <= _MONTHS_MAX:
            raise RetentionTableBroken(f"column months: {self.months} is no number of months")

    @property
    def cited(self) -> str:
        """Source and clause on one line."""
        return f"{self.source} {self.clause}"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptUntil:
    """The last day something is kept, and the period that says so."""

    day: date
    period: Period


def all_periods() -> tuple[Period, ...]:
    """Every period of the table, those of the law first. Raises RetentionTableBroken."""
    return _parsed(files("triplog.journal").joinpath(TABLE_FILE).read_text("utf-8"))


def periods_for(about: About, company: Mapping[str, int]) -> tuple[Period, ...]:
    """The periods for a kind of record; `company`: its own months by kind, as recorded."""
    found = tuple(period for period in all_periods() if period.about is about)
    own = company.get(str(about))
    if own is None:
        return found
    return (*found, _company(found[-1], own))


def keep_until(from_day: date, months: int) -> date:
    """The day so many months later; the last of that month where it has no such day."""
    count = from_day.month - 1 + months
    year, month = from_day.year + count // 12, count % 12 + 1
    return date(year, month, min(from_day.day, monthrange(year, month)[1]))


def longest(counted: Iterable[tuple[date, Period]]) -> KeptUntil:
    """The period that lasts longest, of some that are each counted from a day of their own.

    Of equal ones the first: the law before a judgement.
    """
    ends = [KeptUntil(day=keep_until(day, period.months), period=period) for day, period in counted]
    return max(ends, key=lambda one: one.day)


def parse_table(text: str) -> tuple[Period, ...]:
    """Read the table. Raises RetentionTableBroken with file, line and column."""
    reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    periods: list[Period] = []
    try:
        for row in reader:
            period = _period(row)
            if any(period.id == other.id for other in periods):
                raise RetentionTableBroken(f"column id: {period.id} stands twice")
            periods.append(period)
    except (RetentionTableBroken, csv.Error) as problem:
        raise RetentionTableBroken(f"{TABLE_FILE}, line {reader.line_num}, {problem}") from problem
    if not periods:
        raise RetentionTableBroken(f"{TABLE_FILE}: no period in it; install the program again")
    order = list(Force)
    return tuple(sorted(periods, key=lambda one: order.index(one.force)))


@cache
def _parsed(text: str) -> tuple[Period, ...]:
    return parse_table(text)


def _company(like: Period, months: int) -> Period:
    """The carrier's own period, counted as the others of its kind are."""
    return replace(
        like,
        id=f"company-{like.about}",
        what=f"the whole {like.about}",
        months=months,
        force=Force.COMPANY,
        source="company",
        clause="own period",
        edition="as recorded",
        how_sure=HowSure.READ,
        note="",
    )


def _period(row: Mapping[str | None, str | None]) -> Period:
    texts = {str(name): value for name, value in row.items() if isinstance(value, str)}
    fields = Period.__dataclass_fields__.keys()
    if None in row or texts.keys() != fields:
        raise RetentionTableBroken(f"a row needs a text in each of: {', '.join(fields)}")
    months = texts["months"]
    if not (months.isascii() and months.isdecimal()):
        raise RetentionTableBroken(f"column months: {months!r} is no number of months")
    return Period(
        id=texts["id"],
        what=texts["what"],
        about=_word(About, "about", texts["about"]),
        months=int(months[:9]),
        counted_from=texts["counted_from"],
        force=_word(Force, "force", texts["force"]),
        source=texts["source"],
        clause=texts["clause"],
        edition=texts["edition"],
        how_sure=_word(HowSure, "how_sure", texts["how_sure"]),
        note=texts["note"],
    )


def _word(words: type[Word], column: str, typed: str) -> Word:
    try:
        return words(typed)
    except ValueError:
        wanted = ", ".join(words)
        raise RetentionTableBroken(f"column {column}: one of {wanted}; found {typed!r}") from None
