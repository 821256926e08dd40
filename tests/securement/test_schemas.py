"""The schemas accept what the reader accepts, and see every wrong shape."""

import json
from decimal import Decimal
from importlib.resources import files
from typing import Any

import jsonschema
import pytest

from tests.securement.plan_documents import (
    BAD_MEANINGS,
    BAD_SHAPES,
    WHOLE_PLAN_TOML,
    changed,
)
from triplog.securement.assess import assess, rule_sets_used
from triplog.securement.plan_file import journal_document, read_plan
from triplog.securement.plan_names import NAMES
from triplog.securement.schemas import schema_findings, schema_plan
from triplog.wording.document import findings_document

PLAN_FILE = read_plan(WHOLE_PLAN_TOML.encode(), "plan.toml")
PLAN = jsonschema.Draft202012Validator(schema_plan())
FINDINGS = jsonschema.Draft202012Validator(schema_findings())
FINDINGS_DOCUMENT: dict[str, Any] = findings_document(
    assess(PLAN_FILE.plan), PLAN_FILE.sha256, "triplog 0", rule_sets_used(PLAN_FILE.plan)
)


def as_json(document: object) -> Any:
    """The document as a reader of JSON sees it, fractions as plain numbers."""
    return json.loads(
        json.dumps(document, default=lambda one: float(one) if isinstance(one, Decimal) else one)
    )


def test_both_schemas_are_schemas() -> None:
    jsonschema.Draft202012Validator.check_schema(schema_plan())
    jsonschema.Draft202012Validator.check_schema(schema_findings())
    assert json.loads(json.dumps(schema_plan())) == schema_plan()
    assert json.loads(json.dumps(schema_findings())) == schema_findings()


def test_the_whole_plan_is_valid_as_written_and_as_the_journal_keeps_it() -> None:
    PLAN.validate(as_json(PLAN_FILE.document))
    PLAN.validate(journal_document(PLAN_FILE.document))


def test_the_least_plan_is_valid() -> None:
    PLAN.validate({"format": "triplog-plan/1"})


@pytest.mark.parametrize(("path", "value", "where"), BAD_SHAPES)
def test_each_wrong_shape_is_invalid(path: tuple[str | int, ...], value: Any, where: str) -> None:
    assert not PLAN.is_valid(as_json(changed(PLAN_FILE.document, path, value))), where


@pytest.mark.parametrize(("path", "value", "where"), BAD_MEANINGS)
def test_a_wrong_meaning_in_the_right_shape_is_left_to_the_reader(
    path: tuple[str | int, ...], value: Any, where: str
) -> None:
    assert PLAN.is_valid(as_json(changed(PLAN_FILE.document, path, value))), where


def names_by_table(schema: dict[str, Any], where: str) -> dict[str, set[str]]:
    """The names each closed table of a schema may hold, by where the table stands."""
    found: dict[str, set[str]] = {}
    if schema.get("additionalProperties") is False:
        found[where] = set(schema["properties"])
    for name, inner in schema.get("properties", {}).items():
        found |= names_by_table(inner, f"{where}.{name}" if where else name)
    for inner in (*schema.get("anyOf", ()), schema.get("items")):
        if isinstance(inner, dict):
            found |= names_by_table(inner, where)
    return found


def test_the_schema_and_the_reader_know_the_same_names() -> None:
    assert names_by_table(schema_plan(), "") == {
        where: set(names) for where, names in NAMES.items()
    }


def test_the_findings_of_a_plan_are_valid() -> None:
    assert FINDINGS_DOCUMENT["findings"]
    FINDINGS.validate(as_json(FINDINGS_DOCUMENT))


def test_an_envelope_as_the_format_shows_it_is_valid() -> None:
    envelope = {
        "about": ["A"],
        "direction": "forward",
        "required_g": 0.8,
        "withstands_g": 0.62,
        "limited_by": "filtered",
        "filtered_g": 0.62,
        "elastic_g": 0.71,
        "plain_limit_g": 0.66,
        "mode": "slide",
        "governing": [{"tie_down": "T1", "part": "anchor L3"}, {"face": "deck"}],
        "movement_mm": 12,
    }
    FINDINGS.validate(as_json({**FINDINGS_DOCUMENT, "envelope": [envelope]}))


def test_names_that_a_later_version_adds_are_passed_over() -> None:
    FINDINGS.validate(as_json({**FINDINGS_DOCUMENT, "added_later": {"any": "thing"}}))


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("format",), "triplog-findings/2"),
        (("format",), None),
        (("plan_sha256",), "ABC"),
        (("rule_sets",), None),
        (("worst", "verdict"), "passes"),
        (("findings", 0, "rule"), None),
        (("findings", 0, "about"), []),
        (("findings", 0, "verdict"), "meets the law"),
        (("findings", 0, "scope"), "rule of thumb"),
        (("findings", 0, "citation", "how_sure"), "certain"),
        (("findings", 0, "unknown"), "nothing"),
        (("findings", 0, "required"), {"value": 3100, "unit": "lb"}),
        (("findings", 0, "margin"), {"value": "3,100", "unit": "lb"}),
        (("findings", 0, "range"), {"worst": None}),
    ],
)
def test_findings_of_a_wrong_shape_are_invalid(path: tuple[str | int, ...], value: Any) -> None:
    assert not FINDINGS.is_valid(as_json(changed(FINDINGS_DOCUMENT, path, value)))


def test_the_findings_shown_in_the_description_are_those_of_its_plan() -> None:
    text = (files("triplog.securement") / "PLAN.md").read_text(encoding="utf-8")
    shown = json.loads(text.split("```json\n")[1].split("```")[0])
    FINDINGS.validate(shown)
    plan_file = read_plan(text.split("```toml\n")[1].split("```")[0].encode(), "plan.toml")
    judged = findings_document(
        assess(plan_file.plan),
        plan_file.sha256,
        shown["program"],
        rule_sets_used(plan_file.plan),
        shown["language"],
    )
    assert judged["plan_sha256"] == shown["plan_sha256"]
    assert judged["rule_sets"] == shown["rule_sets"]
    assert judged["worst"] == shown["worst"]
    assert shown["findings"][0] in judged["findings"]
