"""How many tie-downs each article needs at least: 49 CFR 393.110, article by article."""

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
from triplog.securement.quantity import Quantity
from triplog.securement.rules.blocking import blocked_forward
from triplog.securement.rules.masses import MASS_BASIS
from triplog.securement.rules.us_393.commodity import commodity_inputs
from triplog.securement.rules.us_393.counted import count_unknown, counted, left_out_steps
from triplog.securement.rules.us_393.needed import (
    UNITED_STATES,
    CountFigures,
    Need,
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
    forward = blocked_forward(article, plan)
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
        *required_steps(article, forward, need),
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
        required=None if required is None else tie_downs(required),
        provided=tie_downs(have),
        margin=None if required is None else tie_downs(have - required),
        inputs=count_inputs(article),
        steps=steps,
        unknown=() if settled else count_unknown(article, plan),
        range=None if settled else count_range(need, have),
        mend=count_mend(need, have) if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _contained(article: Article, plan: Plan) -> Finding:
    return Finding(
        rule="us-393.110-count",
        rule_set=RULE_SET,
        about=(article.id,),
        verdict=Verdict.DOES_NOT_APPLY,
        scope=general_scope((article,), plan),
        citation=citation("393.110"),
        inputs=count_inputs(article),
        steps=(Step(id="note.contained"),),
    )


def tie_downs(number: int) -> Count:
    """A number of tie-downs."""
    return Count(value=number, unit=TIE_DOWN)


def count_range(need: Need, have: int) -> Range:
    """What is provided is known here; it is the need that has two ends, so `decides` says them."""
    values = {"low": tie_downs(need.low)}
    if need.high is not None:
        values["high"] = tie_downs(need.high)
    step_id = "decides.count" if need.high is not None else "decides.count-open"
    decides = Step(id=step_id, values=values)
    return Range(worst=tie_downs(have), best=tie_downs(have), decides=decides)


def count_mend(need: Need, have: int) -> Step:
    """What would make up the number."""
    short = need.low - have
    step_id = "mend.count" if need.high == need.low else "mend.count-at-least"
    return Step(id=step_id, values={"short": tie_downs(short)})


def count_inputs(article: Article) -> tuple[Input, ...]:
    """What the number is worked out from."""
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


def required_steps(
    article: Article, forward: bool | None, need: Need, figures: CountFigures = UNITED_STATES
) -> tuple[Step, ...]:
    """How the number follows from length, mass and blocking, with the figures compared with."""
    length = article.length
    if length is None or forward is None:
        return (Step(id="required.count-open"),)
    column = _column_note(length, figures)
    values: dict[str, Value] = {"length": length}
    if forward:
        values["by"] = article.blocked[Direction.FORWARD].by
        values["every"] = figures.limit("count-blocked-length", length)
        return (Step(id="required.count-blocked", values=values), column)
    short = figures.limit("count-short-length-max", length)
    middle = figures.limit("count-middle-length-max", length)
    values |= {"short": short, "middle": middle}
    if length.si > middle.si:
        values["further"] = further_pieces(length, figures)
        values["every"] = figures.limit("count-further-length", length)
        return (Step(id="required.count-long", values=values), column)
    if length.si > short.si:
        return (Step(id="required.count-middle", values=values), column)
    if article.mass is None:
        return (Step(id="required.count-short", values=values), column)
    values |= {"mass": article.mass, "line": figures.limit("count-light-mass-max", article.mass)}
    light = need.high == figures.number("count-short-light")
    step_id = "required.count-short-light" if light else "required.count-short-heavy"
    return (Step(id=step_id, values=values), column)


def _column_note(length: Quantity, figures: CountFigures) -> Step:
    if figures.column == "metric":
        return Step(id="note.metric-first")
    return Step(id="note.feet-column" if length.is_us else "note.metre-column")


def _provided_steps(holding: tuple[TieDown, ...], plan: Plan) -> tuple[Step, ...]:
    names = ", ".join(one.id for one in counted(holding, plan))
    if names:
        first = Step(id="provided.count", values={"tie_downs": names})
    else:
        first = Step(id="provided.none-counted" if holding else "provided.none")
    return (first, *left_out_steps(holding, plan))


def _other_reading(article: Article, forward: bool | None, need: Need) -> tuple[Step, ...]:
    """The law prints two unit systems that differ a little; the other one, where it matters."""
    other = tie_downs_needed(article.length, article.mass, forward, CountFigures(column="other"))
    if need.low != need.high or other == need or article.length is None or other.high is None:
        return ()
    step_id = "note.other-metric" if article.length.is_us else "note.other-feet"
    return (Step(id=step_id, values={"number": tie_downs(other.high)}),)
