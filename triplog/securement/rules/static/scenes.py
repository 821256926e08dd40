"""A load as a scene of the envelope, under one set of assumptions."""

from collections.abc import Callable, Mapping

from triplog.securement.equilibrium.scene import Anchor, Body, Leg, Scene, Strap
from triplog.securement.geometry import Route, centre_of_gravity
from triplog.securement.model import Article, Direction, Plan
from triplog.securement.rules.static.assumed import Assumed, static_figure
from triplog.securement.rules.static.loads import Load, face_of
from triplog.securement.rules.static.stops import block_of
from triplog.securement.rules.static.tied import Tied


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
            if (block := block_of(article, load.boxes[article.id], direction, plan)) is not None
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
