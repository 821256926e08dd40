"""The Australian loading performance standards: friction, lashings, blocking, the fifth upward.

Forces are worked out by us from the shares of Schedule 7; published cases stand in
tests/published.
"""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from tests.securement.decks import NOT_BLOCKED, blocks, box, direct, over
from tests.securement.plans import chain, force, found, length, strap, tie_down, value_of
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Scope, Verdict
from triplog.securement.model import (
    Block,
    Damage,
    Direction,
    Gear,
    GearKind,
    Part,
    Path,
    Plan,
    Vehicle,
)
from triplog.wording.findings import rows, sum_lines, unknown_line

WAYS = ("au-lrg-forward", "au-lrg-rearward", "au-lrg-sideways", "au-lrg-up")
MEETS, SHORT, OPEN, NOT_ASKED = (
    Verdict.MEETS,
    Verdict.DOES_NOT_MEET,
    Verdict.CANNOT_TELL,
    Verdict.DOES_NOT_APPLY,
)


def verdicts(whole: Plan) -> list[Verdict]:
    findings = assess(whole)
    return [found(findings, way).verdict for way in WAYS]


def finding(whole: Plan, word: str) -> Finding:
    return found(assess(whole), f"au-lrg-{word}")


def asked(one: Finding) -> list[str]:
    return [missing.field for missing in one.unknown]


def test_clamping_and_friction_hold_the_weight_direction_by_direction() -> None:
    """mu 0.4, 1,000 kg, two upright legs of 500 kg: 0.4 x 2,000 kg = 800 kg each way."""
    assert verdicts(over(box(), tension=["500 kg"])) == [MEETS, MEETS, MEETS, MEETS]
    assert value_of(finding(over(box(), tension=["500 kg"]), "forward").margin) == 0
    a_little_less = over(box(), tension=["499 kg"])
    assert verdicts(a_little_less) == [SHORT, MEETS, MEETS, MEETS]
    assert value_of(finding(a_little_less, "forward").margin) == Decimal("-0.8")


def test_a_fifth_of_the_weight_is_held_down_where_friction_alone_would_do() -> None:
    """mu 0.9 holds 0.9 of the weight; still a fifth is to be held down."""
    assert verdicts(over(box(friction="0.9"), tension=["100 kg"])) == [MEETS] * 4
    assert verdicts(over(box(friction="0.9"), tension=["99 kg"])) == [MEETS, MEETS, MEETS, SHORT]


def test_where_blocking_holds_every_way_friction_is_not_relied_on() -> None:
    held = blocks(forward="800 kg", rearward="500 kg", left="500 kg", right="500 kg")
    whole = over(box(blocked=held), tension=["1 kg"])
    assert verdicts(whole) == [MEETS, MEETS, MEETS, NOT_ASKED]
    weak = blocks(forward="800 kg", rearward="500 kg", left="500 kg", right="10 kg")
    weaker = over(box(blocked=weak, friction="0.1"), tension=["1 kg"])
    assert verdicts(weaker) == [MEETS, MEETS, SHORT, SHORT]


def test_the_worse_side_is_the_one_that_is_told() -> None:
    one_side = blocks(left="500 kg")
    told = finding(over(box(blocked=one_side, friction="0.1"), tension=["1 kg"]), "sideways")
    assert told.verdict is SHORT
    assert any("right" in line for line in sum_lines(told))


def test_ways_of_holding_are_not_added_and_a_mix_that_might_do_cannot_be_told() -> None:
    """400 kg of friction and 500 kg of blocking would be 900 kg together, for 800 kg."""
    whole = over(box(blocked=blocks(forward="500 kg")), tension=["0 kg"])
    forward = finding(whole, "forward")
    assert forward.verdict is OPEN
    assert asked(forward) == ["au-mix"]
    assert any("not added up" in line for line in sum_lines(forward))
    assert forward.range is not None
    assert value_of(forward.range.worst) == 500 and value_of(forward.range.best) == 900
    too_little = over(box(blocked=blocks(forward="399 kg")), tension=["0 kg"])
    assert finding(too_little, "forward").verdict is SHORT


