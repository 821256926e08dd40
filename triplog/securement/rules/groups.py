"""Articles that are judged together, and the tie-downs on them.

Articles that share a tie-down, or say they go `together`, are one group.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from triplog.securement.model import Article, Plan, TieDown
from triplog.securement.rating import uses_us_columns


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Articles judged together, and every tie-down on any of them, in the plan's order."""

    articles: tuple[Article, ...]
    tie_downs: tuple[TieDown, ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """The articles' ids."""
        return tuple(article.id for article in self.articles)

    @property
    def unit(self) -> str:
        """The unit its masses are given in, for weights and ratings alike."""
        given = next((one.mass.unit for one in self.articles if one.mass is not None), None)
        if given is None:
            return "lb" if uses_us_columns(self.articles) else "kg"
        return "kg" if given == "g" else given


def groups_of(plan: Plan, joined: Iterable[tuple[str, ...]] = ()) -> tuple[Group, ...]:
    """The articles of the plan in groups, each in the plan's order, none twice.

    `joined` names articles that are one group for a reason of the rule's own.
    """
    leader = {article.id: article.id for article in plan.articles}

    def join(ids: tuple[str, ...]) -> None:
        leaders = {leader[article_id] for article_id in ids}
        leader.update({one: leader[ids[0]] for one, led_by in leader.items() if led_by in leaders})

    for tie_down in plan.tie_downs:
        join(tie_down.holds)
    for label in {article.together for article in plan.articles if article.together is not None}:
        join(tuple(article.id for article in plan.articles if article.together == label))
    for together in joined:
        join(together)
    groups = []
    for first in dict.fromkeys(leader.values()):
        articles = tuple(one for one in plan.articles if leader[one.id] == first)
        ids = {article.id for article in articles}
        tie_downs = tuple(one for one in plan.tie_downs if ids.intersection(one.holds))
        groups.append(Group(articles=articles, tie_downs=tie_downs))
    return tuple(groups)
