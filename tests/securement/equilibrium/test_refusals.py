"""What cannot be worked with is refused by name; what only looks odd gets its right number."""

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from tests.securement.equilibrium.scenes import box, face_between, fixed, leg, limited
from triplog.securement.equilibrium import simplex
from triplog.securement.equilibrium.scene import (
    Anchor,
    Block,
    Point,
    Refusal,
    Scene,
)
from triplog.securement.equilibrium.withstands import Withstood, polar, withstands

DOWN = leg((0.0, 1.2, 1.2), (0.0, 1.4, 0.0))
STRAP = limited("strap", 5000.0, DOWN, retained_n=100.0)
STOP = Block(
    id="stop", body="box", normal=(-1.0, 0.0, 0.0), points_m=((1.5, 0.0, 0.1),), limit_n=100.0
)
BASE = box().base_m


def _with(**changes: Any) -> Scene:
    return Scene(bodies=(replace(box(), **changes),))


def _tied(**changes: Any) -> Scene:
    return Scene(bodies=(box(),), straps=(replace(STRAP, **changes),))


def _stopped(**changes: Any) -> Scene:
    return Scene(bodies=(box(),), blocks=(replace(STOP, **changes),))


def _moved(base: tuple[Point, ...], rise: float) -> tuple[Point, ...]:
    (x, y, z), *others = base
    return ((x, y, z + rise), *others)


