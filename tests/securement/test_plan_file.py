"""Plan format 1: what is read, what is refused and how the refusal names the field."""

import json
import re
import tomllib
from decimal import Decimal
from fractions import Fraction
from importlib.resources import files
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from tests.securement.plan_documents import (
    BAD_MEANINGS,
    BAD_SHAPES,
    WHOLE_PLAN_TOML,
    changed,
)
from triplog.securement.model import Direction, FrontStructure, PlanRefused, Position
from triplog.securement.plan_file import (
    PLAN_BYTES_MAX,
    journal_document,
    read_plan,
)
from triplog.securement.plan_names import NAMES, RULE_SETS
from triplog.securement.plan_read import plan_from_document

WHOLE = WHOLE_PLAN_TOML.encode()
DOCUMENT: dict[str, Any] = read_plan(WHOLE, "plan.toml").document
FOOT_M = Fraction("0.3048")
FACTS_AND_QUESTIONS = NAMES["article.facts"] | NAMES["article.answers"]
ORDINARY_NAMES = set().union(*NAMES.values()) - FACTS_AND_QUESTIONS
HEAD = 'format = "triplog-plan/1"\n'


def refused(data: bytes | str, name: str = "plan.toml") -> PlanRefused:
    with pytest.raises(PlanRefused) as caught:
        read_plan(data.encode() if isinstance(data, str) else data, name)
    assert str(caught.value).startswith(f"{caught.value.where}: ")
    return caught.value


def names_used(document: object) -> set[str]:
    """The names of all the tables of a document."""
    if isinstance(document, dict):
        return set(document).union(*(names_used(item) for item in document.values()))
    if isinstance(document, list):
        return set().union(*(names_used(item) for item in document))
    return set()


def test_every_name_of_the_format_stands_in_the_whole_plan() -> None:
    assert names_used(DOCUMENT) - FACTS_AND_QUESTIONS == ORDINARY_NAMES


def test_what_is_written_is_what_is_read() -> None:
    plan = read_plan(WHOLE, "plan.toml").plan
    assert plan.rules == ("us-393", "house")
    structure = plan.vehicle.front_structure
    assert isinstance(structure, FrontStructure)
    assert structure.rated is not None and structure.rated.typed == "20000 lb"
    anchor = plan.anchor("L3")
    assert anchor is not None
    assert anchor.at == Position(
        from_front_m=6 * FOOT_M, left_m=4 * FOOT_M, up_m=Fraction("0.0508")
    )
    gear = plan.gear_item("S-1")
    assert gear is not None and gear.fittings is not None and gear.damage is not None
    assert [part.wll and part.wll.typed for part in gear.fittings] == ["3300 lb", None]
    assert gear.damage[0].size is not None and gear.damage[0].size.typed == "3/16 in"
    article = plan.articles[0]
    assert article.friction == Decimal("0.4")
    assert article.cog is not None and article.cog.left_m == Fraction("-0.0508")
    assert article.blocked[Direction.REARWARD].by == "nothing"
    forward = article.blocked[Direction.FORWARD].rated
    assert forward is not None and forward.si == 40_000
    tie_down = plan.tie_downs[0]
    assert (tie_down.from_anchor, tie_down.to) == ("L3", "R3")
    assert tie_down.touches is not None
    assert [touch.left_m for touch in tie_down.touches] == [3 * FOOT_M, -3 * FOOT_M]
    assert plan.assumptions.gravity_m_s2 == Decimal("9.81")


def test_what_is_absent_is_unknown_and_never_a_default() -> None:
    text = HEAD + '[[gear]]\nid = "S"\nkind = "chain"\n[[article]]\nid = "A"\n'
    plan = read_plan(text.encode(), "plan.toml").plan
    assert plan.rules == ("us-393", "house")
    assert plan.vehicle.gross_mass is None and plan.vehicle.front_structure is None
    gear, article = plan.gear[0], plan.articles[0]
    assert gear.wll is None and gear.damage is None and gear.fittings is None
    assert article.mass is None and article.rolls is None and article.at is None
    assert dict(article.blocked) == {}


def test_an_empty_list_says_that_there_is_none() -> None:
    text = HEAD + '[[gear]]\nid = "S"\nkind = "chain"\ndamage = []\nfittings = []\n'
    gear = read_plan(text.encode(), "plan.toml").plan.gear[0]
    assert gear.damage == () and gear.fittings == ()


def test_no_front_structure_is_an_answer() -> None:
    plan = read_plan((HEAD + '[vehicle]\nfront_structure = "none"\n').encode(), "p.toml").plan
    assert plan.vehicle.front_structure == "none"


def test_a_place_across_is_left_right_or_centre() -> None:
    for across, left_m in (("centre", 0), ("left 2 m", 2), ("right 2 m", -2), ("left 0 m", 0)):
        text = HEAD + f'[[anchor]]\nid = "L"\nat = ["0 ft", "{across}"]\n'
        at = read_plan(text.encode(), "plan.toml").plan.anchors[0].at
        assert at == Position(from_front_m=Fraction(0), left_m=Fraction(left_m))


