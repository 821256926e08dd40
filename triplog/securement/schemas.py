"""JSON Schema (draft 2020-12) of the plan file and the findings file, format 1.

A schema says the shape; that ids are unique and references answered only the reader can tell.
"""

from collections.abc import Iterable
from typing import Any

from triplog.securement.cargo_facts import ANSWERS, FACTS, QUESTIONS, Fact, FactKind
from triplog.securement.finding import Basis, Scope, Verdict
from triplog.securement.model import Body, Commodity, Direction, GearKind, MassBasis, Path
from triplog.securement.plan_names import (
    LAYS,
    PLAN_FORMAT,
    RULE_SETS,
    SECTIONS,
    TENSION_BASES,
    TENSIONER_SIDES,
    USES,
    WALL_CODES,
)

FINDINGS_FORMAT = "triplog-findings/1"

Schema = dict[str, Any]

_DRAFT = "https://json-schema.org/draft/2020-12/schema"
_SHA256: Schema = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
_FLAG: Schema = {"type": "boolean"}
_COUNT: Schema = {"type": "integer", "minimum": 0, "maximum": 1000}
_TEXT: Schema = {"type": "string", "pattern": r"\S"}
_DECIMAL_TEXT: Schema = {"type": "string", "pattern": r"^-?[0-9]+(\.[0-9]+)?$"}
_PLAN_DEFS: Schema = {
    "quantity": {
        "description": 'A number and its unit in one text, such as "6200 lb".',
        "type": "string",
        "maxLength": 60,
        "pattern": r"^\s*\.?[0-9].*[^0-9\s.,/]\s*$",
    },
    "across": {
        "description": 'Left or right of the middle: "centre", "left 4 ft", "right 4 ft".',
        "type": "string",
        "pattern": "^(centre|(left|right) .*[0-9].*)$",
    },
    "position": {
        "description": "Back from the deck front, across, optionally the height above the deck.",
        "type": "array",
        "prefixItems": [
            {"$ref": "#/$defs/quantity"},
            {"$ref": "#/$defs/across"},
            {"$ref": "#/$defs/quantity"},
        ],
        "items": False,
        "minItems": 2,
    },
}
_QUANTITY: Schema = {"$ref": "#/$defs/quantity"}
_ACROSS: Schema = {"$ref": "#/$defs/across"}
_POSITION: Schema = {"$ref": "#/$defs/position"}


def schema_plan() -> Schema:
    """The schema of a plan document: what TOML or JSON says, and a bundle's plan files."""
    return {
        "$schema": _DRAFT,
        "title": "Plan of a load and its tie-downs, format 1",
        "$defs": _PLAN_DEFS,
        **_table(
            {
                "format": {"const": PLAN_FORMAT},
                "rules": {**_list(_word(RULE_SETS)), "minItems": 1, "uniqueItems": True},
                "vehicle": _vehicle(),
                "anchor": _list(_anchor()),
                "gear": _list(_gear()),
                "article": _list(_article()),
                "tie_down": _list(_tie_down()),
                "assumptions": _table(
                    {
                        "gravity_m_s2": _number(9, 10),
                        "vertical_factor": _number(0, 10),
                        "friction_divided_by": _number(1, 10),
                        "face_friction": _number(0, 10),
                        "transmission_k": _number(1, 2),
                    }
                ),
            },
            needed=("format",),
        ),
    }


def _vehicle() -> Schema:
    structure = _table({"height": _QUANTITY, "width": _QUANTITY, "rated": _QUANTITY})
    return _table(
        {
            "name": _TEXT,
            "gross_mass": _QUANTITY,
            "use": _word(USES),
            "deck_length": _QUANTITY,
            "deck_width": _QUANTITY,
            "deck_height": _QUANTITY,
            "deck_surface": _TEXT,
            "front_structure": {"anyOf": [{"const": "none"}, structure]},
            "body": _word(Body),
            "payload": _QUANTITY,
            "registered_in": {"type": "string", "pattern": "^[A-Z]{2}(-[A-Z0-9]{1,3})?$"},
            "walls": _table(dict.fromkeys(("front", "sides", "rear"), _word(WALL_CODES))),
        }
    )


