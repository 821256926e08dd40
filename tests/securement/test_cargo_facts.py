"""Facts and questions of the commodity sections: the rows, their description, their words."""

import re
from pathlib import Path

import triplog.securement
from triplog.securement.cargo_facts import FACTS, QUESTIONS, FactKind
from triplog.securement.plan_names import SECTIONS
from triplog.wording.languages import words_of

PLAN_MD = (Path(triplog.securement.__file__).parent / "PLAN.md").read_text("utf-8")


def table_under(head: str) -> dict[str, list[str]]:
    """The cells of each row of the PLAN.md table with that head, by the name in its first cell."""
    rows = PLAN_MD.split(head)[1].split("\n\n")[0].strip().splitlines()[1:]
    cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in rows]
    return {row[0].strip("`"): row[1:] for row in cells}


def test_every_fact_is_described_with_the_sections_that_ask_for_it() -> None:
    described = table_under("| fact | value | asked by |")
    assert list(described) == [fact.name for fact in FACTS]
    for fact in FACTS:
        value, sections = described[fact.name]
        assert sections.split(", ") == list(fact.sections)
        assert set(fact.sections) <= set(SECTIONS)
        if fact.kind is FactKind.WORD:
            assert re.findall("`([^`]+)`", value) == list(fact.words)


def test_every_question_is_described_in_the_words_a_person_reads() -> None:
    described = table_under("| question | asked by | in words |")
    asked = words_of("en").asked
    assert described == {one.id: [one.clause, asked[one.id]] for one in QUESTIONS}
    assert set(asked) == {one.id for one in QUESTIONS}


def test_a_question_begins_with_the_number_of_the_section_it_cites() -> None:
    for one in QUESTIONS:
        section = f"393.{one.id[:3]}" if one.id[0].isdigit() else "NSC Standard 10"
        assert one.clause.startswith(section), one.id


def test_a_missing_fact_is_named_in_words() -> None:
    fields = words_of("en").fields
    assert {f"facts.{fact.name}" for fact in FACTS} - set(fields) == set()
