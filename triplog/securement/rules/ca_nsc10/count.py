"""How many tie-downs each article needs at least: NSC Standard 10 s.22, article by article.

The count is that of 49 CFR 393.110 with the metric figures first: 3.04 m is a little less than
10 ft, so the reading in feet is kept apart and said where it differs. Only marked tie-downs count.
"""

from triplog.securement.finding import Finding, Step, Verdict
from triplog.securement.model import Article, Plan, TieDown
from triplog.securement.rating import Defaults, NothingFor, nothing_for
from triplog.securement.rules.blocking import blocked_forward
from triplog.securement.rules.ca_nsc10.commodity import general_scope
from triplog.securement.rules.ca_nsc10.scope import RULE_SET, TABLE, citation
from triplog.securement.rules.us_393.count import (
    count_inputs,
    count_mend,
    count_range,
    required_steps,
    tie_downs,
)
from triplog.securement.rules.us_393.counted import count_unknown
from triplog.securement.rules.us_393.needed import CountFigures, Need, tie_downs_needed

METRIC = CountFigures(table=TABLE, column="metric")
FEET = CountFigures(table=TABLE, column="feet")
_NOT_COUNTED = {
    NothingFor.DAMAGED: "note.not-counted-damaged",
    NothingFor.NO_TIE_DOWN: "note.not-counted-kind",
    NothingFor.UNMARKED: "note.not-counted-unmarked",
}


def count_findings(plan: Plan) -> tuple[Finding, ...]:
    """s.22, one finding per article; a tie-down over several articles counts for each."""
    return tuple(_count_finding(article, plan) for article in plan.articles)


def need_of(article: Article, plan: Plan, figures: CountFigures = METRIC) -> Need:
    """The number s.22 asks for, at both ends of what is unknown."""
    forward = blocked_forward(article, plan)
    return tie_downs_needed(article.length, article.mass, forward, figures)


def counted(article: Article, plan: Plan) -> tuple[TieDown, ...]:
    """The tie-downs on an article that count: marked, without damage."""
    holding = plan.tie_downs_on(article.id)
    return tuple(one for one in holding if nothing_for(one, plan, Defaults.CANADA) is None)


def _count_finding(article: Article, plan: Plan) -> Finding:
    holding = plan.tie_downs_on(article.id)
    if article.contained and not holding:
        return _finding(article, plan, Verdict.DOES_NOT_APPLY, (Step(id="note.contained"),))
    need, have = need_of(article, plan), len(counted(article, plan))
    if need.high is not None and have >= need.high:
        verdict = Verdict.MEETS
    else:
        verdict = Verdict.DOES_NOT_MEET if have < need.low else Verdict.CANNOT_TELL
    steps = (
        *required_steps(article, blocked_forward(article, plan), need, METRIC),
        *_provided_steps(article, plan),
        *_in_feet(article, plan, need),
    )
    return _finding(article, plan, verdict, steps)


def _finding(article: Article, plan: Plan, verdict: Verdict, steps: tuple[Step, ...]) -> Finding:
    applies = verdict is not Verdict.DOES_NOT_APPLY
    need, have = need_of(article, plan), len(counted(article, plan))
    settled = need.high == need.low
    at_end = {Verdict.MEETS: need.high, Verdict.DOES_NOT_MEET: need.low}
    required = at_end.get(verdict, need.low if settled else None) if applies else None
    return Finding(
        rule="ca-nsc10-count",
        rule_set=RULE_SET,
        about=(article.id,),
        verdict=verdict,
        scope=general_scope((article,), plan),
        citation=citation("s.22"),
        required=None if required is None else tie_downs(required),
        provided=tie_downs(have) if applies else None,
        margin=None if required is None else tie_downs(have - required),
        inputs=count_inputs(article),
        steps=steps,
        unknown=count_unknown(article, plan) if applies and not settled else (),
        range=count_range(need, have) if applies and not settled else None,
        mend=count_mend(need, have) if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _provided_steps(article: Article, plan: Plan) -> tuple[Step, ...]:
    names: dict[NothingFor | None, list[str]] = {}
    for one in plan.tie_downs_on(article.id):
        names.setdefault(nothing_for(one, plan, Defaults.CANADA), []).append(one.id)
    counting = names.pop(None, [])
    if counting:
        first = Step(id="provided.count", values={"tie_downs": ", ".join(counting)})
    else:
        first = Step(id="provided.none-counted" if names else "provided.none")
    left_out = (
        Step(id=_NOT_COUNTED[reason], values={"tie_downs": ", ".join(ids)})
        for reason, ids in names.items()
        if reason is not None
    )
    return (first, *left_out)


def _in_feet(article: Article, plan: Plan, need: Need) -> tuple[Step, ...]:
    feet = need_of(article, plan, FEET)
    if need.low != need.high or feet.high is None or feet == need:
        return ()
    return (Step(id="note.ca-feet", values={"number": tie_downs(feet.high)}),)
