"""Findings in sentences: every id has its words, and the words keep to the house's."""

import ast
import re
from dataclasses import replace
from pathlib import Path

import pytest

import triplog.securement
from tests.securement.plans import (
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
)
from triplog.securement.assess import assess
from triplog.securement.model import (
    Block,
    Commodity,
    Damage,
    Direction,
    EdgeProtection,
    FrontStructure,
    Gear,
    GearKind,
    Part,
    Plan,
    Vehicle,
)
from triplog.securement.model import Path as TieDownPath
from triplog.wording.amounts import Units
from triplog.wording.findings import (
    decides_line,
    mend_line,
    question,
    rows,
    sum_lines,
    title,
    unknown_line,
)
from triplog.wording.handbook import finding_lines, findings_lines
from triplog.wording.languages import NoSuchLanguage, words_of

AVOIDED = re.compile(
    r"\b(secure|safe|ok|compliant|certified|approved|pass(es)?|fail(s|ed)?|violation|score|ton|tons"
    r"|coach|badge|alert)\b",
    re.IGNORECASE,
)
RULES = Path(triplog.securement.__file__).parent / "rules"


def many_sided() -> Plan:
    """An invented plan that draws many kinds of lines at once."""
    gear = [
        strap("S-1", fittings=(Part(kind="flat hook"),), tensioner=Part(wll=force("3500 lb"))),
        strap("S-2", wll=None, breaking=force("9900 lb"), damage=None),
        strap("S-3", damage=(Damage(kind="cut", size=length("3/16 in")), Damage(kind="burn"))),
        strap("S-4", wll=None, width=length("1 in"), lc=force("500 daN")),
        strap("S-5", kind=GearKind.BAR),
        chain("C-1", size=length("3/8 in"), tensioner=Part(kind="lever binder")),
        Gear(id="M-1", kind=GearKind.FRICTION_MAT, damage=()),
    ]
    ties = [
        tie_down("T1", gear="S-1", ends=("L1", "R1")),
        tie_down("T2", gear="S-2", path=None, ends=("L1", "R2")),
        tie_down("T3", gear="S-3", knots=True),
        tie_down("T4", gear="S-4", path=TieDownPath.SPRING),
        tie_down("T5", gear="S-5"),
        tie_down("T6", gear="C-1", path=TieDownPath.DIRECT, ends=("L6", "front eye")),
        tie_down("T7", gear=None, ends=(None, "R1"), holds=("B",)),
        tie_down("T8", gear="S-1", edge_protection=EdgeProtection(needed=2, fitted=1)),
    ]
    articles = [
        article("A", sharp_edges=True, mat="M-1", blocked={}),
        article("B", weighs=None, rolls=True, blocked={Direction.FORWARD: Block(by="bulkhead")}),
        article("C", weighs="900 kg", long="3.045 m", commodity=Commodity.MACHINE),
        article("D", contained=None, long="4 ft", weighs=None),
        article("E", contained=True, commodity=None),
    ]
    vehicle = Vehicle(front_structure=FrontStructure(height=length("3 ft"), width=length("4 ft")))
    anchors = [anchor("L1", wll="4000 lb"), anchor("R2", wll=None)]
    rules = ("us-393", "house", "fit")
    return plan(articles, gear, ties, anchors=anchors, vehicle=vehicle, rules=rules)


def test_every_finding_of_a_many_sided_plan_can_be_said() -> None:
    asked: tuple[Units | None, ...] = (None, "us", "si")
    for units in asked:
        for finding in assess(many_sided()):
            assert title(finding)
            assert question(finding).endswith("?")
            for row in rows(finding, units=units):
                assert "{" not in row.text
                assert row.figure or row.text


def test_every_step_id_in_the_rules_has_a_sentence() -> None:
    named = set()
    for file in RULES.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text())):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                kinds = r"(required|provided|part|other|note|decides|mend)\.[a-z-]+"
                if re.fullmatch(kinds, node.value):
                    named.add(node.value)
    assert len(named) > 60
    assert named - set(words_of("en").steps) == set()


def test_no_word_to_avoid_is_in_the_sentences() -> None:
    words = words_of("en")
    for table in (words.steps, words.questions, words.titles, words.fields, words.general.SCOPES):
        for text in table.values():
            assert AVOIDED.search(text) is None, text


