"""Metal coils: 49 CFR 393.120. The numbers of each way stand in tests/published."""

from typing import Any

import pytest

from tests.securement.plans import FLATBED, article, chain, found, length, plan, value_of
from tests.securement.sections import all_yes, judged, said, ties
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Scope
from triplog.securement.model import (
    Article,
    Block,
    Body,
    Commodity,
    Damage,
    Direction,
    Path,
    TieDown,
    Vehicle,
)
from triplog.wording.findings import mend_line, sum_lines, unknown_line

COUNT, ANSWERS, CROSSING = "us-393.120-count", "us-393.120-answers", "us-393.120-x-pattern"
DIAGONAL: dict[str, Any] = {"lay": "diagonal", "through_eye": False}
CROSSWISE: dict[str, Any] = {"lay": "crosswise", "through_eye": False}
THROUGH: dict[str, Any] = {"lay": "lengthwise", "through_eye": True}
CROSSED: dict[str, Any] = {"lay": "diagonal", "through_eye": True}
SPRING: dict[str, Any] = {"path": Path.SPRING, "lay": "crosswise", "through_eye": False}


def coil(name: str = "A", **told: Any) -> Article:
    """A coil of 26,000 lb about which all is answered with yes."""
    facts = told.pop("facts", {"eye": "vertical"})
    return article(
        name,
        **{
            "commodity": Commodity.METAL_COIL,
            "weighs": "26000 lb",
            "long": "5 ft",
            "facts": facts,
            "answers": all_yes("120"),
            **told,
        },
    )


def of(eye: str, *tie_downs: dict[str, Any], **told: Any) -> tuple[Finding, ...]:
    facts = {"eye": eye, **told.pop("facts", {})}
    return judged([coil(facts=facts, **told)], ties(*tie_downs))


def test_a_coil_is_counted_by_its_section_and_weighed_by_the_general_rule() -> None:
    findings = of("vertical", DIAGONAL, DIAGONAL, CROSSWISE)
    assert said(findings, COUNT) == "meets"
    assert not [one for one in findings if one.rule == "us-393.110-count"]
    aggregate = found(findings, "us-393.106-aggregate")
    assert value_of(aggregate.required) == 13_000
    assert aggregate.scope is Scope.LAW


def test_a_tie_down_of_the_wrong_kind_does_not_fill_the_place_of_another() -> None:
    finding = found(of("vertical", DIAGONAL, CROSSWISE, CROSSWISE), COUNT)
    assert str(finding.verdict) == "does not meet"
    assert value_of(finding.margin) == -1
    assert sum_lines(finding) == [
        "required 3 tie-downs: eye up: 2 tie-downs diagonally over it, one each way",
        "1 tie-down crosswise over the eye",
        "T1 for line 1",
        "T2 for line 2",
        "provided 2 tie-downs",
        "short by 1 tie-down",
    ]
    assert mend_line(finding) == "add 1 tie-down of the kind that is short"


def test_a_tie_down_whose_lay_nobody_told_leaves_the_count_open() -> None:
    finding = found(of("vertical", DIAGONAL, CROSSWISE, {}), COUNT)
    assert str(finding.verdict) == "cannot tell"
    assert unknown_line(finding) == (
        "how T3 lies over the article: crosswise, lengthwise or diagonal"
    )
    short = found(of("vertical", DIAGONAL, {}), COUNT)
    assert str(short.verdict) == "does not meet", "two cannot be three, however they lie"


def test_an_eye_nobody_told_leaves_it_open_from_two_tie_downs_on() -> None:
    one = coil(facts={})
    few = judged([one], ties(THROUGH))
    some = judged([one], ties(THROUGH, THROUGH, CROSSWISE))
    assert said(few, COUNT) == "does not meet"
    assert said(some, COUNT) == "cannot tell"
    assert "facts.eye" in [missing.field for missing in found(some, COUNT).unknown]
    assert said(some, ANSWERS) == "cannot tell"