def _anchor() -> Schema:
    return _table(
        {
            "id": _TEXT,
            "at": _POSITION,
            "kind": _TEXT,
            "opening": _QUANTITY,
            "accepts": _list(_TEXT),
            "wll": _QUANTITY,
            "breaking": _QUANTITY,
        },
        needed=("id",),
    )


def _gear() -> Schema:
    part = _table({"kind": _TEXT, "wll": _QUANTITY, "breaking": _QUANTITY})
    measured = (
        "width", "size", "thickness", "length", "wll", "breaking", "lc", "stf", "shf", "mass",
    )  # fmt: skip
    return _table(
        {
            "id": _TEXT,
            "kind": _word(GearKind),
            **dict.fromkeys(measured, _QUANTITY),
            "grade": _TEXT,
            "material": _TEXT,
            "tracer_lines": _COUNT,
            "fittings": _list(part),
            "tensioner": part,
            "damage": _list(_table({"kind": _TEXT, "size": _QUANTITY}, needed=("kind",))),
            "friction": _number(0, 10),
        },
        needed=("id", "kind"),
    )


def _article() -> Schema:
    flags = ("wet", "sharp_edges", "rolls", "contained", "stands_unaided")
    return _table(
        {
            "id": _TEXT,
            "what": _TEXT,
            "commodity": _word(Commodity),
            "section": _word(SECTIONS),
            "mass": _QUANTITY,
            "mass_basis": _word(MassBasis),
            "length": _QUANTITY,
            "width": _QUANTITY,
            "height": _QUANTITY,
            "at": _POSITION,
            "cog": _table(
                {"back": _QUANTITY, "across": _ACROSS, "up": _QUANTITY},
                needed=("back", "across", "up"),
            ),
            "on": _TEXT,
            "friction": _number(0, 10),
            "surfaces": {**_list(_TEXT), "minItems": 2, "maxItems": 2},
            "mat": _TEXT,
            "blocked": _blocked(),
            **dict.fromkeys(flags, _FLAG),
            "together": _TEXT,
            "facts": _table({fact.name: _fact(fact) for fact in FACTS}),
            "answers": _table({question.id: _word(ANSWERS) for question in QUESTIONS}),
        },
        needed=("id",),
    )


def _fact(fact: Fact) -> Schema:
    if fact.kind is FactKind.COUNT:
        return _COUNT
    if fact.kind is FactKind.YES_NO:
        return _FLAG
    return _word(fact.words) if fact.kind is FactKind.WORD else _QUANTITY


def _blocked() -> Schema:
    fields: Schema = {}
    needs: dict[str, list[str]] = {}
    for direction in Direction:
        fields[direction.value] = _TEXT
        for what in ("rated", "up"):
            fields[f"{direction}_{what}"] = _QUANTITY
            needs[f"{direction}_{what}"] = [direction.value]
    return {**_table(fields), "dependentRequired": needs}


def _tie_down() -> Schema:
    return _table(
        {
            "id": _TEXT,
            "holds": {**_list(_TEXT), "minItems": 1},
            "path": _word(Path),
            "gear": _TEXT,
            "from": _TEXT,
            "to": _TEXT,
            "touches": _list(_POSITION),
            "tension": _QUANTITY,
            "tension_basis": _word(TENSION_BASES),
            "tensioner_side": _word(TENSIONER_SIDES),
            "far_side_share": _number(0, 1),
            "edge_protection": _table({"needed": _COUNT, "fitted": _COUNT}),
            "knots": _FLAG,
            "lay": _word(LAYS),
            "through_eye": _FLAG,
            "retained": _QUANTITY,
        },
        needed=("id", "holds"),
    )


