"""The questions of 393.122 that paper rolls raise, by the way their eyes face and what is measured.

A question that only some sizes raise is asked where they do. Where a size is not told, a yes is
enough either way; anything else leaves it open, and the size is named.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from triplog.securement.figures import figure
from triplog.securement.finding import Missing
from triplog.securement.model import Article, Body, Plan
from triplog.securement.rules.us_393.sections.facts import (
    count_fact,
    length_fact,
    missing_facts,
    word_fact,
    yes_fact,
)
from triplog.securement.rules.us_393.sections.limits import printed_length

_WALLS = frozenset({Body.SIDED, Body.CHASSIS})


@dataclass(slots=True, kw_only=True)
class Raised:
    """The questions raised so far, and the facts that leave further ones open."""

    article: Article
    questions: list[str] = field(default_factory=list)
    unknown: list[Missing] = field(default_factory=list)

    def ask(self, *questions: str) -> None:
        """Ask these in any case."""
        self.questions += questions

    def ask_if(self, raised: bool | None, question: str, *facts: str) -> None:
        """Ask where it is raised; where that is not told, `facts` are what would tell."""
        answered_yes = self.article.answers.get(question) == "yes"
        if raised or (raised is None and answered_yes):
            self.questions.append(question)
        elif raised is None:
            missing = missing_facts(self.article, *facts)
            self.unknown += [one for one in missing if one not in self.unknown]


def between_walls(plan: Plan) -> bool | None:
    """Whether walls on four sides stand round the rolls; None: the body is not told."""
    return None if plan.vehicle.body is None else plan.vehicle.body in _WALLS


def stacked(rolls: Article) -> bool | None:
    """Whether there is more than one layer."""
    tiers = count_fact(rolls, "tiers")
    return None if tiers is None else tiers > 1


def raised_by(rolls: Article, plan: Plan) -> Raised:
    """The questions for the rolls on this vehicle."""
    raised = Raised(article=rolls)
    if between_walls(plan) is None:
        raised.unknown.append(Missing(field="body", about="vehicle"))
    eye = word_fact(rolls, "eye")
    if eye is None:
        raised.unknown += missing_facts(rolls, "eye")
    else:
        _BY_EYE[eye](raised, rolls, plan)
    return raised


def _vertical(raised: Raised, rolls: Article, plan: Plan) -> None:
    """(b), (c), and (d) for more than one layer."""
    diameter = length_fact(rolls, "diameter")
    void, width = length_fact(rolls, "void_behind"), length_fact(rolls, "roll_width")
    raised.ask("122-tight", "122-sideways", "122-bands", "122-mats", "122-split")
    beyond = None if void is None or diameter is None else void.si > diameter.si
    raised.ask_if(beyond, "122-behind", "void_behind", "diameter")
    sideways = _wider(rolls, "roll-tip-sideways-above")
    raised.ask_if(sideways, "122-tip-sideways", "roll_width", "diameter")
    known = width is not None and diameter is not None
    facts = ("mats_alone",) if known else ("roll_width", "diameter")
    raised.ask_if(_may_tip_forward(rolls), "122-tip-forward", *facts)
    if between_walls(plan) is not False:
        for question in ("122-layer-below", "122-upper-layers", "122-raised-rear"):
            raised.ask_if(stacked(rolls), question, "tiers")


def _crosswise(raised: Raised, rolls: Article, plan: Plan) -> None:
    """(e), and (f) for more than one layer; on a vehicle without walls (i)(2)."""
    raised.ask("122-rolling", "122-chocks")
    if between_walls(plan) is False:
        return
    raised.ask("122-doors")
    gap = length_fact(rolls, "gap")
    wide = None if gap is None else gap.si > printed_length("roll-gap-max", gap).si
    raised.ask_if(wide, "122-ends", "gap")
    for question in ("122-layer-below", "122-foremost", "122-last-wells"):
        raised.ask_if(stacked(rolls), question, "tiers")
    tiers = count_fact(rolls, "tiers")
    third = None if tiers is None else tiers >= figure("roll-third-layer").value_us
    raised.ask_if(third, "122-wells", "tiers")


def _lengthwise(raised: Raised, rolls: Article, _plan: Plan) -> None:
    """(g), and (h) for more than one layer."""
    raised.ask("122-forward", "122-rearward", "122-lateral", "122-chocks")
    for question in ("122-next-layer", "122-in-wells", "122-upper-ends"):
        raised.ask_if(stacked(rolls), question, "tiers")


def _may_tip_forward(rolls: Article) -> bool | None:
    """(b)(4)(ii) to (iv): friction mats alone let a roll slide, so a wider one need not be held."""
    wide = _wider(rolls, "roll-tip-forward-no-mats-above")
    if not wide:
        return wide
    if _wider(rolls, "roll-tip-forward-above"):
        return True
    mats_alone = yes_fact(rolls, "mats_alone")
    return None if mats_alone is None else not mats_alone


def _wider(rolls: Article, figure_id: str) -> bool | None:
    """Whether a roll is wider than so many times its diameter."""
    width, diameter = length_fact(rolls, "roll_width"), length_fact(rolls, "diameter")
    if width is None or diameter is None:
        return None
    return width.si > figure(figure_id).value_us * diameter.si


_BY_EYE: dict[str, Callable[[Raised, Article, Plan], None]] = {
    "vertical": _vertical,
    "crosswise": _crosswise,
    "lengthwise": _lengthwise,
}
