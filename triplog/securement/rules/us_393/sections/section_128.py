"""Cars, light trucks and vans of 10,000 lb or less: 49 CFR 393.128.

At least two tie-downs, holding front and rear; the combined rating is that of 393.106(d).
"""

from triplog.securement.finding import Finding, Step
from triplog.securement.model import Article, Plan
from triplog.securement.rules.us_393.sections.answered import answered_finding
from triplog.securement.rules.us_393.sections.on_wheels import wheeled_count
from triplog.securement.rules.us_393.sections.section import Section

_NUMBER = "393.128"
_ASKED = ("128-front-rear", "128-mounting", "128-wheels")


def _findings(articles: tuple[Article, ...], plan: Plan) -> tuple[Finding, ...]:
    return tuple(finding for one in articles for finding in _of(one, plan))


def _of(article: Article, plan: Plan) -> tuple[Finding, ...]:
    note = Step(id="note.light-vehicle-tyres")
    count = wheeled_count(
        _NUMBER, article, plan, "light-vehicle-tie-downs", "required.light-vehicle", note
    )
    return count, answered_finding(_NUMBER, (article,), plan, _ASKED)


SECTION_128 = Section(number=_NUMBER, findings=_findings)
