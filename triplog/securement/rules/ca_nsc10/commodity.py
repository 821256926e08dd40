"""What NSC Standard 10 asks of some commodities and of front end structures, not judged here.

Part 2 of the standard has sections of its own for logs, lumber, coils, rolls, pipe, containers,
vehicles and boulders, and sections 23 to 26 are about front end structures. Their text was not
read, so such an article is *cannot tell* and its general findings are a yardstick.
"""

from collections.abc import Iterable

from triplog.securement.finding import Finding, Missing, Scope, Step, Verdict
from triplog.securement.model import Article, Commodity, Plan
from triplog.securement.rules.blocking import by_front_structure
from triplog.securement.rules.ca_nsc10.scope import RULE_SET, citation, law_scope
from triplog.securement.rules.us_393.commodity import GENERAL, commodity_inputs

_PARTS = {
    "commodity": ("Part 2", "note.ca-commodity"),
    "front": ("ss.23 to 26", "note.ca-front"),
}


def general_scope(articles: Iterable[Article], plan: Plan) -> Scope:
    """The scope of the general count and sum: a yardstick where Part 2 may take an article."""
    if any(one.commodity is not None and _may_be_taken(one) for one in articles):
        return Scope.YARDSTICK
    return law_scope(plan)


def not_judged_findings(plan: Plan) -> tuple[Finding, ...]:
    """One finding, *cannot tell*, per article that a part not read takes or may take."""
    findings = []
    for article in plan.articles:
        if _may_be_taken(article):
            findings.append(_not_judged(article, plan, "commodity"))
        if by_front_structure(article):
            findings.append(_not_judged(article, plan, "front"))
    return tuple(findings)


def _may_be_taken(article: Article) -> bool:
    return article.commodity is not Commodity.GENERAL and article.section != GENERAL


def _not_judged(article: Article, plan: Plan, word: str) -> Finding:
    clause, step_id = _PARTS[word]
    untold = word == "commodity" and article.commodity is None
    asks = "commodity" if untold else f"NSC Standard 10, {clause}"
    return Finding(
        rule=f"ca-nsc10-{word}-not-built",
        rule_set=RULE_SET,
        about=(article.id,),
        verdict=Verdict.CANNOT_TELL,
        scope=law_scope(plan),
        citation=citation(clause),
        inputs=commodity_inputs(article),
        steps=(Step(id=step_id),),
        unknown=(Missing(field=asks, about=article.id),),
    )
