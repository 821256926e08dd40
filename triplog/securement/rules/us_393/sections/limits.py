"""A measured fact against a limit that a section sets: at most so much, or at least."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from triplog.securement.figures import figure
from triplog.securement.finding import Count, Finding, Measure, Missing, Step, Value, Verdict
from triplog.securement.model import Article, Plan
from triplog.securement.quantity import Amount, Dimension, Quantity
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope
from triplog.securement.rules.us_393.sections.facts import fact_inputs, missing_facts


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """`given` against `limit`, at most or at least; None where a fact among `facts` is not known.

    `step` is the line that says where the limit comes from, filled with `values`, `mend` what would
    keep to it. `unknown` is what leaves it open besides the facts, `notes` are further lines.
    """

    rule: str
    clause: str
    article: Article
    facts: tuple[str, ...]
    given: Measure | None
    limit: Measure | None
    at_most: bool
    step: str
    mend: str
    values: Mapping[str, Value] = field(default_factory=dict)
    unknown: tuple[Missing, ...] = ()
    notes: tuple[str, ...] = ()


def limit_finding(limit: Limit, plan: Plan) -> Finding:
    """Whether the limit is kept, compared exactly."""
    kept = _kept(limit)
    if kept is None:
        verdict = Verdict.CANNOT_TELL
    else:
        verdict = Verdict.MEETS if kept else Verdict.DOES_NOT_MEET
    return Finding(
        rule=limit.rule,
        rule_set=RULE_SET,
        about=(limit.article.id,),
        verdict=verdict,
        scope=law_scope(plan),
        citation=citation(limit.clause),
        required=limit.limit,
        provided=limit.given,
        inputs=fact_inputs(limit.article, *limit.facts),
        steps=(Step(id=limit.step, values=limit.values), *(Step(id=one) for one in limit.notes)),
        unknown=(*missing_facts(limit.article, *limit.facts), *limit.unknown)
        if kept is None
        else (),
        mend=Step(id=limit.mend) if kept is False else None,
    )


def _kept(limit: Limit) -> bool | None:
    if limit.given is None or limit.limit is None:
        return None
    given, line = _size(limit.given), _size(limit.limit)
    return given <= line if limit.at_most else given >= line


def _size(measure: Measure) -> Fraction:
    return Fraction(measure.value) if isinstance(measure, Count) else measure.si


def counted_fact(number: int | None, unit: str) -> Count | None:
    """A number of things as a measure; None where it is not known."""
    return None if number is None else Count(value=number, unit=unit)


def printed_number(figure_id: str) -> int:
    """A printed number of things."""
    return int(figure(figure_id).value_us)


def printed_count(figure_id: str, unit: str) -> Count:
    """A printed number of things as a measure."""
    return Count(value=printed_number(figure_id), unit=unit)


def printed_length(figure_id: str, given: Quantity | None) -> Amount:
    """A printed length, in the unit system of what was given (US where nothing was)."""
    return figure(figure_id).amount(Dimension.LENGTH, us=given is None or given.is_us)


def times_length(figure_id: str, length: Quantity | None) -> Amount | None:
    """A printed share or multiple of a length; None where the length is not known."""
    if length is None:
        return None
    value = figure(figure_id).value_us * length.value
    return Amount(value=value, unit=length.unit, dimension=Dimension.LENGTH)
