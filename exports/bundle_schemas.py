"""JSON Schema (draft 2020-12) of the JSON files that every bundle holds.

A schema says the shape. Order, links and fingerprints only a checker can tell; FORMAT.md has both.
"""

from typing import Any

Schema = dict[str, Any]

_DRAFT = "https://json-schema.org/draft/2020-12/schema"
_HASH: Schema = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
_HASH_OR_NULL: Schema = {"anyOf": [_HASH, {"type": "null"}]}
_TEXT: Schema = {"type": "string", "minLength": 1}
_TEXT_OR_NULL: Schema = {"type": ["string", "null"]}
_COUNT: Schema = {"type": "integer", "minimum": 0}
_TIME: Schema = {
    "type": "string",
    "pattern": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{3}Z$",
}
_ENTRY: Schema = {
    "device": _TEXT,
    "seq": _COUNT,
    "prev": _HASH_OR_NULL,
    "trip": _TEXT_OR_NULL,
    "trip_prev": _HASH_OR_NULL,
    "kind": {"type": "string", "pattern": "^[a-z][a-z_]*$"},
    "v": {"type": "integer", "minimum": 1},
    "event_time": _TIME,
    "event_offset_min": {"type": "integer"},
    "entry_time": _TIME,
    "clock": {
        "type": "object",
        "properties": {
            "source": _TEXT,
            "boot_id": _TEXT_OR_NULL,
            "boot_ms": {"type": ["integer", "null"]},
        },
        "required": ["source", "boot_id", "boot_ms"],
    },
    "by": _TEXT,
    "via": {"enum": ["typed", "imported", "page", "program"]},
    "body": {"type": "object"},
    "private": {"type": "object", "additionalProperties": _HASH},
    "follows": _HASH_OR_NULL,
    "idem": _TEXT,
}


def bundle_schemas() -> dict[str, Schema]:
    """Each schema by the name of what it describes, one JSON document each.

    For a file of lines (`.jsonl`) the schema is that of one line.
    """
    trail = _ENTRY | {
        "hash": _HASH,
        "entered_late_by_s": _COUNT,
        "opened": {"type": "object", "additionalProperties": {"type": "string"}},
    }
    return {
        "bundle": _document("bundle.json", _card()),
        "entry": _document("A line of entries.jsonl", _object(_ENTRY)),
        "opening": _document(
            "A line of openings.jsonl",
            _object(
                {
                    "entry": _HASH,
                    "field": _TEXT,
                    "salt": {"type": "string", "pattern": "^[0-9a-f]{32}$"},
                    "value": {"type": "string"},
                }
            ),
        ),
        "proof": _document("A line of proofs.jsonl", _proof()),
        "trail": _document("trail.json", {"type": "array", "items": _object(trail)}),
    }


def _card() -> Schema:
    head = _object({"seq": _COUNT, "hash": _HASH, "entries": _COUNT})
    fields = {
        "format": {"const": "triplog-bundle/1"},
        "scope": {"enum": ["store", "trip"]},
        "trip": _TEXT_OR_NULL,
        "heads": {"type": "object", "additionalProperties": head},
        "beside": {"type": "array", "items": _HASH},
        "made_at": _TIME,
        "program": _TEXT,
        "invented": {"type": "boolean"},
    }
    needed = [name for name in fields if name not in ("beside", "program")]
    return {"type": "object", "properties": fields, "required": needed}


def _proof() -> Schema:
    fields = {
        "device": _TEXT,
        "hashes": {"type": "array", "items": _HASH, "maxItems": 64},
        "seq": _COUNT,
        "old": _COUNT,
    }
    return {
        "type": "object",
        "properties": fields,
        "required": ["device", "hashes"],
        "oneOf": [{"required": ["seq"]}, {"required": ["old"]}],
    }


def _document(title: str, shape: Schema) -> Schema:
    return {"$schema": _DRAFT, "title": title, **shape}


def _object(fields: Schema) -> Schema:
    """An object that has all of these; later versions may have more."""
    return {"type": "object", "properties": fields, "required": list(fields)}
