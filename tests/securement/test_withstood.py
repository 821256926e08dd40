"""The forces along the deck, 49 CFR 393.102(a), and the downward force from the legs' angles.

Forces are plane statics worked out by hand beside each case; the shares of g are published.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from tests.securement.plans import (
    FLATBED,
    article,
    chain,
    force,
    found,
    length,
    plan,
    strap,
    value_of,
)
from tests.securement.plans import tie_down as tied
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Scope, Verdict
from triplog.securement.model import (
    Anchor,
    Article,
    Block,
    Direction,
    FrontStructure,
    Gear,
    GearKind,
    Part,
    Path,
    Plan,
    Position,
    TieDown,
)
from triplog.wording.findings import sum_lines, unknown_line
from triplog.wording.languages import words_of

NO_BLOCKS = {way: Block(by="nothing") for way in Direction}
# Upright legs: the anchor points stand right under the edges of a box 2 m wide and 1.5 m high.
AT_LEFT = Position(from_front_m=Fraction(2), left_m=Fraction(1))
AT_RIGHT = Position(from_front_m=Fraction(2), left_m=Fraction(-1))


def box(name: str = "A", **told: Any) -> Article:
    """A box 3 m long, 2 m wide and 1.5 m high, from 1 m behind the deck front, blocked nowhere."""
    facts: dict[str, Any] = {
        "weighs": "1000 kg",
        "long": "3 m",
        "width": length("2 m"),
        "height": length("1.5 m"),
        "at": Position(from_front_m=Fraction(1), left_m=Fraction(0)),
        "blocked": NO_BLOCKS,
        "friction": Decimal("0.4"),
        **told,
    }
    return article(name, **facts)


def ring(name: str, at: Position, **told: Any) -> Anchor:
    facts: dict[str, Any] = {"wll": force("2000 kg"), "breaking": force("6000 kg"), **told}
    return Anchor(id=name, at=at, kind="ring", **facts)


def whole_strap(**told: Any) -> Gear:
    """A strap whose every part has its breaking strength."""
    facts: dict[str, Any] = {
        "wll": "1500 kg",
        "breaking": force("4500 kg"),
        "fittings": (Part(kind="flat hook", breaking=force("4600 kg")),),
        "tensioner": Part(kind="ratchet", breaking=force("4700 kg")),
        **told,
    }
    return strap(**facts)


def over(**told: Any) -> TieDown:
    facts: dict[str, Any] = {
        "ends": ("L", "R"),
        "tension": force("300 kg"),
        "far_side_share": Decimal(1),
        **told,
    }
    return tied(**facts)


def one_over(one: Article | None = None, gear: Gear | None = None, **told: Any) -> Plan:
    """A box under one upright strap over the top."""
    return plan(
        [one or box()],
        [gear or whole_strap()],
        [over(**told)],
        anchors=[ring("L", AT_LEFT), ring("R", AT_RIGHT)],
    )


def direct(angle_run_m: Fraction, **told: Any) -> Plan:
    """A chain from the middle of the front face, 1 m up, back and down to the deck beneath."""
    facts: dict[str, Any] = {"tension": force("0 kg"), **told}
    tie = tied(
        path=Path.DIRECT,
        gear="C-1",
        ends=("B", "eye"),
        touches=(Position(from_front_m=Fraction(1), left_m=Fraction(0), up_m=Fraction(1)),),
        **facts,
    )
    back = Position(from_front_m=1 + angle_run_m, left_m=Fraction(0))
    gear = chain(
        wll="2000 kg",
        breaking=force("8000 kg"),
        fittings=(Part(kind="hook", wll=force("2000 kg"), breaking=force("8000 kg")),),
        tensioner=Part(kind="binder", wll=force("2000 kg"), breaking=force("8000 kg")),
    )
    eye = Anchor(id="eye", wll=force("9000 kg"), breaking=force("9000 kg"))
    ends = [ring("B", back, breaking=force("9000 kg")), eye]
    return plan([box()], [gear], [tie], anchors=ends)


def of(whole: Plan, which: str) -> Finding:
    return found(assess(whole), f"us-393.102-{which}")


# What holds


def test_friction_counts_the_weight_and_what_upright_legs_press() -> None:
    """0.4 x (1,000 kg + 2 legs x 300 kg) = 640 kg; 0.5 g asks for 500 kg, 0.8 g for 800 kg."""
    rearward = of(one_over(), "wll-rearward")
    assert (rearward.verdict, value_of(rearward.provided)) == (Verdict.MEETS, Fraction(640))
    assert value_of(rearward.required) == 500
    forward = of(one_over(), "breaking-forward")
    assert (forward.verdict, value_of(forward.margin)) == (Verdict.DOES_NOT_MEET, Fraction(-160))
    assert value_of(of(one_over(), "wll-lateral").required) == 250


def test_the_far_leg_presses_with_its_share() -> None:
    half = one_over(far_side_share=Decimal("0.5"), tensioner_side="left")
    assert value_of(of(half, "wll-rearward").provided) == 580
    untold = of(one_over(far_side_share=None), "wll-rearward")
    assert value_of(untold.provided) == 520, "the leg beside the tensioner alone"


def test_the_leg_of_a_loop_that_the_movement_lengthens_holds_up_to_its_limit() -> None:
    """A 3-4-5 slope: run 4/3 m for 1 m of height gives 0.8 along and 0.6 down.

    2,000 kg x (0.8 + 0.4 x 0.6) + 400 kg = 2,480 kg; slackened rearward: 400 kg.
    """
    whole = direct(Fraction(4, 3))
    assert value_of(of(whole, "wll-forward").provided) == 2480
    rearward = of(whole, "wll-rearward")
    assert (rearward.verdict, value_of(rearward.provided)) == (Verdict.DOES_NOT_MEET, Fraction(400))
    assert "slackened" in " ".join(sum_lines(rearward))


def test_breaking_strength_is_the_weakest_part_of_all_never_a_multiple() -> None:
    """8,000 kg x (0.8 + 0.4 x 0.6) + 400 kg = 8,720 kg; the anchor point is stronger."""
    assert value_of(of(direct(Fraction(4, 3)), "breaking-forward").provided) == 8720


@pytest.mark.parametrize(
    ("gear", "asked"),
    [
        (whole_strap(breaking=None), "the breaking strength of S-1"),
        (whole_strap(tensioner=None), "the breaking strength of the tensioner of S-1"),
        (whole_strap(fittings=None), "the breaking strength of the end fittings of S-1"),
        (
            whole_strap(fittings=(Part(kind="hook"),)),
            "the breaking strength of the end fittings of S-1",
        ),
    ],
)
def test_an_unknown_breaking_strength_is_named_and_not_worked_out(gear: Gear, asked: str) -> None:
    """With 1,000 kg of tension the strap would do; nobody knows whether it holds that."""
    whole = one_over(gear=gear, tension=force("1000 kg"))
    forward = of(whole, "breaking-forward")
    assert forward.verdict is Verdict.CANNOT_TELL
    assert asked in unknown_line(forward)
    assert of(whole, "wll-forward").verdict is Verdict.MEETS


def test_an_anchor_points_breaking_strength_is_asked_and_shared() -> None:
    whole = direct(Fraction(4, 3))
    bare = replace(whole, anchors=(replace(whole.anchors[0], breaking=None), whole.anchors[1]))
    assert "the breaking strength of B" in unknown_line(of(bare, "breaking-forward"))
    weaker = replace(whole.anchors[0], breaking=force("1000 kg"))
    weak = replace(whole, anchors=(weaker, whole.anchors[1]))
    assert value_of(of(weak, "breaking-forward").provided) == 1440


def test_tension_above_the_limit_counts_only_the_limit() -> None:
    """2 legs at 1,500 kg: 0.4 x (1,000 + 3,000) = 1,600 kg."""
    whole = one_over(tension=force("1900 kg"))
    assert value_of(of(whole, "wll-forward").provided) == 1600


def test_blocking_counts_what_it_is_rated() -> None:
    told = {**NO_BLOCKS, Direction.FORWARD: Block(by="timber", rated=force("500 kg"))}
    forward = of(one_over(box(blocked=told)), "breaking-forward")
    assert (forward.verdict, value_of(forward.provided)) == (Verdict.MEETS, Fraction(1140))
    unrated = {**NO_BLOCKS, Direction.FORWARD: Block(by="timber")}
    asked = of(one_over(box(blocked=unrated)), "breaking-forward")
    assert unknown_line(asked) == "what the blocking of A holds forward"
    assert asked.range is not None and asked.range.decides.id == "decides.held"
    assert value_of(asked.range.decides.values["at_least"]) == 160


def test_a_front_structure_is_shared_by_the_articles_behind_it() -> None:
    behind = {**NO_BLOCKS, Direction.FORWARD: Block(by="front structure")}
    structure = FrontStructure(height=length("2 m"), width=length("2.5 m"), rated=force("1000 kg"))
    vehicle = replace(FLATBED, front_structure=structure)
    one = plan([box(blocked=behind)], vehicle=vehicle)
    assert value_of(of(one, "wll-forward").provided) == 1400
    two = plan([box(blocked=behind), box("B", blocked=behind)], vehicle=vehicle)
    assert value_of(found(assess(two), "us-393.102-wll-forward", "B").provided) == 900


def test_a_member_of_the_group_blocks_nothing() -> None:
    behind = {**NO_BLOCKS, Direction.FORWARD: Block(by="A", rated=force("9000 kg"))}
    rear = box("B", blocked=behind, at=Position(from_front_m=Fraction(4), left_m=Fraction(0)))
    whole = plan([box(together="one"), replace(rear, together="one")])
    forward = of(whole, "wll-forward")
    assert forward.about == ("A", "B")
    assert (forward.verdict, value_of(forward.provided)) == (Verdict.DOES_NOT_MEET, Fraction(800))
    assert "one body" in " ".join(sum_lines(forward))


def test_what_can_roll_has_no_friction() -> None:
    rolling = of(one_over(box(rolls=True)), "wll-rearward")
    assert (rolling.verdict, value_of(rolling.provided)) == (Verdict.DOES_NOT_MEET, Fraction(0))
    assert "it can roll" in " ".join(sum_lines(rolling))


def test_an_unmarked_mat_resists_half_the_weight_and_nothing_of_what_is_pressed() -> None:
    """49 CFR 393.108(g)."""
    mat = Gear(id="M-1", kind=GearKind.FRICTION_MAT, damage=())
    whole = one_over()
    on_mat = box(friction=None, mat="M-1")
    whole = replace(whole, articles=(on_mat,), gear=(*whole.gear, mat))
    assert value_of(of(whole, "wll-rearward").provided) == 500


def test_both_sides_are_asked_and_the_weaker_one_counts() -> None:
    told = {**NO_BLOCKS, Direction.LEFT: Block(by="stake", rated=force("700 kg"))}
    sideways = of(one_over(box(blocked=told)), "breaking-lateral")
    assert value_of(sideways.provided) == 640
    assert "the weaker side is the right" in sum_lines(sideways)


def test_layers_on_each_other_are_not_worked_out() -> None:
    upper = box("B", on="A")
    whole = plan([box(), upper])
    for name in ("A", "B"):
        forward = found(assess(whole), "us-393.102-wll-forward", name)
        assert forward.verdict is Verdict.CANNOT_TELL
        assert "layers" in unknown_line(forward)


def test_a_strap_whose_legs_may_run_any_way_is_judged_at_both_ends() -> None:
    """2 legs of 100 kg: at best 2 x 100 x (1 + 0.4) + 400 = 680 kg, short of 0.8 g."""
    whole = one_over(tension=force("100 kg"))
    lost = replace(whole, anchors=tuple(replace(one, at=None) for one in whole.anchors))
    forward = of(lost, "breaking-forward")
    assert (forward.verdict, value_of(forward.provided)) == (Verdict.DOES_NOT_MEET, Fraction(680))
    assert of(lost, "breaking-rearward").verdict is Verdict.CANNOT_TELL


def test_friction_nobody_told_leaves_it_open() -> None:
    forward = of(one_over(box(friction=None)), "wll-forward")
    assert forward.verdict is Verdict.CANNOT_TELL
    assert "the friction under A" in unknown_line(forward)


# 393.102(c)


def test_where_all_else_meets_it_is_a_yardstick_and_open_ones_do_not_apply() -> None:
    enough = [tied(f"T{number}") for number in (1, 2)]
    whole = plan([box(friction=None)], [strap()], enough)
    for rule in ("breaking-forward", "wll-lateral"):
        finding = of(whole, rule)
        assert (finding.verdict, finding.scope) == (Verdict.DOES_NOT_APPLY, Scope.YARDSTICK)
        assert finding.unknown
        assert "393.102(c)(3)" in " ".join(sum_lines(finding))


def test_a_plan_that_meets_the_rest_may_fall_short_forward_as_a_yardstick() -> None:
    enough = [over(name=f"T{number}") for number in (1, 2)]
    whole = plan(
        [box()],
        [whole_strap()],
        enough,
        anchors=[ring("L", AT_LEFT), ring("R", AT_RIGHT)],
    )
    heavy = replace(whole, articles=(box(weighs="2500 kg"),))
    forward = of(heavy, "breaking-forward")
    assert found(assess(heavy), "us-393.106-aggregate").verdict is Verdict.MEETS
    assert (forward.verdict, forward.scope) == (Verdict.DOES_NOT_MEET, Scope.YARDSTICK)


def test_a_mat_marked_with_its_friction_is_told_in_the_sum() -> None:
    """0.6 × (1,000 kg + 2 × 300 kg) by friction alone: 960 kg."""
    mat = Gear(id="M-1", kind=GearKind.FRICTION_MAT, damage=(), friction=Decimal("0.6"))
    bare = one_over()
    on_mat = replace(bare.articles[0], friction=None, mat="M-1")
    whole = replace(bare, gear=(*bare.gear, mat), articles=(on_mat,))
    finding = of(whole, "breaking-forward")
    assert value_of(finding.provided) == 960
    assert any("friction 0.6 under the weight of A" in line for line in sum_lines(finding))


def test_what_the_structure_contains_is_deemed_held() -> None:
    finding = of(plan([box(contained=True)]), "breaking-forward")
    assert finding.verdict is Verdict.DOES_NOT_APPLY
    assert "393.102(c)(2)" in " ".join(sum_lines(finding))


# 393.102(b) with the legs' angles


def test_a_known_angle_gives_the_downward_force_exactly() -> None:
    """Two upright legs of 300 kg press with 600 kg; a fifth of 1,000 kg is asked for."""
    down = of(one_over(), "down")
    assert (down.verdict, value_of(down.provided)) == (Verdict.MEETS, Fraction(600))
    assert down.unknown == ()
    steep = of(replace(one_over(), articles=(box(weighs="3001 kg"),)), "down")
    assert (steep.verdict, value_of(steep.margin)) == (Verdict.DOES_NOT_MEET, Fraction("-0.2"))


def test_a_flat_leg_presses_with_the_sine_of_its_angle() -> None:
    """A 3-4-5 slope presses 0.6 of its tension: 300 kg of 500 kg."""
    whole = direct(Fraction(4, 3), tension=force("500 kg"))
    assert value_of(of(whole, "down").provided) == 300
    retained = direct(Fraction(4, 3), tension=force("500 kg"), retained=force("100 kg"))
    assert value_of(of(retained, "down").provided) == 60


def test_a_far_leg_of_unknown_share_counts_at_both_ends() -> None:
    near = of(one_over(far_side_share=None), "down")
    assert (near.verdict, value_of(near.provided)) == (Verdict.MEETS, Fraction(300))
    untold = one_over(box(weighs="2000 kg"), far_side_share=None)
    down = of(untold, "down")
    assert down.verdict is Verdict.CANNOT_TELL
    assert "far leg of T1" in unknown_line(down)


def test_every_line_that_can_come_up_has_its_words() -> None:
    steps = words_of("en").steps
    for kind in ("friction", "pull", "press", "any-way"):
        for ending in ("", "-between", "-open"):
            assert f"provided.held-{kind}{ending}" in steps
    for kind in ("block", "block-open", "mat", "mat-open", "rolls", "slackens", "nothing"):
        assert f"provided.held-{kind}" in steps
