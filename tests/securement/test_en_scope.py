"""EN 12195-1 as a whole: for which vehicles it holds, how far it binds, and that it can be said."""

from dataclasses import replace
from typing import Any

import pytest

from tests.securement.en_plans import TRAILER, crate, en_plan, four_chains, over, spread, webbing
from tests.securement.plans import found, mass
from triplog.securement.assess import assess, rule_sets_used
from triplog.securement.finding import Scope, Verdict
from triplog.securement.model import Block, Direction, Plan, Vehicle
from triplog.wording.document import findings_document
from triplog.wording.findings import question, rows, scope_line, title
from triplog.wording.handbook import findings_lines

RULES = [
    "en-12195-1-scope",
    *(f"en-12195-1-{mode}-{one}" for mode in ("slide", "tip") for one in Direction),
]


def light(gross: str | None, cargo: str | None = "1 t") -> Plan:
    article = crate(mass=None if cargo is None else mass(cargo))
    return en_plan(article, vehicle=Vehicle(gross_mass=None if gross is None else mass(gross)))


@pytest.mark.parametrize(
    ("gross", "cargo", "verdict", "scope"),
    [
        ("40 t", "1 t", Verdict.MEETS, Scope.GUIDANCE),
        ("3.501 t", "1 t", Verdict.MEETS, Scope.GUIDANCE),
        ("3.5 t", "1 t", Verdict.DOES_NOT_APPLY, Scope.YARDSTICK),
        (None, "1 t", Verdict.CANNOT_TELL, Scope.GUIDANCE),
        (None, "3.6 t", Verdict.MEETS, Scope.GUIDANCE),
        (None, None, Verdict.CANNOT_TELL, Scope.GUIDANCE),
    ],
)
def test_it_holds_above_three_and_a_half_tonnes(
    gross: str | None, cargo: str | None, verdict: Verdict, scope: Scope
) -> None:
    """Published scope of EN 12195-1: not for a total mass of 3.5 t or less."""
    findings = assess(light(gross, cargo))
    assert found(findings, "en-12195-1-scope").verdict is verdict
    assert {one.scope for one in findings} == {scope}


def test_the_findings_stand_in_a_fixed_order_and_name_their_edition() -> None:
    whole = light("40 t")
    assert [one.rule for one in assess(whole)] == RULES
    (used,) = rule_sets_used(whole)
    assert used.edition == "2010 with AC:2014"
    assert len(used.tables_sha256) == 64
    assert {one.citation.edition for one in assess(whole)} == {used.edition}


def test_it_is_called_guidance_and_the_directive_is_named() -> None:
    finding = found(assess(light("40 t")), "en-12195-1-scope")
    assert scope_line(finding) == "guidance"
    assert any("Directive 2014/47/EU" in row.text for row in rows(finding))


def many() -> list[Plan]:
    """Plans that between them say nearly every sentence."""
    stanchions: dict[str, Any] = {"blocked": {Direction.LEFT: Block(by="stanchions")}}
    lashed = [over(1, "2"), over(2, "4")]
    return [
        en_plan(crate(), lashed),
        en_plan(crate(**stanchions), four_chains()),
        en_plan(crate(mass=None, height=None), [*lashed, *four_chains()]),
        en_plan(crate(friction=None, at=None, blocked={}), lashed, vehicle=Vehicle()),
        en_plan(crate(friction=None, surfaces=("big bag", "wooden pallet")), lashed),
        en_plan(crate(rolls=True), more=[replace(crate(), id="B", on="A")]),
        en_plan(crate(), spread(3), gear=[webbing("S1", stf=None), webbing("S2", lc=None)]),
        en_plan(
            crate(contained=True, blocked={}), vehicle=replace(TRAILER, front_structure="none")
        ),
    ]


@pytest.mark.parametrize("whole", many())
def test_every_finding_can_be_said_in_sentences(whole: Plan) -> None:
    findings = assess(whole)
    for finding in findings:
        assert title(finding)
        assert question(finding).endswith("?")
        for row in rows(finding, units="us"):
            assert "{" not in row.text
            assert row.figure or row.text
    assert findings_lines(findings, 80)
    document = findings_document(findings, "0" * 64, "test", rule_sets_used(whole))
    assert len(document["findings"]) == len(findings)
