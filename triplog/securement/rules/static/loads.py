"""What stands or is held together: one article, a stack, or a row of boxes that touch."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from triplog.securement.equilibrium.scene import Face, Point
from triplog.securement.finding import Missing
from triplog.securement.geometry import Box, box_of
from triplog.securement.model import Article, Plan, TieDown
from triplog.securement.rules.groups import groups_of
from triplog.securement.rules.static.assumed import static_figure

_DIGITS = frozenset("0123456789")


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """Articles that a tie-down, a name or their weight holds together, from below or along a row.

    `boxes` has the box of each article, None where one is not known (`missing`); `refused` is why
    no estimate is made, empty where one is.
    """

    articles: tuple[Article, ...]
    tie_downs: tuple[TieDown, ...]
    boxes: dict[str, Box]
    faces: tuple[tuple[str, str, int], ...] = ()
    missing: tuple[Missing, ...] = ()
    refused: str = ""

    @property
    def ids(self) -> tuple[str, ...]:
        """The articles' ids as a person counts: B2 before B10, wherever each of them stands."""
        return tuple(sorted((article.id for article in self.articles), key=_counted))


def _counted(name: str) -> tuple[tuple[int, int, str], ...]:
    """What to order a name by: its numbers by their value, before words."""
    parts = [part for part in re.split(r"([0-9]+)", name) if part]
    return tuple((0, int(part), "") if part[0] in _DIGITS else (1, 0, part) for part in parts)


def loads_of(plan: Plan) -> tuple[Load, ...]:
    """The loads of a plan, in its order."""
    groups = [set(group.ids) for group in groups_of(plan)]
    for article in plan.articles:
        if article.on != "deck":
            joined = [group for group in groups if group & {article.id, article.on}]
            groups = [group for group in groups if group not in joined]
            groups.append(set().union(*joined))
    order = [article.id for article in plan.articles]
    return tuple(_load(group, plan) for group in sorted(groups, key=lambda one: _first(one, order)))


def _first(group: set[str], order: list[str]) -> int:
    return min(order.index(one) for one in group)


def _load(ids: set[str], plan: Plan) -> Load:
    articles = [one for one in plan.articles if one.id in ids]
    tie_downs = tuple(one for one in plan.tie_downs if ids.intersection(one.holds))
    found = {one.id: box_of(one, plan) for one in articles}
    boxes = {name: box for name, box in found.items() if isinstance(box, Box)}
    missing = tuple(
        dict.fromkeys(one for box in found.values() if not isinstance(box, Box) for one in box)
    )
    missing += tuple(Missing(field="mass", about=one.id) for one in articles if one.mass is None)
    refused, faces = "", tuple[tuple[str, str, int], ...]()
    if any(one.rolls for one in articles):
        refused = "rolls"
    elif len(articles) > 1 and not missing:
        ordered = _stack(articles)
        if ordered is None:
            ordered, faces = _row(articles, boxes)
        refused = "" if ordered else "neither"
        articles = ordered or articles
    return Load(
        articles=tuple(articles),
        tie_downs=tie_downs,
        boxes=boxes,
        faces=faces,
        missing=missing,
        refused=refused,
    )


def _stack(articles: list[Article]) -> list[Article] | None:
    """The articles from below, each on the one before; None: they are no stack."""
    above = {one.on: one for one in articles}
    if len(above) < len(articles) or "deck" not in above:
        return None
    ordered = [above["deck"]]
    while ordered[-1].id in above:
        ordered.append(above[ordered[-1].id])
    return ordered if len(ordered) == len(articles) else None


def _row(
    articles: list[Article], boxes: dict[str, Box]
) -> tuple[list[Article], tuple[tuple[str, str, int], ...]]:
    """The articles in order along or across the deck, with the axis of each face; else none."""
    if any(one.on != "deck" for one in articles):
        return [], ()
    for axis in (1, 0):
        ordered = sorted(articles, key=_middle(boxes, axis))
        pairs = list(pairwise(ordered))
        if all(_touch(boxes[one.id], boxes[two.id], axis) for one, two in pairs):
            return ordered, tuple((one.id, two.id, axis) for one, two in pairs)
    return [], ()


def _middle(boxes: dict[str, Box], axis: int) -> Callable[[Article], float]:
    return lambda one: boxes[one.id].low[axis] + boxes[one.id].high[axis]


def _touch(one: Box, two: Box, axis: int) -> bool:
    """Whether the second stands against the first, beside it over more than an edge."""
    beside = 1 - axis
    gap = two.low[axis] - one.high[axis]
    overlap = min(one.high[beside], two.high[beside]) - max(one.low[beside], two.low[beside])
    touching = static_figure("touching")
    return abs(gap) <= touching and overlap > touching


def face_of(one: Box, two: Box, axis: int, friction: float) -> Face:
    """Where two boxes of a row touch."""
    beside = 1 - axis
    at = (one.high[axis] + two.low[axis]) / 2
    ends = (max(one.low[beside], two.low[beside]), min(one.high[beside], two.high[beside]))
    heights = (max(one.low[2], two.low[2]), min(one.high[2], two.high[2]))
    points: list[Point] = [
        (at, end, up) if axis == 0 else (end, at, up) for end in ends for up in heights
    ]
    return Face(
        between=(one.article, two.article),
        normal=(1.0, 0.0, 0.0) if axis == 0 else (0.0, 1.0, 0.0),
        points_m=tuple(points),
        friction=friction,
    )
