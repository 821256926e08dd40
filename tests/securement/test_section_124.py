"""Concrete pipe: 49 CFR 393.124. The printed numbers stand in tests/published."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

from tests.securement.plans import article, chain, found, length, plan, tie_down, value_of
from tests.securement.sections import all_yes, judged, said, ties
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Scope
from triplog.securement.model import (
    Article,
    Block,
    Body,
    Commodity,
    Direction,
    Position,
    TieDown,
    Vehicle,
)
from triplog.wording.findings import sum_lines, unknown_line

COUNT, GROUPS, ANSWERS = "us-393.124-count", "us-393.124-groups", "us-393.124-answers"
THROUGH: dict[str, Any] = {"through_eye": True, "lay": "lengthwise"}
OVER: dict[str, Any] = {"through_eye": False, "lay": "crosswise"}
ALONG: dict[str, Any] = {"through_eye": False, "lay": "lengthwise"}


def pipe(name: str = "A", inside: str | None = "36 in", **told: Any) -> Article:
    """Pipes 36 in wide inside in two tiers, about which all is answered with yes."""
    facts = {"tiers": 2, **told.pop("facts", {})}
    if inside is not None:
        facts["diameter"] = length(inside)
    return article(
        name,
        **{
            "commodity": Commodity.CONCRETE_PIPE,
            "weighs": "30000 lb",
            "long": "20 ft",
            "facts": facts,
            "answers": all_yes("124"),
            **told,
        },
    )


def sized(one: Article, size: str | None, *tie_downs: dict[str, Any]) -> tuple[Finding, ...]:
    """The pipe under chains of one size."""
    gear = chain(wll="20000 lb", size=None if size is None else length(size))
    return assess(plan([one], [gear], ties(*tie_downs), rules=("us-393",)))


def test_each_pipe_may_be_held_through() -> None:
    whole = judged([pipe(facts={"pieces": 4})], ties(*[THROUGH] * 4))
    finding = found(whole, COUNT)
    assert (str(finding.verdict), finding.citation.clause) == ("meets", "393.124(e)(2)(i)")
    few = judged([pipe(facts={"pieces": 4})], ties(*[THROUGH] * 3))
    assert said(few, COUNT) == "does not meet"
    assert said(judged([pipe()], ties(THROUGH)), COUNT) == "does not meet", "front and rear alike"


def test_or_the_group_is_held_over_the_top() -> None:
    one = pipe(facts={"pieces": 9})
    thick = (THROUGH, THROUGH, ALONG, OVER, OVER)
    finding = found(sized(one, "1/2 in", *thick), COUNT)
    assert (str(finding.verdict), finding.citation.clause) == ("meets", "393.124(e)(2)(ii)")
    assert said(sized(one, "3/8 in", *thick), COUNT) == "does not meet"
    assert said(sized(one, "3/8 in", *thick, ALONG), COUNT) == "meets"
    assert said(sized(one, "5/16 in", *thick, ALONG), COUNT) == "does not meet"
    assert said(sized(one, "13 mm", *thick), COUNT) == "meets"


def test_a_size_nobody_told_leaves_it_open() -> None:
    finding = found(
        sized(pipe(facts={"pieces": 9}), None, THROUGH, THROUGH, ALONG, ALONG, OVER, OVER), COUNT
    )
    assert str(finding.verdict) == "cannot tell"
    assert "the size of C-1" in unknown_line(finding)


def test_gear_nobody_told_leaves_it_open() -> None:
    over = ties(THROUGH, THROUGH, {**ALONG, "gear": None}, OVER, OVER)
    finding = found(judged([pipe(facts={"pieces": 9})], over), COUNT)
    assert str(finding.verdict) == "cannot tell"
    assert "the gear of T3" in unknown_line(finding)


def test_a_part_of_10_ft_is_not_counted_and_the_stricter_reading_is_told() -> None:
    one = pipe(facts={"pieces": 9}, long="25 ft")
    finding = found(sized(one, "1/2 in", THROUGH, THROUGH, ALONG, OVER, OVER), COUNT)
    assert str(finding.verdict) == "meets"
    assert "it would be 3 tie-downs crosswise" in sum_lines(finding)[-1]


def test_the_load_length_of_several_articles_comes_from_their_places() -> None:
    front = pipe("A", facts={"pieces": 9}, together="load")
    rear = pipe("B", facts={"pieces": 9}, together="load")
    over = ties(THROUGH, THROUGH, ALONG, OVER, OVER, OVER, holds=("A", "B"))
    gear = [chain(wll="20000 lb", size=length("1/2 in"))]

    def placed(back_m: int | None) -> Finding:
        articles = [
            pipe_at(front, 0),
            rear if back_m is None else pipe_at(rear, back_m),
        ]
        return found(assess(plan(articles, gear, over)), COUNT)

    assert str(placed(6).verdict) == "meets", "12.1 m: three whole lengths of 10 ft"
    assert str(placed(8).verdict) == "does not meet", "14.1 m: four"
    unplaced = placed(None)
    assert str(unplaced.verdict) == "cannot tell"
    assert "the place of B" in unknown_line(unplaced)


def pipe_at(one: Article, back_m: int) -> Article:
    return replace(one, at=Position(from_front_m=Fraction(back_m), left_m=Fraction(0)))


def test_wide_pipe_is_held_through_each_and_twice_at_a_free_end() -> None:
    def wide(**blocked: str) -> Article:
        ways = {Direction(way): Block(by=by) for way, by in blocked.items()}
        return pipe(inside="48 in", facts={"pieces": 3}, blocked=ways)

    both = wide(forward="end structure", rearward="stakes")
    one_end = wide(forward="nothing", rearward="stakes")
    untold = wide(forward="end structure")
    assert said(judged([both], ties(*[THROUGH] * 3)), COUNT) == "meets"
    assert said(judged([one_end], ties(*[THROUGH] * 3)), COUNT) == "does not meet"
    assert said(judged([one_end], ties(*[THROUGH] * 4)), COUNT) == "meets"
    finding = found(judged([untold], ties(*[THROUGH] * 3)), COUNT)
    assert str(finding.verdict) == "cannot tell"
    assert unknown_line(finding) == "what blocks A rearward"
    assert said(judged([untold], ties(*[THROUGH] * 4)), COUNT) == "meets"


def test_the_line_between_narrow_and_wide_pipe() -> None:
    """45 in (1,143 mm) is still narrow."""
    for inside, clause in (("45 in", "393.124(e)(2)(i)"), ("1143 mm", "393.124(e)(2)(i)"),
                           ("45.1 in", "393.124(f)(2)"), ("1144 mm", "393.124(f)(2)")):  # fmt: skip
        finding = found(judged([pipe(inside=inside)], ties(THROUGH, THROUGH)), COUNT)
        assert finding.citation.clause == clause


def test_a_diameter_nobody_told_leaves_everything_open() -> None:
    whole = judged([pipe(inside=None)], ties(*[THROUGH] * 6))
    for rule in (COUNT, ANSWERS):
        assert said(whole, rule) == "cannot tell"
        assert "the diameter of A" in unknown_line(found(whole, rule))
    assert said(whole, GROUPS) == "meets"


def test_pipes_of_two_diameters_are_no_group() -> None:
    def under(holds: tuple[tuple[str, ...], ...], *inside: str | None) -> tuple[Finding, ...]:
        pipes = [pipe(name, one) for name, one in zip("AB", inside, strict=True)]
        over: list[TieDown] = [
            tie_down(f"T{number}", holds=names, gear="C-1", **THROUGH)
            for number, names in enumerate(holds)
        ]
        return judged(pipes, over)

    mixed = found(under((("A", "B"),), "36 in", "24 in"), GROUPS)
    assert (str(mixed.verdict), mixed.about) == ("does not meet", ("A", "B"))
    assert said(under((("A", "B"),), "36 in", "36 in"), GROUPS) == "meets"
    assert said(under((("A", "B"),), "36 in", None), GROUPS) == "cannot tell"
    apart = under((("A",), ("B",)), "36 in", "24 in")
    assert [str(one.verdict) for one in apart if one.rule == GROUPS] == ["meets", "meets"]


def test_the_third_tier_is_asked_about_where_there_is_one() -> None:
    two = found(judged([pipe()]), ANSWERS)
    three = found(judged([pipe(facts={"tiers": 3})]), ANSWERS)
    untold = article(
        commodity=Commodity.CONCRETE_PIPE,
        facts={"diameter": length("36 in")},
        answers=all_yes("124"),
    )
    asked = [one.name for one in three.inputs]
    assert "answers.124-third-tier" in asked
    assert "answers.124-third-tier" not in [one.name for one in two.inputs]
    assert str(two.verdict) == "meets"
    assert "how many layers A has" in unknown_line(found(judged([untold]), ANSWERS))


def test_half_the_weight_of_the_group_is_the_sections_own_rule() -> None:
    whole = judged([pipe(weighs="30000 lb")], ties(THROUGH, THROUGH), wll="7500 lb")
    aggregate = found(whole, "us-393.124-aggregate")
    assert (str(aggregate.verdict), aggregate.scope) == ("meets", Scope.LAW)
    assert value_of(aggregate.required) == 15_000
    assert not [one for one in whole if one.rule in ("us-393.106-aggregate", "us-393.110-count")]


def test_bundles_and_sided_vehicles_go_by_the_general_rules() -> None:
    """49 CFR 393.124(a)(2)."""
    bundle = judged([pipe(facts={"unitized": True})])
    sided = judged([pipe()], vehicle=Vehicle(body=Body.SIDED))
    for whole in (bundle, sided):
        rules = [one.rule for one in whole]
        assert "us-393.110-count" in rules
        assert COUNT not in rules
    assert said(judged([pipe()], vehicle=Vehicle()), "us-393.124-applies") == "cannot tell"
