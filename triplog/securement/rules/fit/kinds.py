"""Which kinds of gear hold together: chain and webbing stretch differently; chain for machines."""

from dataclasses import replace

from triplog.securement.finding import Finding, Missing, Scope, Step, Value, Verdict
from triplog.securement.model import WEBBING, Article, Commodity, GearKind, Plan, TieDown
from triplog.securement.quantity import Dimension
from triplog.securement.rules.bundles import Answer, YesNoRule, bundled
from triplog.securement.rules.fit.sources import COMMON_PRACTICE, RULE_SET, fit_figure
from triplog.securement.rules.groups import Group, groups_of

# Steel strapping that bundles an article is left out: it is often laid under the tie-downs.
_STIFF = frozenset({GearKind.CHAIN, GearKind.WIRE_ROPE})
_ELASTIC = WEBBING | {GearKind.CORDAGE}


def mixing_findings(plan: Plan) -> tuple[Finding, ...]:
    """`fit-mixing`: no chain or wire rope beside webbing or rope on one article or group.

    The stiff one takes the force before the elastic one has stretched. Which way each pulls is not
    asked, so chain in one direction and webbing in another is named too.
    """
    rule = YesNoRule(
        rule="fit-mixing",
        rule_set=RULE_SET,
        citation=fit_figure("stiffness-kinds-max").citation,
        mend="mend.fit-mixing",
    )
    answers = (
        replace(answer, about=article_id)
        for group in groups_of(plan)
        if group.tie_downs
        for answer in [_mixing(group, plan)]
        for article_id in group.ids
    )
    return bundled(rule, Scope.GUIDANCE, answers)


def _mixing(group: Group, plan: Plan) -> Answer:
    """The answer for a group, named after its first article."""
    about = group.ids[0]
    stiff = _of_kinds(group.tie_downs, plan, _STIFF)
    elastic = _of_kinds(group.tie_downs, plan, _ELASTIC)
    if stiff and elastic:
        values: dict[str, Value] = {
            "names": ", ".join(group.ids),
            "tie_downs": ", ".join(stiff),
            "abouts": ", ".join(elastic),
        }
        step = Step(id="note.fit-mixed", values=values)
        return Answer(about=about, verdict=Verdict.DOES_NOT_MEET, steps=(step,))
    unknown = tuple(
        Missing(field="gear", about=one.id)
        for one in group.tie_downs
        if plan.gear_item(one.gear) is None
    )
    if unknown and len(group.tie_downs) > 1:
        return Answer(about=about, verdict=Verdict.CANNOT_TELL, unknown=unknown)
    return Answer(about=about, verdict=Verdict.MEETS)


def _of_kinds(
    tie_downs: tuple[TieDown, ...], plan: Plan, kinds: frozenset[GearKind]
) -> tuple[str, ...]:
    return tuple(
        one.id
        for one in tie_downs
        if (gear := plan.gear_item(one.gear)) is not None and gear.kind in kinds
    )


def chain_findings(plan: Plan) -> tuple[Finding, ...]:
    """`fit-chain`: chain or wire rope on a heavy machine. Common practice, no source.

    Only what is held by webbing or rope is asked. Sharp edges are `fit-edges`, which offers chain.
    """
    rule = YesNoRule(
        rule="fit-chain", rule_set=RULE_SET, citation=COMMON_PRACTICE, mend="mend.fit-chain"
    )
    answers = (_chain(article, plan) for article in plan.articles)
    return bundled(rule, Scope.COMMON_PRACTICE, (one for one in answers if one is not None))


def _chain(article: Article, plan: Plan) -> Answer | None:
    holding = plan.tie_downs_on(article.id)
    elastic = _of_kinds(holding, plan, _ELASTIC)
    if article.commodity is not Commodity.MACHINE or not holding:
        return None
    if article.mass is None:
        return (
            Answer(about=article.id, verdict=Verdict.CANNOT_TELL, asks="mass") if elastic else None
        )
    line = fit_figure("chain-machine-mass-min").amount(Dimension.MASS, us=article.mass.is_us)
    if article.mass.si < line.si:
        return None
    if not elastic:
        return Answer(about=article.id, verdict=Verdict.MEETS)
    values: dict[str, Value] = {
        "article": article.id,
        "mass": article.mass,
        "line": line,
        "tie_downs": ", ".join(elastic),
    }
    step = Step(id="note.fit-heavy", values=values)
    return Answer(about=article.id, verdict=Verdict.DOES_NOT_MEET, steps=(step,))
