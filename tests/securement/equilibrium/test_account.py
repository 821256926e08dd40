"""Every force at the value withstood, added up again by other means: worked out by us."""

import math
from random import Random

import pytest

from tests.securement.equilibrium.scenes import box, leg, limited, random_scene
from triplog.securement.equilibrium.account import Account, Balanced, account
from triplog.securement.equilibrium.scene import Block, Scene
from triplog.securement.equilibrium.withstands import Withstood, withstands

BATCH = 25
SAME = 1e-6
"""Sums and limits agree to this share of the whole weight."""


def told(seed: int) -> tuple[Scene, Withstood, Account] | None:
    """A scene of a seed with its value and account; None where it has no value that ends."""
    scene = random_scene(seed)
    heading = Random(seed).choice((0.0, math.pi / 2, math.pi, 3 * math.pi / 2, 0.7))
    value = withstands(scene, heading)
    found = account(scene, heading)
    if not isinstance(value, Withstood) or math.isinf(value.withstands_g):
        assert found is None
        return None
    assert found is not None, seed
    return scene, value, found


def sums(table: Balanced) -> list[float]:
    """Forces and moments of a table, written out."""
    added = [0.0] * 6
    for one in table.acting:
        x, y, z = (at - about for at, about in zip(one.at_m, table.about_m, strict=True))
        along, across, up = one.force_n
        moments = (y * up - z * across, z * along - x * up, x * across - y * along)
        for number, entry in enumerate((along, across, up, *moments)):
            added[number] += entry
    return added


def assert_in_balance(seed: int, scene: Scene, found: Account) -> None:
    weight = sum(body.weight_n for body in scene.bodies)
    assert found.balances, seed
    for balance in found.balances:
        assert balance.g == pytest.approx(found.g, abs=SAME), seed
        for table in balance.balanced:
            assert max(abs(entry) for entry in sums(table)) < SAME * weight * 10, seed
            for one in table.acting:
                if one.normal is None:
                    continue
                force = one.force_n
                normal = sum(a * b for a, b in zip(force, one.normal, strict=True))
                square = sum(entry * entry for entry in force) - normal * normal
                assert normal >= -SAME * weight, seed
                assert math.sqrt(max(0.0, square)) <= one.friction * normal + SAME * weight, seed
        for held in balance.held:
            assert held.newtons >= -SAME * weight, seed
            if held.most_n is not None and held.limit_n is not None:
                assert held.most_n <= held.limit_n + SAME * weight, (seed, held)
                assert held.newtons <= held.most_n + SAME * weight, (seed, held)
        told = [body for table in balance.balanced for body in table.bodies]
        assert len(set(told)) == len(told), seed
    if len(scene.bodies) > 1:
        apart = found.balances[-1]
        assert [one.bodies for one in apart.balanced] == [(body.id,) for body in scene.bodies]


@pytest.mark.parametrize("batch", range(8))
def test_all_forces_on_every_body_add_up_to_nothing_and_keep_to_their_limits(batch: int) -> None:
    answered = 0
    for seed in range(batch * BATCH, (batch + 1) * BATCH):
        answer = told(seed)
        if answer is None:
            continue
        scene, value, found = answer
        assert max(0.0, found.g) == pytest.approx(value.withstands_g, rel=1e-6, abs=1e-9), seed
        if value.withstands_g > 0.0:
            answered += 1
            assert_in_balance(seed, scene, found)
    assert answered > BATCH // 2


def summed_again(found: Account) -> float:
    """The closed sum from its parts."""
    one = found.summed
    assert one is not None
    for pull in one.pulled:
        if pull.lengthens_m is not None:
            assert pull.rate_n_per_m is not None
            pulled = pull.retained_n + pull.rate_n_per_m * pull.lengthens_m
            assert pull.tension_n == pytest.approx(max(0.0, pulled))
    if one.way == "slide":
        pressed = one.pressing_n + sum(pull.down * pull.tension_n for pull in one.pulled)
        held = one.friction * max(0.0, pressed) + one.stops_n
        return (held + sum(pull.back * pull.tension_n for pull in one.pulled)) / one.weight_n
    moment = one.pressing_n * one.reach_m + one.stops_n * one.stops_up_m
    moment += sum(pull.arm_m * pull.tension_n for pull in one.pulled)
    return moment / (one.weight_n * one.height_m) / one.square


def test_a_closed_sum_comes_out_at_its_value_from_its_parts() -> None:
    ways = set()
    for seed in range(300):
        answer = told(seed)
        if answer is None or answer[2].summed is None:
            continue
        _, _, found = answer
        assert found.summed is not None
        ways.add((found.summed.way, bool(found.summed.stops), bool(found.summed.movement)))
        assert summed_again(found) == pytest.approx(found.g, rel=1e-9, abs=1e-9), seed
        assert found.summed.g == pytest.approx(found.g, rel=1e-12), seed
    assert {("slide", False, True), ("tip", False, True), ("tip", True, False)} <= ways


def test_two_chains_alike_are_used_up_and_pull_what_they_are_said_to() -> None:
    # Each runs 2 m back and 1 m down: 2 / sqrt(5) of its tension back, 1 / sqrt(5) down.
    body = box(weight_n=50_000.0, size_m=(4.0, 2.0, 1.0), friction=0.2)
    chains = [
        limited(f"C{number}", 10_000.0, leg((2.0, y, 1.0), (0.0, y, 0.0)))
        for number, y in enumerate((-1.0, 1.0))
    ]
    found = account(Scene(bodies=(body,), straps=tuple(chains)), 0.0)
    assert found is not None
    back, down = 20_000 * 2 / math.sqrt(5), 20_000 / math.sqrt(5)
    assert found.g == pytest.approx((0.2 * (50_000 + down) + back) / 50_000)
    (balance,) = found.balances
    assert [one.newtons for one in balance.held] == [pytest.approx(10_000)] * 2
    (table,) = balance.balanced
    deck = [one for one in table.acting if one.kind == "contact"]
    assert sum(one.force_n[2] for one in deck) == pytest.approx(50_000 + down)
    assert sum(one.force_n[0] for one in deck) == pytest.approx(-0.2 * (50_000 + down))


def test_a_front_stop_shows_what_it_pushes_and_friction_the_rest() -> None:
    body = box(weight_n=50_000.0, size_m=(4.0, 2.0, 1.0), friction=0.2)
    stop = Block(
        id="stop",
        body="box",
        normal=(-1.0, 0.0, 0.0),
        points_m=((2.0, -1.0, 0.4), (2.0, 1.0, 0.4)),
        limit_n=15_000.0,
    )
    found = account(Scene(bodies=(body,), blocks=(stop,)), 0.0)
    assert found is not None
    assert found.g == pytest.approx(0.2 + 0.3)
    (held,) = found.balances[0].held
    assert held.newtons == pytest.approx(15_000)


def test_where_nothing_limits_it_there_is_nothing_to_add_up() -> None:
    body = box(size_m=(4.0, 2.0, 0.5))
    wall = Block(
        id="wall",
        body="box",
        normal=(-1.0, 0.0, 0.0),
        points_m=((2.0, -1.0, 0.25), (2.0, 1.0, 0.25)),
    )
    assert account(Scene(bodies=(body,), blocks=(wall,)), 0.0) is None
