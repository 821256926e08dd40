"""EN 12195-1, sliding: the sum of a plan is the closed form's, and what must not count does not.

All numbers are worked out by hand from the formula of the section named; the published examples
stand under `tests/published/`.
"""

import math
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from tests.securement.en_plans import (
    crate,
    dan,
    direct,
    en_plan,
    four_chains,
    judged,
    over,
    position,
    ring,
    spread,
    steps_of,
    webbing,
)
from tests.securement.plans import force, length, mass
from triplog.securement.finding import Basis, Count, Scope, Verdict
from triplog.securement.model import (
    Anchor,
    Assumptions,
    Block,
    Damage,
    Direction,
    GearKind,
    Path,
    TieDown,
    Vehicle,
)
from triplog.wording.findings import decides_line, mend_line, sum_lines

SIDES = ("left", "right")


@pytest.mark.parametrize(
    ("direction", "c", "f_s"),
    [("forward", 0.8, 1.25), ("rearward", 0.5, 1.1), ("left", 0.5, 1.1), ("right", 0.5, 1.1)],
)
def test_straps_over_the_top_press_down_by_the_form_of_5_4_2(
    direction: str, c: float, f_s: float
) -> None:
    finding = judged(en_plan(crate(), spread(4)), "slide", direction)
    assert dan(finding.required) == pytest.approx(c * 9810)
    assert dan(finding.provided) == pytest.approx(0.3 * 9810 + 4 * 2 * 0.3 * 350 / f_s)
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert finding.citation.clause == "5.4.2"
    assert finding.scope is Scope.GUIDANCE


def test_the_angle_of_the_legs_is_from_the_deck() -> None:
    """Anchor points half a metre out beside a crate 1 m high: tan(alpha) = 2."""
    finding = judged(en_plan(crate(), spread(4, half_m="1.5")), "slide", "left")
    sine = math.sin(math.atan(2))
    assert dan(finding.provided) == pytest.approx(2943 + 4 * 2 * 0.3 * 350 * sine / 1.1)


def test_the_sum_can_be_followed_on_paper_and_says_how_many_more() -> None:
    finding = judged(en_plan(crate(), spread(4)), "slide", "left")
    assert sum_lines(finding)[:5] == [
        "required 4,905 daN: 0.5 × 9,810 daN, which is 10 t × 9.81 m/s²",
        "friction under it: 0.3 × 9,810 daN = 2,943 daN",
        "4 tie-downs over the top (T1, T2, T3 and T4): 0.3 × 350 daN × (2 × sin 90.0°) / 1.1 = "
        "190 daN each, 763 daN in all",
        "provided 3,706 daN",
        "short by 1,199 daN",
    ]
    assert mend_line(finding) == "add 7 tie-downs like T1, or a block that holds 1,199 daN"


def test_the_number_asked_for_is_enough_and_one_fewer_is_not() -> None:
    assert judged(en_plan(crate(), spread(11)), "slide", "left").verdict is Verdict.MEETS
    assert judged(en_plan(crate(), spread(10)), "slide", "left").verdict is Verdict.DOES_NOT_MEET


def test_a_block_stands_beside_lashings_over_the_top_undivided() -> None:
    blocked = {**crate().blocked, Direction.LEFT: Block(by="stanchions", rated=force("1199 daN"))}
    finding = judged(en_plan(crate(blocked=blocked), spread(4)), "slide", "left")
    assert dan(finding.provided) == pytest.approx(2943 + 4 * 2 * 0.3 * 350 / 1.1 + 1199)


def test_where_friction_is_enough_nothing_is_asked_and_the_least_number_is_noted() -> None:
    finding = judged(en_plan(crate(friction=Decimal("0.6"))), "slide", "left")
    assert finding.verdict is Verdict.MEETS
    (note,) = [step for step in finding.steps if step.id == "note.en-wander"]
    assert note.values["number"] == Count(value=3, unit="tie-down")


