"""A finding in full, as on paper: nothing of what was judged is left out."""

from typing import Any, cast

from tests.securement.plans import strapped
from triplog.securement.assess import assess, rule_sets_used
from triplog.wording.document import findings_document
from triplog.wording.explained import explained_lines


def explained(mass: str, ratings: list[str | None], rule: str) -> list[str]:
    plan = strapped(mass, ratings)
    document = findings_document(assess(plan), "0" * 64, "test", rule_sets_used(plan))
    findings = cast(list[dict[str, Any]], document["findings"])
    return explained_lines(next(one for one in findings if one["rule"] == rule))


def test_the_sum_can_be_followed_with_pencil_and_paper() -> None:
    lines = explained("6200 lb", ["3300 lb", None], "us-393.106-aggregate")
    assert lines[0] == "meets           us-393.106-aggregate: A    us-393"
    told = [" ".join(line.split()) for line in lines[1:]]
    for line in (
        "asked Do the tie-downs on A add up to at least half the weight?",
        "clause 49 CFR 393.106(d); edition: text of late 2021 or later; read in the source",
        "T1: path over (stated)",
        "S-1: body rating 3300 lb (marked)",
        "sum required 3,100 lb: half of 6,200 lb",
        "1 tie-down over the top, 3,300 lb, counted in full (T1)",
        "S-2: no rating marked, counted by the table (webbing 2 in)",
        "to spare 2,200 lb",
    ):
        assert line in told
    table = "S-2: body rating 2000 lb (default table: 49 CFR 393.108 table, synthetic"
    assert told[told.index(table) + 1] == ("webbing, from a second source: compare with the text)")


def test_a_rule_of_practice_says_that_it_has_no_source() -> None:
    lines = explained("6200 lb", ["3300 lb"], "house-combined")
    assert "                clause    common practice; no published source" in lines
    assert "                standing  common practice, not law" in lines
    assert any("mend" in line for line in lines)


def test_what_is_not_known_is_told_in_words_and_not_by_its_field() -> None:
    lines = explained("6200 lb", [None], "us-393.102-down")
    unknown = " ".join(" ".join(line.split()) for line in lines)
    assert "not known the tension of T1" in unknown
    assert "the angle of the legs of T1" in unknown


def test_a_field_without_words_is_told_as_it_stands() -> None:
    plan = strapped("6200 lb", ["3300 lb"])
    document = findings_document(assess(plan), "0" * 64, "test", rule_sets_used(plan))
    first = cast(list[dict[str, Any]], document["findings"])[0]
    told = " ".join(explained_lines({**first, "unknown": ["A some new field"]}))
    assert "not known some new field" in told