def test_damaged_gear_fills_no_place() -> None:
    damaged = chain(wll="20000 lb", damage=(Damage(kind="cracked link"),))
    whole = plan([coil()], [damaged], ties(DIAGONAL, DIAGONAL, CROSSWISE))
    finding = found(assess(whole), COUNT)
    assert str(finding.verdict) == "does not meet"
    assert value_of(finding.provided) == 0


@pytest.mark.parametrize(
    ("tie_downs", "clause"),
    [
        ((CROSSWISE, CROSSWISE), "393.120(d)(3)"),
        ((CROSSED, CROSSED, CROSSWISE), "393.120(d)(1)"),
        ((THROUGH, THROUGH, CROSSWISE), "393.120(d)(2)"),
    ],
)
def test_a_coil_with_its_eye_along_the_vehicle_has_three_ways(
    tie_downs: tuple[dict[str, Any], ...], clause: str
) -> None:
    finding = found(of("lengthwise", *tie_downs), COUNT)
    assert (str(finding.verdict), finding.citation.clause) == ("meets", clause)


def test_mixed_ways_do_not_add_up_to_one() -> None:
    findings = of("lengthwise", CROSSED, THROUGH, CROSSWISE)
    assert said(findings, COUNT) == "does not meet"


def test_two_tie_downs_crossing_in_an_eye_that_faces_crosswise_are_barred() -> None:
    """393.120(c)(2)."""
    barred = of("crosswise", CROSSED, CROSSED)
    assert said(barred, CROSSING) == "does not meet"
    assert said(of("crosswise", THROUGH, CROSSED), CROSSING) == "meets"
    assert said(of("crosswise", CROSSED, {"through_eye": True}), CROSSING) == "cannot tell"
    assert not [one for one in of("lengthwise", CROSSED) if one.rule == CROSSING]


def test_a_row_of_coils_that_go_together_is_counted_and_asked_as_one() -> None:
    row = [coil(name, together="row") for name in ("A", "B", "C")]
    over = ties(CROSSWISE, CROSSWISE, CROSSWISE, holds=("A", "B", "C"))

    def with_ends(*told: dict[str, Any]) -> tuple[Finding, ...]:
        ends = ties(CROSSWISE, CROSSWISE, CROSSWISE, *told, holds=("A", "B", "C"))
        return judged(row, ends)

    assert said(judged(row, over), COUNT) == "does not meet"
    whole = with_ends(SPRING, {**SPRING, "lay": "lengthwise"})
    finding = found(whole, COUNT)
    assert (str(finding.verdict), finding.about) == ("meets", ("A", "B", "C"))
    assert finding.citation.clause == "393.120(b)(2)"
    assert found(whole, ANSWERS).about == ("A", "B", "C")


def test_of_answers_that_differ_along_a_row_the_gravest_counts() -> None:
    def row(*tipping: Any) -> str:
        rest = {name: one for name, one in all_yes("120").items() if name != "120-tipping"}
        coils = [
            coil(name, together="row", answers=rest | ({} if one is None else {"120-tipping": one}))
            for name, one in zip("ABC", tipping, strict=True)
        ]
        return said(judged(coils), ANSWERS)

    assert row("yes", "no", None) == "does not meet"
    assert row("yes", "not looked at", None) == "cannot tell"
    assert row(None, "yes", None) == "meets"


def test_the_rows_across_decide_how_many_lie_over_a_row() -> None:
    facts: dict[str, Any] = {"pieces": 4}
    tie_downs = (SPRING, SPRING, CROSSWISE, CROSSWISE)
    open_one = found(of("vertical", *tie_downs, facts=facts), COUNT)
    assert str(open_one.verdict) == "cannot tell"
    assert [one.field for one in open_one.unknown] == ["facts.rows"]
    assert said(of("vertical", *tie_downs, facts={**facts, "rows": 2}), COUNT) == "meets"
    assert said(of("vertical", *tie_downs, facts={**facts, "rows": 3}), COUNT) == "does not meet"
    assert said(of("lengthwise", CROSSWISE, facts={**facts, "rows": 1}), COUNT) == "does not meet"


def test_rows_with_their_eyes_crosswise_are_counted_coil_by_coil_and_say_so() -> None:
    finding = found(of("crosswise", *[THROUGH] * 4, facts={"pieces": 2}), COUNT)
    assert str(finding.verdict) == "meets"
    assert "2022-08806" in sum_lines(finding)[-1]


