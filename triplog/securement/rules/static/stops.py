"""What stops an article at once: a stop at a distance holds only what has begun to move.

The front structure stands at the front of the deck, and what stands between it and an article hands
the push on. An article that is named as a stop stands where the plan has it. Of anything else that
is named (dunnage, a chock, a stake) the plan does not tell the place: it is taken to touch.
"""

from triplog.securement.equilibrium.scene import Block, Point
from triplog.securement.finding import Missing
from triplog.securement.geometry import Box, box_of, centre_of_gravity
from triplog.securement.model import Article, Direction, FrontStructure, Plan
from triplog.securement.rules.blocking import blocked, blocked_forward, by_front_structure
from triplog.securement.rules.static.assumed import static_figure
from triplog.securement.rules.static.loads import Load

TOWARDS: dict[Direction, tuple[float, float]] = {
    Direction.FORWARD: (1.0, 0.0),
    Direction.LEFT: (0.0, 1.0),
    Direction.REARWARD: (-1.0, 0.0),
    Direction.RIGHT: (0.0, -1.0),
}


def block_of(article: Article, box: Box, direction: Direction, plan: Plan) -> Block | None:
    """What is known to stop an article that way with a known force; a wall as high as the centre
    of gravity at most, and down at the base where nobody told its height."""
    force_n = block_n(article, direction, plan)
    if force_n is None or force_n <= 0.0:
        return None
    x, y = TOWARDS[direction]
    told = article.blocked[direction].up
    middle = centre_of_gravity(article, box)[2]
    up = box.low[2] if told is None else min(box.low[2] + float(told.si), middle)
    points: tuple[Point, ...]
    if x:
        at = box.high[0] if x > 0 else box.low[0]
        points = ((at, box.low[1], up), (at, box.high[1], up))
    else:
        at = box.high[1] if y > 0 else box.low[1]
        points = ((box.low[0], at, up), (box.high[0], at, up))
    return Block(
        id=f"{article.id} {direction}",
        body=article.id,
        normal=(-x, -y, 0.0),
        points_m=points,
        limit_n=force_n,
    )


def block_n(article: Article, direction: Direction, plan: Plan) -> float | None:
    """The force a stop is rated for; 0 where nothing stops it or only something further on, None
    where it is not known."""
    forward = direction is Direction.FORWARD
    stops = blocked_forward(article, plan) if forward else blocked(article, direction, plan)
    if stops is False:
        return 0.0
    block = article.blocked.get(direction)
    if not stops or block is None:
        return None
    apart = apart_m(article, direction, plan)
    if isinstance(apart, tuple):
        return None
    if apart > static_figure("stop-apart"):
        return 0.0
    if block.rated is not None:
        return float(block.rated.si)
    front = plan.vehicle.front_structure
    if forward and by_front_structure(article) and isinstance(front, FrontStructure):
        behind = sum(1 for one in plan.articles if by_front_structure(one))
        return None if front.rated is None else float(front.rated.si) / behind
    return None


def open_stops(load: Load, direction: Direction, plan: Plan) -> tuple[Missing, ...]:
    """What is not known of the stops of a load that way."""
    missing: list[Missing] = []
    for article in load.articles:
        force_n = block_n(article, direction, plan)
        block = article.blocked.get(direction)
        if force_n is None:
            apart = apart_m(article, direction, plan)
            stops = block is not None and blocked(article, direction, plan)
            asks = f"blocked.{direction}" + ("_rated" if stops else "")
            rated = (Missing(field=asks, about=article.id),)
            missing += apart if isinstance(apart, tuple) else rated
        elif force_n and block is not None and block.up is None:
            missing.append(Missing(field=f"blocked.{direction}_up", about=article.id))
    return tuple(missing)


def apart_m(article: Article, direction: Direction, plan: Plan) -> float | tuple[Missing, ...]:
    """How far the stop of an article is from it that way, 0 where it is taken to touch; else what
    is not known of where the stop is."""
    box = box_of(article, plan)
    block = article.blocked.get(direction)
    if not isinstance(box, Box) or block is None:
        return 0.0
    if direction is Direction.FORWARD and by_front_structure(article):
        return _behind_the_front_m(box, plan)
    others = {one.id.lower(): one for one in plan.articles if one.id != article.id}
    other = others.get(block.by.strip().lower())
    if other is None:
        return 0.0
    stop = box_of(other, plan)
    return max(0.0, _between_m(box, stop, direction)) if isinstance(stop, Box) else stop


def _between_m(box: Box, stop: Box, direction: Direction) -> float:
    """From the face of a box to the face of the one that stops it."""
    axis = 0 if direction in (Direction.FORWARD, Direction.REARWARD) else 1
    if direction in (Direction.FORWARD, Direction.LEFT):
        return stop.low[axis] - box.high[axis]
    return box.low[axis] - stop.high[axis]


def _behind_the_front_m(box: Box, plan: Plan) -> float:
    """The room between a box and the front of the deck, less what stands in it."""
    room, front = 0.0, box
    boxes = [one for each in plan.articles if isinstance(one := box_of(each, plan), Box)]
    while True:
        ahead = [
            one
            for one in boxes
            if one.low[0] >= front.high[0] - static_figure("stop-apart")
            and one.low[0] > front.low[0]
            and _faces(one, front)
        ]
        if not ahead:
            return room + max(0.0, -front.high[0])
        nearest = min(ahead, key=lambda one: one.low[0])
        room += max(0.0, nearest.low[0] - front.high[0])
        front = nearest


def _faces(one: Box, other: Box) -> bool:
    """Whether one stands in the other's way, over more than an edge."""
    return all(
        min(one.high[axis], other.high[axis]) - max(one.low[axis], other.low[axis])
        > static_figure("stop-apart")
        for axis in (1, 2)
    )


def stops_apart(load: Load, direction: Direction, plan: Plan) -> dict[str, float]:
    """The articles whose stop that way is too far off to count, and how far."""
    found = {}
    for article in load.articles:
        forward = direction is Direction.FORWARD
        stops = blocked_forward(article, plan) if forward else blocked(article, direction, plan)
        apart = apart_m(article, direction, plan)
        if stops and not isinstance(apart, tuple) and apart > static_figure("stop-apart"):
            found[article.id] = apart
    return found
