"""Logs: 49 CFR 393.116. The numbers of each way of loading stand in tests/published."""

from fractions import Fraction
from typing import Any

import pytest

from tests.securement.plans import FLATBED, article, found, length, value_of
from tests.securement.sections import all_yes, judged, said, ties
from triplog.securement.finding import Finding
from triplog.securement.model import Article, Block, Body, Commodity, Direction, Vehicle
from triplog.wording.findings import sum_lines, unknown_line

COUNT, AGGREGATE = "us-393.116-count", "us-393.116-aggregate"
ANSWERS = "us-393.116-answers"
ALONG: dict[str, Any] = {"lay": "lengthwise"}
ACROSS: dict[str, Any] = {"lay": "crosswise"}
BOTH_ENDS = {Direction.FORWARD: Block(by="bulkhead"), Direction.REARWARD: Block(by="stack B")}
LENGTHWISE: dict[str, Any] = {"logs_lie": "lengthwise", "shortwood": True, "wrappers": 0}
CROSSWISE: dict[str, Any] = {
    "logs_lie": "crosswise",
    "stacks": 1,
    "log_length": length("96 in"),
    "overhang": length("32 in"),
}


def stack(name: str = "A", **told: Any) -> Article:
    """A stack of 48,000 lb about which all is answered with yes; `facts` of its own."""
    return article(
        name,
        **{
            "commodity": Commodity.LOGS,
            "weighs": "48000 lb",
            "long": "40 ft",
            "answers": all_yes("116"),
            **told,
        },
    )


def on(body: Body | None) -> Vehicle:
    return Vehicle(gross_mass=FLATBED.gross_mass, use=FLATBED.use, body=body)


def of(
    facts: dict[str, Any], *tie_downs: dict[str, Any], body: Body | None = Body.FRAME, **told: Any
) -> tuple[Finding, ...]:
    return judged([stack(facts=facts, **told)], ties(*tie_downs), vehicle=on(body))


def test_logs_are_not_counted_by_the_general_rules() -> None:
    rules = {one.rule for one in of(LENGTHWISE, ACROSS, ACROSS)}
    assert COUNT in rules
    assert not rules & {"us-393.110-count", "us-393.106-aggregate"}


def test_a_sixth_of_the_weight_is_asked_for_where_bunks_or_stakes_carry_it() -> None:
    for body in (Body.FRAME, Body.FLATBED, Body.LOWBOY):
        assert value_of(found(of(LENGTHWISE, ACROSS, body=body), AGGREGATE).required) == 8_000
    assert sum_lines(found(of(LENGTHWISE, ACROSS), AGGREGATE))[0] == (
        "required 8,000 lb: a sixth of 48,000 lb"
    )
    pole = of({**LENGTHWISE, "bunks": 2}, ACROSS, body=Body.POLE_TRAILER)
    assert value_of(found(pole, "us-393.106-aggregate").required) == 24_000


def test_logs_under_a_tie_down_with_something_else_share_the_general_half() -> None:
    crate = article("B", weighs="2000 lb", long="4 ft")
    findings = judged(
        [stack(facts=LENGTHWISE), crate], ties(ACROSS, holds=("A", "B")), vehicle=on(Body.FRAME)
    )
    assert value_of(found(findings, "us-393.106-aggregate").required) == 25_000
    assert not [one for one in findings if one.rule == AGGREGATE]


def test_one_tie_down_is_enough_only_over_shortwood_blocked_at_both_ends() -> None:
    def one_over(**told: Any) -> Finding:
        facts = {**LENGTHWISE, **told.pop("facts", {})}
        return found(of(facts, ACROSS, **{"blocked": BOTH_ENDS, **told}), COUNT)

    assert str(one_over().verdict) == "meets"
    assert str(one_over(facts={"shortwood": False}).verdict) == "does not meet"
    front_only = {Direction.FORWARD: Block(by="bulkhead"), Direction.REARWARD: Block(by="nothing")}
    assert str(one_over(blocked=front_only).verdict) == "does not meet"
    open_one = one_over(blocked={Direction.FORWARD: Block(by="bulkhead")})
    assert str(open_one.verdict) == "cannot tell"
    assert [one.field for one in open_one.unknown] == ["blocked.rearward"]


def test_what_leaves_the_number_open_does_not_matter_to_enough_tie_downs() -> None:
    finding = found(of(LENGTHWISE, ACROSS, ACROSS, ACROSS, blocked={}), COUNT)
    assert str(finding.verdict) == "meets"
    assert (value_of(finding.required), value_of(finding.provided)) == (Fraction(2), Fraction(3))
    assert value_of(finding.margin) == 1
    assert finding.unknown == ()


