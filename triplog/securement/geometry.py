"""Where things are on the deck, in metres, and the route of each tie-down over them.

x forward from the deck front, y to the left, z up from the deck. Floats: a route is only as good as
a tape measure. A place that is not known is never guessed: `Unrouted` names it.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from triplog.securement.finding import Missing
from triplog.securement.model import Article, Path, Plan, Position, TieDown

Vector = tuple[float, float, float]

# Nearer than this two points are one: a tenth of a millimetre, below any tape measure.
SAME_POINT_M = 1e-4
# A run that is inside a box for less than this only grazes it.
PIERCED_M = 1e-2


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """The box of an article between its lowest and highest corner."""

    article: str
    low: Vector
    high: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """A place where a tie-down bears on an article and bends by `turn_rad`."""

    article: str
    at: Vector
    turn_rad: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """The free run from an anchor point to where it first bears on the article `article`."""

    anchor: str
    anchor_at: Vector
    article: str
    cargo_at: Vector

    @property
    def length_m(self) -> float:
        """Its length."""
        return math.dist(self.anchor_at, self.cargo_at)

    @property
    def pull(self) -> Vector:
        """The unit vector of its pull on the article: towards the anchor point."""
        length = self.length_m
        x, y, z = (there - here for there, here in zip(self.anchor_at, self.cargo_at, strict=True))
        return (x / length, y / length, z / length)

    @property
    def angle_rad(self) -> float:
        """Its angle to the deck plane; negative where the anchor point lies above."""
        return math.asin(max(-1.0, min(1.0, -self.pull[2])))


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """A tie-down's legs, one or two, in the order from, to, and its contacts in between.

    `line` is its whole course, point by point, from anchor to anchor (for a direct one to the
    article); `length_m` is along it, without tail and wraps. `assumed` is whether the contacts are
    worked out from the boxes instead of told.
    """

    tie_down: str
    legs: tuple[Leg, ...]
    contacts: tuple[Contact, ...]
    line: tuple[Vector, ...]
    assumed: bool

    @property
    def length_m(self) -> float:
        """Its length along the line."""
        return sum(math.dist(one, other) for one, other in pairwise(self.line))


NoRoute = Literal["not known", "no leg", "beside the article", "one point"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unrouted:
    """Why a tie-down has no route; `missing` names the facts where they are *not known*."""

    tie_down: str
    why: NoRoute
    missing: tuple[Missing, ...] = ()


def point_of(position: Position) -> Vector:
    """The point of a position; a height not given is the deck's."""
    up_m = 0.0 if position.up_m is None else float(position.up_m)
    return (-float(position.from_front_m), float(position.left_m), up_m)


def box_of(article: Article, plan: Plan) -> Box | tuple[Missing, ...]:
    """The article's box, on the deck or on top of what it stands on; else what is not known."""
    sizes = {"length": article.length, "width": article.width, "height": article.height}
    missing = tuple(
        Missing(field=name, about=article.id) for name, size in sizes.items() if size is None
    )
    if article.at is None:
        missing = (*missing, Missing(field="at", about=article.id))
    base_m = 0.0
    if article.on != "deck":
        below = box_of(next(one for one in plan.articles if one.id == article.on), plan)
        if isinstance(below, tuple):
            return (*missing, *below)
        base_m = below.high[2]
    if missing or article.at is None:
        return missing
    length_m, width_m, height_m = (float(size.si) for size in sizes.values() if size is not None)
    front, middle, _ = point_of(article.at)
    return Box(
        article=article.id,
        low=(front - length_m, middle - width_m / 2, base_m),
        high=(front, middle + width_m / 2, base_m + height_m),
    )


def boxes_of(plan: Plan) -> dict[str, Box]:
    """The boxes that are known, by article."""
    found = ((article.id, box_of(article, plan)) for article in plan.articles)
    return {article_id: box for article_id, box in found if isinstance(box, Box)}


def centre_of_gravity(article: Article, box: Box) -> Vector:
    """As told, from the article's own front face, middle and base; else the middle of its box."""
    middle = tuple((low + high) / 2 for low, high in zip(box.low, box.high, strict=True))
    if article.cog is None:
        return (middle[0], middle[1], middle[2])
    return (
        box.high[0] - float(article.cog.back_m),
        middle[1] + float(article.cog.left_m),
        box.low[2] + float(article.cog.up_m),
    )