def test_a_lashing_capacity_is_not_asked_for_where_the_anchor_point_holds_less() -> None:
    """600 kg x 0.70, the step below sin 45 degrees, is 420 kg; with 400 kg of friction 820 kg."""
    whole = direct(box(), [(1.0, 0.0, 1.0)], chain(wll="2000 kg"))
    whole = replace(
        whole, anchors=tuple(replace(one, wll=force("600 kg")) for one in whole.anchors)
    )
    forward = finding(whole, "forward")
    assert forward.verdict is OPEN
    assert asked(forward) == ["au-mix"]


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"friction": None}, "friction"),
        ({"blocked": {}}, "blocked.forward"),
        ({"blocked": blocks(forward=None)}, "blocked.forward_rated"),
        ({"weighs": None}, "mass"),
    ],
)
def test_what_is_not_known_is_named(told: dict[str, Any], field: str) -> None:
    forward = finding(over(box(**told), tension=["1 kg"]), "forward")
    assert forward.verdict is OPEN and field in asked(forward)
    assert unknown_line(forward)


def test_an_unknown_friction_does_not_matter_to_what_is_blocked() -> None:
    held = blocks(forward="800 kg", rearward="500 kg", left="500 kg", right="500 kg")
    whole = over(box(blocked=held, friction=None), tension=["1 kg"])
    assert verdicts(whole) == [MEETS, MEETS, MEETS, NOT_ASKED]


def test_no_friction_holds_nothing_whatever_the_tension() -> None:
    assert verdicts(over(box(friction="0"), tension=["9 t"])) == [SHORT, SHORT, SHORT, MEETS]


def test_a_leg_at_thirty_degrees_clamps_half_of_an_upright_one() -> None:
    upright = finding(over(box(), tension=["300 kg"]), "up")
    slanted = finding(over(box(), tension=["300 kg"], angle_deg=30), "up")
    assert value_of(upright.provided) == 600
    assert abs(value_of(slanted.provided) - 300) < Decimal("0.000001")


def test_a_place_that_is_not_told_leaves_the_angle_open_between_nothing_and_upright() -> None:
    whole = over(box(), tension=["500 kg"])
    lost = replace(whole, anchors=tuple(replace(one, at=None) for one in whole.anchors))
    up = finding(lost, "up")
    assert up.verdict is OPEN and "angle of the legs" in asked(up)
    assert up.range is not None and value_of(up.range.worst) == 0
    weak = over(box(), tension=["99 kg"])
    assert finding(
        replace(weak, anchors=tuple(replace(one, at=None) for one in weak.anchors)), "up"
    ).verdict is (SHORT)


def test_the_far_legs_share_is_taken_where_it_is_told() -> None:
    half = over(box(), tension=["500 kg"], far_side_share=Decimal("0.5"))
    assert value_of(finding(half, "up").provided) == 750


def clamps(gear: Gear) -> tuple[Verdict, list[str], float | None]:
    """With the tension by the tensioner: the verdict up, what is asked, and the clamping."""
    up = finding(over(box("100 t"), tension=[None], gear=gear), "up")
    amount = up.range.best if up.range is not None else up.provided
    return up.verdict, asked(up), None if amount is None else float(value_of(amount)) * 1000


@pytest.mark.parametrize(
    ("kind", "tensioner", "clamping_kg"),
    [
        (GearKind.RATCHET_STRAP, "push-up ratchet", 600),
        (GearKind.RATCHET_STRAP, "pull-down ratchet", 1200),
        (GearKind.WINCH_STRAP, None, 600),
        (GearKind.WINCH_STRAP, "truck winch", 600),
        (GearKind.RATCHET_STRAP, "Push-Up Ratchet ", 600),
    ],
)
def test_the_tensioner_tells_the_pre_tension_of_a_50_mm_strap(
    kind: GearKind, tensioner: str | None, clamping_kg: int
) -> None:
    part = None if tensioner is None else Part(kind=tensioner)
    gear = strap(kind=kind, width=length("50 mm"), tensioner=part)
    assert clamps(gear) == (SHORT, [], clamping_kg)


def test_a_ratchet_that_may_be_either_kind_is_judged_at_both_ends() -> None:
    verdict, fields, best = clamps(strap(width=length("2 in")))
    assert best == 1200, "at best a pull-down ratchet"
    assert (verdict, fields) == (SHORT, [])
    light = finding(over(box("4 t"), tension=[None], gear=strap(width=length("2 in"))), "up")
    assert light.verdict is OPEN and asked(light) == ["tensioner"]


