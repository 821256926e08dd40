"""One explainable result: the rule, what it asks, what is there, and the sum. Values, no sentences.

`wording` makes the sentences from the ids (`Step.id`, `Mend.id`, `Missing.field`) and values here.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from triplog.securement.quantity import Amount


class Verdict(StrEnum):
    """What a rule says of a plan. Ordered by `SEVERITY`, worst first."""

    DOES_NOT_MEET = "does not meet"
    CANNOT_TELL = "cannot tell"
    MEETS = "meets"
    DOES_NOT_APPLY = "does not apply"


SEVERITY = {verdict: rank for rank, verdict in enumerate(Verdict)}


class Scope(StrEnum):
    """How binding a finding is for this plan."""

    LAW = "law"
    YARDSTICK = "yardstick"
    GUIDANCE = "guidance"
    COMMON_PRACTICE = "common practice"
    ESTIMATE = "estimate"


class Basis(StrEnum):
    """Where an input's value comes from."""

    MEASURED = "measured"
    MARKED = "marked"
    STATED = "stated"
    DEFAULT_TABLE = "default table"
    ESTIMATED = "estimated"
    WORKED_OUT = "worked out"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Citation:
    """Where a rule or figure is published; `clause` and `edition` are empty only for practice."""

    source: str
    clause: str
    edition: str
    how_sure: str

    def __post_init__(self) -> None:
        assert self.source and self.how_sure in ("read", "second-hand", "memory", "no source")


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """A whole number of things; `unit` is the singular noun, such as "tie-down"."""

    value: int
    unit: str


Measure = Amount | Count
Value = str | int | Amount | Count


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """A value that went into a finding; `value` None: unknown; `about`: the id it belongs to."""

    name: str
    about: str
    value: Value | None
    basis: Basis
    citation: Citation | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One line of the sum, by id; `values` fill the sentence that `wording` keeps for it."""

    id: str
    values: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """A fact that is not known and what it blocks; `about` is an article's, gear's... id."""

    field: str
    about: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """The provided value at both ends of what is unknown, and the step that says what decides."""

    worst: Measure
    best: Measure | None
    decides: Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """The answer of one rule about some articles or tie-downs.

    `margin` is provided minus required in the unit of `required`, exact, negative when short;
    None where either is unknown or the rule is a yes or no. A verdict *cannot tell* names at
    least one `unknown`.
    """

    rule: str
    rule_set: str
    about: tuple[str, ...]
    verdict: Verdict
    scope: Scope
    citation: Citation
    required: Measure | None = None
    provided: Measure | None = None
    margin: Measure | None = None
    inputs: tuple[Input, ...] = ()
    steps: tuple[Step, ...] = ()
    unknown: tuple[Missing, ...] = ()
    range: Range | None = None
    mend: Step | None = None

    def __post_init__(self) -> None:
        assert self.rule and self.about, "a finding names its rule and what it is about"
        if self.verdict is Verdict.CANNOT_TELL:
            assert self.unknown, f"{self.rule}: cannot tell, but names nothing unknown"


def worst(findings: Iterable[Finding]) -> Finding | None:
    """The first finding of the most severe verdict; None of none."""
    return min(findings, key=lambda finding: SEVERITY[finding.verdict], default=None)
