"""What must hold for any scene of the envelope, and the exceptions found, each shown by name.

For the plain limit more friction, one more tie-down and a stronger part never make it worse.
For what is reported there are exceptions. From the first-limit value: one more tie-down may be
short and full early; a stronger one of the same elongation is stiffer and fills an anchor it
shares with others. From statics: a tie-down at a fixed tension may pull the wrong way or lift; a
low weight may kick out under a high stop.
"""

import math
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.securement.equilibrium.scenes import box, fixed, leg, limited, random_scene
from triplog.securement.equilibrium.scene import (
    Anchor,
    Block,
    Face,
    Leg,
    Point,
    Refusal,
    Scene,
    Strap,
)
from triplog.securement.equilibrium.withstands import Withstood, withstands

SLACK = 1e-9
seeds = st.integers(0, 100_000)
headings = st.floats(0.0, 6.28)


def _told(scene: Scene, heading_rad: float) -> Withstood | None:
    found = withstands(scene, heading_rad)
    return None if isinstance(found, Refusal) else found


def _no_worse(before: Withstood | None, after: Withstood | None, *names: str) -> None:
    """Each named value of a scene that stood before is no lower."""
    if before is None:
        return
    assert after is not None
    for name in names:
        least = getattr(before, name)
        room = 0.0 if math.isinf(least) else SLACK * (1 + least)
        assert getattr(after, name) >= least - room, name


@settings(max_examples=40, deadline=None)
@given(seeds, headings, st.floats(1.0, 3.0))
def test_more_friction_never_makes_it_worse(seed: int, heading: float, factor: float) -> None:
    scene = random_scene(seed)
    rougher = replace(
        scene,
        bodies=tuple(replace(body, friction=body.friction * factor) for body in scene.bodies),
    )
    _no_worse(
        _told(scene, heading),
        _told(rougher, heading),
        *("withstands_g", "plain_limit_g", "filtered_g", "elastic_g"),
    )


@settings(max_examples=40, deadline=None)
@given(seeds, headings, st.floats(0.1, 1.0), st.floats(-1.0, 1.0))
def test_one_more_limited_tie_down_never_lowers_what_equilibrium_allows(
    seed: int, heading: float, share: float, lean: float
) -> None:
    scene = random_scene(seed)
    body = scene.bodies[-1]
    point = body.base_m[0]
    more = limited(
        "one more",
        share * body.weight_n,
        leg((point[0], point[1], point[2] + 0.2), (point[0] + lean, 2.0, -0.1), body=body.id),
    )
    _no_worse(
        _told(scene, heading),
        _told(replace(scene, straps=(*scene.straps, more)), heading),
        *("plain_limit_g", "filtered_g"),
    )


@settings(max_examples=40, deadline=None)
@given(seeds, headings, st.floats(1.0, 3.0))
def test_a_stronger_part_as_stiff_as_before_never_makes_it_worse(
    seed: int, heading: float, factor: float
) -> None:
    scene = random_scene(seed)
    stronger = replace(
        scene,
        straps=tuple(
            strap if strap.limit_n is None else replace(strap, limit_n=strap.limit_n * factor)
            for strap in scene.straps
        ),
        anchors=tuple(replace(one, limit_n=one.limit_n * factor) for one in scene.anchors),
        blocks=tuple(
            one if one.limit_n is None else replace(one, limit_n=one.limit_n * factor)
            for one in scene.blocks
        ),
    )
    _no_worse(
        _told(scene, heading),
        _told(stronger, heading),
        *("withstands_g", "plain_limit_g", "filtered_g", "elastic_g"),
    )


