"""Directive 2014/47/EU, Annex III: deficiencies of cargo securing, as remembered and not used.

Source: `data/eu_annex3_from_memory.csv`, from memory; rows 10.1 to 10.4 as a Flemish list of fines
puts them. Every copy of the annex that was found ends before the rows with two thirds of the force,
so *below two thirds is dangerous* is told to nobody as the law of the Union: our verdicts stay
*meets*, *does not meet* and *cannot tell*, with the margin beside them.
"""

import re

import pytest

from tests.published.tables import rows_of
from tests.securement.en_plans import crate, en_plan, judged, spread
from tests.securement.plans import value_of
from triplog.securement.finding import Verdict
from triplog.wording.languages import words_of

ROWS = rows_of("eu_annex3_from_memory")
CLASSES = ("minor", "major", "dangerous")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["item"])
def test_a_remembered_deficiency_says_that_it_is_remembered(row: dict[str, str]) -> None:
    read = "V2 (Flemish fine list)"
    assert row["flag"] == (read if row["item"] == "10.1-10.4" else "M")
    assert any(row[one] for one in CLASSES)


@pytest.mark.parametrize("item", ["20.1.5", "20.2.1"])
def test_far_below_two_thirds_is_the_verdict_of_a_hair_below_what_is_asked(item: str) -> None:
    """Directive 2014/47/EU, Annex III 20.1.5 and 20.2.1, from memory: not a step of ours."""
    (row,) = [one for one in ROWS if one["item"] == item]
    assert "two thirds" in row["dangerous"]
    far, near = (judged(en_plan(crate(), spread(number)), "slide", "forward") for number in (2, 14))
    shares = [value_of(one.provided) / value_of(one.required) for one in (far, near)]
    assert shares[0] < 2 / 3 < shares[1] < 1
    assert far.verdict is near.verdict is Verdict.DOES_NOT_MEET
    assert {step.id for step in far.steps} == {step.id for step in near.steps}


def test_no_sentence_of_ours_names_a_class_of_that_annex() -> None:
    english = words_of("en")
    said = " ".join(
        (*english.titles.values(), *english.steps.values(), *english.questions.values())
    )
    assert re.search(r"two thirds of what|deficien|\bdangerous\b", said) is None
