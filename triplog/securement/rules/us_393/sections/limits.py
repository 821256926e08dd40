"""A measured fact against a limit that a section sets: at most so much, or at least."""

from dataclasses import dataclass

from triplog.securement.figures import figure
from triplog.securement.finding import Finding, Input, Missing, Step, Value, Verdict
from triplog.securement.model import Plan
from triplog.securement.quantity import Amount, Dimension, Quantity
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """`given` against `limit`, at most or at least; None where one is not known, as `unknown` says.

    `step` is the line that says where the limit comes from, `mend` what would keep to it.
    """

    rule: str
    clause: str
    about: tuple[str, ...]
    given: Amount | None
    limit: Amount | None
    at_most: bool
    step: Step
    mend: str
    inputs: tuple[Input, ...] = ()
    unknown: tuple[Missing, ...] = ()


def limit_finding(limit: Limit, plan: Plan) -> Finding:
    """Whether the limit is kept, compared exactly."""
    verdict = Verdict.CANNOT_TELL
    kept = _kept(limit)
    if kept is not None:
        verdict = Verdict.MEETS if kept else Verdict.DOES_NOT_MEET
    return Finding(
        rule=limit.rule,
        rule_set=RULE_SET,
        about=limit.about,
        verdict=verdict,
        scope=law_scope(plan),
        citation=citation(limit.clause),
        required=limit.limit,
        provided=limit.given,
        margin=None,
        inputs=limit.inputs,
        steps=(limit.step,),
        unknown=limit.unknown if verdict is Verdict.CANNOT_TELL else (),
        mend=Step(id=limit.mend) if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _kept(limit: Limit) -> bool | None:
    if limit.given is None or limit.limit is None:
        return None
    if limit.at_most:
        return limit.given.si <= limit.limit.si
    return limit.given.si >= limit.limit.si


def printed_length(figure_id: str, given: Quantity | None) -> Amount:
    """A printed length, in the unit system of what was given (US where nothing was)."""
    return figure(figure_id).amount(Dimension.LENGTH, us=given is None or given.is_us)


def of_length(share_id: str, length: Quantity | None) -> Amount | None:
    """A printed share or multiple of a length; None where the length is not known."""
    if length is None:
        return None
    value = figure(share_id).value_us * length.value
    return Amount(value=value, unit=length.unit, dimension=Dimension.LENGTH)


def line(step_id: str, **values: Value) -> Step:
    """The line of a limit."""
    return Step(id=step_id, values=values)