@settings(max_examples=40, deadline=None)
@given(seeds, headings, st.floats(0.0, 1.0))
def test_a_lower_centre_of_gravity_never_makes_a_free_load_worse(
    seed: int, heading: float, factor: float
) -> None:
    """Single bodies without tie-downs or stops: those may act high up, see below."""
    scene = replace(random_scene(seed), straps=(), blocks=(), anchors=())
    scene = replace(scene, bodies=scene.bodies[:1], faces=())
    (body,) = scene.bodies
    x, y, z = body.cog_m
    base = body.base_m[0][2]
    lower = replace(body, cog_m=(x, y, base + factor * (z - base)))
    _no_worse(
        _told(scene, heading),
        _told(replace(scene, bodies=(lower,)), heading),
        *("withstands_g", "plain_limit_g", "filtered_g", "elastic_g"),
    )


def _mirrored(point: Point) -> Point:
    return (point[0], -point[1], point[2])


def _mirror_of(scene: Scene) -> Scene:
    """Left and right exchanged."""
    return Scene(
        bodies=tuple(
            replace(
                body,
                cog_m=_mirrored(body.cog_m),
                base_m=tuple(_mirrored(point) for point in body.base_m),
            )
            for body in scene.bodies
        ),
        straps=tuple(
            replace(strap, legs=tuple(_mirror_of_leg(one) for one in strap.legs))
            for strap in scene.straps
        ),
        blocks=tuple(_mirror_of_block(block) for block in scene.blocks),
        faces=tuple(_mirror_of_face(face) for face in scene.faces),
        anchors=scene.anchors,
    )


def _mirror_of_leg(one: Leg) -> Leg:
    return replace(one, cargo_m=_mirrored(one.cargo_m), anchor_m=_mirrored(one.anchor_m))


def _mirror_of_block(block: Block) -> Block:
    points = tuple(_mirrored(point) for point in block.points_m)
    return replace(block, normal=_mirrored(block.normal), points_m=points)


def _mirror_of_face(face: Face) -> Face:
    points = tuple(_mirrored(point) for point in face.points_m)
    return replace(face, normal=_mirrored(face.normal), points_m=points)


def _same(one: Withstood | None, other: Withstood | None) -> None:
    assert (one is None) == (other is None)
    if one is not None and other is not None:
        for name in ("withstands_g", "plain_limit_g", "filtered_g", "elastic_g"):
            assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-8, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(seeds, st.integers(0, 31))
def test_left_and_right_are_alike(seed: int, side: int) -> None:
    heading = math.tau * side / 32
    scene = random_scene(seed)
    _same(_told(scene, heading), _told(_mirror_of(scene), -heading))


@settings(max_examples=40, deadline=None)
@given(seeds, headings, st.randoms(use_true_random=False))
def test_the_order_of_tie_downs_does_not_matter(seed: int, heading: float, chance: Random) -> None:
    scene = random_scene(seed)
    straps = list(scene.straps)
    chance.shuffle(straps)
    _same(_told(scene, heading), _told(replace(scene, straps=tuple(straps)), heading))


def _in_other_units(scene: Scene, force: float, length: float) -> Scene:
    def at(point: Point) -> Point:
        return (point[0] * length, point[1] * length, point[2] * length)

    def of(newtons: float | None) -> float | None:
        return None if newtons is None else newtons * force

    def strap_of(strap: Strap) -> Strap:
        rate = strap.rate_n_per_m
        return replace(
            strap,
            legs=tuple(
                replace(one, cargo_m=at(one.cargo_m), anchor_m=at(one.anchor_m))
                for one in strap.legs
            ),
            fixed_n=of(strap.fixed_n),
            limit_n=of(strap.limit_n),
            retained_n=strap.retained_n * force,
            rate_n_per_m=None if rate is None else rate * force / length,
        )

    return Scene(
        bodies=tuple(
            replace(
                body,
                weight_n=body.weight_n * force,
                cog_m=at(body.cog_m),
                base_m=tuple(at(point) for point in body.base_m),
            )
            for body in scene.bodies
        ),
        straps=tuple(strap_of(strap) for strap in scene.straps),
        blocks=tuple(
            replace(
                block,
                points_m=tuple(at(point) for point in block.points_m),
                limit_n=of(block.limit_n),
            )
            for block in scene.blocks
        ),
        faces=tuple(
            replace(face, points_m=tuple(at(point) for point in face.points_m))
            for face in scene.faces
        ),
        anchors=tuple(replace(one, limit_n=one.limit_n * force) for one in scene.anchors),
    )


