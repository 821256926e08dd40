"""The deck with what stands on it and what holds it: from above and from the left side.

The front of the deck is at the left of both pictures. What has no place yet is named below the
picture with what is missing, never drawn where it might be.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from textwrap import wrap

from triplog.drawing.svg import (
    LINE_HEIGHT,
    Drawing,
    Point,
    circle,
    hatching,
    line,
    picture,
    polygon,
    polyline,
    rectangle,
    tag,
    words,
)
from triplog.securement.geometry import (
    Box,
    Contact,
    Route,
    Unrouted,
    Vector,
    box_of,
    centre_of_gravity,
    point_of,
    route_of,
)
from triplog.securement.model import Article, Direction, Plan, TieDown
from triplog.wording.pictures import (
    anchor_words,
    article_words,
    blocked_words,
    deck_title,
    legend,
    mark_words,
    not_drawn,
    tie_down_words,
    unloading_title,
    unrouted_words,
)

_WIDTH = 1000.0
_MARGIN = 46.0
_PIXELS_PER_M_MAX = 220.0
_LANES = 3
_LETTERS_MAX = 140
_RATING_ROOM, _ID_ROOM = 78.0, 26.0
_BAR, _ARROW = 9.0, 44.0
_GRID_FT, _GRID_M = 5.0, 1.0
_FOOT_M = 0.3048


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """A plan with the places of its things; `marks` are the verdicts that are not settled."""

    plan: Plan
    boxes: tuple[tuple[Article, Box], ...]
    routes: tuple[tuple[TieDown, Route], ...]
    marks: Mapping[str, str]
    below: tuple[str, ...]
    us: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _View:
    """Where metres of the deck come to lie on the picture."""

    scale: float
    left_m: float
    top: float
    top_m: float
    from_side: bool

    def at(self, point: Vector) -> Point:
        """From above: back from the front, and left downwards. From the side: up is up."""
        across = -point[2] if self.from_side else point[1]
        return (
            _MARGIN + (-point[0] - self.left_m) * self.scale,
            self.top + (across - self.top_m) * self.scale,
        )


def deck_from_above(plan: Plan, marks: Mapping[str, str]) -> Drawing:
    """The deck from above; `marks` tells by id of article or tie-down a verdict not settled."""
    return _deck(_seen(plan, marks), from_side=False)


def deck_from_the_side(plan: Plan, marks: Mapping[str, str]) -> Drawing:
    """The deck from its left side, with the centres of gravity."""
    return _deck(_seen(plan, marks), from_side=True)


def deck_in_unloading_order(
    plan: Plan, order: Mapping[str, tuple[int, str | None]], told: Iterable[str]
) -> Drawing:
    """The deck from above for whoever unloads: at which stop each article comes off.

    `order` by article: its stop, and the side it is taken from, None where nobody said. `told` are
    the first lines below.
    """
    seen = _seen(plan, {})
    seen = replace(seen, below=(*told, *seen.below))

    def numbers(view: _View) -> Iterator[str]:
        for article, box in seen.boxes:
            if article.id in order:
                yield from _stop_mark(box, *order[article.id], view)

    return _deck(seen, from_side=False, title=unloading_title(), over=numbers)


def _stop_mark(box: Box, number: int, side: str | None, view: _View) -> Iterator[str]:
    """The number of the stop in a ring, and an arrow towards the side it is taken from."""
    (left, top), (right, bottom) = view.at(box.high), view.at(box.low)
    left, right = sorted((left, right))
    top, bottom = sorted((top, bottom))
    x, y = (left + right) / 2, (top + bottom) / 2
    ways = {"left": (0.0, 1.0), "right": (0.0, -1.0), "rear": (1.0, 0.0)}
    if side in ways:
        way_x, way_y = ways[side]
        tip = (x + way_x * _ARROW, y + way_y * _ARROW)
        yield line((x, y), tip, width=4)
        back = (tip[0] - way_x * 12, tip[1] - way_y * 12)
        yield polygon(
            (
                (tip[0] + way_x * 6, tip[1] + way_y * 6),
                (back[0] - way_y * 8, back[1] + way_x * 8),
                (back[0] + way_y * 8, back[1] - way_x * 8),
            ),
            width=4,
        )
    yield circle((x, y), 15, fill="white", width=3)
    yield words((x, y + 6), str(number), size=18, anchor="middle")


def _seen(plan: Plan, marks: Mapping[str, str]) -> _Seen:
    boxes, routes, below = [], [], []
    for article in plan.articles:
        box = box_of(article, plan)
        if isinstance(box, Box):
            boxes.append((article, box))
        else:
            below.append(not_drawn(article.id, box))
    for tie_down in plan.tie_downs:
        route = route_of(tie_down, plan)
        if isinstance(route, Unrouted):
            below.append(unrouted_words(route))
        else:
            routes.append((tie_down, route))
    for article in plan.articles:
        for direction, block in article.blocked.items():
            if block.by != "nothing":
                below.append(blocked_words(article.id, str(direction), block.by))
    alike: dict[str, list[str]] = {}
    for about, verdict in marks.items():
        alike.setdefault(verdict, []).append(about)
    below += [mark_words(abouts, verdict) for verdict, abouts in alike.items()]
    given = plan.vehicle.deck_length or next((one.length for one in plan.articles), None)
    return _Seen(
        plan=plan,
        boxes=tuple(boxes),
        routes=tuple(routes),
        marks=marks,
        below=tuple(below),
        us=given is not None and given.is_us,
    )


def _deck(
    seen: _Seen,
    *,
    from_side: bool,
    title: str | None = None,
    over: Callable[[_View], Iterable[str]] = lambda _: (),
) -> Drawing:
    """The picture; `over` draws what lies above everything else."""
    view, height = _view(seen, from_side=from_side)
    title = title or deck_title(from_side=from_side)
    below = [
        line
        for text in (*legend(from_side=from_side), *seen.below)
        for line in wrap(text, _LETTERS_MAX)
    ]
    parts = [
        words((_MARGIN, 20), title, size=14),
        *_floor(seen, view),
        *(part for article, box in seen.boxes for part in _article(article, box, seen, view)),
        *_anchors(seen.plan, view),
        *(
            part
            for number, (tie_down, route) in enumerate(seen.routes)
            for part in _tie_down(tie_down, route, number, seen, view)
        ),
        *(part for article, box in seen.boxes for part in _name(article, box, view)),
        *over(view),
        *(
            words((_MARGIN, height + LINE_HEIGHT * (number + 1)), text)
            for number, text in enumerate(below)
        ),
    ]
    return picture(_WIDTH, height + LINE_HEIGHT * (len(below) + 1), parts, title, _told(seen))


def _told(seen: _Seen) -> list[str]:
    return [
        *(article_words(article) for article, _ in seen.boxes),
        *(tie_down_words(tie_down) for tie_down, _ in seen.routes),
        *seen.below,
    ]


def _view(seen: _Seen, *, from_side: bool) -> tuple[_View, float]:
    """The view that holds everything, and the height it takes."""
    points = list(_points(seen))
    backs = [-x for x, _, _ in points]
    scale = min((_WIDTH - 2 * _MARGIN) / max(max(backs) - min(backs), 0.5), _PIXELS_PER_M_MAX)
    across = [-z if from_side else y for _, y, z in points]
    view = _View(scale=scale, left_m=min(backs), top=80.0, top_m=min(across), from_side=from_side)
    return view, 80.0 + (max(across) - min(across)) * scale + 56.0


def _points(seen: _Seen) -> Iterator[Vector]:
    vehicle = seen.plan.vehicle
    half_m = 0.5 if vehicle.deck_width is None else float(vehicle.deck_width.si) / 2
    back_m = 1.0 if vehicle.deck_length is None else float(vehicle.deck_length.si)
    yield from ((0.0, half_m, 0.0), (-back_m, -half_m, 0.0), (0.0, 0.0, 0.5))
    for anchor in seen.plan.anchors:
        if anchor.at is not None:
            yield point_of(anchor.at)
    for _, box in seen.boxes:
        yield from (box.low, box.high)
    for _, route in seen.routes:
        yield from (leg.cargo_at for leg in route.legs)


def _floor(seen: _Seen, view: _View) -> list[str]:
    """The deck, and a scale along it: every 5 ft, or every metre."""
    vehicle = seen.plan.vehicle
    parts: list[str] = []
    if vehicle.deck_length is not None:
        back_m = float(vehicle.deck_length.si)
        if view.from_side:
            parts.append(line(view.at((0, 0, 0)), view.at((-back_m, 0, 0)), width=3))
        elif vehicle.deck_width is not None:
            half_m = float(vehicle.deck_width.si) / 2
            parts.append(
                rectangle(view.at((0, -half_m, 0)), view.at((-back_m, half_m, 0)), width=1.5)
            )
    step_m, unit = (_GRID_FT * _FOOT_M, "ft") if seen.us else (_GRID_M, "m")
    step = _GRID_FT if seen.us else _GRID_M
    furthest_m = max(-x for x, _, _ in _points(seen))
    for number in range(int(furthest_m / step_m + 1e-9) + 1):
        x, _ = view.at((-number * step_m, 0, 0))
        parts.append(line((x, 44), (x, 50)))
        parts.append(words((x, 40), f"{number * step:g} {unit}", size=10, anchor="middle"))
    return parts


def _article(article: Article, box: Box, seen: _Seen, view: _View) -> list[str]:
    corner, opposite = view.at(box.high), view.at(box.low)
    parts = [rectangle(corner, opposite, width=2)]
    if article.id in seen.marks:
        parts += hatching(corner, opposite)
    if view.from_side:
        centre = view.at(centre_of_gravity(article, box))
        parts += [
            circle(centre, 5),
            line((centre[0] - 8, centre[1]), (centre[0] + 8, centre[1])),
            line((centre[0], centre[1] - 8), (centre[0], centre[1] + 8)),
        ]
    for direction, block in article.blocked.items():
        if block.by != "nothing":
            parts += _bar(direction, corner, opposite, from_side=view.from_side)
    return parts


def _name(article: Article, box: Box, view: _View) -> list[str]:
    """The article's id in the front corner of its box, where no tie-down's own stands."""
    corner, opposite = view.at(box.high), view.at(box.low)
    return tag((min(corner[0], opposite[0]) + 14, max(corner[1], opposite[1]) - 12), article.id)


def _bar(direction: Direction, corner: Point, opposite: Point, *, from_side: bool) -> list[str]:
    """A hatched bar along the face that is blocked; left and right are not seen from the side."""
    left, right = sorted((corner[0], opposite[0]))
    top, bottom = sorted((corner[1], opposite[1]))
    faces = {
        Direction.FORWARD: ((left - _BAR, top), (left, bottom)),
        Direction.REARWARD: ((right, top), (right + _BAR, bottom)),
        Direction.RIGHT: ((left, top - _BAR), (right, top)),
        Direction.LEFT: ((left, bottom), (right, bottom + _BAR)),
    }
    if from_side and direction in (Direction.LEFT, Direction.RIGHT):
        return []
    first, last = faces[direction]
    return [rectangle(first, last), *hatching(first, last)]


def _anchors(plan: Plan, view: _View) -> Iterator[str]:
    """Each anchor point with its id; with its rating too where there is room, else in two rows."""
    shown = [
        (anchor, view.at(point_of(anchor.at)), view.from_side or anchor.at.left_m > 0)
        for anchor in plan.anchors
        if anchor.at is not None and not (view.from_side and anchor.at.left_m < 0)
    ]
    for below in (True, False):
        row = sorted(
            ((at, anchor) for anchor, at, is_below in shown if is_below is below),
            key=lambda one: one[0],
        )
        ends = [at[0] for at, _ in row]
        apart = min((there - here for here, there in pairwise(ends)), default=_WIDTH)
        for number, ((x, y), anchor) in enumerate(row):
            yield circle((x, y), 4, fill="black")
            away = 18.0 if below else 9.0
            if apart < _ID_ROOM and number % 2:
                away += 12
            yield words(
                (x, y + away if below else y - away),
                anchor_words(anchor) if apart >= _RATING_ROOM else anchor.id,
                size=11,
                anchor="middle",
            )


def _tie_down(tie_down: TieDown, route: Route, number: int, seen: _Seen, view: _View) -> list[str]:
    points: list[Vector] = [route.legs[0].anchor_at, route.legs[0].cargo_at]
    if len(route.legs) == 2:
        points = [points[0], *(one.at for one in route.contacts), route.legs[1].anchor_at]
    # What lies behind from the side would fill the gaps of a dashed line.
    seen_points = list(dict.fromkeys(view.at(one) for one in points))
    parts = [polyline(seen_points, width=3, dashed=tie_down.id in seen.marks)]
    parts += _protectors(tie_down, route.contacts, view)
    first, last = view.at(points[0]), view.at(points[-1])
    if view.from_side:
        first, last = view.at(points[0]), view.at(points[1])
    share = (number % _LANES + 1) / (_LANES + 1)
    middle = (first[0] + (last[0] - first[0]) * share, first[1] + (last[1] - first[1]) * share)
    return [*parts, *tag(middle, tie_down.id)]


def _protectors(tie_down: TieDown, contacts: Iterable[Contact], view: _View) -> Iterator[str]:
    """A filled square for each protector fitted, an open one where one is needed and missing."""
    protection = tie_down.edge_protection
    fitted = 0 if protection is None else protection.fitted or 0
    needed = 0 if protection is None else protection.needed or 0
    for number, contact in enumerate(contacts):
        if number >= max(fitted, needed):
            return
        x, y = view.at(contact.at)
        fill = "black" if number < fitted else "white"
        yield rectangle((x - 5, y - 5), (x + 5, y + 5), fill=fill, width=1.5)
