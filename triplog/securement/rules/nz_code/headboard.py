"""Which multiple of the weight the code asks for, by what the headboard holds of an article."""

from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.figures import Share, share
from triplog.securement.finding import Missing
from triplog.securement.model import Article, FrontStructure, Plan
from triplog.securement.rules.blocking import blocked_forward, by_front_structure
from triplog.securement.rules.groups import Group

TABLE = "figures_nz"
NONE = "multiple-no-headboard"
PART = "multiple-headboard-in-part"
WHOLE = "multiple-headboard"


@dataclass(frozen=True, slots=True, kw_only=True)
class Multiples:
    """The least and the most that may be asked of a group, and what leaves it open."""

    low: str
    high: str
    missing: tuple[Missing, ...]

    @property
    def settled(self) -> bool:
        """Whether only one is possible."""
        return self.low == self.high


def multiple(figure_id: str) -> Share:
    """A multiple of the weight, as published."""
    return share(figure_id, TABLE)


def multiples_of(group: Group, plan: Plan) -> Multiples:
    """A group is asked for the highest multiple of its articles."""
    answers = [_possible(article, plan) for article in group.articles]
    missing = tuple(one for _, open_facts in answers for one in open_facts)
    return Multiples(
        low=max((min(ids, key=_value) for ids, _ in answers), key=_value),
        high=max((max(ids, key=_value) for ids, _ in answers), key=_value),
        missing=tuple(dict.fromkeys(missing)),
    )


def _value(figure_id: str) -> Fraction:
    return multiple(figure_id).value


def _possible(article: Article, plan: Plan) -> tuple[tuple[str, ...], tuple[Missing, ...]]:
    """The multiples that may hold for an article, and the facts that would tell."""
    answer = blocked_forward(article, plan)
    if answer is False:
        return (NONE,), ()
    if answer is None:
        return (NONE, PART, WHOLE), (Missing(field="blocked.forward", about=article.id),)
    if not by_front_structure(article):
        return (NONE, PART, WHOLE), (Missing(field="nz-block", about=article.id),)
    structure = plan.vehicle.front_structure
    height = structure.height if isinstance(structure, FrontStructure) else None
    if height is None:
        return (PART, WHOLE), (Missing(field="front_structure.height", about="vehicle"),)
    if article.height is None or article.on != "deck":
        return (PART, WHOLE), (Missing(field="height", about=article.id),)
    return ((WHOLE,) if height.si >= article.height.si else (PART,)), ()