def test_a_finding_reads_like_a_page_of_a_handbook() -> None:
    finding = found(assess(strapped("16400 lb", ["2733 lb"] * 3)), "us-393.106-aggregate")
    assert finding_lines(finding, 100) == [
        "does not meet   aggregate working load limit: A    us-393.106-aggregate    "
        "49 CFR 393.106(d)",
        "                required  8,200 lb   half of 16,400 lb",
        "                provided  8,199 lb   3 tie-downs over the top, 2,733 lb each, counted in "
        "full:",
        "                          8,199 lb (T1, T2 and T3)",
        "                short by  1 lb",
        "                mend      add 1 tie-down over the top, rated at least 1 lb with its "
        "anchor points",
    ]


def test_no_line_is_wider_than_asked() -> None:
    lines = findings_lines(assess(many_sided()), 80)
    assert max(map(len, lines)) <= 80


def test_a_finding_that_is_not_law_says_so() -> None:
    house = found(assess(strapped("6200 lb", ["3300 lb"])), "house-combined")
    assert "common practice, not law" in finding_lines(house, 100)[-1]


def test_what_is_not_known_and_what_decides_is_said() -> None:
    anchors = [anchor("L-T1", wll=None), anchor("R-T1", wll=None)]
    whole = plan([article(weighs="3100 lb")], [strap()], [tie_down()], anchors=anchors)
    finding = found(assess(whole), "us-393.106-aggregate")
    text = "\n".join(finding_lines(finding))
    assert "between   0 lb and 3,300 lb" in text
    assert "meets if L-T1 and R-T1 each hold at least 1,550 lb" in text
    assert unknown_line(finding) == "the rating (WLL) of L-T1 and R-T1"


def test_what_decides_is_the_part_that_is_not_known() -> None:
    hooks = chain(wll="4000 lb", fittings=(Part(kind="hook"), Part(kind="hook")))
    binder = replace(hooks, tensioner=Part(kind="binder"))
    for gear, told in (
        (hooks, "meets if every end fitting of C-1 holds at least 1,550 lb"),
        (
            binder,
            "meets if the tensioner of C-1 and every end fitting of C-1 each hold at least"
            " 1,550 lb",
        ),
    ):
        whole = plan([article(weighs="3100 lb")], [gear], [tie_down(gear="C-1")])
        finding = found(assess(whole), "us-393.106-aggregate")
        assert decides_line(finding) == told


def test_a_shared_weak_anchor_is_named_in_the_sum() -> None:
    ties = [
        tie_down("T1", gear="S-1", ends=("L1", "R1")),
        tie_down("T2", gear="S-2", ends=("L1", "R2")),
    ]
    whole = plan(
        [article()],
        [strap("S-1"), strap("S-2")],
        ties,
        anchors=[anchor("L1", wll="4000 lb")],
    )
    finding = found(assess(whole), "us-393.106-aggregate")
    assert sum_lines(finding)[1:3] == [
        "2 tie-downs over the top, 2,000 lb each, counted in full: 4,000 lb (T1 and T2)",
        "weakest part is the anchor point (ring): 2,000 lb, 4,000 lb shared equally by 2 tie-down "
        "ends (L1)",
    ]
    house = found(assess(whole), "house-combined")
    assert mend_line(house) == (
        "hook T1 and T2 to anchor points that hold at least 3,300 lb, or add 1 tie-down over the "
        "top, rated at least 2,200 lb with its anchor points"
    )


def test_a_language_without_words_is_refused_with_those_there_are() -> None:
    finding = assess(strapped("6200 lb", []))[0]
    with pytest.raises(NoSuchLanguage, match="there are: en"):
        title(finding, "xx")


def test_what_would_mend_it_is_rounded_up() -> None:
    """Half of 1,000.01 kg is 500.005 kg; 300 kg is there, and 200 kg more would not do."""
    finding = found(assess(strapped("1000.01 kg", ["300 kg"])), "us-393.106-aggregate")
    assert mend_line(finding) == (
        "add 1 tie-down over the top, rated at least 201 kg with its anchor points"
    )
