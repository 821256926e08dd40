"""The deck from above, front at the top, with a handle beside it for each tie-down: for a thumb.

The handles stand in one column, in the order of the tie-downs from the front, each large enough to
be touched with a glove, and a line leads from each to where its tie-down lies.
"""

from collections.abc import Callable, Iterator
from itertools import pairwise
from xml.sax.saxutils import quoteattr

from triplog.drawing.svg import Drawing, Point, hatching, line, polyline, rectangle, words
from triplog.securement.geometry import Box, Route, Unrouted, Vector, box_of, route_of
from triplog.securement.model import Article, Plan, TieDown

_WIDTH, _MARGIN = 360.0, 14.0
_DECK_WIDTH = 190.0
_HANDLE_LEFT, _HANDLE_WIDTH, _HANDLE_HEIGHT, _HANDLE_STEP = 236.0, 110.0, 60.0, 68.0
_TOP = 34.0
_HEIGHT_PER_M_MAX = 90.0
_HALF_DECK_M, _DECK_M = 1.3, 2.0


def deck_to_touch(plan: Plan, title: str, front: str, told: str) -> Drawing:
    """The picture; each handle is a link to `#` and the tie-down's id.

    `front` names the front of the deck; `told`, with `{name}` in it, is what a link says.
    """
    routes = {one.id: route_of(one, plan) for one in plan.tie_downs}
    lines = {
        name: _seen_points(route)
        for name, route in routes.items()
        if not isinstance(route, Unrouted)
    }
    order = sorted(plan.tie_downs, key=lambda one: (one.id not in lines, _back(lines.get(one.id))))
    half_m, back_m = _size(plan, lines)
    room = max(len(order) * _HANDLE_STEP, 240.0)
    across = _DECK_WIDTH / (2 * half_m)
    along = min(room / back_m, _HEIGHT_PER_M_MAX)

    def at(point: Vector) -> Point:
        """Back from the front is downwards; the left of the vehicle is on the left."""
        return (
            _MARGIN + _DECK_WIDTH / 2 - point[1] * across,
            _TOP - point[0] * along,
        )

    height = _TOP + max(room, back_m * along) + _MARGIN
    parts = [
        words((_MARGIN, 20), front, size=15),
        rectangle(at((0, half_m, 0)), at((-back_m, -half_m, 0)), width=1.5),
        *(part for one in plan.articles for part in _article(one, plan, at)),
    ]
    for number, tie_down in enumerate(order):
        parts += _handle(tie_down, number, [at(one) for one in lines.get(tie_down.id, ())], told)
    parts += [part for one in plan.articles for part in _name(one, plan, at)]
    box = f"0 0 {_WIDTH:g} {height:g}"
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" role="group"'
        f' aria-label={quoteattr(title)} font-family="sans-serif" fill="none" stroke="black">'
        + "".join(parts)
        + "</svg>"
    )
    return Drawing(title=title, svg=svg, alt=title)


def _seen_points(route: Route) -> list[Vector]:
    legs, contacts = route.legs, route.contacts
    if len(legs) == 2:
        return [legs[0].anchor_at, *(one.at for one in contacts), legs[1].anchor_at]
    return [legs[0].anchor_at, legs[0].cargo_at]


def _back(points: list[Vector] | None) -> float:
    return 0.0 if not points else sum(-x for x, _, _ in points) / len(points)


def _size(plan: Plan, lines: dict[str, list[Vector]]) -> tuple[float, float]:
    """Half the width and the length of what has to be seen, in metres."""
    vehicle = plan.vehicle
    half_m = _HALF_DECK_M if vehicle.deck_width is None else float(vehicle.deck_width.si) / 2
    back_m = _DECK_M if vehicle.deck_length is None else float(vehicle.deck_length.si)
    points = [point for one in lines.values() for point in one]
    for article in plan.articles:
        box = box_of(article, plan)
        if isinstance(box, Box):
            points += [box.low, box.high]
    return (
        max([half_m, *(abs(y) for _, y, _ in points)]),
        max([back_m, *(-x for x, _, _ in points)]),
    )


def _article(article: Article, plan: Plan, at: Callable[[Vector], Point]) -> Iterator[str]:
    box = box_of(article, plan)
    if not isinstance(box, Box):
        return
    corner, opposite = at(box.low), at(box.high)
    yield from hatching(corner, opposite)
    yield rectangle(corner, opposite, width=2)


def _name(article: Article, plan: Plan, at: Callable[[Vector], Point]) -> Iterator[str]:
    """Its name, above the lines that cross it, and in nobody's way."""
    box, name = box_of(article, plan), article.id
    if not isinstance(box, Box):
        return
    corner, opposite = at(box.low), at(box.high)
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