@pytest.mark.parametrize("rule_set", RULE_SETS)
def test_each_known_rule_set_may_be_asked_for(rule_set: str) -> None:
    assert plan_from_document({"format": "triplog-plan/1", "rules": [rule_set]}).rules == (
        rule_set,
    )


@pytest.mark.parametrize(("path", "value", "where"), BAD_SHAPES + BAD_MEANINGS)
def test_each_spoilt_plan_is_refused_by_the_name_of_its_field(
    path: tuple[str | int, ...], value: Any, where: str
) -> None:
    with pytest.raises(PlanRefused) as caught:
        plan_from_document(changed(DOCUMENT, path, value))
    assert caught.value.where == where


def test_a_misspelt_name_is_answered_with_the_nearest() -> None:
    text = HEAD + '[[article]]\nid = "A"\n' + '[[tie_down]]\nid = "T"\nholds = ["A"]\n' * 1
    text += '[[tie_down]]\nid = "T2"\nholds = ["A"]\ngaer = "S-1"\n'
    assert str(refused(text)) == "tie_down[1].gaer: there is no such name; did you mean gear?"


def test_a_number_without_a_unit_is_told_what_to_write() -> None:
    sentence = str(refused(HEAD + '[[article]]\nid = "A"\nmass = 6200\n'))
    assert sentence.startswith("article[0].mass: a number alone has no unit")
    assert "8200 lb" in sentence


def test_zero_is_told_apart_from_not_known() -> None:
    sentence = str(refused(HEAD + '[[article]]\nid = "A"\nmass = "0 lb"\n'))
    assert "must be above zero" in sentence and "not known" in sentence


@pytest.mark.parametrize(
    "friction",
    ["nan", "inf", "1e999999999", "-0.1", "0x" + "F" * 100_000, "1979-05-27", '"1e1"', '"٤"'],
)
def test_a_friction_that_is_no_short_number_is_refused(friction: str) -> None:
    text = HEAD + f'[[article]]\nid = "A"\nfriction = {friction}\n'
    assert refused(text).where == "article[0].friction"


def test_a_binary_fraction_handed_over_in_a_document_is_refused() -> None:
    with pytest.raises(PlanRefused, match="not exact"):
        plan_from_document(changed(DOCUMENT, ("article", 0, "friction"), 0.4))


def test_toml_and_json_of_the_same_names_are_the_same_plan() -> None:
    as_json = json.dumps(journal_document(DOCUMENT)).encode()
    expected = read_plan(WHOLE, "plan.toml").plan
    assert read_plan(as_json, "plan.json").plan == expected
    assert read_plan(b"\n " + as_json, "no suffix").plan == expected


def test_json_numbers_are_read_exactly() -> None:
    text = (
        '{"format": "triplog-plan/1", "article": [{"id": "A", "friction": 0.1000000000000000001}]}'
    )
    plan = read_plan(text.encode(), "plan.json").plan
    assert plan.articles[0].friction == Decimal("0.1000000000000000001")


def test_the_digest_is_of_the_bytes_and_a_byte_order_mark_is_read_over() -> None:
    plain, marked = read_plan(WHOLE, "p"), read_plan(b"\xef\xbb\xbf" + WHOLE, "p")
    assert plain.plan == marked.plan
    assert plain.sha256 != marked.sha256


def test_lines_may_end_as_on_any_machine() -> None:
    assert read_plan(WHOLE.replace(b"\n", b"\r\n"), "p").plan == read_plan(WHOLE, "p").plan


def test_the_journal_form_is_canonical_json_and_reads_back_to_the_same_plan() -> None:
    document = journal_document(DOCUMENT)
    text = json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert text.encode() == rfc8785.dumps(document)
    assert document["article"][0]["friction"] == "0.4"
    assert document["assumptions"]["vertical_factor"] == "1.0"
    assert document["tie_down"][0]["edge_protection"] == {"needed": 2, "fitted": 1}
    assert read_plan(text.encode(), "plan.json").plan == read_plan(WHOLE, "plan.toml").plan


@given(st.decimals(min_value=0, max_value=10, allow_nan=False, places=None))
def test_every_fraction_that_is_read_comes_back_from_the_journal(friction: Decimal) -> None:
    document = changed(DOCUMENT, ("article", 0, "friction"), friction)
    try:
        plan = plan_from_document(document)
    except PlanRefused as refusal:
        assert refusal.where == "article[0].friction"
        return
    written = journal_document(document)
    assert isinstance(written["article"][0]["friction"], str)
    assert plan_from_document(written) == plan
    assert journal_document(written) == written


@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
def test_no_bytes_do_anything_but_read_or_be_refused(data: bytes) -> None:
    for name in ("plan.toml", "plan.json"):
        with pytest.raises(PlanRefused):
            read_plan(data, name)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=8,
)


