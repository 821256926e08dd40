"""What would change in the findings of a plan if something small were different."""

from dataclasses import dataclass
from typing import cast

from triplog.desk.judging import UNSETTLED, judge_file, judge_trip, with_rules
from triplog.desk.refused import Refused
from triplog.journal.trip import Trip
from triplog.securement.assess import assess
from triplog.securement.compared import Change, changes_of
from triplog.securement.finding import Finding
from triplog.securement.model import Plan
from triplog.securement.variations import NAMES, Name, Variation, variations_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Which variations by name, none: all; the angle; the rule sets, none: those of the plan."""

    only: tuple[str, ...] = ()
    angle_deg: float
    rules: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A variation, and what it changes in the findings."""

    variation: Variation
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Varied:
    """The plan as it is with its findings, what was tried, and what does not apply to it."""

    plan: Plan
    findings: tuple[Finding, ...]
    tried: tuple[Tried, ...]
    not_applying: tuple[Name, ...]

    @property
    def unsettled(self) -> tuple[Finding, ...]:
        """What in the plan as it is does not meet or cannot be told."""
        return tuple(one for one in self.findings if one.verdict in UNSETTLED)


def vary_file(data: bytes, name: str, wanted: Wanted) -> Varied:
    """What would change in a plan file's findings."""
    return _varied(judge_file(data, name).plan, wanted)


def vary_trip(trip: Trip, wanted: Wanted) -> Varied:
    """What would change in the findings of the plan in force. Records nothing."""
    return _varied(judge_trip(trip).plan, wanted)


def _varied(plan: Plan, wanted: Wanted) -> Varied:
    names = _names(wanted.only)
    plan = with_rules(plan, wanted.rules)
    findings = assess(plan)
    variations = variations_of(plan, names, wanted.angle_deg)
    applying = {one.name for one in variations}
    return Varied(
        plan=plan,
        findings=findings,
        tried=tuple(
            Tried(variation=one, changes=changes_of(findings, assess(one.plan)))
            for one in variations
        ),
        not_applying=tuple(name for name in names if name not in applying),
    )


def _names(only: tuple[str, ...]) -> tuple[Name, ...]:
    unknown = [name for name in only if name not in NAMES]
    if unknown:
        raise Refused(f"there is no variation {unknown[0]!r}; there are {', '.join(NAMES)}")
    return cast(tuple[Name, ...], only) or NAMES
