"""Twenty cases of rigid bodies on dry friction: statics worked out by us, not published.

Each case in `data/mechanics_cases.json` carries its geometry, its closed form and the tolerance;
the limit was also confirmed by a linear program when the cases were made. M16 and M19 have two
values: the plain limit, and the one a cautious program reports.
"""

import json
import math
from pathlib import Path
from typing import Any

import pytest

from triplog.securement.equilibrium.scene import (
    Block,
    Body,
    Face,
    Leg,
    Point,
    Refusal,
    Scene,
    Strap,
)
from triplog.securement.equilibrium.withstands import Withstood, withstands

CASES: list[dict[str, Any]] = json.loads(
    (Path(__file__).parent / "data" / "mechanics_cases.json").read_text("utf-8")
)["cases"]
WEBBING_ELONGATION = 0.07
"""Elongation at LC of a webbing assembly, at most (EN 12195-2, second-hand)."""


def _point(given: list[float]) -> Point:
    x, y, z = (float(entry) for entry in given)
    return (x, y, z)


def box(
    name: str,
    weight_n: float,
    size_m: Point,
    friction: float,
    *,
    at: Point = (0.0, 0.0, 0.0),
    on: str | None = None,
    cog: Point | None = None,
) -> Body:
    """A box whose base has its middle at a point."""
    length, width, height = size_m
    return Body(
        id=name,
        weight_n=weight_n,
        cog_m=cog or (at[0], at[1], at[2] + height / 2),
        base_m=tuple(
            (at[0] + x * length / 2, at[1] + y * width / 2, at[2])
            for x, y in ((1, 1), (1, -1), (-1, 1), (-1, -1))
        ),
        friction=friction,
        on=on,
    )


def _strap(number: int, case: dict[str, Any]) -> Strap:
    legs = tuple(
        Leg(
            body="box",
            cargo_m=_point(leg["cargo_point_m"]),
            anchor_m=_point(leg["anchor_point_m"]),
            share=leg["tension_ratio"],
        )
        for leg in case["legs"]
    )
    if case["tension"] == "fixed":
        return Strap(id=f"strap {number}", legs=legs, fixed_n=case["T0_kN"] * 1000)
    length = sum(math.dist(leg.cargo_m, leg.anchor_m) for leg in legs)
    return Strap(
        id=f"strap {number}",
        legs=legs,
        limit_n=case["cap_kN"] * 1000,
        retained_n=case["T0_kN"] * 1000,
        rate_n_per_m=case["cap_kN"] * 1000 / (WEBBING_ELONGATION * length),
    )


def _single(case: dict[str, Any]) -> Scene:
    item = case["item"]
    size = (float(item["length_m"]), float(item["width_m"]), float(item["height_m"]))
    return Scene(
        bodies=(
            box(
                "box",
                item["mass_kg"] * case["gravity"],
                size,
                item["mu"],
                cog=_point(item["cg_m"]),
            ),
        ),
        straps=tuple(_strap(number, strap) for number, strap in enumerate(case["straps"])),
        blocks=tuple(
            Block(
                id=f"blocking {number}",
                body="box",
                normal=_point(block["normal_on_cargo"]),
                points_m=tuple(_point(point) for point in block["points_m"]),
                limit_n=None if block["cap_kN"] is None else block["cap_kN"] * 1000,
            )
            for number, block in enumerate(case["blocking"])
        ),
    )


def _stack(case: dict[str, Any]) -> Scene:
    """M29: the lashing presses straight down on the middle of the upper box."""
    given = case["multi"]
    size = (given["length_m"], given["width_m"], given["height_each_m"])
    below, above = (mass * 1000 * case["gravity"] for mass in given["masses_t"])
    high = size[2]
    press = Leg(body="above", cargo_m=(0.0, 0.0, 2 * high), anchor_m=(0.0, 0.0, -1.0))
    return Scene(
        bodies=(
            box("below", below, size, given["mu"][0]),
            box("above", above, size, given["mu"][1], at=(0.0, 0.0, high), on="below"),
        ),
        straps=(Strap(id="over", legs=(press,), fixed_n=given["vertical_lashing_kN"] * 1000),),
    )


