"""EN 12195-1, tipping: moments about the edge, one row over the top, direct lashings and blocks.

All numbers are worked out by hand from statics: the standard's printed form was not read.
"""

import math
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from tests.published.worked_forms import top_over_tipping_one_sided_nm
from tests.securement.en_plans import (
    crate,
    dan,
    direct,
    en_plan,
    judged,
    over,
    position,
    ring,
    spread,
    steps_of,
    webbing,
)
from tests.securement.plans import force, length, mass
from triplog.securement.assess import assess
from triplog.securement.finding import Verdict
from triplog.securement.model import (
    Anchor,
    Article,
    Assumptions,
    Block,
    CentreOfGravity,
    Direction,
    Path,
    Plan,
    TieDown,
)
from triplog.wording.findings import sum_lines

SIDES = ("left", "right")


def tower(**told: Any) -> Article:
    """1 t, 4 m long, 1 m wide, 2 m high: b 0.5, d 1.0 sideways."""
    facts: dict[str, Any] = {
        "mass": mass("1 t"),
        "width": length("1 m"),
        "height": length("2 m"),
        "friction": Decimal("0.6"),
        **told,
    }
    return crate(**facts)


def centre(*, up_m: str, left_m: str = "0") -> CentreOfGravity:
    return CentreOfGravity(back_m=Fraction(2), left_m=Fraction(left_m), up_m=Fraction(up_m))


def strapped(number: int = 1, **told: Any) -> Plan:
    """Upright legs half a metre off the centre line."""
    return en_plan(tower(), spread(number, half_m="0.5"), **told)


@pytest.mark.parametrize(
    ("direction", "c", "arm_m"),
    [("forward", 0.8, 2.0), ("rearward", 0.5, 2.0), ("left", 0.6, 0.5), ("right", 0.6, 0.5)],
)
def test_without_lashings_the_weight_alone_stands(direction: str, c: float, arm_m: float) -> None:
    finding = judged(en_plan(tower()), "tip", direction)
    assert dan(finding.required) == pytest.approx(c * 9.81 * 1.0)
    assert dan(finding.provided) == pytest.approx(9.81 * arm_m)
    assert (finding.verdict is Verdict.MEETS) is (arm_m >= c)


def test_only_the_far_leg_helps_and_by_the_whole_width() -> None:
    """STF 350 at 0.5 asks nothing here; half of LC 2500 at 0.6: 981 × 0.5 + 1250 × 1.0 / 1.1."""
    finding = judged(strapped(), "tip", "left")
    assert finding.verdict is Verdict.MEETS
    assert finding.citation.clause == "5.4.3.1"
    own_knm, strap_knm = 4.905, 3.5 * 1.0 / 1.1
    assert dan(finding.required) == pytest.approx(0.5 * 9.81)
    assert dan(finding.provided) == pytest.approx(own_knm + strap_knm)


def test_both_pairs_must_hold_and_the_worse_is_shown() -> None:
    """Higher centre of gravity: at 0.5 with STF 350 short, at 0.6 with half of 2500 not."""
    high = centre(up_m="2")
    whole = replace(strapped(), articles=(tower(cog=high),))
    finding = judged(whole, "tip", "left")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert dan(finding.required) == pytest.approx(0.5 * 9.81 * 2)
    assert dan(finding.provided) == pytest.approx(4.905 + 3.5 / 1.1)
    weak = replace(whole, gear=(webbing("S1", lc="700 daN", stf="350 daN"),))
    other = judged(weak, "tip", "left")
    assert dan(other.required) == pytest.approx(0.6 * 9.81 * 2)
    assert dan(other.provided) == pytest.approx(4.905 + 3.5 / 1.1)


def test_the_number_asked_for_is_enough_in_both_pairs() -> None:
    high = centre(up_m="2")
    one = judged(replace(strapped(), articles=(tower(cog=high),)), "tip", "left")
    assert one.mend is not None and one.mend.id == "mend.en-more-tip"
    two = judged(replace(strapped(2), articles=(tower(cog=high),)), "tip", "left")
    assert (one.verdict, two.verdict) == (Verdict.DOES_NOT_MEET, Verdict.MEETS)


def test_where_lc_is_not_known_it_is_at_least_twice_the_tension() -> None:
    """b/d 0.5: at 0.6 the strap must bring 0.981 kNm; STF alone does, so LC need not be known."""
    whole = strapped(gear=[webbing("S1", lc=None)])
    assert judged(whole, "tip", "left").verdict is Verdict.MEETS
    high = centre(up_m="1.5")
    open_one = judged(replace(whole, articles=(tower(cog=high),)), "tip", "left")
    assert open_one.verdict is Verdict.CANNOT_TELL
    assert [(one.field, one.about) for one in open_one.unknown] == [("lc", "S1")]