NAN, LINE = math.nan, ((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (2.0, 0.0, 0.0))
REFUSED: dict[str, tuple[Scene, str, tuple[str, ...]]] = {
    "no body": (Scene(bodies=()), "no-body", ()),
    "two of one name": (Scene(bodies=(box(), box())), "doubled-id", ("box",)),
    "no weight": (_with(weight_n=0.0), "weight-not-positive", ("box",)),
    "weight unknown": (_with(weight_n=NAN), "not-a-number", ("box",)),
    "endless weight": (_with(weight_n=math.inf), "not-a-number", ("box",)),
    "nothing presses": (_with(vertical_factor=0.0), "vertical-factor-not-positive", ("box",)),
    "friction below zero": (_with(friction=-0.1), "friction-negative", ("box",)),
    "no base": (_with(base_m=()), "base-without-area", ("box",)),
    "one point": (_with(base_m=(BASE[0],) * 4), "base-without-area", ("box",)),
    "base on a line": (_with(base_m=LINE), "base-without-area", ("box",)),
    "one corner up": (_with(base_m=_moved(BASE, 0.1)), "base-not-level", ("box",)),
    "negative height": (
        _with(cog_m=(0.0, 0.0, -0.5)),
        "centre-of-gravity-below-base",
        ("box",),
    ),
    "weight beside the base": (_with(cog_m=(1.6, 0.0, 0.5)), "does-not-stand", ("box",)),
    "strap on nothing": (_tied(legs=()), "strap-without-legs", ("strap",)),
    "coincident points": (
        _tied(legs=(replace(DOWN, anchor_m=DOWN.cargo_m),)),
        "leg-without-length",
        ("strap",),
    ),
    "strap on another load": (
        _tied(legs=(replace(DOWN, body="b"),)),
        "unknown-body",
        ("strap", "b"),
    ),
    "strap to no anchor": (
        _tied(legs=(replace(DOWN, anchor="L1"),)),
        "unknown-anchor",
        ("strap", "L1"),
    ),
    "leg without share": (
        _tied(legs=(replace(DOWN, share=0.0),)),
        "share-not-positive",
        ("strap",),
    ),
    "leg nowhere": (_tied(legs=(replace(DOWN, share=NAN),)), "not-a-number", ("strap",)),
    "fixed and limited": (_tied(fixed_n=5.0), "strap-neither-fixed-nor-limited", ("strap",)),
    "neither": (_tied(limit_n=None), "strap-neither-fixed-nor-limited", ("strap",)),
    "pushing strap": (_tied(retained_n=-1.0), "tension-negative", ("strap",)),
    "strap holds nothing": (_tied(limit_n=0.0, retained_n=0.0), "limit-not-positive", ("strap",)),
    "tighter than it holds": (_tied(retained_n=5001.0), "retained-over-limit", ("strap",)),
    "no stiffness": (_tied(rate_n_per_m=None), "rate-not-positive", ("strap",)),
    "limit unknown": (_tied(limit_n=NAN), "not-a-number", ("strap",)),
    "stop without points": (_stopped(points_m=()), "block-without-points", ("stop",)),
    "stop that faces nowhere": (
        _stopped(normal=(0.0, 0.0, 0.0)),
        "normal-without-length",
        ("stop",),
    ),
    "stop at another load": (_stopped(body="b"), "unknown-body", ("stop", "b")),
    "stop that holds nothing": (_stopped(limit_n=0.0), "limit-not-positive", ("stop",)),
    "stop unknown": (_stopped(limit_n=NAN), "not-a-number", ("stop",)),
    "anchor holds nothing": (
        Scene(bodies=(box(),), anchors=(Anchor(id="L1", limit_n=0.0),)),
        "limit-not-positive",
        ("L1",),
    ),
    "anchor unknown": (
        Scene(bodies=(box(),), anchors=(Anchor(id="L1", limit_n=NAN),)),
        "not-a-number",
        ("L1",),
    ),
    "anchor over its limit at rest": (
        Scene(
            bodies=(box(),),
            straps=(
                fixed("a", 600.0, replace(DOWN, anchor="L1")),
                fixed("b", 600.0, replace(DOWN, anchor="L1")),
            ),
            anchors=(Anchor(id="L1", limit_n=1000.0),),
        ),
        "anchor-over-limit-at-rest",
        ("L1",),
    ),
    "two side by side that do not touch": (
        Scene(bodies=(box("a"), box("b", at=(0.0, 3.0, 0.0)))),
        "not-one-stack-or-row",
        ("a", "b"),
    ),
    "two on one": (
        Scene(
            bodies=(
                box("a"),
                box("b", on="a", at=(0.0, 0.0, 1.2)),
                box("c", on="a", at=(0.0, 0.0, 1.2)),
            )
        ),
        "not-one-stack-or-row",
        ("a", "b", "c"),
    ),
}
SIZE = (1.0, 1.0, 1.0)
A, B = box("a", size_m=SIZE), box("b", size_m=SIZE, at=(0.0, 1.0, 0.0))
ABOVE = box("b", size_m=SIZE, at=(0.0, 0.0, 1.0), on="a")
FACE = face_between("a", "b", SIZE, 0.5, 0.0)
ACROSS = (
    leg((0.0, -0.5, 1.0), (0.0, -0.6, 0.0), body="a"),
    leg((0.0, 1.5, 1.0), (0.0, 1.6, 0.0), body="b"),
)
REFUSED |= {
    "a strap from one of a stack to the other": (
        Scene(bodies=(A, ABOVE), straps=(fixed("s", 10.0, *ACROSS),)),
        "strap-across-a-stack",
        ("s",),
    ),
    "a strap of three legs over a row": (
        Scene(bodies=(A, B), faces=(FACE,), straps=(fixed("s", 10.0, *ACROSS, ACROSS[0]),)),
        "strap-across-more-than-two",
        ("s",),
    ),
    "a row on two levels": (
        Scene(bodies=(A, box("b", size_m=SIZE, at=(0.0, 1.0, 0.3))), faces=(FACE,)),
        "base-not-level",
        ("a", "b"),
    ),
    "a face without points": (
        Scene(bodies=(A, B), faces=(replace(FACE, points_m=()),)),
        "face-without-points",
        ("a", "b"),
    ),
    "a face that lies flat": (
        Scene(bodies=(A, B), faces=(replace(FACE, normal=(0.0, 0.0, 1.0)),)),
        "normal-without-length",
        ("a", "b"),
    ),
    "a slippery face below zero": (
        Scene(bodies=(A, B), faces=(replace(FACE, friction=-0.1),)),
        "friction-negative",
        ("a", "b"),
    ),
    "a face of nobody": (
        Scene(bodies=(A, B), faces=(replace(FACE, between=("a", "c")),)),
        "unknown-body",
        ("a", "c"),
    ),
    "a face unknown": (
        Scene(bodies=(A, B), faces=(replace(FACE, friction=NAN),)),
        "not-a-number",
        ("a", "b"),
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_worked_with_is_named(name: str) -> None:
    scene, reason, about = REFUSED[name]
    found = withstands(scene, 0.3)
    assert isinstance(found, Refusal)
    assert (found.reason, found.about) == (reason, about)
    assert isinstance(polar(scene, 8), Refusal)


def _number(scene: Scene, heading_rad: float = 0.0) -> Withstood:
    found = withstands(scene, heading_rad)
    assert not isinstance(found, Refusal), found
    return found


@pytest.mark.parametrize("sides", [3, 5000])
def test_a_cone_of_too_few_or_too_many_sides_is_refused(sides: int) -> None:
    found = withstands(Scene(bodies=(box(),)), 0.0, cone_sides=sides)
    assert found == Refusal(reason="cone-sides-out-of-range", about=("box",))


def test_when_the_exchanges_run_out_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(simplex, "EXCHANGES_AT_LEAST", 0)
    monkeypatch.setattr(simplex, "EXCHANGES_PER_ROW", 0)
    found = withstands(Scene(bodies=(box(),)), 0.0)
    assert found == Refusal(reason="no-answer-within-limit", about=("box",))


def test_on_ice_nothing_holds_a_box() -> None:
    assert _number(_with(friction=0.0)).withstands_g == 0.0


def test_a_centre_of_gravity_over_the_edge_itself_holds_nothing_that_way() -> None:
    scene = _with(cog_m=(1.5, 0.0, 0.5))
    assert _number(scene).withstands_g == pytest.approx(0.0, abs=1e-9)
    assert _number(scene, math.pi).withstands_g == pytest.approx(0.4)


def test_a_centre_of_gravity_in_the_base_never_tips() -> None:
    assert _number(_with(cog_m=(0.0, 0.0, 0.0))).withstands_g == pytest.approx(0.4)


def test_points_given_twice_count_once() -> None:
    assert _number(_with(base_m=BASE + BASE)).withstands_g == pytest.approx(0.4)


def test_an_anchor_above_the_attachment_lifts() -> None:
    lifting = fixed("up", 10000.0, leg((0.0, 0.0, 1.2), (0.0, 0.0, 3.0)))
    assert _number(Scene(bodies=(box(),), straps=(lifting,))).withstands_g == pytest.approx(0.3)
    hoisting = fixed("up", 50000.0, leg((0.0, 0.0, 1.2), (0.0, 0.0, 3.0)))
    found = withstands(Scene(bodies=(box(),), straps=(hoisting,)), 0.0)
    assert found == Refusal(reason="does-not-stand", about=("box",))


def test_a_strap_to_a_far_anchor_and_a_feather_weight_give_a_number() -> None:
    far = fixed("far", 1.0, leg((0.0, 1.2, 1.2), (0.0, 1e6, 0.0)))
    found = _number(Scene(bodies=(box(weight_n=1e-3),), straps=()))
    assert found.withstands_g == pytest.approx(0.4)
    assert _number(Scene(bodies=(box(),), straps=(far,))).withstands_g == pytest.approx(
        0.4, rel=1e-3
    )


def test_five_hundred_straps_are_worked_through() -> None:
    straps = tuple(
        limited(
            f"{number}",
            100.0,
            leg((1.5 - number / 200, 1.2, 1.0), (number / 300 - 0.8, 1.5, 0.0), anchor="rail"),
            retained_n=1.0,
        )
        for number in range(500)
    )
    scene = Scene(bodies=(box(),), straps=straps, anchors=(Anchor(id="rail", limit_n=20000.0),))
    found = _number(scene)
    assert 0.4 < found.withstands_g <= found.plain_limit_g


def test_a_stack_of_twelve_and_a_row_of_eight_are_worked_through() -> None:
    names = [f"{number}" for number in range(12)]
    stack = tuple(
        box(name, size_m=(2.0, 2.0, 0.2), at=(0.0, 0.0, number * 0.2), on=below)
        for number, (name, below) in enumerate(zip(names, [None, *names[:-1]], strict=True))
    )
    assert _number(Scene(bodies=stack)).withstands_g == pytest.approx(0.4)
    row = tuple(box(name, size_m=SIZE, at=(0.0, n, 0.0)) for n, name in enumerate(names[:8]))
    faces = tuple(
        face_between(one, two, SIZE, n + 0.5, 0.0)
        for n, (one, two) in enumerate(pairwise(names[:8]))
    )
    assert _number(Scene(bodies=row, faces=faces), math.pi / 2).withstands_g == pytest.approx(0.4)