@pytest.mark.parametrize(("number", "noted"), [(0, False), (1, True), (2, False)])
def test_a_single_strap_over_the_top_is_fewer_than_makers_ask_for(number: int, noted: bool) -> None:
    """Strap makers' instructions: at least two over the top."""
    finding = judged(en_plan(crate(), spread(number)), "slide", "left")
    assert ("note.en-least" in steps_of(finding)) is noted


def test_without_friction_no_number_of_straps_is_named() -> None:
    finding = judged(en_plan(crate(friction=Decimal(0)), spread(4)), "slide", "left")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert finding.mend is not None and finding.mend.id == "mend.en-not-this-way"


def test_a_strap_that_lies_flat_adds_nothing() -> None:
    flat = over(1, "3", half_m="1.2", touches=(position("3", "1", "0"), position("3", "-1", "0")))
    finding = judged(en_plan(crate(), [flat]), "slide", "left")
    assert dan(finding.provided) == pytest.approx(2943)
    assert finding.mend is not None and finding.mend.id == "mend.en-not-this-way"


def test_a_label_without_stf_may_not_press_down() -> None:
    whole = en_plan(crate(), spread(1), gear=[webbing("S1", stf=None)])
    finding = judged(whole, "slide", "left")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert dan(finding.provided) == pytest.approx(2943)
    assert "note.en-no-stf" in steps_of(finding)


def test_a_label_nobody_read_leaves_it_open() -> None:
    whole = en_plan(crate(), spread(11), gear=[webbing("S1", lc=None, stf=None)])
    finding = judged(whole, "slide", "left")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [(one.field, one.about) for one in finding.unknown] == [("stf", "S1")]


def test_damaged_gear_counts_nothing() -> None:
    whole = en_plan(crate(), spread(1), gear=[webbing("S1", damage=(Damage(kind="cut"),))])
    finding = judged(whole, "slide", "left")
    assert dan(finding.provided) == pytest.approx(2943)
    assert "note.en-set-aside" in steps_of(finding)


@pytest.mark.parametrize(
    ("told", "counts"),
    [
        ({"tension": "500 daN", "tension_basis": "measured"}, 500),
        ({"tension": "200 daN", "tension_basis": "measured"}, 200),
        ({"tension": "500 daN", "tension_basis": "assumed"}, 350),
        ({"tension": "200 daN", "tension_basis": "assumed"}, 200),
        ({"tension": "2000 daN", "tension_basis": "measured"}, 1250),
        ({"retained": "120 daN"}, 120),
    ],
)
def test_what_was_reached_counts_never_more_than_half_of_lc(
    told: dict[str, str], counts: float
) -> None:
    quantities: dict[str, Any] = {
        name: value if name == "tension_basis" else force(value) for name, value in told.items()
    }
    finding = judged(en_plan(crate(), [over(1, "3", **quantities)]), "slide", "left")
    assert dan(finding.provided) == pytest.approx(2943 + 2 * 0.3 * counts / 1.1)
    noted = {"note.en-tension-low", "note.en-tension-high"} & steps_of(finding)
    assert noted == (
        {"note.en-tension-high"} if counts == 1250
        else {"note.en-tension-low"} if counts == 120 else set()
    )  # fmt: skip


def test_an_stf_outside_the_range_of_labels_is_noted() -> None:
    """EN 12195-2: 0.1 to 0.5 LC."""
    for stf, odd in (("200 daN", True), ("250 daN", False), ("1251 daN", True)):
        whole = en_plan(crate(), [over(1, "3")], gear=[webbing("S1", stf=stf)])
        assert ("note.en-stf-odd" in steps_of(judged(whole, "slide", "left"))) is odd


