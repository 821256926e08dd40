"""Re-check rules as data: what makes a check due, by which clause, with which legal force.

The figures stand in `recheck_rules.csv`, as the law prints them; the exact count used in sums
(millimetres, milliseconds) is derived here. A trip pins the rows it departs with: `rule_row` and
`rule_from_row` carry a rule out and back unchanged. Which of several rows of one kind count is
decided in `rules_combined`.
"""

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from importlib.resources import files
from typing import TypeVar

RULES_FILE = "recheck_rules.csv"
COMMON_PRACTICE = "common-practice"
"""The rule set that goes with every trip."""
SOFT_LOAD = "soft load"
"""The `applies_to` of a rule for bales, bags and sacks; other rules are for any load."""

Word = TypeVar("Word", bound=StrEnum)

ANY_OTHER_EVENT = "any other event"
"""The `counted_from` of the event rule that takes every event no other row names."""

COUNT_PER_UNIT = {"mi": 1_609_344, "km": 1_000_000, "h": 3_600_000, "min": 60_000}
"""Millimetres in a mile and a kilometre, milliseconds in an hour and a minute; all exact."""


class RuleFileBroken(ValueError):
    """A figures row cannot be used; the message names the file, the line and the column."""


class UnknownRuleSet(LookupError):
    """No such rule set, or it has no rule in force on the day asked for."""


class Kind(StrEnum):
    """What a rule counts.

    First time: driving time since the load was last begun. Driving break and work time: time at
    the wheel, or at work, after which the hours rules ask for a break, a natural time to check.
    Observed loss: driving time until as much tension may be lost as is allowed; never in the file.
    Load change: loading or part unloading, due at once. Before driving, regular and exemption are
    told and not counted.
    """

    FIRST_DISTANCE = "first_distance"
    FIRST_TIME = "first_time"
    DISTANCE = "distance"
    DRIVING_TIME = "driving_time"
    DRIVING_BREAK = "driving_break"
    WORK_TIME = "work_time"
    OBSERVED_LOSS = "observed_loss"
    DUTY_CHANGE = "duty_change"
    LOAD_CHANGE = "load_change"
    EVENT = "event"
    BEFORE_DRIVING = "before_driving"
    REGULAR = "regular"
    EXEMPTION = "exemption"


class LegalForce(StrEnum):
    """How binding a rule is; guidance is never worded as a requirement.

    A yardstick is a law that does not bind this vehicle.
    """

    LAW = "law"
    CODE_OF_PRACTICE = "code of practice"
    GUIDANCE = "guidance"
    COMMON_PRACTICE = "common practice"
    COMPANY_RULE = "company rule"
    YARDSTICK = "yardstick"


ADVICE = (LegalForce.GUIDANCE, LegalForce.COMMON_PRACTICE, LegalForce.YARDSTICK)
"""What does not bind: its limits are gone beyond, and nobody is late by them."""


class HowSure(StrEnum):
    """Where the figure was taken from."""

    READ = "read"
    SECOND_HAND = "second-hand"
    MEMORY = "memory"


