"""Paper rolls: 49 CFR 393.122. Lines at which a question is raised stand in tests/published."""

from typing import Any

import pytest

from tests.securement.plans import FLATBED, article, found, length, value_of
from tests.securement.sections import all_yes, judged, said, ties
from triplog.securement.finding import Finding, Scope
from triplog.securement.model import Article, Body, Commodity, Vehicle
from triplog.wording.findings import sum_lines

COUNT, AGGREGATE, ANSWERS = (f"us-393.122-{word}" for word in ("count", "aggregate", "answers"))
GENERAL_COUNT, GENERAL_AGGREGATE = "us-393.110-count", "us-393.106-aggregate"
UPRIGHT: dict[str, Any] = {
    "eye": "vertical",
    "tiers": 1,
    "diameter": length("40 in"),
    "roll_width": length("40 in"),
    "void_behind": length("10 in"),
    "mats_alone": False,
}
ACROSS: dict[str, Any] = {"eye": "crosswise", "tiers": 1, "gap": length("8 in")}
ALONG: dict[str, Any] = {"eye": "lengthwise", "tiers": 1}


def rolls(facts: dict[str, Any], **told: Any) -> Article:
    """Rolls of 20,000 lb about which all is answered with yes."""
    return article(
        "A",
        **{
            "commodity": Commodity.PAPER_ROLL,
            "weighs": "20000 lb",
            "long": "12 ft",
            "facts": facts,
            "answers": all_yes("122"),
            **told,
        },
    )


def of(
    facts: dict[str, Any], number: int = 0, body: Body | None = Body.SIDED, **told: Any
) -> tuple[Finding, ...]:
    vehicle = Vehicle(gross_mass=FLATBED.gross_mass, use=FLATBED.use, body=body)
    return judged([rolls(facts, **told)], ties(*[{}] * number), vehicle=vehicle)


def asked(facts: dict[str, Any], body: Body | None = Body.SIDED) -> set[str]:
    """The questions raised, whatever the answers."""
    names = [one.name for one in found(of(facts, body=body), ANSWERS).inputs]
    return {name.removeprefix("answers.122-") for name in names}


def without(facts: dict[str, Any], name: str) -> dict[str, Any]:
    return {one: value for one, value in facts.items() if one != name}


def test_between_walls_no_number_and_no_rating_is_asked_for() -> None:
    for body in (Body.SIDED, Body.CHASSIS):
        findings = of(UPRIGHT, body=body)
        rules = {one.rule for one in findings}
        assert said(findings, COUNT) == said(findings, AGGREGATE) == "does not apply"
        assert said(findings, ANSWERS) == "meets"
        assert not rules & {GENERAL_COUNT, GENERAL_AGGREGATE}
    with_one = of(UPRIGHT, 1)
    assert said(with_one, GENERAL_AGGREGATE) == "meets", "a tie-down that is used is weighed"


def test_without_walls_the_general_count_and_rating_hold_beside_the_section() -> None:
    """393.122(i)."""
    for body in (Body.FLATBED, Body.CURTAIN_SIDE):
        for facts in (UPRIGHT, ACROSS, ALONG):
            findings = of(facts, 2, body)
            count, aggregate = (found(findings, one) for one in (GENERAL_COUNT, GENERAL_AGGREGATE))
            assert (str(count.verdict), count.scope) == ("does not meet", Scope.LAW)
            assert aggregate.scope is Scope.LAW
            assert value_of(aggregate.required) == 10_000
            assert not {COUNT, AGGREGATE} & {one.rule for one in findings}
            assert said(findings, ANSWERS) == "meets"
            assert said(of(facts, 3, body), GENERAL_COUNT) == "meets"


def test_without_the_body_it_cannot_be_told_which_holds() -> None:
    findings = of(UPRIGHT, 3, None)
    for rule in (COUNT, AGGREGATE, ANSWERS):
        assert said(findings, rule) == "cannot tell"
        assert "body" in [one.field for one in found(findings, rule).unknown]
    assert GENERAL_COUNT not in {one.rule for one in findings}