def test_wrappers_stand_for_tie_downs_over_logs_that_lie_lengthwise() -> None:
    assert said(of({**LENGTHWISE, "wrappers": 2}), COUNT) == "meets"
    assert said(of({**LENGTHWISE, "wrappers": 1}, ACROSS), COUNT) == "does not meet"
    assert said(of({**CROSSWISE, "wrappers": 2}), COUNT) == "does not meet"
    untold = {name: value for name, value in LENGTHWISE.items() if name != "wrappers"}
    finding = found(of(untold, ACROSS), COUNT)
    assert str(finding.verdict) == "cannot tell"
    assert "how many wrappers go round the whole load of A" in unknown_line(finding)
    assert said(of(untold, ACROSS, ACROSS), COUNT) == "meets"


def test_what_wrappers_add_to_the_rating_is_not_told_by_the_text() -> None:
    bare = found(of({**LENGTHWISE, "wrappers": 2}), AGGREGATE)
    assert str(bare.verdict) == "cannot tell"
    assert unknown_line(bare) == "what the wrappers round A count"
    assert said(of({**LENGTHWISE, "wrappers": 2}, ACROSS), AGGREGATE) == "meets"
    assert said(of(LENGTHWISE), AGGREGATE) == "does not meet"
    untold = {name: value for name, value in LENGTHWISE.items() if name != "wrappers"}
    assert said(of(untold), AGGREGATE) == "cannot tell"
    pole = of({**LENGTHWISE, "wrappers": 2}, body=Body.POLE_TRAILER)
    assert said(pole, AGGREGATE) == "cannot tell"
    assert not [one for one in pole if one.rule == "us-393.106-aggregate"]


def test_tie_downs_over_crosswise_logs_run_along_the_load() -> None:
    assert said(of(CROSSWISE, ALONG, ALONG), COUNT) == "meets"
    assert said(of(CROSSWISE, ALONG, ACROSS), COUNT) == "does not meet"
    open_one = found(of(CROSSWISE, ALONG, {}), COUNT)
    assert str(open_one.verdict) == "cannot tell"
    assert [one.field for one in open_one.unknown] == ["lay"]


def test_two_stacks_side_by_side_ask_for_more() -> None:
    """393.116(d)(6)."""
    facts: dict[str, Any] = {
        **CROSSWISE,
        "stacks": 2,
        "edge_raised": length("1 in"),
        "edge_within": length("4 in"),
        "highest_log": length("8 ft"),
    }
    findings = of(facts, ALONG, ALONG)
    for rule in ("edge-raised", "edge-within", "height", "overhang", "count", "answers"):
        assert said(findings, f"us-393.116-{rule}") == "meets"
    for name, value in (("edge_raised", "2 cm"), ("edge_within", "11 cm"), ("highest_log", "9 ft")):
        rule = {"edge_raised": "edge-raised", "edge_within": "edge-within"}.get(name, "height")
        rule = f"us-393.116-{rule}"
        assert said(of({**facts, name: length(value)}), rule) == "does not meet"
        without = {one: fact for one, fact in facts.items() if one != name}
        assert said(of(without), rule) == "cannot tell"
    one_stack = {one.rule for one in of(CROSSWISE)}
    assert not one_stack & {"us-393.116-height", "us-393.116-edge-raised"}
    no_answers = judged([stack(facts=facts, answers={})], vehicle=on(Body.FRAME))
    assert "answers.116-no-gap" in [one.field for one in found(no_answers, ANSWERS).unknown]


def test_the_middle_is_asked_about_only_where_the_vehicle_may_be_long() -> None:
    """393.116(d)(4): over 33 ft (10 m)."""

    def asked(deck: str | None) -> bool:
        vehicle = Vehicle(body=Body.FRAME, deck_length=None if deck is None else length(deck))
        findings = judged([stack(facts=CROSSWISE)], vehicle=vehicle)
        names = [one.name for one in found(findings, ANSWERS).inputs]
        return "answers.116-centre-stakes" in names

    assert asked(None) and asked("33.1 ft") and asked("10.01 m")
    assert not asked("33 ft") and not asked("10 m")