@settings(max_examples=40, deadline=None)
@given(seeds, headings)
def test_pounds_and_feet_give_the_same_g(seed: int, heading: float) -> None:
    """The factors of a pound-force in newtons and a metre in feet, upside down on purpose."""
    scene = random_scene(seed)
    _same(_told(scene, heading), _told(_in_other_units(scene, 1 / 4.4482216, 3.2808399), heading))


def test_exception_one_more_short_tie_down_may_be_full_before_the_long_ones_hold() -> None:
    body = box(size_m=(9.0, 2.4, 0.2), friction=0.0)

    def pair(long: float, limit_n: float) -> tuple[Strap, ...]:
        return tuple(
            limited(f"{long} {y}", limit_n, leg((4.5, y, 0.1), (4.5 - long, y, 0.1)))
            for y in (1.2, -1.2)
        )

    before = _told(Scene(bodies=(body,), straps=pair(4.0, 10000.0)), 0.0)
    after = _told(Scene(bodies=(body,), straps=(*pair(4.0, 10000.0), *pair(0.5, 500.0))), 0.0)
    assert before is not None and after is not None
    assert after.withstands_g < before.withstands_g
    assert (after.limited_by, after.plain_limit_g > before.plain_limit_g) == ("elastic", True)


def test_exception_a_stiffer_tie_down_may_fill_a_shared_anchor_before_the_others_pull() -> None:
    """One straight back, one askew, a side, on one rail: the askew one takes more of it."""
    body = box(size_m=(9.0, 2.4, 0.2), friction=0.0)
    rails = tuple(Anchor(id=f"rail {y}", limit_n=8000.0) for y in (1.2, -1.2))

    def scene(askew_n: float) -> Scene:
        ways = (("straight", 10000.0, 0.0), ("askew", askew_n, 3.0))
        straps = tuple(
            limited(
                f"{name} {y}",
                limit_n,
                leg((4.5, y, 0.1), (2.5, y * (1 + out), 0.1), anchor=f"rail {y}"),
            )
            for name, limit_n, out in ways
            for y in (1.2, -1.2)
        )
        return Scene(bodies=(body,), straps=straps, anchors=rails)

    weaker, stronger = _told(scene(4000.0), 0.0), _told(scene(40000.0), 0.0)
    assert weaker is not None and stronger is not None
    assert stronger.plain_limit_g >= weaker.plain_limit_g
    assert stronger.withstands_g < weaker.withstands_g
    assert stronger.limited_by == "elastic"


def test_exception_a_fixed_tie_down_that_pulls_the_way_of_the_movement_is_worse() -> None:
    alone = _told(Scene(bodies=(box(),)), 0.0)
    forwards = fixed("forwards", 3000.0, leg((1.5, 0.0, 0.5), (3.0, 0.0, 0.4)))
    pulled = _told(Scene(bodies=(box(),), straps=(forwards,)), 0.0)
    assert alone is not None and pulled is not None
    assert pulled.withstands_g < alone.withstands_g


def test_exception_a_lower_centre_of_gravity_may_be_worse_behind_a_high_stop() -> None:
    """A bar above the centre of gravity: the lower the weight, the sooner it kicks out below."""
    bar = Block(
        id="bar", body="box", normal=(-1.0, 0.0, 0.0), points_m=((0.6, 0.8, 1.4), (0.6, -0.8, 1.4))
    )

    def behind(high: float) -> float:
        body = box(size_m=(1.2, 2.0, 2.4), friction=0.3, cog_m=(0.0, 0.0, high))
        found = _told(Scene(bodies=(body,), blocks=(bar,)), 0.0)
        assert found is not None
        return found.withstands_g

    assert behind(0.6) < behind(1.2)
