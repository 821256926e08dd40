"""Whether an article is blocked in a direction, and by what: a bare yes is not an answer."""

from triplog.securement.model import Article, Direction, Plan

_NOT_BLOCKED = frozenset({"nothing", "none", "no", "not blocked"})
_NOT_SAID = frozenset({"", "?", "unknown", "yes"})
FRONT_STRUCTURE = frozenset(
    {"front structure", "front end structure", "headboard", "headerboard", "bulkhead"}
)


def blocked(article: Article, direction: Direction, plan: Plan) -> bool | None:
    """Whether anything named stops the article that way; None where nobody said by what.

    An article does not stop itself: its own id says nothing. Articles that name each other in a
    ring stop nothing: each would have to lie beyond the other.
    """
    by = _named(article, direction)
    if by in _NOT_SAID or by == article.id.lower():
        return None
    return by not in _NOT_BLOCKED and not _is_in_a_ring(article, direction, plan)


def by_front_structure(article: Article) -> bool:
    """Whether it is the vehicle's front structure that blocks the article forward."""
    return _named(article, Direction.FORWARD) in FRONT_STRUCTURE


def blocked_forward(article: Article, plan: Plan) -> bool | None:
    """Whether the article is blocked forward; not by a front structure the vehicle lacks."""
    if by_front_structure(article) and plan.vehicle.front_structure == "none":
        return False
    return blocked(article, Direction.FORWARD, plan)


def _named(article: Article, direction: Direction) -> str:
    """What is said to block it, in lower case; "" where nothing is said."""
    block = article.blocked.get(direction)
    return "" if block is None else block.by.strip().lower()


def _is_in_a_ring(article: Article, direction: Direction, plan: Plan) -> bool:
    """Whether what blocks it, what blocks that, and so on, comes back to it."""
    articles = {one.id.lower(): one for one in plan.articles}
    passed: set[str] = set()
    by = _named(article, direction)
    while by in articles and by not in passed and by != article.id.lower():
        passed.add(by)
        by = _named(articles[by], direction)
    return by == article.id.lower()
