"""The static estimate of a plan: hand-checked values, cases, groups, and what is not known."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path as FilePath
from typing import Any, get_args

import jsonschema
import pytest

from tests.securement.en_plans import (
    TRAILER,
    UNBLOCKED,
    crate,
    direct,
    en_plan,
    over,
    position,
    ring,
    webbing,
)
from tests.securement.plans import force, found, length, mass
from triplog.desk.judging import judge_file
from triplog.drawing.envelope import envelope_picture
from triplog.securement.assess import assess
from triplog.securement.equilibrium.scene import Reason
from triplog.securement.finding import Finding, Missing, Scope, Verdict
from triplog.securement.model import (
    Article,
    Assumptions,
    Block,
    CentreOfGravity,
    Damage,
    Direction,
    FrontStructure,
    GearKind,
    Plan,
)
from triplog.securement.plan_file import read_plan
from triplog.securement.quantity import Amount
from triplog.securement.rules.static.estimates import estimates
from triplog.securement.schemas import schema_findings
from triplog.wording.envelope import recorded
from triplog.wording.findings import sum_lines, unknown_line
from triplog.wording.handbook import findings_lines
from triplog.wording.languages import words_of

HAND_CHECKED = FilePath(__file__).parent / "static_plan.toml"
DIRECTIONS = tuple(Direction)


def estimated(plan: Plan) -> dict[str, Finding]:
    """The four findings about the only load, by direction."""
    findings = assess(replace(plan, rules=("static",)))
    assert len(findings) == 4
    return {one.rule.removeprefix("static-"): one for one in findings}


def share_of_weight(finding: Finding) -> float:
    """What is provided over what is required, in the g required."""
    assert isinstance(finding.provided, Amount) and isinstance(finding.required, Amount)
    g = {"static-forward": 0.8}.get(finding.rule, 0.5)
    return float(finding.provided.si / finding.required.si) * g


def pressed(**told: Any) -> Plan:
    """The crate of 10 t on 0.3 under two straps of 350 daN, tensioners on alternate sides."""
    return en_plan(
        crate(),
        [
            over(1, "2", tension=force("350 daN"), tensioner_side="left", **told),
            over(2, "4", tension=force("350 daN"), tensioner_side="right", **told),
        ],
        gear=[webbing("S1", wll=force("2500 daN")), webbing("S2", wll=force("2500 daN"))],
    )


def test_a_plan_file_checked_by_hand() -> None:
    """Worked out here: 0.42 / 1.4 = 0.3; two straps of 4 kN press with 1.5 of it each, 12 kN;
    the crate weighs 4000 kg x 9.81 = 39.24 kN; 0.3 x (1 + 12 / 39.24) = 0.39174 of its weight."""
    findings = estimated(read_plan(HAND_CHECKED.read_bytes(), "plan.toml").plan)
    assert [one.verdict for one in findings.values()] == [Verdict.DOES_NOT_MEET] * 4
    assert {one.scope for one in findings.values()} == {Scope.ESTIMATE}
    for one in findings.values():
        assert share_of_weight(one) == pytest.approx(0.3 * (1 + 12 / 39.24), rel=1e-8)
    lines = sum_lines(findings["forward"])
    assert lines[0] == "required 3,200 kg: 0.8 of the weight of 4,000 kg"
    assert lines[1] == (
        "provided 1,566 kg: 0.391 of the weight, then A slides on what it stands on"
    )
    # With friction whole and both legs alike: 0.42 x (1 + 16 / 39.24) = 0.59125.
    assert any(line.endswith("both legs alike: 0.591") for line in lines)
    assert any("stricter" in line and "393.102(a)(1)" in line for line in lines)


def test_the_findings_file_has_the_envelope_and_keeps_to_its_schema() -> None:
    document: Any = judge_file(HAND_CHECKED.read_bytes(), "plan.toml").document
    validator = jsonschema.Draft202012Validator(schema_findings())
    validator.validate(document)
    validator.validate({**document, "envelope": recorded(document["envelope"])})
    entries = document["envelope"]
    assert [one["direction"] for one in entries] == [str(one) for one in DIRECTIONS]
    first = entries[0]
    assert (first["required_g"], first["withstands_g"]) == (0.8, 0.391743)
    assert (first["limited_by"], first["mode"], first["governing"]) == (
        "plain", "slide", [{"face": "deck"}],
    )  # fmt: skip
    assert len(first["polar"]) == 72
    assert first["polar"][0] == [0.0, 0.391743]
    assert recorded(entries)[0]["polar"][0] == ["0", "0.391743"]
    assert envelope_picture(entries) is not None
    assert envelope_picture(recorded(entries)) is not None


def test_assumptions_that_are_told_stand() -> None:
    told = Assumptions(friction_divided_by=Decimal(1))
    plan = replace(pressed(far_side_share=Decimal(1)), assumptions=told)
    weight = 10000 * 9.81
    on_paper = 0.3 * (1 + 4 * 3500 / weight)
    assert share_of_weight(estimated(plan)["rearward"]) == pytest.approx(on_paper, rel=1e-8)


def test_a_tension_found_lower_counts_and_the_first_one_stands_beside() -> None:
    whole, slack = pressed(), pressed(retained=force("100 daN"))
    before, after = estimated(whole)["left"], estimated(slack)["left"]
    assert share_of_weight(after) < share_of_weight(before)
    told = next(one for one in after.steps if one.id == "note.static-tensioned")
    assert float(str(told.values["g"])) == pytest.approx(share_of_weight(before), abs=1e-3)


def test_where_nobody_says_the_side_of_the_tensioner_the_worse_counts() -> None:
    def one_strap(side: str | None) -> float:
        tie = over(1, "3", half_m="1.2", tension=force("1000 daN"), tensioner_side=side)
        gear = [webbing("S1", wll=force("2500 daN"))]
        return share_of_weight(estimated(en_plan(crate(), [tie], gear=gear))["left"])

    # The heavier leg pulls to its own side: legs 0.2 m out over 1 m up, 10 kN and 5 kN.
    weight, leg = 10000 * 9.81, (0.2**2 + 1.0) ** 0.5
    pressed_by = 0.3 / 1.4 * (1 + 15e3 * 1.0 / leg / weight)
    assert one_strap("left") == pytest.approx(pressed_by - 5e3 * 0.2 / leg / weight, rel=1e-6)
    assert one_strap("right") == pytest.approx(pressed_by + 5e3 * 0.2 / leg / weight, rel=1e-6)
    assert one_strap(None) == min(one_strap("left"), one_strap("right"))


def pulled(**told: Any) -> Plan:
    """The crate held by two straps from its front corners back to rings, rated 20 kN."""
    gear = [webbing(name, wll=force("2500 daN"), **told) for name in ("S1", "S2")]
    return en_plan(
        crate(),
        [
            direct(1, ("3", "1.2"), ("1", "1", "0.5"), gear="S1"),
            direct(2, ("3", "-1.2"), ("1", "-1", "0.5"), gear="S2"),
        ],
        gear=gear,
    )


def test_a_pair_that_is_used_up_is_named_with_its_weakest_part() -> None:
    """Each leg runs 2 m back, 0.2 m out, 0.5 m down; the rings hold 20 kN, less than the straps."""
    finding = estimated(pulled())["forward"]
    leg = (2.0**2 + 0.2**2 + 0.5**2) ** 0.5
    friction = 0.3 / 1.4
    on_paper = friction + 2 * 20e3 * (2 + friction * 0.5) / leg / (10000 * 9.81)
    assert share_of_weight(finding) == pytest.approx(on_paper, rel=1e-8)
    (full,) = [one for one in finding.steps if one.id == "note.static-full"]
    assert full.values["names"] == "C1 (anchor D1), C2 (anchor D2)"


def test_a_weak_attachment_on_the_article_limits_what_pulls_on_it() -> None:
    plan = pulled()
    lug = ring("lug", "1", "0", wll="1000 daN")
    weaker = replace(plan, anchors=(*plan.anchors, lug))
    finding = estimated(weaker)["forward"]
    leg = (2.0**2 + 0.2**2 + 0.5**2) ** 0.5
    friction = 0.3 / 1.4
    on_paper = friction + 10e3 * (2 + friction * 0.5) / leg / (10000 * 9.81)
    assert share_of_weight(finding) == pytest.approx(on_paper, rel=1e-8)


def test_a_missing_fact_is_named_and_never_guessed() -> None:
    cases: dict[str, tuple[Plan, Missing]] = {}

    def without(**told: Any) -> Plan:
        plan = pressed()
        return replace(plan, articles=(replace(plan.articles[0], **told),))

    for name in ("mass", "length", "at", "friction"):
        cases[name] = without(**{name: None}), Missing(field=name, about="A")
    for name, (plan, missing) in cases.items():
        finding = estimated(plan)["forward"]
        assert finding.verdict is Verdict.CANNOT_TELL, name
        assert missing in finding.unknown, name
        assert unknown_line(finding), name
    no_tension = en_plan(crate(), [over(1, "2")], gear=[webbing("S1", wll=force("25 kN"))])
    finding = estimated(no_tension)["rearward"]
    assert finding.unknown == (Missing(field="tension", about="T1"),)
    assert finding.range is not None


def test_what_is_not_known_does_not_matter_where_it_meets_without_it() -> None:
    rough = crate(friction=Decimal("1.2"))
    plan = en_plan(rough, [over(1, "2")], gear=[webbing("S1", wll=force("25 kN"))])
    assert {one.verdict for one in estimated(plan).values()} == {Verdict.MEETS}


def test_friction_between_two_ends_settles_a_verdict_that_is_the_same_at_both() -> None:
    bare = crate(friction=None, surfaces=("cardboard untreated", "wooden pallet"))
    finding = estimated(en_plan(bare))["forward"]
    assert finding.verdict is Verdict.DOES_NOT_MEET


def test_an_open_block_leaves_the_verdict_open() -> None:
    open_forward = {**UNBLOCKED, Direction.FORWARD: Block(by="dunnage")}
    finding = estimated(en_plan(crate(blocked=open_forward)))["forward"]
    assert finding.verdict is Verdict.CANNOT_TELL
    assert Missing(field="blocked.forward_rated", about="A") in finding.unknown
    rated = Block(by="dunnage", rated=force("80 kN"), up=length("0.5 m"))
    held = en_plan(crate(blocked={**UNBLOCKED, Direction.FORWARD: rated}))
    assert estimated(held)["forward"].verdict is Verdict.MEETS
    assert estimated(held)["left"].verdict is Verdict.DOES_NOT_MEET


def test_the_front_structure_is_shared_by_the_articles_behind_it() -> None:
    wall = replace(TRAILER, front_structure=FrontStructure(rated=force("80 kN")))
    leaning = {**UNBLOCKED, Direction.FORWARD: Block(by="front structure", up=length("0.5 m"))}
    first = crate(blocked=leaning, at=position("0", "0"))
    alone = estimated(en_plan(first, vehicle=wall))["forward"]
    assert share_of_weight(alone) == pytest.approx(0.3 / 1.4 + 80 / 98.1, rel=1e-6)
    other = box("B", "0", at=position("4", "0"), blocked=leaning)
    both = replace(en_plan(first, vehicle=wall, more=[other]), rules=("static",))
    half = found(assess(both), "static-forward", "A")
    assert share_of_weight(half) == pytest.approx(0.3 / 1.4 + 40 / 98.1, rel=1e-6)


def forward_by(by: str, **told: Any) -> Article:
    """The crate of 4 m, blocked forward by something that holds 80 kN half a metre up."""
    block = Block(by=by, rated=force("80 kN"), up=length("0.5 m"))
    return crate(blocked={**UNBLOCKED, Direction.FORWARD: block}, **told)


WALL = replace(TRAILER, front_structure=FrontStructure(rated=force("80 kN")))


@pytest.mark.parametrize(("from_front", "counts"), [("0", 1), ("0.01", 1), ("0.011", 0), ("1", 0)])
def test_a_front_structure_counts_only_where_the_article_stands_against_it(
    from_front: str, counts: int
) -> None:
    there = forward_by("headboard", at=position(from_front, "0"))
    finding = estimated(en_plan(there, vehicle=WALL))["forward"]
    assert share_of_weight(finding) == pytest.approx(0.3 / 1.4 + counts * 80 / 98.1, rel=1e-6)
    told = [line for line in sum_lines(finding) if "away from it: it does not count" in line]
    assert len(told) == 1 - counts


def test_what_stands_between_hands_the_push_on_to_the_front_structure() -> None:
    behind = forward_by("headboard", at=position("1.005", "0"))
    between = box("B", "0", at=position("0", "0"))
    whole = replace(en_plan(behind, vehicle=WALL, more=[between]), rules=("static",))
    finding = found(assess(whole), "static-forward", "A")
    assert share_of_weight(finding) == pytest.approx(0.3 / 1.4 + 80 / 98.1, rel=1e-6)
    beside = replace(whole, articles=(behind, box("B", "1.6", at=position("0", "1.6"))))
    finding = found(assess(beside), "static-forward", "A")
    assert share_of_weight(finding) == pytest.approx(0.3 / 1.4, rel=1e-6)


def test_an_article_named_as_a_stop_counts_where_it_touches_and_not_further_off() -> None:
    for from_front, counts in (("0", 1), ("0.02", 1), ("-0.5", 0)):
        there = box("B", "0", at=position(from_front, "0"))
        plan = en_plan(forward_by("B", at=position("1", "0")), more=[there])
        finding = found(assess(replace(plan, rules=("static",))), "static-forward", "A")
        assert share_of_weight(finding) == pytest.approx(0.3 / 1.4 + counts * 80 / 98.1, rel=1e-6)


def test_a_stop_whose_place_is_not_known_leaves_the_verdict_open() -> None:
    there = box("B", "0", at=None)
    plan = replace(en_plan(forward_by("B"), more=[there]), rules=("static",))
    finding = found(assess(plan), "static-forward", "A")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert finding.unknown == (Missing(field="at", about="B"),)


def box(name: str, left: str, **told: Any) -> Article:
    """A box of 1 t, a metre each way, on 0.7."""
    facts: dict[str, Any] = {
        "id": name,
        "mass": mass("1 t"),
        "length": length("1 m"),
        "width": length("1 m"),
        "height": length("1 m"),
        "at": position("1", left),
        "friction": Decimal("0.84"),
        "blocked": UNBLOCKED,
        **told,
    }
    return Article(**facts)


def test_a_stack_is_asked_at_each_interface() -> None:
    upper = box("B", "0", on="A", friction=Decimal("0.42"))
    finding = estimated(en_plan(box("A", "0"), more=[upper]))["left"]
    assert finding.about == ("A", "B")
    assert share_of_weight(finding) == pytest.approx(0.3)
    assert "then B slides" in sum_lines(finding)[1]


def test_a_row_that_touches_is_one_load_and_one_apart_is_refused() -> None:
    low = {"height": length("0.4 m")}
    beside = en_plan(box("A", "0", together="x", **low), more=[box("B", "1", together="x", **low)])
    assert share_of_weight(estimated(beside)["left"]) == pytest.approx(0.6)
    apart = en_plan(box("A", "0", together="x"), more=[box("B", "1.2", together="x")])
    finding = estimated(apart)["left"]
    assert finding.verdict is Verdict.CANNOT_TELL
    assert "a row of boxes that touch" in sum_lines(finding)[-1]


def test_a_row_is_named_as_a_person_counts_and_not_as_it_stands() -> None:
    names = ("B10", "B2", "B1")
    boxes = [box(name, str(number), together="x") for number, name in enumerate(names)]
    finding = estimated(en_plan(boxes[0], more=boxes[1:]))["left"]
    assert finding.about == ("B1", "B2", "B10")


def test_a_block_that_is_used_up_is_named_with_its_article_and_direction() -> None:
    finding = estimated(en_plan(forward_by("chocks")))["forward"]
    assert "used up first: the block of A, forward" in sum_lines(finding)


def test_assumptions_are_said_once_of_a_load() -> None:
    findings = list(estimated(pressed()).values())
    told = " ".join(" ".join(findings_lines(findings, apart=True)).split())
    assert told.count("rigid bodies at rest") == 1
    assert told.count("49 CFR 393.102(a)(1)") == 1
    assert told.count("on the same assumptions as above") == len(findings) - 1


def test_what_rolls_or_stretches_unlike_or_does_not_stand_is_refused_with_the_reason() -> None:
    chain = webbing("S2", wll=force("25 kN"), kind=GearKind.CHAIN, fittings=())
    off = CentreOfGravity(back_m=Fraction(5), left_m=Fraction(0), up_m=Fraction(1, 2))
    refused = {
        "can roll": en_plan(crate(rolls=True)),
        "stretches unlike": replace(pulled(), gear=(webbing("S1", wll=force("25 kN")), chain)),
        "does not stand at rest": en_plan(crate(cog=off)),
    }
    for why, plan in refused.items():
        finding = estimated(plan)["left"]
        assert finding.verdict is Verdict.CANNOT_TELL, why
        assert why in sum_lines(finding)[-1]


def test_every_reason_of_the_envelope_has_its_words() -> None:
    steps = words_of("en").steps
    reasons = {*get_args(Reason), "rolls", "neither", "mixed"}
    assert {one for one in reasons if f"note.static-refused-{one}" not in steps} == set()


def test_damaged_gear_counts_nothing_and_says_so() -> None:
    plan = pressed()
    cut = replace(plan.gear[0], damage=(Damage(kind="cut"),))
    damaged = replace(plan, gear=(cut, plan.gear[1]))
    finding = estimated(damaged)["left"]
    assert share_of_weight(finding) < share_of_weight(estimated(plan)["left"])
    assert any("set aside" in line for line in sum_lines(finding))


def test_the_order_of_tie_downs_and_articles_changes_nothing() -> None:
    plan = pulled()
    turned = replace(plan, tie_downs=plan.tie_downs[::-1], gear=plan.gear[::-1])
    for one, two in zip(estimated(plan).values(), estimated(turned).values(), strict=True):
        assert one.provided == two.provided


def test_each_load_has_its_own_estimate() -> None:
    plan = en_plan(box("A", "0"), more=[box("B", "1.2")])
    assert [one.load.ids for one in estimates(plan)] == [("A",), ("B",)]
    assert found(assess(replace(plan, rules=("static",))), "static-left", "B").about == ("B",)
