"""Blocking, and the paths that are not covered here."""

from triplog.securement.finding import Missing
from triplog.securement.model import Article, Direction, Path, Plan
from triplog.securement.rules.au_lrg.way import Way, line
from triplog.securement.rules.blocking import blocked, by_front_structure
from triplog.securement.rules.downward import NOTHING, UNLIMITED, Ends
from triplog.securement.rules.groups import Group

_NOT_COVERED = frozenset({Path.SAME_SIDE, Path.SPRING})


def blocking(group: Group, plan: Plan, direction: Direction) -> Way:
    """What the blocking holds where every article is blocked that way, each by what it says."""
    answers = [_blocked(article, plan, direction) for article in group.articles]
    if False in answers:
        return Way(force=NOTHING)
    if None in answers:
        return Way(
            force=UNLIMITED,
            missing=tuple(
                Missing(field=f"blocked.{direction}", about=article.id)
                for article, answer in zip(group.articles, answers, strict=True)
                if answer is None
            ),
        )
    blocks = [article.blocked[direction] for article in group.articles]
    names = ", ".join(dict.fromkeys(block.by for block in blocks))
    ratings = [block.rated.si for block in blocks if block.rated is not None]
    force = UNLIMITED
    if len(ratings) == len(blocks):
        force = Ends(worst=min(ratings), best=min(ratings))
    unrated = tuple(
        Missing(field=f"blocked.{direction}_rated", about=article.id)
        for article, block in zip(group.articles, blocks, strict=True)
        if block.rated is None
    )
    return Way(
        force=force,
        steps=(line("block", force, group, {"by": names}),),
        missing=unrated,
    )


def not_covered(group: Group) -> tuple[Missing, ...]:
    """The loops and springs: the guide's way with them was not read."""
    return tuple(
        Missing(field="au-path", about=one.id)
        for one in group.tie_downs
        if one.path in _NOT_COVERED
    )


def _blocked(article: Article, plan: Plan, direction: Direction) -> bool | None:
    absent = plan.vehicle.front_structure == "none"
    if direction is Direction.FORWARD and by_front_structure(article) and absent:
        return False
    return blocked(article, direction, plan)