def test_forward_a_crosswise_strap_presses_at_its_own_place_with_both_legs() -> None:
    """Straps at 1 m and 3 m from the front edge, never the width: 350 × 2 × (1 + 3) / 1.25."""
    tall = crate(mass=mass("1 t"), height=length("10 m"), friction=Decimal("0.6"))
    lashed = [over(1, "2"), over(2, "4")]
    finding = judged(en_plan(tall, lashed), "tip", "forward")
    assert dan(finding.required) == pytest.approx(0.8 * 9.81 * 5)
    assert dan(finding.provided) == pytest.approx(9.81 * 2 + 3.5 * 2 * (1 + 3) / 1.25)
    back = judged(en_plan(tall, lashed), "tip", "rearward")
    assert dan(back.provided) == pytest.approx(9.81 * 2 + 3.5 * 2 * (3 + 1) / 1.1)


def test_the_sum_of_moments_can_be_followed_on_paper() -> None:
    assert sum_lines(judged(strapped(), "tip", "left"))[:4] == [
        "required 4.91 kNm: 0.5 × 981 daN × 1 m: 1 t × 9.81 m/s², pushed on 1 m up",
        "its own weight: 981 daN × 0.5 m to the edge = 4.90 kNm",
        "1 tie-down over the top (T1): 350 daN × (sin 90.0° × 0.00 m + sin 90.0° × 1.00 m) / 1.1 "
        "= 3.18 kNm each, 3.18 kNm in all",
        "provided 8.08 kNm",
    ]


@pytest.mark.parametrize(("side", "helps"), [("right", True), ("left", False)])
def test_with_a_weaker_far_leg_the_tensioner_s_side_decides(side: str, helps: bool) -> None:
    """k 1.5, legs at tan 2: to the left the strong leg on the right helps, the other turns it."""
    whole = en_plan(
        tower(), [over(1, "3", half_m="1.5", tensioner_side=side)],
        assumptions=Assumptions(transmission_k=Decimal("1.5")), gear=[webbing("S1", lc="700 daN")],
    )  # fmt: skip
    finding = judged(whole, "tip", "left")
    angle = math.atan(2)
    if helps:
        strap = 3500 * math.sin(angle) * 1.0 / 1.1
    else:
        strap = top_over_tipping_one_sided_nm(
            tension_n=3500, angle_rad=angle, width_m=1.0, height_m=2.0, far_share=0.5, f_s=1.1
        )
    assert dan(finding.provided) == pytest.approx(4.905 + strap / 1000)


@pytest.mark.parametrize("height", ["1 m", "3 m"])
@pytest.mark.parametrize("friction", ["0.4", "0.6", "0.9"])
@pytest.mark.parametrize(
    ("lashed", "k"),
    [
        ({"far_side_share": Decimal("0")}, None),
        ({"far_side_share": Decimal("0.5"), "tensioner_side": "left"}, None),
        ({}, "1"),
        ({}, "1.5"),
        ({"tensioner_side": "right"}, "1.5"),
    ],
)
def test_a_load_that_holds_by_itself_holds_under_lashings_with_a_weaker_far_leg(
    height: str, friction: str, lashed: dict[str, Any], k: str | None
) -> None:
    """Every direction that meets without lashings meets with them, whatever reaches the far leg."""
    one = crate(height=length(height), friction=Decimal(friction))
    bare = assess(en_plan(one))
    told = Assumptions(transmission_k=None if k is None else Decimal(k))
    under = assess(en_plan(one, spread(3, half_m="1.5", **lashed), assumptions=told))
    held = {finding.rule for finding in bare if finding.verdict is Verdict.MEETS}
    assert len(held) > 1
    assert held <= {finding.rule for finding in under if finding.verdict is Verdict.MEETS}


def test_what_is_said_of_labels_and_anchor_points_is_not_said_again_of_tipping() -> None:
    weak = ring("L1", "3", "1.5", wll="100 daN")
    whole = en_plan(tower(), [over(1, "3", half_m="1.5")], anchors=[weak])
    assert "note.en-anchor-governs" in steps_of(judged(whole, "slide", "left"))
    assert "note.en-anchor-governs" not in steps_of(judged(whole, "tip", "left"))


def test_a_tensioner_s_side_that_would_decide_and_is_not_known_leaves_it_open() -> None:
    whole = en_plan(
        tower(), [over(1, "3", half_m="1.5")], gear=[webbing("S1", lc="700 daN")],
        assumptions=Assumptions(transmission_k=Decimal("1.5")),
    )  # fmt: skip
    finding = judged(whole, "tip", "left")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [(one.field, one.about) for one in finding.unknown] == [("tensioner_side", "T1")]
    assert judged(whole, "slide", "forward").unknown == ()


def leaning(*anchors: tuple[str, str]) -> list[tuple[TieDown, list[Anchor]]]:
    """Direct lashings to the top edge on the right, 2 m up."""
    return [direct(n, one, (one[0], "-0.5", "2")) for n, one in enumerate(anchors, 1)]


