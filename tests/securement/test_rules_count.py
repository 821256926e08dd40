"""The number of tie-downs, 49 CFR 393.110. The rows of the paragraph stand in tests/published."""

import pytest

from tests.securement.plans import (
    FLATBED,
    OPEN_FORWARD,
    article,
    found,
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
    Article,
    Block,
    Commodity,
    Damage,
    Direction,
    GearKind,
    Vehicle,
)

RULE = "us-393.110-count"


def count(one: Article, straps: int, vehicle: Vehicle = FLATBED) -> Finding:
    names = [str(number) for number in range(1, straps + 1)]
    whole = plan(
        [one],
        [strap(f"S-{name}") for name in names],
        [tie_down(f"T{name}", gear=f"S-{name}") for name in names],
        vehicle=vehicle,
    )
    return found(assess(whole), RULE)


def blocked_by(what: str) -> dict[Direction, Block]:
    return {Direction.FORWARD: Block(by=what)}


def test_an_article_without_a_tie_down_does_not_meet() -> None:
    finding = count(article(), 0)
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert value_of(finding.margin) == -3


def test_an_article_blocked_forward_still_needs_one_tie_down() -> None:
    one = article(long="4 ft", weighs="200 lb", blocked=blocked_by("timber"))
    assert count(one, 0).verdict is Verdict.DOES_NOT_MEET
    assert count(one, 1).verdict is Verdict.MEETS


def test_each_article_under_one_tie_down_is_counted_by_itself() -> None:
    whole = plan(
        [article("A", long="9 ft"), article("B", long="9 ft")],
        [strap("S-1"), strap("S-2"), strap("S-3")],
        [
            tie_down("T1", holds=("A", "B"), gear="S-1"),
            tie_down("T2", holds=("A",), gear="S-2"),
        ],
    )
    findings = assess(whole)
    assert found(findings, RULE, "A").verdict is Verdict.MEETS
    assert found(findings, RULE, "B").verdict is Verdict.DOES_NOT_MEET


def test_nothing_is_an_answer_and_a_bare_yes_is_none() -> None:
    for word in ("nothing", "None", " no "):
        one = article(long="20 ft", blocked=blocked_by(word))
        assert count(one, 2).verdict is Verdict.DOES_NOT_MEET
    told = count(article(long="20 ft", blocked=blocked_by("yes")), 2)
    assert told.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in told.unknown] == ["blocked.forward"]


def test_unknown_blocking_that_changes_nothing_leaves_the_verdict() -> None:
    assert count(article(long="20 ft", blocked={}), 3).verdict is Verdict.MEETS
    assert count(article(long="20 ft", blocked={}), 1).verdict is Verdict.DOES_NOT_MEET
    assert count(article(long="20 ft", blocked={}), 2).verdict is Verdict.CANNOT_TELL


def test_an_unknown_length_has_no_upper_end() -> None:
    finding = count(article(long=None), 40)
    assert finding.verdict is Verdict.CANNOT_TELL
    assert finding.range is not None and finding.range.decides.id == "decides.count-open"
    assert count(article(long=None), 1).verdict is Verdict.DOES_NOT_MEET, "6,200 lb needs two"


def test_an_unknown_mass_matters_only_to_a_short_article() -> None:
    assert count(article(long="4 ft", weighs=None), 1).verdict is Verdict.CANNOT_TELL
    assert count(article(long="4 ft", weighs=None), 2).verdict is Verdict.MEETS
    assert count(article(long="6 ft", weighs=None), 2).verdict is Verdict.MEETS


def test_metres_are_compared_with_the_printed_metres_and_the_feet_are_shown() -> None:
    """3.045 m is over 3.04 m and under 10 ft: 393.110(b) prints feet first, metric beside."""
    finding = count(article(long="3.045 m"), 2)
    assert value_of(finding.required) == 3
    other = next(step for step in finding.steps if step.id == "note.other-feet")
    assert other.values["number"] == count(article(long="9 ft"), 2).required


def test_kilograms_are_compared_with_the_printed_kilograms() -> None:
    """500 kg is 1,102.3 lb: one tie-down in kilograms, and 1,102 lb needs two in pounds."""
    assert value_of(count(article(long="5 ft", weighs="500 kg"), 1).required) == 1
    assert value_of(count(article(long="5 ft", weighs="1102 lb"), 1).required) == 2


def test_damaged_gear_and_bars_are_not_counted() -> None:
    whole = plan(
        [article(long="9 ft")],
        [strap("S-1"), strap("S-2", damage=(Damage(kind="cut"),)), strap("B-1", kind=GearKind.BAR)],
        [
            tie_down("T1", gear="S-1"),
            tie_down("T2", gear="S-2"),
            tie_down("T3", gear="B-1"),
        ],
    )
    finding = found(assess(whole), RULE)
    assert value_of(finding.provided) == 1
    assert finding.verdict is Verdict.DOES_NOT_MEET


def test_a_front_structure_the_vehicle_lacks_blocks_nothing() -> None:
    finding = count(article(long="20 ft", blocked=blocked_by("front structure")), 2)
    assert value_of(finding.required) == 3


def test_an_article_the_structure_contains_needs_no_tie_down() -> None:
    assert count(article(contained=True), 0).verdict is Verdict.DOES_NOT_APPLY
    assert count(article(contained=True), 1).verdict is Verdict.DOES_NOT_MEET


@pytest.mark.parametrize(
    ("vehicle", "scope"),
    [
        (Vehicle(gross_mass=mass("10001 lb"), use="interstate business"), Scope.LAW),
        (Vehicle(gross_mass=mass("10000 lb"), use="interstate business"), Scope.YARDSTICK),
        (Vehicle(gross_mass=mass("4536 kg"), use="interstate business"), Scope.LAW),
        (Vehicle(gross_mass=mass("80000 lb"), use="other"), Scope.YARDSTICK),
        (Vehicle(gross_mass=mass("80000 lb")), Scope.YARDSTICK),
        (Vehicle(use="interstate business"), Scope.YARDSTICK),
    ],
)
def test_the_vehicles_mass_and_use_decide_whether_it_is_law(vehicle: Vehicle, scope: Scope) -> None:
    """390.5T: from 10,001 lb (4,536 kg) on, in interstate business."""
    assert count(article(), 3, vehicle).scope is scope


def test_a_commodity_that_may_have_a_section_makes_the_count_a_yardstick() -> None:
    open_one = article(commodity=Commodity.METAL_COIL, weighs=None)
    assert count(open_one, 3).scope is Scope.YARDSTICK


def test_the_finding_records_what_went_in() -> None:
    finding = found(assess(strapped("6200 lb", ["3300 lb"], blocked=OPEN_FORWARD)), RULE)
    told = {one.name: one.value for one in finding.inputs}
    assert told["blocked.forward"] == "nothing"
    assert told["mass"] == mass("6200 lb")


def test_an_article_does_not_block_itself() -> None:
    itself = article("A", long="14 ft", blocked=blocked_by("A"))
    found_with_two = count(itself, 2)
    assert found_with_two.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in found_with_two.unknown] == ["blocked.forward"]
    assert count(itself, 3).verdict is Verdict.MEETS