def schema_findings() -> Schema:
    """The schema of a findings document; a reader passes over names it does not know."""
    return {
        "$schema": _DRAFT,
        "title": "Findings about a plan, format 1",
        **_open_table(
            {
                "format": {"const": FINDINGS_FORMAT},
                "plan_sha256": _SHA256,
                "program": _TEXT,
                "language": _TEXT,
                "rule_sets": _list(
                    _open_table({"id": _TEXT, "edition": _TEXT, "tables_sha256": _SHA256}, ("id",))
                ),
                "worst": _or_null(
                    _open_table(
                        {"verdict": _word(Verdict), "rule": _TEXT, "about": _list(_TEXT)},
                        ("verdict", "rule", "about"),
                    )
                ),
                "findings": _list(_finding()),
                "envelope": _list(_envelope()),
            },
            ("format", "plan_sha256", "program", "rule_sets", "worst", "findings"),
        ),
    }


def _finding() -> Schema:
    measure = _open_table(
        {"value": _DECIMAL_TEXT, "unit": _TEXT, "si": _DECIMAL_TEXT, "si_unit": _TEXT},
        ("value", "unit"),
    )
    citation = _open_table(
        {
            "source": _TEXT,
            "clause": {"type": "string"},
            "edition": {"type": "string"},
            "how_sure": _word(("read", "second-hand", "memory", "no source")),
        },
        ("source", "clause", "edition", "how_sure"),
    )
    value: Schema = {"type": ["string", "null"]}
    return _open_table(
        {
            "rule": _TEXT,
            "rule_set": _TEXT,
            "about": {**_list(_TEXT), "minItems": 1},
            "question": _TEXT,
            "verdict": _word(Verdict),
            "required": _or_null(measure),
            "provided": _or_null(measure),
            "margin": _or_null(measure),
            "citation": citation,
            "scope": _word(Scope),
            "inputs": _list(
                _open_table(
                    {
                        "name": _TEXT,
                        "about": _TEXT,
                        "value": value,
                        "basis": _word(Basis),
                        "citation": citation,
                    },
                    ("name", "value", "basis"),
                )
            ),
            "sum": _list({"type": "string"}),
            "unknown": _list(_TEXT),
            "range": _or_null(_open_table({"decides": _TEXT}, ("worst", "best", "decides"))),
            "mend": _or_null({"type": "string"}),
        },
        ("rule", "rule_set", "about", "verdict", "citation", "scope", "unknown"),
    )


def _envelope() -> Schema:
    number = _or_null({"anyOf": [{"type": "number"}, _DECIMAL_TEXT]})
    return _open_table(
        {
            "about": {**_list(_TEXT), "minItems": 1},
            "direction": _word(Direction),
            "required_g": number,
            "withstands_g": number,
            "limited_by": _TEXT,
            "filtered_g": number,
            "elastic_g": number,
            "plain_limit_g": number,
            "mode": _or_null(_word(("slide", "tip", "yaw", "lift"))),
            "governing": _list({"type": "object"}),
            "movement_mm": number,
            "polar": _list({**_list(number), "minItems": 2, "maxItems": 2}),
        },
        ("about",),
    )


def _table(fields: Schema, *, needed: Iterable[str] = ()) -> Schema:
    """A table that holds no other names."""
    return {**_open_table(fields, needed), "additionalProperties": False}


def _open_table(fields: Schema, needed: Iterable[str] = ()) -> Schema:
    return {"type": "object", "properties": fields, "required": list(needed)}


def _list(item: Schema) -> Schema:
    return {"type": "array", "items": item}


def _word(words: Iterable[str]) -> Schema:
    return {"enum": [str(word) for word in words]}


def _or_null(schema: Schema) -> Schema:
    return {"anyOf": [{"type": "null"}, schema]}


def _number(least: int, most: int) -> Schema:
    """A pure number, or the same as a decimal text."""
    return {"anyOf": [{"type": "number", "minimum": least, "maximum": most}, _DECIMAL_TEXT]}
