"""The deck from above, front at the top, with a handle beside it for each tie-down: for a thumb.

The handles stand in one column, in the order of the tie-downs from the front, each large enough to
be touched with a glove, and a line leads from each to where its tie-down lies. From above a height
is not needed: an article is drawn where its place, length and width are told, and a tie-down whose
way over the load is not known as a straight line between its anchor points.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from xml.sax.saxutils import quoteattr

from triplog.drawing.svg import Drawing, Point, hatching, line, polyline, rectangle, words
from triplog.securement.geometry import Route, Unrouted, Vector, point_of, route_of
from triplog.securement.model import Article, Plan, TieDown

_WIDTH, _MARGIN = 360.0, 14.0
_DECK_WIDTH = 190.0
_HANDLE_LEFT, _HANDLE_WIDTH, _HANDLE_HEIGHT, _HANDLE_STEP = 236.0, 110.0, 60.0, 68.0
_TOP = 34.0
_HEIGHT_PER_M_MAX = 90.0
_HALF_DECK_M, _DECK_M = 1.3, 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Deck:
    """The picture; None where the plan tells no place of anything on it.

    `unplaced`: the ids of the articles and tie-downs whose places the plan does not tell.
    """

    drawing: Drawing | None
    unplaced: tuple[str, ...]


def deck_to_touch(plan: Plan, title: str, front: str, told: str) -> Deck:
    """The deck; each handle is a link to `#` and the tie-down's id.

    `front` names the front of the deck; `told`, with `{name}` in it, is what a link says.
    """
    lines = {one.id: found for one in plan.tie_downs if (found := _seen_points(one, plan))}
    articles = {one.id: seen for one in plan.articles if (seen := _footprint(one))}
    named = [*(one.id for one in plan.articles), *(one.id for one in plan.tie_downs)]
    unplaced = tuple(one for one in named if one not in lines and one not in articles)
    if not lines and not articles:
        return Deck(drawing=None, unplaced=unplaced)
    order = sorted(plan.tie_downs, key=lambda one: (one.id not in lines, _back(lines.get(one.id))))
    half_m, back_m = _size(plan, [*lines.values(), *articles.values()])
    room = max(len(order) * _HANDLE_STEP, 240.0)
    across = _DECK_WIDTH / (2 * half_m)
    along = min(room / back_m, _HEIGHT_PER_M_MAX)

    def at(point: Vector) -> Point:
        """Back from the front is downwards; the left of the vehicle is on the left."""
        return (
            _MARGIN + _DECK_WIDTH / 2 - point[1] * across,
            _TOP - point[0] * along,
        )

    corners = {name: (at(low), at(high)) for name, (low, high) in articles.items()}
    height = _TOP + max(room, back_m * along) + _MARGIN
    parts = [
        words((_MARGIN, 20), front, size=15),
        rectangle(at((0, half_m, 0)), at((-back_m, -half_m, 0)), width=1.5),
        *(part for one in corners.values() for part in _article(*one)),
    ]
    for number, tie_down in enumerate(order):
        parts += _handle(tie_down, number, [at(one) for one in lines.get(tie_down.id, ())], told)
    parts += [part for name, one in corners.items() for part in _name(name, *one)]
    box = f"0 0 {_WIDTH:g} {height:g}"
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" role="group"'
        f' aria-label={quoteattr(title)} font-family="sans-serif" fill="none" stroke="black">'
        + "".join(parts)
        + "</svg>"
    )
    return Deck(drawing=Drawing(title=title, svg=svg, alt=title), unplaced=unplaced)


def _seen_points(tie_down: TieDown, plan: Plan) -> list[Vector]:
    """The points of a tie-down from end to end; none where the plan does not tell them."""
    route = route_of(tie_down, plan)
    if not isinstance(route, Unrouted):
        return _along(route)
    anchors = [plan.anchor(one) for one in (tie_down.from_anchor, tie_down.to)]
    ends = [point_of(one.at) for one in anchors if one is not None and one.at is not None]
    return ends if len(ends) == 2 else []


def _along(route: Route) -> list[Vector]:
    legs, contacts = route.legs, route.contacts
    if len(legs) == 2:
        return [legs[0].anchor_at, *(one.at for one in contacts), legs[1].anchor_at]
    return [legs[0].anchor_at, legs[0].cargo_at]


def _footprint(article: Article) -> tuple[Vector, Vector] | None:
    """Two opposite corners of an article as seen from above; None where they are not told."""
    if article.at is None or article.length is None or article.width is None:
        return None
    front, middle, _ = point_of(article.at)
    half_m = float(article.width.si) / 2
    return (front - float(article.length.si), middle - half_m, 0), (front, middle + half_m, 0)


def _back(points: list[Vector] | None) -> float:
    return 0.0 if not points else sum(-x for x, _, _ in points) / len(points)


def _size(plan: Plan, drawn: list[list[Vector] | tuple[Vector, Vector]]) -> tuple[float, float]:
    """Half the width and the length of what has to be seen, in metres."""
    vehicle = plan.vehicle
    half_m = _HALF_DECK_M if vehicle.deck_width is None else float(vehicle.deck_width.si) / 2
    back_m = _DECK_M if vehicle.deck_length is None else float(vehicle.deck_length.si)
    points = [point for one in drawn for point in one]
    return (
        max([half_m, *(abs(y) for _, y, _ in points)]),
        max([back_m, *(-x for x, _, _ in points)]),
    )


def _article(corner: Point, opposite: Point) -> Iterator[str]:
    yield from hatching(corner, opposite)
    yield rectangle(corner, opposite, width=2)


def _name(name: str, corner: Point, opposite: Point) -> Iterator[str]:
    """The name of an article, above the lines that cross it, and in nobody's way."""
    x, y = (corner[0] + opposite[0]) / 2, (corner[1] + opposite[1]) / 2
    half = max(len(name) * 5, 10)
    yield '<g pointer-events="none">'
    yield rectangle((x - half, y - 10), (x + half, y + 8), fill="white", stroke="none")
    yield words((x, y + 5), name, size=15, anchor="middle")
    yield "</g>"


def _handle(tie_down: TieDown, number: int, points: list[Point], told: str) -> list[str]:
    """A tie-down with its handle: the whole of it is the link."""
    top = _TOP + number * _HANDLE_STEP
    middle = top + _HANDLE_HEIGHT / 2
    parts = [polyline([one, other], width=5) for one, other in pairwise(points)]
    if points:
        nearest = max(points)
        parts.append(line(nearest, (_HANDLE_LEFT, middle), width=1.5, dashed=True))
    link = f"#{tie_down.id}"
    return [
        f"<a href={quoteattr(link)} aria-label={quoteattr(told.format(name=tie_down.id))}>",
        *parts,
        rectangle(
            (_HANDLE_LEFT, top),
            (_HANDLE_LEFT + _HANDLE_WIDTH, top + _HANDLE_HEIGHT),
            fill="white",
            width=3,
        ),
        words(
            (_HANDLE_LEFT + _HANDLE_WIDTH / 2, middle + 8), tie_down.id, size=24, anchor="middle"
        ),
        "</a>",
    ]