@pytest.mark.parametrize(
    ("kind", "size", "stf", "noted"),
    [
        (GearKind.CHAIN, "10 mm", "620 daN", True),
        (GearKind.CHAIN, "10 mm", "625 daN", False),
        (GearKind.CHAIN, "13 mm", "620 daN", False),
        (GearKind.CHAIN, "13 mm", "370 daN", True),
        (GearKind.CHAIN, None, "620 daN", False),
        (GearKind.WIRE_ROPE, "13 mm", "620 daN", True),
    ],
)
def test_an_stf_below_what_chain_and_wire_rope_are_marked_with_is_noted(
    kind: GearKind, size: str | None, stf: str, noted: bool
) -> None:
    """The insurers' handbook 3.4.2: 0.25 LC for chain up to 10 mm and for wire rope, else 0.15."""
    gear = webbing("S1", kind=kind, stf=stf, size=None if size is None else length(size))
    finding = judged(en_plan(crate(), [over(1, "3")], gear=[gear]), "slide", "left")
    assert ("note.en-stf-low" in steps_of(finding)) is noted


@pytest.mark.parametrize(
    ("width", "shf", "noted"),
    [("50 mm", "50 daN", False), ("50 mm", "51 daN", True), ("25 mm", "50 daN", True)],
)
def test_a_label_that_asks_for_a_harder_pull_than_usual_says_so(
    width: str, shf: str, noted: bool
) -> None:
    """The insurers' handbook 3.4.2: 50 daN; a strap maker's manual: 25 daN on 25 mm webbing."""
    gear = webbing("S1", shf=force(shf), width=length(width))
    finding = judged(en_plan(crate(), [over(1, "3")], gear=[gear]), "slide", "left")
    assert ("note.en-hand-force" in steps_of(finding)) is noted
    if noted:
        assert any(f"a hand force of {shf}" in line for line in sum_lines(finding))


def test_a_weak_anchor_point_bounds_the_tension() -> None:
    lashed = [over(1, "2"), over(2, "3"), over(3, "4")]
    weak = ring("L2", "3", "1", wll="100 daN")
    finding = judged(en_plan(crate(), lashed, anchors=[weak]), "slide", "left")
    assert dan(finding.provided) == pytest.approx(2943 + 2 * 0.3 * (100 + 350 + 350) / 1.1)
    assert "note.en-anchor-governs" in steps_of(finding)


def test_an_anchor_point_without_a_rating_leaves_it_open() -> None:
    lashed = spread(11)
    whole = en_plan(crate(), lashed, anchors=[ring("L1", "1.1", "1", wll=None)])
    finding = judged(whole, "slide", "left")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [(one.field, one.about) for one in finding.unknown] == [("wll", "L1")]
    assert finding.range is not None


@pytest.mark.parametrize(("gross", "counts"), [("7 t", 800), ("12 t", 1000), ("40 t", 2000)])
def test_an_anchor_point_named_for_en_12640_holds_what_its_vehicle_s_mass_says(
    gross: str, counts: float
) -> None:
    whole = en_plan(
        crate(), four_chains(), gear=[webbing("S1", kind=GearKind.CHAIN, lc="5000 daN", stf=None)],
        anchors=[ring(f"D{n}", x, y, wll=None, kind="EN 12640 ring")
                 for n, x, y in ((1, "0", "1"), (2, "0", "-1"), (3, "6", "1"), (4, "6", "-1"))],
        vehicle=Vehicle(gross_mass=mass(gross)),
    )  # fmt: skip
    finding = judged(whole, "slide", "rearward")
    angle = math.atan(0.5)
    each = counts * (math.cos(angle) + 0.75 * 0.3 * math.sin(angle))
    assert dan(finding.provided or (finding.range and finding.range.worst)) == pytest.approx(
        0.75 * 0.3 * 9810 + 2 * each
    )
    bases = {one.basis for one in finding.inputs if one.name == "anchor rating"}
    assert bases == {Basis.DEFAULT_TABLE}


def test_direct_lashings_count_only_against_the_movement_and_cut_the_friction() -> None:
    """5.5.3.1: two of four pull forward; they hold the load from going rearward."""
    whole = en_plan(crate(), four_chains())
    angle = math.atan(0.5)
    each = 2000 * (math.cos(angle) + 0.75 * 0.3 * math.sin(angle))
    for direction in ("forward", "rearward"):
        finding = judged(whole, "slide", direction)
        assert dan(finding.provided) == pytest.approx(0.75 * 0.3 * 9810 + 2 * each)
        assert finding.citation.clause == "5.5.3.1"
    for side in SIDES:
        assert dan(judged(whole, "slide", side).provided) == pytest.approx(2943)