def _row(case: dict[str, Any]) -> Scene:
    """M31: straps at two stations over all boxes, straight down at the outer edges."""
    given = case["multi"]
    size = (given["length_m"], given["width_m"], given["height_m"])
    count = given["count"]
    long, wide, high = size
    names = [f"box {number}" for number in range(count)]
    middles = [(number - (count - 1) / 2) * wide for number in range(count)]
    outer = count * wide / 2
    return Scene(
        bodies=tuple(
            box(name, given["mass_t_each"] * 1000 * case["gravity"], size, given["mu_deck"],
                at=(0.0, middle, 0.0))
            for name, middle in zip(names, middles, strict=True)
        ),
        faces=tuple(
            Face(
                between=(one, two),
                normal=(0.0, 1.0, 0.0),
                points_m=tuple(
                    (x * long / 2, middle + wide / 2, z) for x in (1, -1) for z in (0.0, high)
                ),
                friction=given["mu_faces"],
            )
            for one, two, middle in zip(names, names[1:], middles, strict=False)
        ),
        straps=tuple(
            Strap(
                id=f"strap {number}",
                legs=(
                    Leg(body=names[-1], cargo_m=(x, outer, high), anchor_m=(x, outer, 0.0)),
                    Leg(body=names[0], cargo_m=(x, -outer, high), anchor_m=(x, -outer, 0.0)),
                ),
                fixed_n=given["T_kN"] * 1000,
            )
            for number, x in enumerate((-long / 4, long / 4)[: given["straps"]])
        ),
    )  # fmt: skip


def scene_of(case: dict[str, Any]) -> Scene:
    """The scene of a case."""
    if "item" in case:
        return _single(case)
    return _row(case) if "count" in case["multi"] else _stack(case)


def _told(case: dict[str, Any]) -> Withstood:
    told = withstands(scene_of(case), math.radians(case["direction_deg"]))
    assert not isinstance(told, Refusal), told
    return told


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_the_plain_limit_is_the_one_worked_out(case: dict[str, Any]) -> None:
    told = _told(case)
    assert told.plain_limit_g == pytest.approx(
        case["expected"]["lambda_g"], rel=case["tolerance_rel"]
    )


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_what_is_reported_is_the_cautious_value(case: dict[str, Any]) -> None:
    expected = case["expected"]
    cautious = expected.get(
        "lambda_g_filtered", expected.get("lambda_g_conservative", expected["lambda_g"])
    )
    told = _told(case)
    assert told.withstands_g == pytest.approx(cautious, rel=case["tolerance_rel"])
    assert told.mode == expected["mode"]


@pytest.mark.parametrize(
    ("name", "cautious"), [("M16", "lambda_g_filtered"), ("M19", "lambda_g_conservative")]
)
def test_the_filter_by_itself_has_the_cautious_value(name: str, cautious: str) -> None:
    """A strap that the movement slackens (M16), what scrapes under a heel block (M19): left out
    by the filter, not only by the smaller elastic value."""
    (case,) = [one for one in CASES if one["id"] == name]
    assert _told(case).filtered_g == pytest.approx(case["expected"][cautious], rel=1e-9)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_what_binds_is_named(case: dict[str, Any]) -> None:
    told = _told(case)
    named = {(bind.kind, bind.id) for bind in told.binds}
    straps = {name for kind, name in named if kind == "strap"}
    for governing in case["expected"]["governing"]:
        if governing.startswith("strap"):
            assert governing in straps
        elif governing.startswith("tipping edge"):
            facing = {"+x": "0", "+y": "90", "-x": "180", "-y": "270"}[governing[-2:]]
            assert ("edge", facing) in named
        elif governing.startswith("tipping over"):
            assert ("stop", "blocking 0") in named
        elif governing == "interface 1":
            assert told.lowest == "above"
        elif governing == "deck friction":
            assert "face" in {kind for kind, _ in named}
        else:
            assert governing == "all straps" and straps