def test_a_sided_vehicle_without_anchor_points_asks_for_no_tie_down() -> None:
    """393.120(e)."""

    def in_a_van(tie_downs: tuple[TieDown, ...] = (), **facts: Any) -> tuple[Finding, ...]:
        one = coil(facts={"eye": "vertical", **facts})
        return judged([one], tie_downs, vehicle=Vehicle(body=Body.SIDED))

    bare = in_a_van(anchor_points=False)
    assert said(bare, COUNT) == "does not apply"
    assert said(bare, "us-393.120-aggregate") == "does not apply"
    assert not [one for one in bare if one.rule == "us-393.106-aggregate"]
    assert said(bare, ANSWERS) == "meets"
    open_one = in_a_van()
    for rule in (COUNT, "us-393.120-aggregate", ANSWERS):
        assert said(open_one, rule) == "cannot tell"
        assert "facts.anchor_points" in [one.field for one in found(open_one, rule).unknown]
    assert said(in_a_van(anchor_points=True), COUNT) == "does not meet"
    assert said(in_a_van(ties(CROSSWISE)), COUNT) == "does not meet"
    tied = in_a_van(ties(CROSSWISE), anchor_points=False)
    assert said(tied, "us-393.106-aggregate") == "meets", "what is used is weighed"


def test_a_body_nobody_told_matters_only_where_there_is_no_tie_down() -> None:
    bare = judged([coil()], vehicle=Vehicle())
    assert said(bare, COUNT) == "cannot tell"
    assert "body" in [one.field for one in found(bare, COUNT).unknown]
    tied = judged([coil()], ties(DIAGONAL, DIAGONAL, CROSSWISE), vehicle=Vehicle())
    assert said(tied, COUNT) == "meets"


def test_one_no_falls_short_and_an_open_answer_cannot_be_told() -> None:
    def with_answers(**changed: Any) -> Finding:
        answers = {**all_yes("120"), **{f"120-{name}": one for name, one in changed.items()}}
        answers = {name: one for name, one in answers.items() if one is not None}
        return found(judged([coil(answers=answers)], ties(DIAGONAL)), ANSWERS)

    assert str(with_answers().verdict) == "meets"
    no = with_answers(tipping="no", diagonals="not looked at")
    assert str(no.verdict) == "does not meet"
    assert no.citation.clause == "393.120(b)(1)"
    assert sum_lines(no)[1].startswith("no, 120-tipping: Are the tie-downs so placed that no")
    assert mend_line(no) == "put right what was answered with no"
    for answer in (None, "not looked at"):
        finding = with_answers(tipping=answer)
        assert str(finding.verdict) == "cannot tell"
        assert unknown_line(finding) == "the answer to 120-tipping"


def test_blocking_or_a_mat_in_the_plan_answers_for_moving_forward() -> None:
    answers = {name: one for name, one in all_yes("120").items() if name != "120-forward"}
    assert said(judged([coil(answers=answers)]), ANSWERS) == "cannot tell"
    blocked = coil(answers=answers, blocked={Direction.FORWARD: Block(by="timber")})
    assert said(judged([blocked]), ANSWERS) == "meets"


def test_a_coil_of_unknown_mass_is_asked_about_and_not_judged_by_the_section() -> None:
    findings = judged([coil(weighs=None)], ties(DIAGONAL))
    assert said(findings, "us-393.120-applies") == "cannot tell"
    assert not [one for one in findings if one.rule == COUNT]


def test_a_coil_and_a_general_article_under_one_tie_down_share_the_general_half() -> None:
    crate = article("B", weighs="4000 lb", width=length("4 ft"))
    findings = judged([coil(), crate], ties(DIAGONAL, holds=("A", "B")), vehicle=FLATBED)
    aggregate = found(findings, "us-393.106-aggregate")
    assert aggregate.about == ("A", "B")
    assert value_of(aggregate.required) == 15_000
    assert said(findings, "us-393.110-count", "B") == "does not meet"
