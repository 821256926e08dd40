"""Yes-or-no rules: condition, knots, edges, tightening, rolling, front, down."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.securement.plans import (
    FLATBED,
    OPEN_FORWARD,
    anchor,
    article,
    chain,
    force,
    found,
    length,
    mass,
    plan,
    strap,
    strapped,
    tie_down,
    value_of,
)
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Scope, Verdict
from triplog.securement.model import (
    Anchor,
    Article,
    Block,
    Commodity,
    Damage,
    Direction,
    EdgeProtection,
    FrontStructure,
    Gear,
    GearKind,
    Part,
    Path,
    Position,
    TieDown,
    Vehicle,
)

BY_FRONT = {Direction.FORWARD: Block(by="front structure")}


def one_strap(gear: Gear, tie: TieDown | None = None, one: Article | None = None) -> list[Finding]:
    return list(assess(plan([one or article()], [gear], [tie or tie_down(gear=gear.id)])))


# 393.104(b), (f)(1)


def test_any_damage_sets_gear_aside_however_small() -> None:
    finding = found(one_strap(strap(damage=(Damage(kind="cut", size=length("1/16 in")),))),
                    "us-393.104-condition")  # fmt: skip
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert finding.about == ("S-1",)
    assert "note.inspector-line" in [step.id for step in finding.steps]


def test_gear_nobody_looked_at_cannot_be_told() -> None:
    finding = found(one_strap(strap(damage=None)), "us-393.104-condition")
    assert finding.verdict is Verdict.CANNOT_TELL


def test_gear_in_the_plan_that_holds_nothing_is_not_judged() -> None:
    whole = plan([article()], [strap(), strap("S-2", damage=None)], [tie_down()])
    assert found(assess(whole), "us-393.104-condition").about == ("S-1",)


def test_alike_answers_stand_in_one_finding_and_the_worst_first() -> None:
    gear = [strap(f"S-{number}") for number in (1, 2, 3)]
    ties = [
        tie_down("T1", gear="S-1"),
        tie_down("T2", gear="S-2", knots=True),
        tie_down("T3", gear="S-3"),
    ]
    knots = [one for one in assess(plan([article()], gear, ties)) if one.rule == "us-393.104-knots"]
    assert [(one.verdict, one.about) for one in knots] == [
        (Verdict.DOES_NOT_MEET, ("T2",)),
        (Verdict.MEETS, ("T1", "T3")),
    ]


# 393.104(f)(4)


@pytest.mark.parametrize(
    ("sharp", "said", "verdict"),
    [
        (True, EdgeProtection(needed=2, fitted=2), Verdict.MEETS),
        (True, EdgeProtection(needed=2, fitted=1), Verdict.DOES_NOT_MEET),
        (True, EdgeProtection(needed=2), Verdict.CANNOT_TELL),
        (True, None, Verdict.CANNOT_TELL),
        (False, None, Verdict.DOES_NOT_APPLY),
        (None, None, Verdict.CANNOT_TELL),
        (False, EdgeProtection(needed=1, fitted=0), Verdict.DOES_NOT_MEET),
    ],
)
def test_edge_protection_needed_is_compared_with_fitted(
    sharp: bool | None, said: EdgeProtection | None, verdict: Verdict
) -> None:
    tie = tie_down(edge_protection=said)
    finding = found(one_strap(strap(), tie, article(sharp_edges=sharp)), "us-393.104-edges")
    assert finding.verdict is verdict


def test_a_protector_on_one_tie_down_does_not_serve_another() -> None:
    ties = [
        tie_down("T1", gear="S-1", edge_protection=EdgeProtection(needed=2, fitted=4)),
        tie_down("T2", gear="S-2", edge_protection=EdgeProtection(needed=2, fitted=0)),
    ]
    whole = plan([article(sharp_edges=True)], [strap("S-1"), strap("S-2")], ties)
    finding = found(assess(whole), "us-393.104-edges")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert value_of(finding.margin) == -2


def test_chain_on_a_sharp_edge_asks_for_no_protector_unless_somebody_does() -> None:
    """Common practice, no source: sharp edges need protection or chain."""
    tie = tie_down(gear="C-1", edge_protection=None)
    gear = chain(size=length("3/8 in"), tensioner=Part(kind="lever binder", wll=force("6600 lb")))
    finding = found(one_strap(gear, tie, article(sharp_edges=True)), "us-393.104-edges")
    assert finding.verdict is Verdict.DOES_NOT_APPLY


# 393.112


@pytest.mark.parametrize(
    ("gear", "anchor_kind", "verdict"),
    [
        (strap(), "ring", Verdict.MEETS),
        (strap(kind=GearKind.WINCH_STRAP), "winch", Verdict.MEETS),
        (strap(kind=GearKind.WINCH_STRAP), "ring", Verdict.CANNOT_TELL),
        (strap(kind=GearKind.CORDAGE), "ring", Verdict.CANNOT_TELL),
        (strap(kind=GearKind.STEEL_STRAPPING), "ring", Verdict.DOES_NOT_APPLY),
        (strap(kind=GearKind.CHAIN, tensioner=Part(kind="ratchet binder")), "ring", Verdict.MEETS),
        (strap(kind=GearKind.CHAIN, tensioner=Part(kind="none")), "ring", Verdict.DOES_NOT_MEET),
    ],
)
def test_each_tie_down_can_be_tightened_on_the_road(
    gear: Gear, anchor_kind: str, verdict: Verdict
) -> None:
    end = Anchor(id="L1", wll=force("5000 lb"), kind=anchor_kind)
    whole = plan([article()], [gear], [tie_down(ends=("L1", "R1"))], anchors=[end])
    assert found(assess(whole), "us-393.112-tighten").verdict is verdict


# 393.106(c)(1)


def test_what_rolls_is_stopped_in_every_direction_by_something_named() -> None:
    chocked = {way: Block(by="chocks") for way in Direction}
    rule = "us-393.106-rolling"
    assert found(one_strap(strap(), one=article(rolls=True, blocked=chocked)), rule).verdict is (
        Verdict.MEETS
    )
    half = found(one_strap(strap(), one=article(rolls=True, blocked=OPEN_FORWARD)), rule)
    assert half.verdict is Verdict.DOES_NOT_MEET
    unsaid = found(one_strap(strap(), one=article(rolls=True, blocked={})), rule)
    assert unsaid.verdict is Verdict.CANNOT_TELL
    assert len(unsaid.unknown) == 4
    assert found(one_strap(strap(), one=article(rolls=None)), rule).verdict is Verdict.CANNOT_TELL


def test_a_machine_on_wheels_rolls_along_the_vehicle_unless_it_stands_across() -> None:
    rule = "us-393.106-rolling"
    wedged = {
        way: Block(
            by="wheel chocks" if way in (Direction.FORWARD, Direction.REARWARD) else "nothing"
        )
        for way in Direction
    }
    mower = article(
        commodity=Commodity.MACHINE, rolls=True, blocked=wedged, long="6 ft",
        width=length("4 ft"),
    )  # fmt: skip
    along = found(one_strap(strap(), one=mower), rule)
    assert along.verdict is Verdict.MEETS
    assert "note.rolls-along" in {step.id for step in along.steps}
    across = replace(mower, length=length("4 ft"), width=length("6 ft"))
    assert found(one_strap(strap(), one=across), rule).verdict is Verdict.DOES_NOT_MEET
    reel = replace(mower, commodity=Commodity.GENERAL)
    assert found(one_strap(strap(), one=reel), rule).verdict is Verdict.DOES_NOT_MEET


# 393.114


def front(structure: FrontStructure | None, *, weighs: str | None = "6200 lb") -> list[Finding]:
    vehicle = Vehicle(
        gross_mass=mass("80000 lb"),
        use="interstate business",
        deck_width=length("8 ft 6 in"),
        front_structure=structure,
    )
    one = article(weighs=weighs, blocked=BY_FRONT, width=length("6 ft"))
    findings = assess(plan([one], [strap()], [tie_down()], vehicle=vehicle))
    return [finding for finding in findings if finding.rule == "us-393.114-front"]


def structure(height: str | None, rated: str | None, width: str | None = "8 ft") -> FrontStructure:
    return FrontStructure(
        height=None if height is None else length(height),
        width=None if width is None else length(width),
        rated=None if rated is None else force(rated),
    )


def test_a_front_structure_is_asked_only_where_it_is_what_blocks() -> None:
    assert not [one for one in one_strap(strap()) if one.rule == "us-393.114-front"]


def test_a_front_structure_is_high_wide_and_strong_enough() -> None:
    size, strength = front(structure("4 ft", "3100 lb"))
    assert (size.verdict, strength.verdict) == (Verdict.MEETS, Verdict.MEETS)
    assert value_of(front(structure("4 ft", "3099 lb"))[1].margin) == -1


def test_a_tall_front_structure_withstands_four_tenths() -> None:
    assert value_of(front(structure("6 ft", "2480 lb"))[1].required) == 2480


def test_an_unknown_height_is_judged_at_both_shares() -> None:
    between = front(structure(None, "2480 lb"))[1]
    assert between.verdict is Verdict.CANNOT_TELL
    assert between.range is None, "what it withstands is told; what is asked is open"
    assert value_of(between.provided) == 2480
    assert front(structure(None, "3100 lb"))[1].verdict is Verdict.MEETS
    assert front(structure(None, "2479 lb"))[1].verdict is Verdict.DOES_NOT_MEET


def test_what_is_not_known_of_the_front_structure_is_named() -> None:
    size, strength = front(None)
    assert {one.field for one in (*size.unknown, *strength.unknown)} == {
        "front_structure.height",
        "front_structure.width",
        "front_structure.rated",
    }
    assert front(structure("3 ft", "9000 lb"))[0].verdict is Verdict.CANNOT_TELL
    assert front(structure("4 ft", "9000 lb", width="5 ft"))[0].verdict is Verdict.CANNOT_TELL
    assert front(structure("4 ft", "9000 lb"), weighs=None)[1].verdict is Verdict.CANNOT_TELL


def test_a_low_front_structure_meets_where_it_meets_the_cargo() -> None:
    vehicle = Vehicle(front_structure=structure("3 ft", "9000 lb"), deck_width=length("8 ft"))
    for contact, verdict in (("2 ft", Verdict.MEETS), ("4 ft", Verdict.DOES_NOT_MEET)):
        block = {Direction.FORWARD: Block(by="headboard", up=length(contact))}
        whole = plan([article(blocked=block)], [strap()], [tie_down()], vehicle=vehicle)
        sizes = [one for one in assess(whole) if one.rule == "us-393.114-front"]
        assert sizes[0].verdict is verdict


def behind(one: Article, height: str, width: str = "8 ft") -> Finding:
    vehicle = Vehicle(front_structure=structure(height, "9000 lb", width=width))
    findings = assess(plan([one], [strap()], [tie_down()], vehicle=vehicle))
    return next(one for one in findings if one.rule == "us-393.114-front")


def test_a_low_front_structure_as_high_as_the_cargo_itself_blocks_it() -> None:
    low = article(blocked=BY_FRONT, width=length("6 ft"), height=length("2 ft 6 in"))
    assert behind(low, "3 ft").verdict is Verdict.MEETS
    tall = replace(low, height=length("5 ft"))
    finding = behind(tall, "3 ft")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in finding.unknown] == ["blocked.forward_up"]


def test_a_front_structure_is_as_wide_as_the_cargo_where_it_stands() -> None:
    aside = Position(from_front_m=Fraction(0), left_m=Fraction("0.3048"))
    one = article(blocked=BY_FRONT, width=length("6 ft"), at=aside)
    assert behind(one, "4 ft", "8 ft").verdict is Verdict.MEETS
    assert behind(one, "4 ft", "7 ft").verdict is Verdict.CANNOT_TELL


def test_cargo_planned_away_from_the_front_structure_is_named() -> None:
    back = Position(from_front_m=Fraction(3), left_m=Fraction(0))
    finding = behind(article(blocked=BY_FRONT, at=back), "4 ft")
    assert "note.front-apart" in [step.id for step in finding.steps]


def test_a_front_structure_the_vehicle_lacks_does_not_meet() -> None:
    findings = one_strap(strap(), one=article(blocked=BY_FRONT))
    assert FLATBED.front_structure == "none"
    assert found(findings, "us-393.114-front").verdict is Verdict.DOES_NOT_MEET


# 393.102(b)


def test_the_downward_force_is_no_law_where_everything_else_meets() -> None:
    finding = found(assess(strapped("6200 lb", ["3300 lb"] * 3)), "us-393.102-down")
    assert (finding.verdict, finding.scope) == (Verdict.DOES_NOT_APPLY, Scope.YARDSTICK)
    assert "tension" in [one.field for one in finding.unknown]
    assert value_of(finding.required) == 1240


def test_the_downward_force_cannot_be_told_where_something_else_is_short() -> None:
    finding = found(assess(strapped("6200 lb", ["3300 lb"])), "us-393.102-down")
    assert (finding.verdict, finding.scope) == (Verdict.CANNOT_TELL, Scope.LAW)


def test_too_little_tension_cannot_press_down_enough() -> None:
    """Two legs of 600 lb press down with 1,200 lb at most, and 1,240 lb are asked for."""
    tie = tie_down(tension=force("600 lb"), tension_basis="measured")
    finding = found(one_strap(strap(), tie), "us-393.102-down")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert value_of(finding.margin) == -40
    direct = tie_down(path=Path.DIRECT, tension=force("1200 lb"))
    assert found(one_strap(strap(), direct), "us-393.102-down").verdict is Verdict.DOES_NOT_MEET


def test_what_the_structure_contains_needs_no_downward_force() -> None:
    finding = found(one_strap(strap(), one=article(contained=True)), "us-393.102-down")
    assert finding.verdict is Verdict.DOES_NOT_APPLY
    bare = found(assess(plan([article(contained=None)])), "us-393.102-down")
    assert bare.verdict is Verdict.CANNOT_TELL
    assert bare.range is not None and bare.range.decides.id == "decides.contained"


# scope


def test_a_plan_that_is_not_law_says_why() -> None:
    rule = "us-393.100-scope"
    other = plan([article()], vehicle=Vehicle(use="other"))
    assert found(assess(other), rule).verdict is Verdict.DOES_NOT_APPLY
    unknown = found(assess(plan([article()], vehicle=Vehicle())), rule)
    assert unknown.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in unknown.unknown] == ["gross_mass", "use"]
    assert not [one for one in assess(plan([article()])) if one.rule == rule]


def test_cargo_alone_may_be_heavy_enough_for_the_law() -> None:
    vehicle = Vehicle(gross_mass=mass("10000 lb"), use="interstate business")
    whole = plan([article(weighs="10001 lb")], vehicle=vehicle)
    assert found(assess(whole), "us-393.110-count").scope is Scope.LAW


# 393.108


def test_a_rating_that_is_not_known_cannot_be_told() -> None:
    whole = plan([article()], [strap()], [tie_down()], anchors=[anchor("L-T1", wll=None)])
    finding = found(assess(whole), "us-393.108-rating")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [(one.field, one.about) for one in finding.unknown] == [("wll", "L-T1")]


def test_unmarked_one_inch_webbing_cannot_be_told_and_the_custom_is_named() -> None:
    finding = found(one_strap(strap(wll=None, width=length("1 in"))), "us-393.108-rating")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert "note.one-inch" in [step.id for step in finding.steps]


def test_a_third_of_the_breaking_strength_is_only_a_suggestion() -> None:
    gear = strap(wll=None, breaking=force("9900 lb"))
    finding = found(one_strap(gear), "us-393.108-rating")
    note = next(step for step in finding.steps if step.id == "note.breaking-only")
    assert value_of(note.values["third"]) == 3300
    assert value_of(finding.provided) == 2000
