"""What the rules ask in figures, and what each tie-down would add to it: found by judging.

A rule that compares two figures becomes a row. What one tie-down adds is the difference of the
provided figure with it and without; that is exact where a rule adds up, and a guess to be judged
again where it does not.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from triplog.advise.placing import Kind, with_tie_downs
from triplog.securement.assess import assess
from triplog.securement.finding import Count, Finding, Measure, Verdict
from triplog.securement.model import Plan
from triplog.securement.quantity import Quantity
from triplog.securement.stations import Station

Key = tuple[str, tuple[str, ...]]
UNSETTLED = frozenset({Verdict.DOES_NOT_MEET, Verdict.CANNOT_TELL})


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One rule about some articles: what is asked, what is there, what each choice would add.

    `adds` has a value for each station and kind, in that order, in the unit of `required`.
    """

    finding: Finding
    required: Fraction
    there: Fraction
    adds: tuple[tuple[Fraction, ...], ...]


def key_of(finding: Finding) -> Key:
    """What names a finding across plans that differ in their tie-downs."""
    return (finding.rule, finding.about)


def asked_of(
    plan: Plan,
    stations: Sequence[Station],
    kinds: Sequence[Kind],
    tension: Quantity | None,
) -> tuple[Asked, ...]:
    """The rows of a plan: every finding about its articles that compares figures."""
    articles = {one.id for one in plan.articles}
    base = {
        key_of(one): one
        for one in assess(plan)
        if one.required is not None and articles.issuperset(one.about)
    }
    with_one = [
        [_provided(assess(with_tie_downs(plan, [(station, kind.gear)], tension))) for kind in kinds]
        for station in stations
    ]
    return tuple(
        Asked(
            finding=finding,
            required=_figure(finding.required),
            there=_there(finding),
            adds=tuple(
                tuple(provided.get(key, _there(finding)) - _there(finding) for provided in row)
                for row in with_one
            ),
        )
        for key, finding in base.items()
    )


def _provided(findings: Iterable[Finding]) -> dict[Key, Fraction]:
    return {key_of(one): _there(one) for one in findings if one.required is not None}


def _there(finding: Finding) -> Fraction:
    """What is provided; at the worst end where that is open; nothing where nothing counts."""
    if finding.provided is not None:
        return _figure(finding.provided)
    return Fraction(0) if finding.range is None else _figure(finding.range.worst)


def _figure(measure: Measure | None) -> Fraction:
    if measure is None:
        return Fraction(0)
    return Fraction(measure.value) if isinstance(measure, Count) else measure.si