def test_a_direct_lashing_holds_by_its_height_and_its_arm() -> None:
    """5.5.3.2: from 2 m out, 45°: 2000 × (cos 45° × 2 + sin 45° × 1) each, against the left."""
    whole = en_plan(tower(), leaning(("2", "-2.5"), ("4", "-2.5")))
    finding = judged(whole, "tip", "left")
    assert finding.verdict is Verdict.MEETS
    assert finding.citation.clause == "5.5.3.2"
    assert dan(finding.required) == pytest.approx(0.6 * 9.81)
    assert dan(finding.provided) == pytest.approx(4.905 + 2 * 20 * math.sqrt(0.5) * 3)
    assert judged(whole, "tip", "right").verdict is Verdict.DOES_NOT_MEET


def test_a_lashing_that_would_help_to_tip_it_is_left_out_and_named() -> None:
    """Low on the left face, pulling to the right and steeply down outside the edge."""
    across = [direct(1, ("3", "0.5"), ("3", "0.6", "0.05"))]
    finding = judged(en_plan(tower(), across), "tip", "left")
    assert "note.en-pulls-over" in steps_of(finding)
    assert dan(finding.provided) == pytest.approx(4.905)


@pytest.mark.parametrize(("up", "holds_knm"), [("1 m", 5.886), ("500 mm", 2.943)])
def test_a_block_pushes_no_more_than_the_load_does_at_its_own_height(
    up: str, holds_knm: float
) -> None:
    by = Block(by="stanchions", rated=force("5000 daN"), up=length(up))
    finding = judged(en_plan(tower(blocked={**crate().blocked, Direction.LEFT: by})), "tip", "left")
    assert dan(finding.provided) == pytest.approx(4.905 + holds_knm)


def test_a_block_of_unknown_height_leaves_it_open() -> None:
    by = Block(by="stanchions", rated=force("5000 daN"))
    finding = judged(en_plan(tower(blocked={**crate().blocked, Direction.LEFT: by})), "tip", "left")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in finding.unknown] == ["blocked.left_up"]


def test_direct_lashings_and_a_block_are_added() -> None:
    """5.5.3.3."""
    by = Block(by="stanchions", rated=force("100 daN"), up=length("500 mm"))
    standing = tower(blocked={**crate().blocked, Direction.LEFT: by})
    finding = judged(en_plan(standing, leaning(("2", "-2.5"), ("4", "-2.5"))), "tip", "left")
    assert dan(finding.provided) == pytest.approx(4.905 + 0.5 + 2 * 20 * math.sqrt(0.5) * 3)
    assert finding.citation.clause == "5.5.3.3"


def test_a_centre_of_gravity_outside_the_base_is_said() -> None:
    outside = centre(left_m="0.6", up_m="1")
    finding = judged(en_plan(tower(cog=outside)), "tip", "left")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert dan(finding.provided) == pytest.approx(-0.981)
    assert "note.en-outside" in steps_of(finding)


@pytest.mark.parametrize("name", ["width", "height"])
def test_a_size_that_is_not_known_leaves_it_open(name: str) -> None:
    finding = judged(en_plan(tower(**{name: None})), "tip", "left")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert name in [one.field for one in finding.unknown]


def test_where_a_lashing_bears_and_nobody_knows_leaves_it_open() -> None:
    whole = strapped()
    unplaced = replace(whole, articles=(tower(at=None),))
    finding = judged(unplaced, "tip", "left")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [(one.field, one.about) for one in finding.unknown] == [("at", "A")]


def test_a_loop_holds_against_tipping_by_both_its_legs() -> None:
    """Both legs at the top edge on the right, 45° from 2 m out: twice the direct lashing."""
    ends = [ring("P1", "2", "-2.5"), ring("P2", "4", "-2.5")]
    tie = TieDown(
        id="W1", holds=("A",), path=Path.SAME_SIDE, gear="S1", from_anchor="P1", to="P2",
        touches=(position("2", "-0.5", "2"), position("4", "-0.5", "2")),
    )  # fmt: skip
    finding = judged(en_plan(tower(), [(tie, ends)]), "tip", "left")
    assert dan(finding.provided) == pytest.approx(4.905 + 2 * 20 * math.sqrt(0.5) * 3)
    assert finding.citation.clause == "5.5.4.3"


def test_a_tension_not_known_that_pulls_the_load_over_counts_at_its_worst() -> None:
    """Its left leg alone holds, far out: the tighter it is, the more it pulls over to the left.

    The load alone holds 1,000 kg x 9.81 x 0.5 m = 4.905 kNm. The sound lashing, 350 daN and f_s
    1.1, adds 3.18 kNm, which would be enough if the other one were slack.
    """
    pulling = over(2, "3", half_m="4", far_side_share=Decimal(0), tensioner_side="left")
    loose = webbing("S2", lc=None, stf=None)
    alone = judged(en_plan(tower(), [pulling], gear=[loose]), "tip", "left")
    assert alone.verdict is Verdict.DOES_NOT_MEET
    assert dan(alone.provided) == pytest.approx(4.905, rel=1e-9)
    beside = [over(1, "3", half_m="0.5"), pulling]
    together = judged(en_plan(tower(), beside, gear=[loose]), "tip", "left")
    assert together.verdict is Verdict.CANNOT_TELL
    assert together.range is not None
    assert dan(together.range.worst) < 4.905 < dan(together.range.best)
