"""Whether an article is blocked in a direction, and by what: a bare yes is not an answer."""

from triplog.securement.model import Article, Direction, Vehicle

_NOT_BLOCKED = frozenset({"nothing", "none", "no", "not blocked"})
_NOT_SAID = frozenset({"", "?", "unknown", "yes"})
FRONT_STRUCTURE = frozenset(
    {"front structure", "front end structure", "headboard", "headerboard", "bulkhead"}
)


def blocked(article: Article, direction: Direction) -> bool | None:
    """Whether anything named stops the article that way; None where nobody said by what.

    An article does not stop itself: its own id says nothing.
    """
    block = article.blocked.get(direction)
    if block is None or block.by.strip().lower() in (*_NOT_SAID, article.id.lower()):
        return None
    return block.by.strip().lower() not in _NOT_BLOCKED


def by_front_structure(article: Article) -> bool:
    """Whether it is the vehicle's front structure that blocks the article forward."""
    block = article.blocked.get(Direction.FORWARD)
    return block is not None and block.by.strip().lower() in FRONT_STRUCTURE


def blocked_forward(article: Article, vehicle: Vehicle) -> bool | None:
    """Whether the article is blocked forward; not by a front structure the vehicle lacks."""
    if by_front_structure(article) and vehicle.front_structure == "none":
        return False
    return blocked(article, Direction.FORWARD)