def test_a_pole_trailer_needs_one_at_each_bunk_or_wrappers_far_enough_apart() -> None:
    def pole(*tie_downs: dict[str, Any], **facts: Any) -> tuple[Finding, ...]:
        return of(
            {"wrappers": 0, "above_bunks": False, **facts}, *tie_downs, body=Body.POLE_TRAILER
        )

    assert said(pole(ACROSS, ACROSS, bunks=2), COUNT) == "meets"
    assert said(pole(ACROSS, bunks=2), COUNT) == "does not meet"
    assert said(pole(ACROSS), COUNT) == "cannot tell"
    wrapped = pole(wrappers=2, wrappers_apart=length("10 ft"))
    assert said(wrapped, COUNT) == "meets"
    assert said(wrapped, "us-393.116-wrappers-apart") == "meets"
    near = pole(wrappers=2, wrappers_apart=length("3.03 m"))
    assert said(near, "us-393.116-wrappers-apart") == "does not meet"
    assert said(pole(wrappers=2), "us-393.116-wrappers-apart") == "cannot tell"


def test_large_logs_above_the_bunks_take_two_more_wrappers() -> None:
    """393.116(f)(4)."""
    rule = "us-393.116-wrappers"

    def pole(*tie_downs: dict[str, Any], **facts: Any) -> str:
        facts = {"above_bunks": True, "bunks": 2, **facts}
        return said(of(facts, *tie_downs, body=Body.POLE_TRAILER), rule)

    assert pole(ACROSS, ACROSS, wrappers=2) == "meets"
    assert pole(ACROSS, ACROSS, wrappers=1) == "does not meet"
    assert pole(wrappers=3) == "does not meet"
    assert pole(wrappers=4) == "meets"
    assert pole(ACROSS) == "cannot tell"


def test_longwood_lies_in_two_bunks() -> None:
    longwood = {**LENGTHWISE, "shortwood": False}
    assert said(of({**longwood, "bunks": 1}), "us-393.116-bunks") == "does not meet"
    assert said(of({**longwood, "bunks": 2}), "us-393.116-bunks") == "meets"
    assert said(of(longwood), "us-393.116-bunks") == "cannot tell"
    assert not [one for one in of(LENGTHWISE) if one.rule == "us-393.116-bunks"]


def test_a_crib_type_trailer_needs_no_tie_downs() -> None:
    """393.116(b)(3)."""
    findings = of({}, body=Body.CRIB_TYPE)
    assert said(findings, COUNT) == "does not apply"
    assert said(findings, AGGREGATE) == "does not apply"
    assert said(findings, ANSWERS) == "meets"
    assert said(of({}, body=Body.CRIB_TYPE, answers={}), ANSWERS) == "cannot tell"


@pytest.mark.parametrize(
    ("body", "verdict"),
    [(Body.SIDED, "meets"), (Body.FRAME, "does not meet"), (None, "cannot tell")],
)
def test_firewood_needs_walls_on_four_sides(body: Body | None, verdict: str) -> None:
    """393.116(a)(3)."""
    findings = of({"firewood": True}, body=body)
    assert said(findings, "us-393.116-enclosed") == verdict
    assert said(findings, COUNT) == "does not apply"
    assert said(findings, AGGREGATE) == "does not apply"


def test_logs_in_a_sided_vehicle_are_held_by_its_walls() -> None:
    findings = of({}, body=Body.SIDED)
    assert said(findings, COUNT) == "does not apply"
    assert [one.name for one in found(findings, ANSWERS).inputs] == ["answers.116-enclosed"]
    with_tie_down = of({"wrappers": 0}, ACROSS, body=Body.SIDED)
    assert said(with_tie_down, "us-393.106-aggregate") == "does not meet"


def test_without_the_body_and_the_way_the_logs_lie_it_cannot_be_told() -> None:
    bodiless = of(LENGTHWISE, ACROSS, ACROSS, body=None)
    for rule in (COUNT, AGGREGATE, ANSWERS):
        assert said(bodiless, rule) == "cannot tell"
        assert "body" in [one.field for one in found(bodiless, rule).unknown]
    for facts in ({}, {"wrappers": 2}):
        lying = of(facts, ACROSS, ACROSS)
        assert said(lying, COUNT) == "cannot tell"
        assert "facts.logs_lie" in [one.field for one in found(lying, COUNT).unknown]
    assert said(of({"wrappers": 0}), COUNT) == "does not meet"


def test_every_finding_about_logs_can_be_said() -> None:
    for body in (*Body, None):
        for facts in ({}, LENGTHWISE, CROSSWISE, {**CROSSWISE, "stacks": 2}):
            for one in of({**facts, "above_bunks": True}, ACROSS, body=body):
                assert "{" not in "".join(sum_lines(one))