def test_the_bearing_is_from_the_direction_that_is_held() -> None:
    """Anchor points 1 m ahead and 2 m out: beta is 63.4° against rearward, 26.6° against a side."""
    lashed = [
        direct(1, ("0", "3"), ("1", "1", "0.5")), direct(2, ("0", "-3"), ("1", "-1", "0.5")),
        direct(3, ("6", "3"), ("5", "1", "0.5")), direct(4, ("6", "-3"), ("5", "-1", "0.5")),
    ]  # fmt: skip
    run = math.hypot(1, 2)
    angle = math.atan(0.5 / run)
    for direction, part in (("rearward", 1 / run), ("left", 2 / run)):
        each = 2000 * (math.cos(angle) * part + 0.75 * 0.3 * math.sin(angle))
        finding = judged(en_plan(crate(), lashed), "slide", direction)
        assert dan(finding.provided) == pytest.approx(0.75 * 0.3 * 9810 + 2 * each)


def loop(number: int, side: int, x_m: float, path: Path) -> tuple[TieDown, list[Anchor]]:
    """Two anchor points on one side, both legs to the edges of the top on that side."""
    ends = [ring(f"P{number}{n}", str(x_m + d), str(2 * side)) for n, d in ((1, -0.5), (2, 0.5))]
    touches = tuple(position(str(x_m + d), str(side), "1") for d in (-0.5, 0.5))
    tie = TieDown(
        id=f"W{number}", holds=("A",), path=path, gear="S1", from_anchor=ends[0].id,
        to=ends[1].id, touches=touches,
    )  # fmt: skip
    return tie, ends


def test_a_loop_holds_from_its_own_side_with_two_legs_and_nothing_lengthwise() -> None:
    """5.5.4.2: legs at 45°; the loop that comes from the right holds what goes to the left."""
    whole = en_plan(
        crate(), [loop(1, 1, 3.0, Path.SAME_SIDE), loop(2, -1, 3.0, Path.SAME_SIDE)],
    )  # fmt: skip
    angle = math.radians(45)
    leg = 2000 * (math.cos(angle) + 0.75 * 0.3 * math.sin(angle))
    for side in SIDES:
        finding = judged(whole, "slide", side)
        assert dan(finding.provided) == pytest.approx(0.75 * 0.3 * 9810 + 2 * leg)
        assert finding.citation.clause == "5.5.4.2"
    assert dan(judged(whole, "slide", "forward").provided) == pytest.approx(2943)


def test_a_spring_holds_lengthwise_with_two_legs_and_nothing_sideways() -> None:
    """5.5.5.2: round the front face, both legs to the rear at 45°, 1 m up; it holds forward."""
    ends = [ring("P1", "2", "1"), ring("P2", "2", "-1")]
    tie = TieDown(
        id="W1", holds=("A",), path=Path.SPRING, gear="S1", from_anchor="P1", to="P2",
        touches=(position("1", "1", "1"), position("1", "-1", "1")),
    )  # fmt: skip
    whole = en_plan(crate(), [(tie, ends)])
    angle = math.radians(45)
    leg = 2000 * (math.cos(angle) + 0.75 * 0.3 * math.sin(angle))
    finding = judged(whole, "slide", "forward")
    assert dan(finding.provided) == pytest.approx(0.75 * 0.3 * 9810 + 2 * leg)
    assert finding.citation.clause == "5.5.5.2"
    for direction in (*SIDES, "rearward"):
        assert dan(judged(whole, "slide", direction).provided) == pytest.approx(2943)