@pytest.mark.parametrize(
    ("facts", "body", "verdict"),
    [
        (UPRIGHT, Body.FLATBED, "meets"),
        ({**UPRIGHT, "tiers": 2}, Body.FLATBED, "does not meet"),
        ({**UPRIGHT, "tiers": 2}, Body.CURTAIN_SIDE, "does not meet"),
        (without(UPRIGHT, "tiers"), Body.FLATBED, "cannot tell"),
        ({**UPRIGHT, "tiers": 2}, None, "cannot tell"),
        ({**UPRIGHT, "tiers": 2}, Body.SIDED, None),
        ({**ACROSS, "tiers": 2}, Body.FLATBED, None),
    ],
)
def test_upright_rolls_are_stacked_only_between_walls(
    facts: dict[str, Any], body: Body | None, verdict: str | None
) -> None:
    """393.122(i)(1)(ii)."""
    findings = [one for one in of(facts, body=body) if one.rule == "us-393.122-stacked"]
    assert [str(one.verdict) for one in findings] == ([] if verdict is None else [verdict])


def test_a_size_that_nobody_told_matters_only_while_the_question_has_no_yes() -> None:
    bare = without(UPRIGHT, "void_behind")
    assert said(of(bare), ANSWERS) == "meets"
    for answer in ({}, {"122-behind": "no"}, {"122-behind": "not looked at"}):
        answers = {**without(all_yes("122"), "122-behind"), **answer}
        finding = found(of(bare, answers=answers), ANSWERS)
        assert str(finding.verdict) == "cannot tell"
        assert [one.field for one in finding.unknown] == ["facts.void_behind"]
    small = found(of(UPRIGHT, answers={**all_yes("122"), "122-behind": "no"}), ANSWERS)
    assert str(small.verdict) == "meets", "the room is not larger than the diameter"


def test_the_eye_decides_what_is_asked() -> None:
    upright = {"tight", "sideways", "bands", "mats", "split"}
    assert asked(UPRIGHT) == upright
    assert asked({**UPRIGHT, "tiers": 2}) == upright | {
        "layer-below",
        "upper-layers",
        "raised-rear",
    }
    assert asked({**UPRIGHT, "tiers": 2}, Body.FLATBED) == upright
    across = {"rolling", "chocks"}
    assert asked(ACROSS, Body.FLATBED) == across
    assert asked(ACROSS) == across | {"doors"}
    layers = across | {"doors", "layer-below", "foremost", "last-wells"}
    assert asked({**ACROSS, "tiers": 2}) == layers
    assert asked({**ACROSS, "tiers": 3}) == layers | {"wells"}
    along = {"forward", "rearward", "lateral", "chocks"}
    assert asked(ALONG) == along
    assert asked({**ALONG, "tiers": 2}) == along | {"next-layer", "in-wells", "upper-ends"}
    eyeless = found(of(without(UPRIGHT, "eye")), ANSWERS)
    assert str(eyeless.verdict) == "cannot tell"
    assert [one.field for one in eyeless.unknown] == ["facts.eye"]


def test_mats_alone_matter_only_between_the_two_lines() -> None:
    answers = without(all_yes("122"), "122-tip-forward")

    def verdict(width: str, mats_alone: bool | None) -> str:
        facts = {**UPRIGHT, "roll_width": length(width), "mats_alone": mats_alone}
        facts = facts if mats_alone is not None else without(facts, "mats_alone")
        return said(of(facts, answers=answers), ANSWERS)

    assert verdict("50 in", None) == "meets"
    assert [verdict("60 in", mats) for mats in (True, False, None)] == [
        "meets",
        "cannot tell",
        "cannot tell",
    ]
    assert verdict("71 in", True) == "cannot tell"


def test_a_blocking_roll_is_measured_where_there_is_one() -> None:
    rule = "us-393.122-blocking-roll"
    tall = {**ACROSS, "diameter": length("40 in"), "blocking_roll_height": length("60 in")}
    assert said(of(tall), rule) == "meets"
    assert said(of({**tall, "diameter": length("41 in")}), rule) == "does not meet"
    assert said(of(without(tall, "diameter")), rule) == "cannot tell"
    assert rule not in {one.rule for one in of(UPRIGHT)}


def test_every_finding_about_paper_rolls_can_be_said() -> None:
    for body in (Body.SIDED, Body.FLATBED, None):
        for facts in (UPRIGHT, ACROSS, ALONG, {}):
            for one in of({**facts, "tiers": 3}, body=body):
                assert "{" not in "".join(sum_lines(one))
