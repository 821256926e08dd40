"""NSC Standard 10: edges, rub rail, tightening, and the downward force."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from tests.securement.plans import (
    FLATBED,
    anchor,
    article,
    force,
    found,
    length,
    plan,
    strap,
    tie_down,
    value_of,
)
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Scope, Verdict
from triplog.securement.model import (
    Article,
    Body,
    Commodity,
    EdgeProtection,
    GearKind,
    Path,
    Plan,
    Position,
)
from triplog.wording.findings import sum_lines

RULES = ("ca-nsc10",)
DOWN = "ca-nsc10-down"


def upright(tension: str | None, *, weighs: str | None = "1000 kg", **told: Any) -> Plan:
    """One strap over a box as wide as its anchors are apart: both legs stand upright."""
    one = article(
        long="2 m",
        weighs=weighs,
        width=length("2 m"),
        height=length("1 m"),
        at=Position(from_front_m=Fraction(1), left_m=Fraction(0)),
        **told,
    )
    places = [
        replace(
            anchor(name, wll="2000 kg"),
            at=Position(from_front_m=Fraction(2), left_m=Fraction(left)),
        )
        for name, left in (("L1", 1), ("R1", -1))
    ]
    pulled = None if tension is None else force(tension)
    tie = tie_down(gear="S-1", ends=("L1", "R1"), tension=pulled)
    return plan([one], [strap("S-1", wll="1000 kg")], [tie], anchors=places, rules=RULES)


def down(whole: Plan) -> Finding:
    return found(assess(whole), DOWN)


def alone(whole: Plan) -> Plan:
    """The same with a strap that is not marked: count and sum do not stand, so this is asked."""
    return replace(whole, gear=tuple(replace(one, wll=None) for one in whole.gear))


def test_both_upright_legs_press_a_fifth_of_the_weight_down() -> None:
    """NSC Standard 10 s.5 in Quebec C-24.2 r.30 s.3(2): 20 % of 1,000 kg is 200 kg; sum by us."""
    exactly = down(alone(upright("100 kg")))
    assert exactly.verdict is Verdict.MEETS and value_of(exactly.margin) == 0
    short = down(alone(upright("99 kg")))
    assert short.verdict is Verdict.DOES_NOT_MEET and value_of(short.margin) == -2
    assert short.scope is Scope.LAW


def test_it_is_a_yardstick_where_count_and_sum_meet_and_is_not_asked_there_of_the_unknown() -> None:
    enough = replace(upright(None), gear=(strap("S-1", wll="1000 kg"),))
    two = replace(enough, tie_downs=(*enough.tie_downs, tie_down("T2", ends=("L2", "R2"))),
                  anchors=(*enough.anchors, anchor("L2"), anchor("R2")))  # fmt: skip
    finding = down(two)
    assert (finding.verdict, finding.scope) == (Verdict.DOES_NOT_APPLY, Scope.YARDSTICK)
    assert down(alone(upright(None))).verdict is Verdict.CANNOT_TELL


def test_a_contained_article_is_not_asked() -> None:
    finding = down(alone(upright("1 kg", contained=True)))
    assert finding.verdict is Verdict.DOES_NOT_APPLY
    assert any("fully contained" in line for line in sum_lines(finding))


def test_what_is_contained_asks_for_nothing_beside_what_is_not() -> None:
    whole = alone(upright("100 kg"))
    (one,), (tie,) = whole.articles, whole.tie_downs
    two = replace(
        whole,
        vehicle=replace(whole.vehicle, body=Body.SIDED),
        articles=(one, replace(one, id="B", contained=True)),
        tie_downs=(replace(tie, holds=("A", "B")),),
    )
    finding = down(two)
    assert finding.verdict is Verdict.MEETS and value_of(finding.required) == 200


@pytest.mark.parametrize(
    ("tension", "verdict"),
    [("100 kg", Verdict.MEETS), ("99 kg", Verdict.CANNOT_TELL)],
)
def test_an_article_that_may_be_contained_is_judged_at_both_ends(
    tension: str, verdict: Verdict
) -> None:
    assert down(alone(upright(tension, contained=None))).verdict is verdict


def test_a_route_that_is_not_known_is_between_nothing_and_the_whole_tension() -> None:
    whole = alone(upright("100 kg"))
    lost = replace(whole, anchors=tuple(replace(one, at=None) for one in whole.anchors))
    finding = down(lost)
    assert finding.verdict is Verdict.CANNOT_TELL
    assert finding.range is not None and finding.range.best is not None
    assert value_of(finding.range.worst) == 0 and value_of(finding.range.best) == 200
    weak = alone(upright("99 kg"))
    weak = replace(weak, anchors=tuple(replace(one, at=None) for one in weak.anchors))
    assert down(weak).verdict is Verdict.DOES_NOT_MEET


def test_the_far_leg_presses_its_share_and_the_side_of_the_tensioner_may_not_matter() -> None:
    whole = alone(upright("100 kg"))
    (tie,) = whole.tie_downs
    halved = replace(whole, tie_downs=(replace(tie, far_side_share=Decimal("0.5")),))
    assert value_of(down(halved).provided) == 150


def held(one: Article, **told: Any) -> Plan:
    return plan([one], [strap()], [tie_down(**told)], rules=RULES)


def test_a_contact_without_its_protector_does_not_meet() -> None:
    said = EdgeProtection(needed=2, fitted=1)
    finding = found(assess(held(article(sharp_edges=True), edge_protection=said)), "ca-nsc10-edges")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert (finding.citation.source, finding.citation.clause) == ("NSC Standard 10", "s.20")


def test_tyres_of_a_light_vehicle_need_no_protector() -> None:
    one = article(commodity=Commodity.LIGHT_VEHICLE)
    finding = found(assess(held(one)), "ca-nsc10-edges")
    assert any("s.88(5)" in line for line in sum_lines(finding))


@pytest.mark.parametrize(
    ("answers", "verdict"),
    [
        ({}, Verdict.CANNOT_TELL),
        ({"ca-15-rub-rail": "not looked at"}, Verdict.CANNOT_TELL),
        ({"ca-15-rub-rail": "yes"}, Verdict.MEETS),
        ({"ca-15-rub-rail": "no"}, Verdict.DOES_NOT_MEET),
    ],
)
def test_the_rub_rail_is_a_question(answers: dict[str, Any], verdict: Verdict) -> None:
    finding = found(assess(held(article(answers=answers))), "ca-nsc10-rub-rail")
    assert finding.verdict is verdict


def test_nobody_asks_about_the_rub_rail_where_nothing_is_tied() -> None:
    findings = assess(plan([article(contained=True)], rules=RULES))
    assert not any(one.rule == "ca-nsc10-rub-rail" for one in findings)


def test_steel_strapping_is_not_tightened_again() -> None:
    whole = plan(
        [article()],
        [strap("S-1", kind=GearKind.STEEL_STRAPPING)],
        [tie_down(path=Path.OVER)],
        rules=RULES,
        vehicle=FLATBED,
    )
    assert found(assess(whole), "ca-nsc10-tighten").verdict is Verdict.DOES_NOT_APPLY
