"""A load as a scene of the envelope, under one set of assumptions."""

from collections.abc import Callable, Mapping

from triplog.securement.equilibrium.scene import Anchor, Block, Body, Leg, Point, Scene, Strap
from triplog.securement.finding import Missing
from triplog.securement.geometry import Box, Route, centre_of_gravity
from triplog.securement.model import Article, Direction, FrontStructure, Plan
from triplog.securement.rules.blocking import blocked, blocked_forward, by_front_structure
from triplog.securement.rules.static.assumed import Assumed, static_figure
from triplog.securement.rules.static.loads import Load, face_of
from triplog.securement.rules.static.tied import Tied

TOWARDS: dict[Direction, tuple[float, float]] = {
    Direction.FORWARD: (1.0, 0.0),
    Direction.LEFT: (0.0, 1.0),
    Direction.REARWARD: (-1.0, 0.0),
    Direction.RIGHT: (0.0, -1.0),
}


def scene_of(
    load: Load,
    ties: tuple[Tied, ...],
    plan: Plan,
    assumed: Assumed,
    *,
    friction: Mapping[str, float],
    tension_n: Callable[[Tied], float],
    near: int,
) -> Scene:
    """The scene; `friction` before it is divided; `near` is the leg taken to be beside the
    tensioner where the plan does not say which (0 from, 1 to)."""
    counted = [one for one in ties if one.route is not None]
    anchors = {name: limit for one in counted for name, limit in one.anchors_n.items()}
    return Scene(
        bodies=tuple(_body(one, load, assumed, friction[one.id]) for one in load.articles),
        straps=tuple(
            strap
            for one in counted
            if (strap := _strap(one, assumed, tension_n(one), near)) is not None
        ),
        blocks=tuple(
            block
            for article in load.articles
            for direction in Direction
            if (block := _block(article, load.boxes[article.id], direction, plan)) is not None
        ),
        faces=tuple(
            face_of(load.boxes[one], load.boxes[two], axis, assumed.face_friction)
            for one, two, axis in load.faces
        ),
        anchors=tuple(Anchor(id=name, limit_n=limit) for name, limit in anchors.items()),
    )


def _body(article: Article, load: Load, assumed: Assumed, friction: float) -> Body:
    box = load.boxes[article.id]
    assert article.mass is not None
    return Body(
        id=article.id,
        weight_n=float(article.mass.si) * assumed.gravity_m_s2,
        cog_m=centre_of_gravity(article, box),
        base_m=tuple(
            (x, y, box.low[2]) for x in (box.low[0], box.high[0]) for y in (box.low[1], box.high[1])
        ),
        friction=friction / assumed.friction_divided_by,
        vertical_factor=assumed.vertical_factor,
        on=None if article.on == "deck" else article.on,
    )


def _strap(one: Tied, assumed: Assumed, tension_n: float, near: int) -> Strap | None:
    """Over the top at its tension; else up to its limit. None: not tensioned at all."""
    route = one.route
    assert route is not None
    shares = _shares(one, route, assumed, near) if one.presses else [1.0] * len(route.legs)
    legs = tuple(
        Leg(
            body=leg.article,
            cargo_m=leg.cargo_at,
            anchor_m=leg.anchor_at,
            share=share,
            anchor=leg.anchor if leg.anchor in one.anchors_n else None,
        )
        for leg, share in zip(route.legs, shares, strict=True)
        if share > 0.0
    )
    name = one.tie_down.id
    if one.presses:
        return Strap(id=name, legs=legs, fixed_n=tension_n) if tension_n else None
    stretch_m = static_figure("elongation") * sum(leg.length_m for leg in route.legs)
    return Strap(
        id=name,
        legs=legs,
        limit_n=one.limit_n,
        retained_n=tension_n,
        rate_n_per_m=one.limit_n / stretch_m,
    )


def _shares(one: Tied, route: Route, assumed: Assumed, near: int) -> list[float]:
    """Each leg's tension over the tie-down's: whole beside the tensioner, its share beyond."""
    tie_down = one.tie_down
    if len(route.legs) == 1:
        return [1.0]
    if tie_down.tensioner_side == "both":
        return [1.0, 1.0]
    far = assumed.far_share
    if tie_down.far_side_share is not None:
        far = float(tie_down.far_side_share)
    sides = [leg.anchor_at[1] > 0 for leg in route.legs]
    if tie_down.tensioner_side is not None and sides[0] != sides[1]:
        near = sides.index(tie_down.tensioner_side == "left")
    return [1.0 if number == near else far for number in (0, 1)]


def side_matters(ties: tuple[Tied, ...]) -> bool:
    """Whether the plan leaves open which leg of a tie-down over the top has the tensioner."""
    return any(
        one.route is not None and one.presses and one.tie_down.tensioner_side is None
        for one in ties
    )


def _block(article: Article, box: Box, direction: Direction, plan: Plan) -> Block | None:
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
    """The force a stop is rated for; 0 where nothing stops it, None where it is not known."""
    forward = direction is Direction.FORWARD
    stops = blocked_forward(article, plan) if forward else blocked(article, direction, plan)
    if stops is False:
        return 0.0
    block = article.blocked.get(direction)
    if not stops or block is None:
        return None
    if block.rated is not None:
        return float(block.rated.si)
    front = plan.vehicle.front_structure
    if forward and by_front_structure(article) and isinstance(front, FrontStructure):
        behind = sum(1 for one in plan.articles if by_front_structure(one))
        return None if front.rated is None else float(front.rated.si) / behind
    return None


def open_stops(load: Load, direction: Direction, plan: Plan) -> tuple[Missing, ...]:
    """What is not known of the stops of a load that way."""
    missing = []
    for article in load.articles:
        force_n = block_n(article, direction, plan)
        block = article.blocked.get(direction)
        if force_n is None:
            stops = block is not None and blocked(article, direction, plan)
            asks = f"blocked.{direction}" + ("_rated" if stops else "")
            missing.append(Missing(field=asks, about=article.id))
        elif force_n and block is not None and block.up is None:
            missing.append(Missing(field=f"blocked.{direction}_up", about=article.id))
    return tuple(missing)
