"""Heavy vehicles and machinery of 10,000 lb or more, on wheels or tracks: 49 CFR 393.130.

At least four tie-downs; the combined rating is that of 393.106(d). The text sets none for each.
"""

from triplog.securement.figures import figure
from triplog.securement.finding import Finding, Step
from triplog.securement.model import Article, Plan
from triplog.securement.quantity import Dimension
from triplog.securement.rules.us_393.sections.answered import answered_finding
from triplog.securement.rules.us_393.sections.on_wheels import wheeled_count
from triplog.securement.rules.us_393.sections.section import Section

_NUMBER = "393.130"
_ASKED = ("130-accessories", "130-articulated", "130-all-ways", "130-points")


def handbook_note(article: Article) -> Step:
    """What the Driver's Handbook asks of each tie-down: a note, for 49 CFR does not."""
    us = article.mass is None or article.mass.is_us
    rating = figure("handbook-machine-rating").amount(Dimension.FORCE, us=us)
    return Step(id="note.machine-handbook", values={"rating": rating})


def _findings(articles: tuple[Article, ...], plan: Plan) -> tuple[Finding, ...]:
    return tuple(finding for one in articles for finding in _of(one, plan))


def _of(article: Article, plan: Plan) -> tuple[Finding, ...]:
    notes = (Step(id="note.machine-once"), handbook_note(article))
    count = wheeled_count(_NUMBER, article, plan, "machine-tie-downs", "required.machine", *notes)
    return count, answered_finding(_NUMBER, (article,), plan, _ASKED)


SECTION_130 = Section(number=_NUMBER, findings=_findings)
