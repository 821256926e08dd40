"""The rule set as a whole: its order, what it says once, and plans that are all wrong."""

from hypothesis import given, settings

from tests.properties.test_geometry_properties import over_crates
from tests.securement.fit_plans import crate, judged, over, steps
from triplog.securement.assess import assess, rule_sets_used
from triplog.securement.finding import Verdict
from triplog.securement.model import Plan
from triplog.wording.handbook import findings_lines

ORDER = ["fit-hook", "fit-length", "fit-mixing", "fit-anchor-shared", "fit-angle", "fit-stands"]


def test_a_plan_of_which_all_is_told_meets_in_a_fixed_order() -> None:
    findings = judged()
    assert list(dict.fromkeys(one.rule for one in findings)) == ORDER
    assert {one.verdict for one in findings} == {Verdict.MEETS}


def test_not_for_lifting_is_said_once() -> None:
    said = [one.rule for one in judged() if "note.fit-no-lifting" in steps(one)]
    assert said == ["fit-stands"]


def test_a_plan_without_tie_downs_is_asked_whether_it_stands() -> None:
    assert [one.rule for one in judged(ties=[])] == ["fit-stands"]


def test_a_bare_plan_takes_few_lines_however_many_straps_it_has() -> None:
    """Nothing is told of 20 straps: what is not known is grouped, not said 20 times."""
    ties = [over(f"T{number}", None, ends=(None, None)) for number in range(20)]
    findings = judged([crate(at=None, height=None)], ties=ties)
    open_ones = [one for one in findings if one.verdict is Verdict.CANNOT_TELL]
    assert len(open_ones) <= 3
    assert len(findings_lines(open_ones)) <= 30


def test_its_digest_covers_its_table() -> None:
    (used,) = rule_sets_used(Plan(rules=("fit",)))
    assert len(used.tables_sha256) == 64


@given(whole=over_crates())
@settings(max_examples=100)
def test_whatever_stands_where_the_rules_answer(whole: Plan) -> None:
    """Straps through articles, on one point, from under or above them: a finding, no error."""
    findings = assess(Plan(rules=("fit",), anchors=whole.anchors, articles=whole.articles,
                           tie_downs=whole.tie_downs))  # fmt: skip
    assert findings_lines(findings)
