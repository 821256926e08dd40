"""Whether each article stands without its tie-downs: asked before the first one is let off."""

from triplog.securement.finding import Basis, Finding, Input, Scope, Verdict
from triplog.securement.model import Article, Plan
from triplog.securement.rules.bundles import Answer, YesNoRule, bundled
from triplog.securement.rules.fit.sources import COMMON_PRACTICE, RULE_SET


def standing_findings(plan: Plan) -> tuple[Finding, ...]:
    """`fit-stands`: an article that does not stand alone is held before it is let off."""
    rule = YesNoRule(
        rule="fit-stands", rule_set=RULE_SET, citation=COMMON_PRACTICE, mend="mend.fit-stands"
    )
    return bundled(rule, Scope.COMMON_PRACTICE, map(_stands, plan.articles))


def _stands(article: Article) -> Answer:
    stands = article.stands_unaided
    verdict = Verdict.MEETS if stands else Verdict.DOES_NOT_MEET
    told = Input(
        name="stands_unaided",
        about=article.id,
        value=None if stands is None else ("yes" if stands else "no"),
        basis=Basis.UNKNOWN if stands is None else Basis.STATED,
    )
    return Answer(
        about=article.id,
        verdict=Verdict.CANNOT_TELL if stands is None else verdict,
        asks="stands_unaided" if stands is None else "",
        inputs=(told,),
    )