def test_another_width_has_no_row_and_its_tension_is_asked() -> None:
    gear = strap(width=length("4 in"), tensioner=Part(kind="winch"))
    up = finding(over(box(), tension=[None], gear=gear), "up")
    assert up.verdict is OPEN and asked(up) == ["tension"]


def test_a_pre_tension_from_memory_never_helps_the_plan() -> None:
    """A lever dog's 750 kg and a rope hitch's 50 kg are from memory; a turnbuckle's 750 is read."""
    dog = chain(size=length("8 mm"), tensioner=Part(kind="lever dog"))
    dogged = finding(over(box(), tension=[None], gear=dog), "up")
    assert dogged.verdict is OPEN and dogged.range is not None
    assert value_of(dogged.range.worst) == 0
    screw = chain(size=length("8 mm"), tensioner=Part(kind="turnbuckle"))
    turned = finding(over(box(), tension=[None], gear=screw), "up")
    assert turned.verdict is MEETS and value_of(turned.provided) == 1500
    hitch = Gear(id="x", kind=GearKind.CORDAGE, damage=(), tensioner=Part(kind="single hitch"))
    assert finding(over(box(), tension=[None], gear=hitch), "up").verdict is SHORT


def test_damaged_gear_clamps_nothing() -> None:
    cut = strap(damage=(Damage(kind="cut"),))
    up = finding(over(box(), tension=["900 kg"], gear=cut), "up")
    assert up.verdict is SHORT and value_of(up.provided) == 0


def test_direct_lashings_hold_by_the_next_lower_step_of_their_angle_effect() -> None:
    """Run 1.6 m over 2 m: 0.8, so 0.7; two of 600 kg hold 840 kg, for 800 kg."""
    lashed = direct(box(friction="0"), [(1.6, 0, 1.2)] * 2, chain(lc=force("600 kg")))
    forward = finding(lashed, "forward")
    assert forward.verdict is MEETS and value_of(forward.provided) == 840
    assert any("angle effect 0.8" in line and "step 0.7" in line for line in sum_lines(forward))
    assert finding(lashed, "rearward").verdict is SHORT
    weaker = direct(box(friction="0"), [(1.6, 0, 1.2)] * 2, chain(lc=force("571 kg")))
    assert finding(weaker, "forward").verdict is SHORT


def test_four_lashings_need_no_friction_and_nothing_up() -> None:
    corners = [(back, left, 0.5) for back in (2, -2) for left in (1.5, -1.5)]
    lashed = direct(box(friction="0"), corners, chain(lc=force("2 t")))
    assert verdicts(lashed) == [MEETS, MEETS, MEETS, NOT_ASKED]


def test_a_lashing_with_friction_needs_the_fifth_held_down() -> None:
    forward_only = direct(box(friction="0.6"), [(2, 0, 0)] * 2, chain(lc=force("2 t")))
    assert verdicts(forward_only) == [MEETS, MEETS, MEETS, SHORT]
    pulling_down = direct(box(friction="0.6"), [(1.6, 0, 1.2)] * 2, chain(lc=force("2 t")))
    up = finding(pulling_down, "up")
    assert up.verdict is OPEN and asked(up) == ["au-pulled-down"]


def test_half_the_breaking_strength_of_webbing_is_its_lashing_capacity() -> None:
    """AS/NZS 4380 by a note: 5,000 kg breaking is 2,500 kg lashing capacity."""
    webbing = direct(box(friction="0"), [(2, 0, 0)], strap(wll=None, breaking=force("1600 kg")))
    assert value_of(finding(webbing, "forward").provided) == 800
    links = direct(box(friction="0"), [(2, 0, 0)], chain(breaking=force("1600 kg")))
    forward = finding(links, "forward")
    assert forward.verdict is OPEN and asked(forward) == ["lc"]


def test_a_working_load_limit_is_the_least_a_lashing_holds() -> None:
    enough = direct(box(friction="0"), [(2, 0, 0)], chain(wll="800 kg"))
    assert finding(enough, "forward").verdict is MEETS
    perhaps = direct(box(friction="0"), [(2, 0, 0)], chain(wll="700 kg"))
    forward = finding(perhaps, "forward")
    assert forward.verdict is OPEN and asked(forward) == ["lc"]