@given(st.sampled_from(sorted(NAMES[""])), JSON)
def test_no_value_anywhere_does_anything_but_read_or_be_refused(name: str, value: Any) -> None:
    document = {"format": "triplog-plan/1"} | {name: value}
    try:
        plan_from_document(document)
    except PlanRefused as refusal:
        assert refusal.where.split(".")[0].split("[")[0] == name


@pytest.mark.parametrize(
    ("text", "where"),
    [
        (HEAD + "[vehicle]\nname = flatbed\n", "plan.toml, line 3"),
        (HEAD + "rules = [", "plan.toml, line 2"),
        (HEAD + '[vehicle]\nname = "a"\nname = "b"\n', "plan.toml, line 4"),
        ('{"format": "triplog-plan/1",\n "rules": [,]}', "plan.toml, line 2"),
        ('{\n\n"format"', "plan.toml, line 3"),
    ],
)
def test_text_that_cannot_be_read_is_refused_by_its_line(text: str, where: str) -> None:
    assert refused(text).where == where


def test_text_that_is_not_utf_8_is_refused_by_its_line() -> None:
    refusal = refused(HEAD.encode() + b'[vehicle]\nname = "caf\xe9"\n')
    assert refusal.where == "plan.toml, line 3" and "UTF-8" in str(refusal)


def test_a_name_given_twice_in_json_is_refused() -> None:
    text = '{"format": "triplog-plan/1", "article": [{"id": "A", "mass": "1 t", "mass": "2 t"}]}'
    assert '"mass" is given twice' in str(refused(text, "plan.json"))


@pytest.mark.parametrize("constant", ["NaN", "Infinity", "-Infinity"])
def test_json_that_is_no_number_is_refused(constant: str) -> None:
    text = f'{{"format": "triplog-plan/1", "rules": {constant}}}'
    assert constant in str(refused(text, "plan.json"))


@pytest.mark.parametrize("text", ["[]", '"plan"', "3", "null"])
def test_json_that_is_no_object_is_refused(text: str) -> None:
    assert "one JSON object" in str(refused(text, "plan.json"))


@pytest.mark.parametrize("name", ["plan.toml", "plan.json"])
def test_a_number_of_too_many_digits_is_refused(name: str) -> None:
    digits = "1" * 5000
    text = f'{{"rules": {digits}}}' if name == "plan.json" else f"rules = {digits}\n"
    assert "cannot be read" in str(refused(text, name)) or "digits" in str(refused(text, name))


def test_a_file_of_fifty_megabytes_is_refused_in_a_sentence() -> None:
    refusal = refused(b" " * 50_000_000)
    assert str(refusal) == "plan.toml: 50,000,000 bytes are no plan file; the most is 1,000,000"
    read_plan(HEAD.encode() + b"#" * (PLAN_BYTES_MAX - len(HEAD)), "plan.toml")


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("plan.json", '{"rules":' * 10_000),
        ("plan.json", "[" * 10_000),
        ("plan.toml", "rules = " + "[" * 10_000 + "]" * 10_000),
        ("plan.toml", "a" + ".a" * 10_000 + " = 1\n"),
        ("plan.toml", "[a" + ".a" * 10_000 + "]\n"),
        ("plan.toml", ("a" + ".a" * 200 + " = 1\n") * 10),
    ],
)
def test_ten_thousand_levels_are_refused_in_a_sentence(name: str, text: str) -> None:
    assert "nested far deeper" in str(refused(text, name))


def test_the_reader_of_toml_says_where_it_stopped_as_we_expect() -> None:
    with pytest.raises(tomllib.TOMLDecodeError, match=r"\(at line 2, column \d+\)$"):
        tomllib.loads("a = 1\nb = =\n")
    with pytest.raises(tomllib.TOMLDecodeError, match=r"\(at end of document\)$"):
        tomllib.loads("a = ")


def test_the_description_shows_a_plan_that_reads_and_names_every_name() -> None:
    text = (files("triplog.securement") / "PLAN.md").read_text(encoding="utf-8")
    example = text.split("```toml\n")[1].split("```")[0]
    plan = read_plan(example.encode(), "example.toml").plan
    assert [tie_down.gear for tie_down in plan.tie_downs] == ["S-1", "S-2"]
    described = set(re.findall(r"[a-z][a-z0-9_]*", text))
    described |= set(re.findall(r"`((?:[0-9]{3}|ca-[0-9]+)-[a-z-]+)`", text))
    blocking = {f"{direction}_{what}" for direction in Direction for what in ("rated", "up")}
    assert set().union(*NAMES.values()) - blocking <= described
    assert {f"`{rule_set}`" in text for rule_set in RULE_SETS} == {True}


def test_nothing_that_holds_a_force_contradicts_itself() -> None:
    told = WHOLE_PLAN_TOML.replace('rearward_rated = "0 kN"', 'rearward_rated = "4 kN"')
    problem = refused(told)
    assert problem.where == "article[0].blocked.rearward_rated"
    assert "say what blocks rearward" in str(problem)
