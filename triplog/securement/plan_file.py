"""Plan format 1: the text of a plan file, the document it says, the plan (`PLAN.md`)."""

import hashlib
import json
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, NoReturn

from triplog.securement.believed import refuse_friction
from triplog.securement.model import Plan, PlanRefused
from triplog.securement.plan_read import plan_from_document

# A plan of a thousand tie-downs is under half of this.
PLAN_BYTES_MAX = 1_000_000
# The TOML reader's time and memory grow with the square of the parts of a dotted name; this allows
# three hundred dots in one line, where a plan's own names hold two.
_DOTS_SQUARED_MAX = 100_000
_TOO_DEEP = "tables and lists are nested far deeper than a plan ever needs"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFile:
    """A file as read: the plan, the document it says, and the SHA-256 of its bytes in hex."""

    plan: Plan
    document: dict[str, Any]
    sha256: str


def read_plan(data: bytes, name: str) -> PlanFile:
    """Read a plan file: JSON by its name or its first character "{", TOML otherwise.

    Raises PlanRefused: `where` is the field, or the file and line where the text cannot be read.
    """
    if len(data) > PLAN_BYTES_MAX:
        raise PlanRefused(
            name, f"{len(data):,} bytes are no plan file; the most is {PLAN_BYTES_MAX:,}"
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise PlanRefused(
            f"{name}, line {line}", "the text is not UTF-8; save it as UTF-8"
        ) from None
    is_json = name.lower().endswith(".json") or text.lstrip().startswith("{")
    try:
        document = _read_json(text, name) if is_json else _read_toml(text, name)
    except RecursionError:
        raise PlanRefused(name, _TOO_DEEP) from None
    sha256 = hashlib.sha256(data).hexdigest()
    return PlanFile(plan=new_plan(document), document=document, sha256=sha256)


def new_plan(document: Mapping[str, object]) -> Plan:
    """The plan of a document that somebody has just written, read more strictly than a journal's.

    Raises PlanRefused.
    """
    plan = plan_from_document(document)
    refuse_friction(plan)
    return plan


def journal_document(document: Mapping[str, object]) -> dict[str, Any]:
    """The document with every number that is not whole as a decimal text, for canonical JSON.

    Takes a document that reads as a plan; its JSON reads back to an equal plan.
    """
    plain = _plain(document)
    assert isinstance(plain, dict)
    return plain


def _plain(value: object) -> object:
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Decimal):
        return format(value, "f")
    assert isinstance(value, str | int), f"no plan document holds a {type(value).__name__}"
    return value


def _read_toml(text: str, name: str) -> dict[str, Any]:
    if sum(line.count(".") ** 2 for line in text.split("\n")) > _DOTS_SQUARED_MAX:
        raise PlanRefused(name, _TOO_DEEP)
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        what, line = _split_toml_message(str(error), text)
        raise PlanRefused(f"{name}, line {line}", f"this is not TOML: {what}") from None
    except ValueError:
        raise PlanRefused(name, "it holds a number or date that cannot be read") from None


def _split_toml_message(message: str, text: str) -> tuple[str, int]:
    """The reader puts the line at the end of its message; at the end of the text it names none."""
    found = re.fullmatch(
        r"(?P<what>.*) \(at (?:line (?P<line>\d+), column \d+|end of document)\)",
        message,
        re.DOTALL,
    )
    if found is None or found["line"] is None:
        return found["what"] if found else message, text.rstrip().count("\n") + 1
    return found["what"], int(found["line"])


def _read_json(text: str, name: str) -> dict[str, Any]:
    def table(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for key, value in pairs:
            if key in found:
                raise PlanRefused(name, f'the name "{key[:40]}" is given twice in one table')
            found[key] = value
        return found

    def no_number(constant: str) -> NoReturn:
        raise PlanRefused(name, f"{constant} is not a number in a plan")

    try:
        document = json.loads(
            text, parse_float=Decimal, parse_constant=no_number, object_pairs_hook=table
        )
    except json.JSONDecodeError as error:
        raise PlanRefused(
            f"{name}, line {error.lineno}", f"this is not JSON: {error.msg}"
        ) from None
    except PlanRefused:
        raise
    except ValueError:
        raise PlanRefused(name, "it holds a number of too many digits") from None
    if not isinstance(document, dict):
        raise PlanRefused(name, "a plan is one JSON object, from { to }")
    return document
