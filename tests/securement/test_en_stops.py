"""Blocks under EN 12195-1: as rated, by the vehicle's walls, or open."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from tests.securement.en_plans import (
    TRAILER,
    UNBLOCKED,
    crate,
    dan,
    en_plan,
    judged,
    spread,
    steps_of,
)
from tests.securement.plans import force, mass
from triplog.securement.finding import Basis, Finding, Verdict
from triplog.securement.model import (
    Article,
    Block,
    Body,
    Direction,
    FrontStructure,
    Vehicle,
    WallCode,
    Walls,
)

FRICTION_DAN = 2943


def built(code: WallCode, **told: Any) -> Vehicle:
    facts: dict[str, Any] = {"payload": mass("27 t"), "body": Body.CURTAIN_SIDE, **told}
    return replace(TRAILER, walls=Walls(front=code, sides=code, rear=code), **facts)


def against(by: str, direction: Direction = Direction.FORWARD, **told: Any) -> Article:
    return crate(blocked={**UNBLOCKED, direction: Block(by=by, **told)})


def slid(article: Article, vehicle: Vehicle, direction: str = "forward", *more: Article) -> Finding:
    return judged(en_plan(article, vehicle=vehicle, more=more), "slide", direction)


@pytest.mark.parametrize(
    ("code", "direction", "holds_dan"),
    [
        ("EN 12642 L", Direction.FORWARD, 5000), ("EN 12642 L", Direction.REARWARD, 3100),
        ("EN 12642 XL", Direction.FORWARD, 0.5 * 26487),
        ("EN 12642 XL", Direction.REARWARD, 0.3 * 26487),
        ("EN 12642 XL", Direction.LEFT, 0.4 * 26487),
    ],
)  # fmt: skip
def test_a_wall_holds_what_its_code_says_of_the_payload(
    code: WallCode, direction: Direction, holds_dan: float
) -> None:
    heavy = replace(against("wall", direction), mass=mass("26 t"), friction=Decimal("0.1"))
    finding = slid(heavy, built(code), direction)
    assert dan(finding.provided) == pytest.approx(0.1 * 981 * 26 + holds_dan)
    told = [one for one in finding.inputs if one.name.startswith("walls.")]
    assert [one.basis for one in told] == [Basis.DEFAULT_TABLE]
    assert told[0].citation is not None and told[0].citation.source == "EN 12642"


@pytest.mark.parametrize("by", ["headboard", "front structure", "front wall"])
def test_a_headboard_is_the_front_wall(by: str) -> None:
    finding = slid(against(by), built("EN 12642 L"))
    assert dan(finding.provided) == pytest.approx(FRICTION_DAN + 5000)


def test_the_curtain_of_an_l_body_holds_nothing_and_its_sides_do() -> None:
    curtain = slid(against("wall", Direction.LEFT), built("EN 12642 L"), "left")
    assert dan(curtain.provided) == pytest.approx(FRICTION_DAN)
    assert "note.en-curtain" in steps_of(curtain)
    sides = built("EN 12642 L", body=Body.SIDED)
    held = slid(against("wall", Direction.LEFT), sides, "left")
    assert dan(held.provided) == pytest.approx(FRICTION_DAN + 0.3 * 26487)


def test_a_front_structure_s_own_rating_goes_before_the_code() -> None:
    rated = built("EN 12642 L", front_structure=FrontStructure(rated=force("1000 daN")))
    assert dan(slid(against("headboard"), rated).provided) == pytest.approx(FRICTION_DAN + 1000)


def test_what_the_plan_says_of_the_block_goes_before_all() -> None:
    rated = built("EN 12642 L", front_structure=FrontStructure(rated=force("1000 daN")))
    finding = slid(against("headboard", rated=force("50 daN")), rated)
    assert dan(finding.provided) == pytest.approx(FRICTION_DAN + 50)


def test_a_front_structure_the_vehicle_lacks_holds_nothing() -> None:
    finding = slid(against("headboard"), replace(TRAILER, front_structure="none"))
    assert dan(finding.provided) == pytest.approx(FRICTION_DAN)
    assert "note.en-no-front" in steps_of(finding)


def test_articles_that_lean_on_one_wall_share_it_by_mass() -> None:
    other = replace(against("wall"), id="B", mass=mass("30 t"))
    finding = slid(against("wall"), built("EN 12642 L"), "forward", other)
    assert dan(finding.provided) == pytest.approx(FRICTION_DAN + 5000 / 4)
    unweighed = slid(against("wall"), built("EN 12642 L"), "forward", replace(other, mass=None))
    assert unweighed.verdict is Verdict.CANNOT_TELL
    assert ("mass", "B") in [(one.field, one.about) for one in unweighed.unknown]


def test_what_the_structure_contains_leans_on_its_walls() -> None:
    contained = crate(blocked={}, contained=True)
    finding = slid(contained, built("EN 12642 XL"), "left")
    assert finding.verdict is Verdict.MEETS
    assert dan(finding.provided) == pytest.approx(FRICTION_DAN + 0.4 * 26487)


@pytest.mark.parametrize(
    ("by", "vehicle", "field"),
    [
        ("wall", TRAILER, "blocked.forward_rated"),
        ("wall", replace(TRAILER, walls=Walls(front="none")), "blocked.forward_rated"),
        ("wall", replace(built("EN 12642 L"), payload=None), "payload"),
        ("timber", TRAILER, "blocked.forward_rated"),
    ],
)
def test_a_block_of_unknown_force_leaves_it_open(by: str, vehicle: Vehicle, field: str) -> None:
    finding = slid(against(by), vehicle)
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in finding.unknown] == [field]
    assert finding.range is not None and finding.range.best is None


def test_ten_tonnes_of_empty_pallets_are_held_as_the_handbook_says() -> None:
    """Insurers' load-securing handbook 4.1.6, example 1: 12,186 daN for 7,848, upright legs.

    2,772 of those are the straps', which are not counted here where friction and block will do.
    """
    pallets = replace(
        against("headboard", rated=force("5000 daN")), friction=None,
        surfaces=("wooden pallet", "plywood"), wet=False,
    )  # fmt: skip
    finding = judged(en_plan(pallets, spread(11)), "slide", "forward")
    assert finding.verdict is Verdict.MEETS
    assert dan(finding.required) == pytest.approx(7848)
    assert dan(finding.provided) == pytest.approx(4414.5 + 5000)
    assert judged(en_plan(pallets, spread(11)), "slide", "left").verdict is Verdict.MEETS


def test_a_headboard_that_the_vehicle_does_not_have_holds_nothing_whatever_is_told_of_it() -> None:
    told = against("headboard", rated=force("90 kN"))
    assert slid(told, TRAILER).verdict is Verdict.MEETS
    bare = slid(told, replace(TRAILER, front_structure="none"))
    assert bare.verdict is Verdict.DOES_NOT_MEET
    assert dan(bare.provided) == pytest.approx(FRICTION_DAN)
    assert "note.en-no-front" in steps_of(bare)


def test_articles_that_lean_on_one_wall_share_what_is_told_of_it() -> None:
    """Two crates of 10 t on a headboard told to hold 90 kN: 4,500 daN each, beside friction."""
    first = against("headboard", rated=force("90 kN"))
    other = replace(first, id="B")
    shared = slid(first, TRAILER, "forward", other)
    assert shared.verdict is Verdict.DOES_NOT_MEET
    assert dan(shared.provided) == pytest.approx(FRICTION_DAN + 4500)


def test_an_article_that_stands_back_from_the_headboard_is_told_so() -> None:
    """The crate stands 1 m from the front of the deck."""
    told = slid(against("headboard", rated=force("90 kN")), TRAILER)
    assert "note.front-apart" in steps_of(told)
    beam = slid(against("cross beam", rated=force("90 kN")), TRAILER)
    assert "note.front-apart" not in steps_of(beam)