MEASURED = (
    Kind.FIRST_DISTANCE,
    Kind.FIRST_TIME,
    Kind.DISTANCE,
    Kind.DRIVING_TIME,
    Kind.DRIVING_BREAK,
    Kind.WORK_TIME,
    Kind.OBSERVED_LOSS,
)
"""The kinds with a limit; it is blank where the source gives no number."""
AT_THE_WHEEL = (Kind.FIRST_TIME, Kind.DRIVING_TIME, Kind.DRIVING_BREAK, Kind.OBSERVED_LOSS)
"""The kinds whose limit is a time of driving."""
EVERY_SO_LONG = (Kind.DRIVING_TIME, Kind.DRIVING_BREAK)
"""The kinds that count driving time from check to check."""
TIMED = (*AT_THE_WHEEL, Kind.WORK_TIME)
"""The kinds whose limit is a time; the other limits are distances."""
AT_ONCE = (Kind.DUTY_CHANGE, Kind.LOAD_CHANGE, Kind.EVENT)
"""The kinds without a limit that make a check due at once."""
FIRST = (Kind.FIRST_DISTANCE, Kind.FIRST_TIME)
"""The kinds counted from when the load was last begun; one check under way answers them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecheckRule:
    """One rule of a re-check rule set, as printed.

    `limit` and `unit` are as the source prints them; both are empty where it gives no number and
    for the kinds that have none. `counted_from` of an event rule is the name of the event.
    `applies_to`: the loads it is for, empty for any. `valid_to` is the last day in force, None
    while the rule still is.
    """

    id: str
    rule_set: str
    jurisdiction: str
    kind: Kind
    limit: str
    unit: str
    counted_from: str
    legal_force: LegalForce
    source: str
    clause: str
    edition: str
    how_sure: HowSure
    valid_from: date
    valid_to: date | None
    note: str
    applies_to: str = ""

    def __post_init__(self) -> None:
        """Refuse what cannot be counted with; RuleFileBroken names the column."""
        for column in ("id", "rule_set", "jurisdiction", "counted_from", "source", "clause"):
            if not getattr(self, column):
                raise RuleFileBroken(f"column {column}: it is blank; write it")
        if "/" in self.id or " " in self.id:
            raise RuleFileBroken(f"column id: no slash and no space, found {self.id!r}")
        if self.unit not in _units_of(self.kind):
            wanted = " or ".join(unit or "blank" for unit in _units_of(self.kind))
            raise RuleFileBroken(f"column unit: {wanted} for {self.kind}, found {self.unit!r}")
        if self.applies_to not in ("", SOFT_LOAD):
            raise RuleFileBroken(
                f"column applies_to: blank or {SOFT_LOAD!r}, found {self.applies_to!r}"
            )
        if bool(self.limit) != bool(self.unit):
            raise RuleFileBroken(f"column limit: {self.limit!r} does not go with {self.unit!r}")
        if self.limit:
            _count(self.limit, self.unit)
        if self.valid_to is not None and self.valid_to < self.valid_from:
            raise RuleFileBroken(f"column valid_to: {self.valid_to} is before {self.valid_from}")

    @property
    def limit_count(self) -> int | None:
        """The limit in millimetres (distance) or milliseconds (time), exact; None: no number."""
        return _count(self.limit, self.unit) if self.limit else None

    def in_force(self, on: date) -> bool:
        """Whether the rule is in force on a day, its first and last included."""
        return self.valid_from <= on and (self.valid_to is None or on <= self.valid_to)


def all_rules() -> tuple[RecheckRule, ...]:
    """Every rule there is, in the order of the file. Raises RuleFileBroken."""
    return _parsed(rules_text())


def load_rules(rule_set: str, on: date) -> tuple[RecheckRule, ...]:
    """The rules of a set in force on a day, in the order of the file.

    Raises UnknownRuleSet, naming the sets there are or the day nothing was in force, and
    RuleFileBroken when the figures cannot be used.
    """
    rules = all_rules()
    chosen = tuple(rule for rule in rules if rule.rule_set == rule_set)
    if not chosen:
        known = ", ".join(sorted({rule.rule_set for rule in rules}))
        raise UnknownRuleSet(f"no re-check rule set is called {rule_set!r}; there is: {known}")
    in_force = tuple(rule for rule in chosen if rule.in_force(on))
    if not in_force:
        raise UnknownRuleSet(f"the rule set {rule_set!r} has no rule in force on {on}")
    return in_force


def parse_rules(text: str) -> tuple[RecheckRule, ...]:
    """Read the figures file. Raises RuleFileBroken with file, line and column."""
    reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    rules: list[RecheckRule] = []
    try:
        if reader.fieldnames != list(_COLUMNS):
            raise RuleFileBroken(f"the columns must be {', '.join(_COLUMNS)}")
        for row in reader:
            rule = rule_from_row(row)
            if any(rule.id == other.id and _overlap(rule, other) for other in rules):
                raise RuleFileBroken(f"column id: {rule.id} is in force twice on one day")
            rules.append(rule)
    except (RuleFileBroken, csv.Error) as error:
        raise RuleFileBroken(f"{RULES_FILE}, line {reader.line_num}, {error}") from error
    if not rules:
        raise RuleFileBroken(f"{RULES_FILE}: no rule in it; install the program again")
    return tuple(rules)


def rule_row(rule: RecheckRule) -> dict[str, str]:
    """The rule as a row of text, as the file has it; what a departure pins."""
    return {column: str(_blank_if_none(getattr(rule, column))) for column in _COLUMNS}


def rule_from_row(row: Mapping[str, str]) -> RecheckRule:
    """The rule a row stands for. Raises RuleFileBroken naming the column at fault."""
    row = {**_LATER_COLUMNS, **row}
    if set(row) != set(_COLUMNS) or not all(isinstance(value, str) for value in row.values()):
        raise RuleFileBroken(f"a row needs a text in each of the columns {', '.join(_COLUMNS)}")
    return RecheckRule(
        id=row["id"],
        rule_set=row["rule_set"],
        jurisdiction=row["jurisdiction"],
        kind=_word(Kind, "kind", row["kind"]),
        limit=row["limit"],
        unit=row["unit"],
        counted_from=row["counted_from"],
        legal_force=_word(LegalForce, "legal_force", row["legal_force"]),
        source=row["source"],
        clause=row["clause"],
        edition=row["edition"],
        how_sure=_word(HowSure, "how_sure", row["how_sure"]),
        valid_from=_day("valid_from", row["valid_from"]),
        valid_to=_day("valid_to", row["valid_to"]) if row["valid_to"] else None,
        note=row["note"],
        applies_to=row["applies_to"],
    )


def rules_text() -> str:
    """The figures file as installed. RuleFileBroken when it cannot be read."""
    try:
        return (files("scheduler") / RULES_FILE).read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise RuleFileBroken(
            f"{RULES_FILE} cannot be read ({error}); install the program again"
        ) from error


_COLUMNS = tuple(field.name for field in fields(RecheckRule))
_LATER_COLUMNS = {"applies_to": ""}
"""Columns that rows pinned by earlier departures do not have, and what they mean there."""


def _units_of(kind: Kind) -> tuple[str, ...]:
    if kind not in MEASURED:
        return ("",)
    return ("", "h", "min") if kind in TIMED else ("", "mi", "km")


@lru_cache(maxsize=1)
def _parsed(text: str) -> tuple[RecheckRule, ...]:
    return parse_rules(text)


@lru_cache(maxsize=256)
def _count(limit: str, unit: str) -> int:
    """The limit in millimetres or milliseconds; RuleFileBroken unless positive and whole."""
    if not re.fullmatch(r"[0-9]+(\.[0-9]+)?", limit):
        raise RuleFileBroken(f"column limit: a decimal number, found {limit!r}")
    count = Fraction(limit) * COUNT_PER_UNIT[unit]
    if count <= 0 or count.denominator != 1:
        raise RuleFileBroken(f"column limit: above zero, found {limit!r} {unit}")
    return count.numerator


def _word(words: type[Word], column: str, text: str) -> Word:
    try:
        return words(text)
    except ValueError:
        known = ", ".join(words)
        raise RuleFileBroken(f"column {column}: one of {known}; found {text!r}") from None


def _day(column: str, text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise RuleFileBroken(f"column {column}: a day as 2004-01-31, found {text!r}") from None


def _overlap(one: RecheckRule, other: RecheckRule) -> bool:
    """Whether two rows are in force on a common day."""
    return (one.valid_to is None or other.valid_from <= one.valid_to) and (
        other.valid_to is None or one.valid_from <= other.valid_to
    )


def _blank_if_none(value: object) -> object:
    return "" if value is None else value