def route_of(tie_down: TieDown, plan: Plan) -> Route | Unrouted:
    """The route as told by `touches`, or for a tie-down over the top round the boxes it holds.

    Over the top the strap is taken as taut in the upright plane through both anchor points: it
    bends where the boxes push it outwards. A loop or spring asks for its touches.
    """
    ends = [tie_down.from_anchor]
    if tie_down.path is not Path.DIRECT:
        ends.append(tie_down.to)
    missing = list(_missing_ends(tie_down, ends, plan))
    if tie_down.path is None:
        missing.append(Missing(field="path", about=tie_down.id))
    if tie_down.touches is None and tie_down.path is not Path.OVER:
        missing.append(Missing(field="touches", about=tie_down.id))
    boxes: list[Box] = []
    for article in plan.articles:
        if article.id in tie_down.holds:
            box = box_of(article, plan)
            if isinstance(box, Box):
                boxes.append(box)
            elif tie_down.touches is None:
                missing.extend(box)
    if missing:
        return Unrouted(tie_down=tie_down.id, why="not known", missing=tuple(missing))
    anchors = [(one, point_of(place)) for one in ends if (place := _place(one, plan)) is not None]
    if tie_down.touches is None:
        points = _round_the_boxes(anchors[0][1], anchors[1][1], boxes)
        if isinstance(points, str):
            return Unrouted(tie_down=tie_down.id, why=points)
    else:
        points = [(_article_at(point, tie_down, boxes), point) for point in _touches(tie_down)]
        if not points:
            return Unrouted(tie_down=tie_down.id, why="no leg")
    return _route(tie_down, anchors, points)


def _missing_ends(tie_down: TieDown, ends: list[str | None], plan: Plan) -> tuple[Missing, ...]:
    missing = []
    for field, end in zip(("from", "to"), ends, strict=False):
        if end is None:
            missing.append(Missing(field=field, about=tie_down.id))
        elif _place(end, plan) is None:
            missing.append(Missing(field="at", about=end))
    return tuple(missing)


def _place(anchor_id: str | None, plan: Plan) -> Position | None:
    anchor = plan.anchor(anchor_id)
    return None if anchor is None else anchor.at


def _touches(tie_down: TieDown) -> list[Vector]:
    return [point_of(position) for position in tie_down.touches or ()]


def _article_at(point: Vector, tie_down: TieDown, boxes: list[Box]) -> str:
    """The held article nearest to a point."""

    def away(box: Box) -> float:
        return math.hypot(
            *(max(low - at, 0, at - high)
              for at, low, high in zip(point, box.low, box.high, strict=True))
        )  # fmt: skip

    return min(boxes, key=away).article if boxes else tie_down.holds[0]


def _round_the_boxes(
    start: Vector, end: Vector, boxes: list[Box]
) -> list[tuple[str, Vector]] | NoRoute:
    """The contacts of a taut strap over the boxes, in the upright plane through both anchors.

    `along` runs from 0 at the start to 1 at the end; the strap is the upper hull of the anchors and
    of the corners where the plane enters and leaves each box. The anchors stay first and last, also
    where a corner lies straight above or below one.
    """
    span = math.hypot(end[0] - start[0], end[1] - start[1])
    if span < SAME_POINT_M:
        return "one point"
    corners: list[tuple[float, float, str]] = []
    for box in boxes:
        crossing = _crossing(start, end, box)
        if crossing is not None:
            corners += [(along, box.high[2], box.article) for along in crossing]
    if not corners:
        return "beside the article"
    hull: list[tuple[float, float, str]] = [(0.0, start[2], "")]
    for corner in (*sorted(corners), (1.0, end[2], "")):
        while len(hull) > 1 and _is_under(hull[-2], hull[-1], corner):
            hull.pop()
        hull.append(corner)
    bends = [corner for corner in hull if corner[2]]
    if not bends:
        return "no leg"
    return [
        (
            article,
            (
                start[0] + along * (end[0] - start[0]),
                start[1] + along * (end[1] - start[1]),
                up,
            ),
        )
        for along, up, article in bends
    ]


