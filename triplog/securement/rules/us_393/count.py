"""How many tie-downs each article needs at least: 49 CFR 393.110, article by article."""

from triplog.securement.figures import figure
from triplog.securement.finding import (
    Basis,
    Count,
    Finding,
    Input,
    Range,
    Step,
    Value,
    Verdict,
)
from triplog.securement.model import Article, Direction, Plan, TieDown
from triplog.securement.quantity import Amount, Quantity
from triplog.securement.rules.blocking import blocked_forward
from triplog.securement.rules.masses import MASS_BASIS
from triplog.securement.rules.us_393.commodity import commodity_inputs
from triplog.securement.rules.us_393.counted import counted, left_out_steps, missing_for_count
from triplog.securement.rules.us_393.needed import (
    Need,
    count_figure,
    further_pieces,
    tie_downs_needed,
)
from triplog.securement.rules.us_393.scope import RULE_SET, citation
from triplog.securement.rules.us_393.sections.in_force import counted_generally, general_scope

TIE_DOWN = "tie-down"


def count_findings(plan: Plan) -> tuple[Finding, ...]:
    """393.110, one finding per article; a tie-down over several articles counts for each.

    An article whose section of its own asks for another number has none.
    """
    return tuple(
        _count_finding(article, plan)
        for article in plan.articles
        if counted_generally(article, plan)
    )


def _count_finding(article: Article, plan: Plan) -> Finding:
    holding = plan.tie_downs_on(article.id)
    forward = blocked_forward(article, plan.vehicle)
    need = tie_downs_needed(article.length, article.mass, forward)
    have = len(counted(holding, plan))
    if article.contained and not holding:
        return _contained(article, plan)
    if need.high is not None and have >= need.high:
        verdict = Verdict.MEETS
    elif have < need.low:
        verdict = Verdict.DOES_NOT_MEET
    else:
        verdict = Verdict.CANNOT_TELL
    steps = (
        *_required_steps(article, forward, need),
        *_provided_steps(holding, plan),
        *_other_reading(article, forward, need),
    )
    if verdict is Verdict.DOES_NOT_MEET:
        steps = (*steps, Step(id="note.special-purpose"))
    settled = need.high == need.low
    at_end = {Verdict.MEETS: need.high, Verdict.DOES_NOT_MEET: need.low}
    required = at_end.get(verdict, need.low if settled else None)
    return Finding(
        rule="us-393.110-count",
        rule_set=RULE_SET,
        about=(article.id,),
        verdict=verdict,
        scope=general_scope((article,), plan),
        citation=citation("393.110"),
        required=None if required is None else _tie_downs(required),
        provided=_tie_downs(have),
        margin=None if required is None else _tie_downs(have - required),
        inputs=_inputs(article),
        steps=steps,
        unknown=() if settled else missing_for_count(article, plan.vehicle),
        range=None if settled else _range(need, have),
        mend=_mend(need, have) if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _contained(article: Article, plan: Plan) -> Finding:
    return Finding(
        rule="us-393.110-count",
        rule_set=RULE_SET,
        about=(article.id,),
        verdict=Verdict.DOES_NOT_APPLY,
        scope=general_scope((article,), plan),
        citation=citation("393.110"),
        inputs=_inputs(article),
        steps=(Step(id="note.contained"),),
    )


def _tie_downs(number: int) -> Count:
    return Count(value=number, unit=TIE_DOWN)


def _range(need: Need, have: int) -> Range:
    """What is provided is known here; it is the need that has two ends, so `decides` says them."""
    values = {"low": _tie_downs(need.low)}
    if need.high is not None:
        values["high"] = _tie_downs(need.high)
    step_id = "decides.count" if need.high is not None else "decides.count-open"
    decides = Step(id=step_id, values=values)
    return Range(worst=_tie_downs(have), best=_tie_downs(have), decides=decides)


def _mend(need: Need, have: int) -> Step:
    short = need.low - have
    step_id = "mend.count" if need.high == need.low else "mend.count-at-least"
    return Step(id=step_id, values={"short": _tie_downs(short)})


def _inputs(article: Article) -> tuple[Input, ...]:
    block = article.blocked.get(Direction.FORWARD)
    stated = (("length", article.length), ("blocked.forward", block.by if block else None))
    return (
        *(
            Input(
                name=name,
                about=article.id,
                value=value,
                basis=Basis.UNKNOWN if value is None else Basis.STATED,
            )
            for name, value in stated
        ),
        Input(
            name="mass",
            about=article.id,
            value=article.mass,
            basis=MASS_BASIS[article.mass_basis] if article.mass else Basis.UNKNOWN,
        ),
        *commodity_inputs(article),
    )


def _required_steps(article: Article, forward: bool | None, need: Need) -> tuple[Step, ...]:
    length = article.length
    if length is None or forward is None:
        return (Step(id="required.count-open"),)
    us = length.is_us
    values: dict[str, Value] = {"length": length}
    if forward:
        values["by"] = article.blocked[Direction.FORWARD].by
        values["every"] = _printed("count-blocked-length", length)
        return (Step(id="required.count-blocked", values=values), _columns(us))
    short = _printed("count-short-length-max", length)
    middle = _printed("count-middle-length-max", length)
    values |= {"short": short, "middle": middle}
    if length.si > middle.si:
        values["further"] = further_pieces(length)
        values["every"] = _printed("count-further-length", length)
        return (Step(id="required.count-long", values=values), _columns(us))
    if length.si > short.si:
        return (Step(id="required.count-middle", values=values), _columns(us))
    if article.mass is None:
        return (Step(id="required.count-short", values=values), _columns(us))
    values |= {"mass": article.mass, "line": _printed("count-light-mass-max", article.mass)}
    light = need.high == count_figure("count-short-light")
    step_id = "required.count-short-light" if light else "required.count-short-heavy"
    return (Step(id=step_id, values=values), _columns(us))


def _printed(figure_id: str, given: Quantity) -> Amount:
    """The figure as printed in the unit system of what was given."""
    return figure(figure_id).amount(given.dimension, us=given.is_us)


def _columns(us: bool) -> Step:
    return Step(id="note.feet-column" if us else "note.metre-column")


def _provided_steps(holding: tuple[TieDown, ...], plan: Plan) -> tuple[Step, ...]:
    names = ", ".join(one.id for one in counted(holding, plan))
    if names:
        first = Step(id="provided.count", values={"tie_downs": names})
    else:
        first = Step(id="provided.none-counted" if holding else "provided.none")
    return (first, *left_out_steps(holding, plan))


def _other_reading(article: Article, forward: bool | None, need: Need) -> tuple[Step, ...]:
    """The law prints two unit systems that differ a little; the other one, where it matters."""
    other = tie_downs_needed(article.length, article.mass, forward, other_reading=True)
    if need.low != need.high or other == need or article.length is None or other.high is None:
        return ()
    step_id = "note.other-metric" if article.length.is_us else "note.other-feet"
    return (Step(id=step_id, values={"number": _tie_downs(other.high)}),)