def test_a_lashing_whose_angle_is_not_known_cannot_save_what_no_angle_would() -> None:
    """Insurers' handbook 4.1.6, example 2: 9.2 t, two chains of 1500 daN, mu 0.5, forward."""
    machine = crate(mass=mass("9.2 t"), friction=Decimal("0.5"))
    chains = [
        TieDown(
            id=f"C{n}", holds=("A",), path=Path.DIRECT, gear="S1", from_anchor=f"D{n}", to="lug"
        )
        for n in (1, 2)
    ]
    ends = [ring("D1", "6", "1"), ring("D2", "6", "-1")]
    chain = webbing("S1", kind=GearKind.CHAIN, lc="1500 daN", stf=None)
    whole = en_plan(machine, [(tie, ends) for tie in chains], gear=[chain])
    finding = judged(whole, "slide", "forward")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert dan(finding.provided) == pytest.approx(0.375 * 0.981 * 9200 + 3204, abs=0.5)
    smooth = replace(whole, articles=(replace(machine, friction=Decimal("0.45")),))
    assert judged(smooth, "slide", "rearward").verdict is Verdict.CANNOT_TELL


def test_a_smaller_k_is_an_option_and_is_shown() -> None:
    whole = en_plan(crate(), spread(4), assumptions=Assumptions(transmission_k=Decimal("1.5")))
    finding = judged(whole, "slide", "left")
    assert dan(finding.provided) == pytest.approx(2943 + 4 * 1.5 * 0.3 * 350 / 1.1)
    (k,) = [one for one in finding.inputs if one.name == "transmission_k"]
    assert (k.value, k.basis) == ("1.5", Basis.STATED)
    own = judged(en_plan(crate(), spread(4)), "slide", "left")
    assert [one.value for one in own.inputs if one.name == "transmission_k"] == ["2"]


def test_a_far_leg_told_for_one_lashing_goes_before_k() -> None:
    whole = en_plan(crate(), [over(1, "3", far_side_share=Decimal("0.25"))])
    assert dan(judged(whole, "slide", "left").provided) == pytest.approx(
        2943 + 1.25 * 0.3 * 350 / 1.1
    )


def test_without_a_mass_only_what_holds_for_every_mass_is_said() -> None:
    def verdict(friction: str, lashings: int) -> Verdict:
        whole = en_plan(crate(mass=None, friction=Decimal(friction)), spread(lashings))
        return judged(whole, "slide", "left").verdict

    assert verdict("0.5", 0) is Verdict.MEETS
    assert verdict("0.4", 0) is Verdict.DOES_NOT_MEET
    assert verdict("0.4", 2) is Verdict.CANNOT_TELL


def test_what_blocks_it_and_nobody_said_leaves_it_open() -> None:
    finding = judged(en_plan(crate(blocked={})), "slide", "left")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in finding.unknown] == ["blocked.left"]


def test_a_strap_that_does_not_bear_on_the_article_counts_nothing() -> None:
    finding = judged(en_plan(crate(), [over(1, "6")]), "slide", "left")
    assert dan(finding.provided) == pytest.approx(2943)
    assert "note.en-no-route" in steps_of(finding)


def test_the_friction_that_would_decide_is_named_and_does_decide() -> None:
    """0.5 × 9,810 = mu × (9,810 + 4 × 2 × 350 / 1.1): mu 0.3970."""
    whole = en_plan(crate(friction=None), spread(4))
    finding = judged(whole, "slide", "left")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert decides_line(finding) == "meets if the friction is at least 0.40"
    for friction, verdict in (("0.40", Verdict.MEETS), ("0.39", Verdict.DOES_NOT_MEET)):
        told = replace(whole, articles=(crate(friction=Decimal(friction)),))
        assert judged(told, "slide", "left").verdict is verdict


def test_what_is_wanting_from_a_block_of_unknown_force_is_named() -> None:
    blocked = {**crate().blocked, Direction.LEFT: Block(by="stanchions")}
    finding = judged(en_plan(crate(blocked=blocked), spread(4)), "slide", "left")
    assert decides_line(finding) == "meets if what is not known brings another 1,199 daN"
