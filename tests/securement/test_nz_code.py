"""The multiples of the New Zealand truck loading code. Published cases stand in tests/published."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from tests.securement.plans import (
    OPEN_FORWARD,
    article,
    chain,
    force,
    found,
    length,
    plan,
    strap,
    tie_down,
    value_of,
)
from triplog.securement.assess import assess
from triplog.securement.finding import Basis, Finding, Scope, Verdict
from triplog.securement.model import (
    Block,
    Damage,
    Direction,
    FrontStructure,
    Gear,
    GearKind,
    Part,
    Path,
    Plan,
    Vehicle,
)
from triplog.wording.findings import rows, sum_lines

HEADBOARD = {Direction.FORWARD: Block(by="headboard")}
NO_HEADBOARD = Vehicle(front_structure="none")


def board(height: str | None) -> Vehicle:
    high = None if height is None else length(height)
    return Vehicle(front_structure=FrontStructure(height=high))


def chained(
    weighs: str | None,
    gear: Sequence[Gear],
    *,
    vehicle: Vehicle = NO_HEADBOARD,
    path: Path | None = Path.OVER,
    **told: Any,
) -> Plan:
    items = [replace(one, id=f"C-{number}") for number, one in enumerate(gear, 1)]
    ties = [tie_down(f"T{number}", gear=one.id, path=path) for number, one in enumerate(items, 1)]
    one = article(weighs=weighs, height=length("2 m"), **told)
    whole = plan([one], items, ties, vehicle=vehicle, rules=("nz-code",))
    strong = tuple(replace(anchor, breaking=force("90 t")) for anchor in whole.anchors)
    return replace(whole, anchors=strong)


def multiple(whole: Plan) -> Finding:
    return found(assess(whole), "nz-code-multiple")


def chains(number: int, breaking: str) -> list[Gear]:
    return [chain(breaking=force(breaking))] * number


@pytest.mark.parametrize(
    ("vehicle", "blocked", "required"),
    [
        (NO_HEADBOARD, OPEN_FORWARD, 20),
        (board("2 m"), HEADBOARD, 10),
        (board("3 m"), HEADBOARD, 10),
        (board("1.99 m"), HEADBOARD, 15),
        (NO_HEADBOARD, HEADBOARD, 20),
    ],
)
def test_the_headboard_decides_the_multiple(
    vehicle: Vehicle, blocked: dict[Direction, Block], required: int
) -> None:
    told: dict[str, Any] = {"blocked": blocked}
    enough = multiple(chained("10 t", chains(2, f"{required / 2} t"), vehicle=vehicle, **told))
    assert enough.verdict is Verdict.MEETS and value_of(enough.required) == required
    short = chained("10 t", chains(2, f"{required / 2 - 0.01:.2f} t"), vehicle=vehicle, **told)
    assert multiple(short).verdict is Verdict.DOES_NOT_MEET


def test_webbing_and_rope_count_half_their_breaking_strength_and_chain_all_of_it() -> None:
    rope = Gear(id="x", kind=GearKind.CORDAGE, damage=(), breaking=force("4 t"))
    wire = Gear(id="x", kind=GearKind.WIRE_ROPE, damage=(), breaking=force("4 t"))
    for gear, counts in (
        (chain(breaking=force("4 t")), 4),
        (wire, 4),
        (strap(wll=None, breaking=force("4 t")), 2),
        (rope, 2),
    ):
        assert value_of(multiple(chained("9 t", [gear])).provided) == counts


def test_the_marked_limit_does_not_stand_for_the_breaking_strength_where_that_is_told() -> None:
    both = strap(wll="1500 kg", breaking=force("4500 kg"))
    finding = multiple(chained("9 t", [both]))
    assert value_of(finding.provided) * 1000 == 2250
    stated = next(one for one in finding.inputs if one.name == "rated strength")
    assert stated.basis is Basis.WORKED_OUT


def test_gear_without_a_breaking_strength_holds_at_least_its_limit() -> None:
    enough = multiple(chained("1 t", [chain(wll="2 t")]))
    assert enough.verdict is Verdict.MEETS
    perhaps = multiple(chained("1 t", [chain(wll="1 t")]))
    assert perhaps.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in perhaps.unknown] == ["breaking"]


@pytest.mark.parametrize(
    ("told", "verdict", "asks"),
    [
        ({"wll": "5 t"}, Verdict.CANNOT_TELL, ["breaking"]),
        ({"wll": "10 t"}, Verdict.MEETS, []),
        ({"wll": "5 t", "breaking": "10 t"}, Verdict.MEETS, []),
        ({"wll": "10 t", "breaking": "9.9 t"}, Verdict.DOES_NOT_MEET, []),
    ],
)
def test_the_limit_of_an_anchor_point_is_no_breaking_strength(
    told: dict[str, str], verdict: Verdict, asks: list[str]
) -> None:
    """Basic criteria of the code: the breaking force of chain; our reading for anchor points."""
    whole = chained("10 t", chains(2, "10 t"))
    facts: dict[str, Any] = {name: force(value) for name, value in told.items()}
    ends = tuple(replace(one, wll=None, breaking=None) for one in whole.anchors)
    finding = multiple(replace(whole, anchors=tuple(replace(one, **facts) for one in ends)))
    assert finding.verdict is verdict
    assert list(dict.fromkeys(one.field for one in finding.unknown)) == asks


@pytest.mark.parametrize(
    ("hook", "verdict"),
    [({"wll": "5 t"}, Verdict.CANNOT_TELL), ({"breaking": "5 t"}, Verdict.DOES_NOT_MEET)],
)
def test_a_hook_s_limit_is_none_either(hook: dict[str, str], verdict: Verdict) -> None:
    facts: dict[str, Any] = {name: force(value) for name, value in hook.items()}
    hooked = chain(breaking=force("10 t"), fittings=(Part(kind="hook", **facts),))
    finding = multiple(chained("10 t", [hooked, hooked]))
    assert finding.verdict is verdict
    assert {one.field for one in finding.unknown} <= {"fittings.breaking"}


@pytest.mark.parametrize(
    ("vehicle", "told", "field"),
    [
        (board("2 m"), {"blocked": {}}, "blocked.forward"),
        (board(None), {"blocked": HEADBOARD}, "front_structure.height"),
        (NO_HEADBOARD, {"blocked": {Direction.FORWARD: Block(by="timber")}}, "nz-block"),
    ],
)
def test_a_headboard_that_is_not_known_is_judged_at_both_ends(
    vehicle: Vehicle, told: dict[str, Any], field: str
) -> None:
    between = multiple(chained("10 t", chains(2, "6 t"), vehicle=vehicle, **told))
    assert between.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in between.unknown] == [field]
    assert any("times the weight" in line for line in sum_lines(between))
    assert multiple(chained("10 t", chains(2, "10 t"), vehicle=vehicle, **told)).verdict is (
        Verdict.MEETS
    )
    assert multiple(chained("10 t", chains(2, "4 t"), vehicle=vehicle, **told)).verdict is (
        Verdict.DOES_NOT_MEET
    )


def test_a_group_is_asked_the_highest_multiple_of_its_articles() -> None:
    high = article("A", weighs="1 t", height=length("3 m"), blocked=HEADBOARD)
    low = article("B", weighs="1 t", height=length("1 m"), blocked=HEADBOARD)
    ties = [tie_down(holds=("A", "B"), gear="C-1")]
    for breaking, verdict in (("3 t", Verdict.MEETS), ("2.9 t", Verdict.DOES_NOT_MEET)):
        gear = chain("C-1", breaking=force(breaking))
        whole = plan([high, low], [gear], ties, vehicle=board("2 m"), rules=("nz-code",))
        finding = multiple(whole)
        assert finding.verdict is verdict and value_of(finding.required) == 3


def test_another_path_is_not_covered_by_the_multiples() -> None:
    for path in (Path.DIRECT, Path.SAME_SIDE, Path.SPRING, None):
        finding = multiple(chained("1 t", chains(1, "9 t"), path=path))
        assert finding.verdict is Verdict.CANNOT_TELL
        assert {"nz-path", "path"} & {one.field for one in finding.unknown}
        assert multiple(chained("5 t", chains(1, "9 t"), path=path)).verdict is (
            Verdict.DOES_NOT_MEET
        ), "not even in full"


def test_damaged_gear_and_a_missing_mass() -> None:
    cut = chain(breaking=force("9 t"), damage=(Damage(kind="nick"),))
    assert multiple(chained("1 t", [cut])).verdict is Verdict.DOES_NOT_MEET
    unweighed = multiple(chained(None, chains(1, "9 t")))
    assert unweighed.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in unweighed.unknown] == ["mass"]


def test_it_says_its_standing_and_that_it_rests_on_one_summary() -> None:
    finding = multiple(chained("10 t", chains(2, "10 t")))
    assert finding.scope is Scope.GUIDANCE
    assert finding.citation.how_sure == "second-hand"
    said = " ".join(sum_lines(finding))
    assert "one summary" in said and "code of practice" in said
    assert "1.0 of the weight forward, 0.5 rearward, 0.5 sideways and 0.2 up" in said


def test_every_line_can_be_said() -> None:
    for whole in (
        chained(None, chains(1, "9 t"), blocked={}, vehicle=board("2 m")),
        chained("1 t", [strap(wll=None)], blocked={}, vehicle=board("2 m")),
        chained(None, [], blocked=HEADBOARD, vehicle=board("1 m")),
        chained("1 t", chains(1, "1 t"), path=None),
    ):
        for row in rows(multiple(whole)):
            assert "{" not in row.text and (row.figure or row.text)