def test_the_anchor_point_holds_a_lashing_down() -> None:
    lashed = direct(box(friction="0"), [(2, 0, 0)], chain(lc=force("5 t")))
    weak = replace(
        lashed, anchors=tuple(replace(one, wll=force("700 kg")) for one in lashed.anchors)
    )
    assert finding(weak, "forward").verdict is SHORT
    unrated = replace(lashed, anchors=tuple(replace(one, wll=None) for one in lashed.anchors))
    forward = finding(unrated, "forward")
    assert forward.verdict is OPEN and set(asked(forward)) == {"wll"}


def test_a_lashing_whose_run_is_not_known_may_hold_anything() -> None:
    lashed = direct(box(friction="0"), [(2, 0, 0)], chain(lc=force("5 t")))
    lost = replace(lashed, tie_downs=tuple(replace(one, touches=None) for one in lashed.tie_downs))
    forward = finding(lost, "forward")
    assert forward.verdict is OPEN
    assert {"angle of the legs", "touches"} <= set(asked(forward))


def test_loops_and_springs_are_not_covered() -> None:
    for path in (Path.SAME_SIDE, Path.SPRING):
        whole = over(box(friction="0"), tension=["9 t"], path=path)
        assert verdicts(whole)[0] is OPEN
        assert "au-path" in asked(finding(whole, "forward"))


def test_a_contained_load_is_not_asked() -> None:
    assert verdicts(over(box(contained=True))) == [NOT_ASKED] * 4


def test_articles_under_one_tie_down_are_one_load_with_the_least_friction() -> None:
    two = over(box(), replace(box(friction="0.2"), id="B"), tension=["1500 kg"])
    forward = finding(two, "forward")
    assert forward.about == ("A", "B")
    assert value_of(forward.required) == 1600
    assert value_of(forward.provided) == 1000, "0.2 x (2,000 + 3,000)"


def test_the_weakest_blocking_of_a_group_is_what_holds_it() -> None:
    weak, strong = blocks(forward="1599 kg"), blocks(forward="9 t")
    two = over(
        box(friction="0", blocked=strong),
        replace(box(friction="0", blocked=weak), id="B"),
        tension=["1 kg"],
    )
    forward = finding(two, "forward")
    assert forward.verdict is SHORT and value_of(forward.provided) == 1599


def test_a_front_structure_the_vehicle_lacks_blocks_nothing() -> None:
    headboard = NOT_BLOCKED | {Direction.FORWARD: Block(by="headboard", rated=force("9 t"))}
    whole = over(box(blocked=headboard, friction="0.1"), tension=["1 kg"])
    lacking = replace(whole, vehicle=Vehicle(front_structure="none"))
    assert finding(lacking, "forward").verdict is SHORT
    assert finding(replace(whole, vehicle=Vehicle()), "forward").verdict is MEETS


def test_it_is_guidance_and_says_what_is_law() -> None:
    forward = finding(over(box()), "forward")
    assert forward.scope is Scope.GUIDANCE
    assert any("Schedule 7" in line for line in sum_lines(forward))
    west = replace(over(box()), vehicle=Vehicle(registered_in="AU-WA"))
    assert any("Western Australia" in line for line in sum_lines(finding(west, "forward")))


def test_every_line_of_a_many_sided_load_can_be_said() -> None:
    for whole in (
        over(box(), tension=[None, "300 kg"]),
        over(box(friction=None, weighs=None, blocked={}), tension=[None]),
        over(box(blocked=blocks(forward=None)), tension=["1 kg"], path=None),
        direct(box(), [(2, 0, 0), (-1, 1, 1)], chain()),
        direct(box(blocked=blocks(forward="1 t")), [(2, 0, 0)], chain(lc=force("1 t"))),
    ):
        for one in assess(whole):
            for row in rows(one):
                assert "{" not in row.text and (row.figure or row.text)


def test_a_tie_down_by_a_path_not_told_may_clamp_or_not() -> None:
    whole = over(box(), tension=["500 kg"], path=None)
    up = finding(whole, "up")
    assert up.verdict is OPEN and "path" in asked(up)
    assert tie_down().path is Path.OVER