def _crossing(start: Vector, end: Vector, box: Box) -> tuple[float, float] | None:
    """Where the plan view of the line from start to end enters and leaves the box; else None."""
    enters, leaves = 0.0, 1.0
    for axis in (0, 1):
        step = end[axis] - start[axis]
        if abs(step) < SAME_POINT_M:
            if not box.low[axis] - SAME_POINT_M <= start[axis] <= box.high[axis] + SAME_POINT_M:
                return None
            continue
        ends = sorted(((box.low[axis] - start[axis]) / step, (box.high[axis] - start[axis]) / step))
        enters, leaves = max(enters, ends[0]), min(leaves, ends[1])
    return (enters, leaves) if enters < leaves else None


def _is_under(
    before: tuple[float, float, str],
    here: tuple[float, float, str],
    after: tuple[float, float, str],
) -> bool:
    """Whether the middle point lies on or under the line of its neighbours."""
    rise = (after[1] - before[1]) * (here[0] - before[0])
    return (here[1] - before[1]) * (after[0] - before[0]) <= rise


def _route(
    tie_down: TieDown, anchors: list[tuple[str | None, Vector]], points: list[tuple[str, Vector]]
) -> Route | Unrouted:
    touched = [points[0]] if len(anchors) == 1 else [points[0], points[-1]]
    legs = tuple(
        Leg(anchor=anchor or "", anchor_at=anchor_at, article=article, cargo_at=cargo_at)
        for (anchor, anchor_at), (article, cargo_at) in zip(anchors, touched, strict=True)
    )
    if any(leg.length_m < SAME_POINT_M for leg in legs):
        return Unrouted(tie_down=tie_down.id, why="no leg")
    line = [anchors[0][1], *(point for _, point in points), *(at for _, at in anchors[1:])]
    contacts = tuple(
        Contact(article=article, at=point, turn_rad=_turn(line, number + 1))
        for number, (article, point) in enumerate(points)
    )
    return Route(
        tie_down=tie_down.id,
        legs=legs,
        contacts=contacts if len(anchors) == 2 else contacts[:-1],
        line=tuple(line),
        assumed=tie_down.touches is None,
    )


def _turn(line: list[Vector], number: int) -> float:
    """The angle by which the line bends at a point; 0 at its end or between points that meet."""
    if number + 1 >= len(line):
        return 0.0
    before = [here - there for here, there in zip(line[number], line[number - 1], strict=True)]
    after = [there - here for here, there in zip(line[number], line[number + 1], strict=True)]
    lengths = math.hypot(*before) * math.hypot(*after)
    if lengths < SAME_POINT_M**2:
        return 0.0
    cosine = sum(one * other for one, other in zip(before, after, strict=True)) / lengths
    return math.acos(max(-1.0, min(1.0, cosine)))


def articles_pierced(
    route: Route, plan: Plan, boxes: Mapping[str, Box] | None = None
) -> tuple[str, ...]:
    """The articles whose box a run goes through: such a route cannot be rigged as written.

    Where the touches are told, the article they touch is left out: a box is more than the article,
    and an attachment may well lie within it. `boxes` spares working them out again.
    """
    touched = {leg.article for leg in route.legs} | {one.article for one in route.contacts}
    allowed = set() if route.assumed else touched
    return tuple(
        article
        for article, box in (boxes_of(plan) if boxes is None else boxes).items()
        if article not in allowed
        and any(
            _inside_length_m(here, there, box) > PIERCED_M for here, there in pairwise(route.line)
        )
    )


def _inside_length_m(start: Vector, end: Vector, box: Box) -> float:
    """How far the straight line from start to end runs inside the box."""
    enters, leaves = 0.0, 1.0
    for axis in (0, 1, 2):
        step = end[axis] - start[axis]
        low, high = box.low[axis] + SAME_POINT_M, box.high[axis] - SAME_POINT_M
        if abs(step) < SAME_POINT_M:
            if not low < start[axis] < high:
                return 0.0
            continue
        ends = sorted(((low - start[axis]) / step, (high - start[axis]) / step))
        enters, leaves = max(enters, ends[0]), min(leaves, ends[1])
    return max(leaves - enters, 0.0) * math.dist(start, end)
