"""Number and sum of NSC Standard 10, and the markings they rest on. Published cases stand in
tests/published."""

import pytest

from tests.securement.plans import (
    FLATBED,
    anchor,
    article,
    chain,
    force,
    found,
    length,
    plan,
    strap,
    strapped,
    tie_down,
    value_of,
)
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Scope, Verdict
from triplog.securement.model import (
    Article,
    Block,
    Commodity,
    Damage,
    Direction,
    Gear,
    GearKind,
    Path,
    Plan,
)
from triplog.wording.findings import sum_lines

RULES = ("ca-nsc10",)
COUNT, SUM, MARKING = "ca-nsc10-count", "ca-nsc10-aggregate", "ca-nsc10-marking"


def held(one: Article, gear: list[Gear]) -> Plan:
    ties = [tie_down(f"T{n}", gear=item.id) for n, item in enumerate(gear, 1)]
    return plan([one], gear, ties, rules=RULES)


def straps(number: int, wll: str | None = "1000 kg") -> list[Gear]:
    return [strap(f"S-{n}", wll=wll) for n in range(1, number + 1)]


def markings(whole: Plan) -> dict[str, Verdict]:
    return {
        about: one.verdict for one in assess(whole) if one.rule == MARKING for about in one.about
    }


def test_ten_feet_are_more_than_the_metric_line_and_the_reading_in_feet_is_said() -> None:
    """10 ft is 3.048 m, over the 3.04 m that stands first in Canada; the handbook says 10 ft."""
    finding = found(assess(held(article(long="10 ft", weighs="500 kg"), straps(2))), COUNT)
    assert finding.verdict is Verdict.DOES_NOT_MEET and value_of(finding.required) == 3
    lines = sum_lines(finding)
    assert any("it would be 2 tie-downs" in line for line in lines)
    assert any("over 3.04 m" in line or "first 3.04 m" in line for line in lines)


def test_five_hundred_kilograms_are_light_and_a_pound_more_than_1100_is_heavy_in_pounds() -> None:
    finding = found(assess(held(article(long="1.5 m", weighs="500 kg"), straps(1))), COUNT)
    assert finding.verdict is Verdict.MEETS
    assert any("it would be 2 tie-downs" in line for line in sum_lines(finding))


def test_the_reading_in_feet_is_not_said_where_it_is_the_same() -> None:
    finding = found(assess(held(article(long="9 ft"), straps(2))), COUNT)
    assert not any("driver's handbook" in line for line in sum_lines(finding))


def test_an_unknown_length_or_block_is_judged_at_both_ends() -> None:
    assert found(assess(held(article(long="6 m", blocked={}), straps(3))), COUNT).verdict is (
        Verdict.MEETS
    )
    between = found(assess(held(article(long="6 m", blocked={}), straps(2))), COUNT)
    assert between.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in between.unknown] == ["blocked.forward"]
    assert found(assess(held(article(long=None), straps(9))), COUNT).verdict is Verdict.CANNOT_TELL


def test_an_unmarked_strap_is_not_counted_and_adds_nothing() -> None:
    whole = held(article(long="2 m", weighs="3 t"), [*straps(1), strap("S-9", wll=None)])
    count, aggregate = found(assess(whole), COUNT), found(assess(whole), SUM)
    assert value_of(count.provided) == 1 and count.verdict is Verdict.DOES_NOT_MEET
    assert value_of(aggregate.provided) == 1 and aggregate.verdict is Verdict.DOES_NOT_MEET
    assert "T2: nothing, no rating is marked" in " ".join(sum_lines(aggregate))


def test_the_united_states_still_give_the_unmarked_strap_its_default() -> None:
    us = found(assess(strapped("3000 kg", ["1000 kg", None])), "us-393.106-aggregate")
    assert value_of(us.provided) == 1910


def test_an_unmarked_strap_that_is_needed_falls_short_and_an_extra_one_is_warned_of() -> None:
    gear = [*straps(2), strap("S-9", wll=None)]
    assert markings(held(article(long="2 m"), gear))["T3"] is Verdict.DOES_NOT_APPLY
    assert markings(held(article(long="5 m"), gear))["T3"] is Verdict.DOES_NOT_MEET
    assert markings(held(article(long=None), gear))["T3"] is Verdict.CANNOT_TELL
    (warned,) = (
        one
        for one in assess(held(article(long="2 m"), gear))
        if one.rule == MARKING and one.verdict is Verdict.DOES_NOT_APPLY
    )
    assert any("may still be charged" in line for line in sum_lines(warned))


def test_only_chain_marked_with_its_grade_counts_by_the_table() -> None:
    """NSC Standard 10 s.11(3); grade 70, 10 mm: 2,990 kg in the table of 49 CFR 393.108."""
    graded = chain("C-1", size=length("10 mm"), grade="70")
    bare = chain("C-1", size=length("10 mm"))
    worn = chain("C-1", size=length("10 mm"), grade="?")
    heavy = article(long="2 m", weighs="5 t")
    assert value_of(found(assess(held(heavy, [graded])), SUM).provided) * 1000 == 2990
    for unmarked in (bare, worn):
        assert value_of(found(assess(held(heavy, [unmarked])), SUM).provided) == 0
        assert markings(held(heavy, [unmarked]))["T1"] is Verdict.DOES_NOT_MEET
    assert markings(held(heavy, [graded]))["T1"] is Verdict.MEETS


