"""A whole plan: the order of the findings, rule sets not built, the same answer every time."""

import json

import pytest

from tests.securement.plans import article, found, plan, strap, strapped, tie_down
from triplog.securement.assess import assess, rule_sets_used
from triplog.securement.finding import Scope, Verdict, worst
from triplog.securement.model import Commodity
from triplog.securement.plan_file import read_plan
from triplog.securement.plan_names import RULE_SETS
from triplog.securement.schemas import schema_findings
from triplog.wording.document import findings_document

HAND_WRITTEN = b"""
format = "triplog-plan/1"
rules = ["us-393", "house"]

[vehicle]
gross_mass = "33000 lb"
use = "interstate business"
front_structure = "none"

[[anchor]]
id = "L1"
wll = "5000 lb"
[[anchor]]
id = "R1"
wll = "5000 lb"
[[anchor]]
id = "L2"
wll = "5000 lb"
[[anchor]]
id = "R2"
wll = "5000 lb"
[[anchor]]
id = "L3"
wll = "5000 lb"
[[anchor]]
id = "R3"
wll = "5000 lb"

[[gear]]
id = "S"
kind = "ratchet strap"
width = "2 in"
wll = "2,733 lb"
damage = []

[[article]]
id = "A"
commodity = "general"
mass = "16,400 lb"
length = "10 ft"
blocked = { forward = "nothing" }
sharp_edges = false
rolls = false
contained = false

[[tie_down]]
id = "T1"
holds = ["A"]
path = "over"
gear = "S"
from = "L1"
to = "R1"
knots = false
[[tie_down]]
id = "T2"
holds = ["A"]
path = "over"
gear = "S"
from = "L2"
to = "R2"
knots = false
[[tie_down]]
id = "T3"
holds = ["A"]
path = "over"
gear = "S"
from = "L3"
to = "R3"
knots = false
"""


def test_findings_come_in_the_order_of_the_clauses_and_of_the_plans_rule_sets() -> None:
    whole = strapped("6200 lb", ["3300 lb"])
    assert [one.rule for one in assess(whole)] == [
        "us-393.102-breaking-forward",
        "us-393.102-breaking-rearward",
        "us-393.102-breaking-lateral",
        "us-393.102-wll-forward",
        "us-393.102-wll-rearward",
        "us-393.102-wll-lateral",
        "us-393.102-down",
        "us-393.104-condition",
        "us-393.104-knots",
        "us-393.104-edges",
        "us-393.106-rolling",
        "us-393.106-aggregate",
        "us-393.108-rating",
        "us-393.110-count",
        "us-393.112-tighten",
        "house-combined",
    ]
    turned = plan([article()], rules=("house", "us-393"))
    assert assess(turned)[0].rule == "house-combined"


def test_a_plan_about_which_all_is_told_and_enough_meets_everything() -> None:
    gravest = worst(assess(strapped("6200 lb", ["3300 lb"] * 3)))
    assert gravest is not None and gravest.verdict is Verdict.MEETS


def test_a_plan_without_an_article_cannot_be_told() -> None:
    (finding,) = assess(plan([]))
    assert finding.verdict is Verdict.CANNOT_TELL


@pytest.mark.parametrize("name", RULE_SETS)
def test_every_rule_set_a_plan_can_name_is_judged(name: str) -> None:
    findings = assess(plan([article()], rules=(name,)))
    assert {one.rule_set for one in findings} == {name}


def test_the_general_rules_are_a_yardstick_where_a_section_may_take_the_article() -> None:
    findings = assess(strapped(None, ["3300 lb"] * 3, commodity=Commodity.METAL_COIL))
    assert found(findings, "us-393.120-applies").verdict is Verdict.CANNOT_TELL
    for rule in ("us-393.110-count", "us-393.106-aggregate"):
        assert found(findings, rule).scope is Scope.YARDSTICK


def test_the_same_plan_gives_the_same_findings() -> None:
    whole = strapped("6200 lb", ["3300 lb", None], sharp_edges=None)
    assert assess(whole) == assess(whole)


def test_a_tie_down_over_two_articles_is_judged_for_both() -> None:
    whole = plan([article("A"), article("B")], [strap()], [tie_down(holds=("A", "B"))])
    about = [one.about for one in assess(whole) if one.rule == "us-393.110-count"]
    assert about == [("A",), ("B",)]


def test_the_rule_sets_used_carry_edition_and_digest_where_there_is_one() -> None:
    law, house = rule_sets_used(plan([article()]))
    assert law.edition and len(law.tables_sha256) == 64
    assert (house.edition, house.tables_sha256) == ("", "")


def test_a_plan_written_by_hand_gives_the_verdict_with_the_sum_line_by_line() -> None:
    """49 CFR 393.106(d): half of 16,400 lb; the figures of the example are worked out by us."""
    file = read_plan(HAND_WRITTEN, "plan.toml")
    document = findings_document(assess(file.plan), file.sha256, "test", rule_sets_used(file.plan))
    by_rule = {one["rule"]: one for one in document["findings"]}
    aggregate = by_rule["us-393.106-aggregate"]
    assert aggregate["verdict"] == "does not meet"
    assert aggregate["sum"] == [
        "required 8,200 lb: half of 16,400 lb",
        "provided 8,199 lb: 3 tie-downs over the top, 2,733 lb each, counted in full: 8,199 lb "
        "(T1, T2 and T3)",
        "short by 1 lb",
    ]
    assert aggregate["margin"] == {"value": "-1", "unit": "lb"}
    assert aggregate["mend"] == (
        "add 1 tie-down over the top, rated at least 1 lb with its anchor points"
    )
    assert by_rule["us-393.110-count"]["verdict"] == "meets"
    assert by_rule["us-393.110-count"]["sum"][:2] == [
        "required 2 tie-downs: 10 ft, over 5 ft and not over 10 ft, not blocked forward: two",
        "provided 3 tie-downs: T1, T2 and T3",
    ]
    assert document["worst"]["rule"] == "us-393.106-aggregate"


def test_the_findings_document_keeps_to_its_schema() -> None:
    import jsonschema

    open_plan = plan(
        [article("A", weighs=None, commodity=None, rolls=None), article("B", long=None)],
        [strap(wll=None, damage=None)],
        [tie_down(path=None, knots=None, ends=("L1", None))],
        rules=("us-393", "house", "fit"),
    )
    for whole in (open_plan, strapped("6200 lb", ["3300 lb"]), plan([])):
        document = findings_document(assess(whole), "0" * 64, "test", rule_sets_used(whole))
        jsonschema.validate(json.loads(json.dumps(document)), schema_findings())
