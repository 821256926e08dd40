"""The kernel against a general-purpose solver (scipy's HiGHS), on seeded random scenes.

Single bodies, stacks and rows, with tie-downs over the top, direct, looped back and round a face,
shared anchors and stops. An agreement of two programs, not a published figure.
"""

import math
from dataclasses import replace
from random import Random

import pytest

from tests.securement.equilibrium.oracle import plain_limit_g
from tests.securement.equilibrium.scenes import random_scene
from triplog.securement.equilibrium.scene import Refusal, Scene, Strap
from triplog.securement.equilibrium.withstands import withstands

BATCH = 50
BOUNDLESS_G = 100.0


def _heading(seed: int) -> float:
    chance = Random(-seed)
    return chance.choice((0.0, math.pi / 2, math.pi, 3 * math.pi / 2, chance.uniform(0.0, 6.2)))


def _agrees(seed: int) -> bool:
    """Look at one scene; whether a value was given."""
    scene, heading = random_scene(seed), _heading(seed)
    told = withstands(scene, heading)
    if isinstance(told, Refusal):
        assert told.reason == "does-not-stand", (seed, told)
        assert math.isnan(plain_limit_g(scene, heading, at_rest=True)), seed
        return False
    reference = max(0.0, plain_limit_g(scene, heading))
    assert told.withstands_g <= told.filtered_g <= told.plain_limit_g, seed
    assert told.withstands_g <= told.elastic_g, seed
    if reference > BOUNDLESS_G:
        assert math.isinf(told.plain_limit_g), seed
        return True
    assert told.plain_limit_g == pytest.approx(reference, rel=1e-7, abs=1e-9), seed
    assert told.withstands_g <= reference * (1 + 1e-7) + 1e-9, seed
    return True


@pytest.mark.parametrize("batch", range(2))
def test_the_plain_limit_is_the_reference_solvers(batch: int) -> None:
    given = sum(_agrees(seed) for seed in range(batch * BATCH, (batch + 1) * BATCH))
    assert given > BATCH / 2, "most scenes stand"


@pytest.mark.long
@pytest.mark.parametrize("batch", range(2, 32))
def test_the_plain_limit_is_the_reference_solvers_on_many_more(batch: int) -> None:
    given = sum(_agrees(seed) for seed in range(batch * BATCH, (batch + 1) * BATCH))
    assert given > BATCH / 2, "most scenes stand"


@pytest.mark.parametrize("sides", [4, 8, 16, 64])
def test_the_reference_solver_agrees_for_every_cone(sides: int) -> None:
    for seed in range(200, 210):
        told = withstands(random_scene(seed), 1.0, cone_sides=sides)
        if not isinstance(told, Refusal):
            reference = max(0.0, plain_limit_g(random_scene(seed), 1.0, sides))
            assert told.plain_limit_g == pytest.approx(reference, rel=1e-7, abs=1e-9), seed


def _slackened(strap: Strap, heading_rad: float) -> Strap:
    """A tie-down that a straight slide does not lengthen, limited to what it retains."""
    lengthened = 0.0
    for one in strap.legs:
        run = math.dist(one.cargo_m, one.anchor_m)
        forward = (one.anchor_m[0] - one.cargo_m[0]) / run
        left = (one.anchor_m[1] - one.cargo_m[1]) / run
        lengthened -= one.share * (forward * math.cos(heading_rad) + left * math.sin(heading_rad))
    if strap.fixed_n is not None or lengthened > 1e-9:
        return strap
    return replace(strap, limit_n=strap.retained_n)


def _filtered_alike(seed: int) -> bool:
    """Look at one body or one row without a stop; whether the filter took anything away."""
    scene, heading = random_scene(seed), _heading(seed)
    told = withstands(scene, heading)
    if scene.blocks or any(body.on for body in scene.bodies) or isinstance(told, Refusal):
        return False
    slack: Scene = replace(
        scene, straps=tuple(_slackened(strap, heading) for strap in scene.straps)
    )
    reference = max(0.0, plain_limit_g(slack, heading))
    assert told.filtered_g == pytest.approx(reference, rel=1e-7, abs=1e-9), seed
    return told.filtered_g < told.plain_limit_g * (1 - 1e-6)


def test_the_filtered_limit_is_the_solvers_with_slackened_straps_at_what_they_retain() -> None:
    filtered = sum(_filtered_alike(seed) for seed in range(300, 400))
    assert filtered > 5, "the filter takes something away in some scenes"