def test_a_lashing_capacity_is_no_marking() -> None:
    euro = strap("S-1", wll=None, lc=force("2500 daN"))
    assert markings(held(article(long="1 m"), [euro]))["T1"] is Verdict.DOES_NOT_MEET


def test_an_unmarked_mat_counts_nothing_and_a_marked_one_as_marked() -> None:
    mats = {
        wll: Gear(
            id="M-1",
            kind=GearKind.FRICTION_MAT,
            damage=(),
            wll=None if wll is None else force(wll),
        )
        for wll in (None, "300 kg")
    }
    one = article(long="1 m", weighs="400 kg", mat="M-1")
    for wll, verdict in ((None, Verdict.DOES_NOT_APPLY), ("300 kg", Verdict.MEETS)):
        whole = plan([one], [*straps(1), mats[wll]], [tie_down(gear="S-1")], rules=RULES)
        assert markings(whole)["M-1"] is verdict


def test_damaged_gear_counts_nothing_here_too() -> None:
    cut = strap("S-1", wll="1000 kg", damage=(Damage(kind="cut"),))
    whole = held(article(long="1 m", weighs="400 kg"), [cut])
    assert found(assess(whole), COUNT).verdict is Verdict.DOES_NOT_MEET
    assert found(assess(whole), SUM).verdict is Verdict.DOES_NOT_MEET
    assert found(assess(whole), "ca-nsc10-condition").verdict is Verdict.DOES_NOT_MEET


@pytest.mark.parametrize(
    ("path", "to", "worst", "best"),
    [
        (Path.OVER, "R1", 1000, 1000),
        (Path.DIRECT, "lifting eye", 1000, 1000),
        (Path.SAME_SIDE, "R1", 1000, 1000),
        (Path.DIRECT, None, 500, 1000),
    ],
)
def test_each_end_on_an_anchor_point_counts_half(
    path: Path, to: str | None, worst: int, best: int
) -> None:
    one = article(long="1 m", weighs=f"{2 * best} kg")
    whole = plan([one], straps(1), [tie_down(gear="S-1", path=path, ends=("L1", to))], rules=RULES)
    finding = found(assess(whole), SUM)
    if worst == best:
        assert finding.verdict is Verdict.MEETS and value_of(finding.margin) == 0
    else:
        assert finding.verdict is Verdict.CANNOT_TELL
        assert finding.range is not None and value_of(finding.range.worst) == worst
        assert [missing.field for missing in finding.unknown] == ["to"]


def test_the_anchor_holds_the_sum_down_as_it_does_in_the_united_states() -> None:
    whole = plan(
        [article(long="1 m", weighs="900 kg")],
        straps(1),
        [tie_down(gear="S-1", ends=("L1", "R1"))],
        anchors=[anchor("L1", wll="400 kg"), anchor("R1", wll="2000 kg")],
        rules=RULES,
    )
    assert value_of(found(assess(whole), SUM).provided) == 400


def test_another_commodity_makes_the_general_findings_a_yardstick() -> None:
    findings = assess(held(article(commodity=Commodity.LOGS), straps(3)))
    assert found(findings, COUNT).scope is Scope.YARDSTICK
    assert found(findings, SUM).scope is Scope.YARDSTICK
    assert found(findings, "ca-nsc10-commodity-not-built").verdict is Verdict.CANNOT_TELL


def test_what_was_not_read_about_front_structures_is_not_judged() -> None:
    by = {Direction.FORWARD: Block(by="headboard")}
    findings = assess(held(article(blocked=by), straps(3)))
    assert found(findings, "ca-nsc10-front-not-built").verdict is Verdict.CANNOT_TELL


def border(path: Path, weighs: str, number: int, long: str = "2 m") -> tuple[Finding, ...]:
    gear = straps(number)
    ties = [
        tie_down(
            f"T{n}",
            gear=item.id,
            path=path,
            ends=(f"L{n}", "eye" if path is Path.DIRECT else f"R{n}"),
        )
        for n, item in enumerate(gear, 1)
    ]
    one = article(long=long, weighs=weighs)
    return assess(plan([one], gear, ties, rules=("us-393", "ca-nsc10"), vehicle=FLATBED))


def test_a_trip_through_both_countries_shows_both_sums_and_the_stricter_one() -> None:
    """A direct tie-down counts half in the United States and in full in Canada."""
    findings = border(Path.DIRECT, "4 t", 2)
    us, ca = found(findings, "us-393.106-aggregate"), found(findings, SUM)
    assert (us.verdict, ca.verdict) == (Verdict.DOES_NOT_MEET, Verdict.MEETS)
    assert any("49 CFR 393.106(d) is the stricter rule" in line for line in sum_lines(ca))


def test_the_canadian_number_is_the_stricter_one_at_ten_feet() -> None:
    findings = border(Path.OVER, "1 t", 2, long="10 ft")
    us, ca = found(findings, "us-393.110-count"), found(findings, COUNT)
    assert (us.verdict, ca.verdict) == (Verdict.MEETS, Verdict.DOES_NOT_MEET)
    assert any("this is the stricter rule" in line for line in sum_lines(ca))


def test_no_stricter_rule_is_named_where_both_are_the_same_or_one_is_judged_alone() -> None:
    both = border(Path.OVER, "1 t", 2)
    assert not any("stricter" in line for one in both for line in sum_lines(one))
    alone = assess(held(article(long="10 ft"), straps(2)))
    assert not any("stricter" in line for one in alone for line in sum_lines(one))
