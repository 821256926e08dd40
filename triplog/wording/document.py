"""The findings file, format `triplog-findings/1`, as a document of plain values."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from triplog.securement.assess import RuleSetUsed
from triplog.securement.finding import (
    Citation,
    Count,
    Finding,
    Input,
    Measure,
    Missing,
    Range,
    Value,
    worst,
)
from triplog.securement.quantity import SI_UNIT, Amount, Quantity, exact_text
from triplog.wording.amounts import count_text
from triplog.wording.findings import decides_line, mend_line, question, sum_lines

FORMAT = "triplog-findings/1"
_SI_DIGITS = 12


def findings_document(
    findings: Sequence[Finding],
    plan_sha256: str,
    program_version: str,
    rule_sets: Iterable[RuleSetUsed],
    language: str = "en",
    envelope: Iterable[Mapping[str, Any]] = (),
) -> dict[str, Any]:
    """The findings with their sentences in `language`; every figure stands as a text.

    `envelope`: what `envelope.envelope_entries` says of the plan, in numbers.
    """
    gravest = worst(findings)
    return {
        "format": FORMAT,
        "language": language,
        "plan_sha256": plan_sha256,
        "program": program_version,
        "rule_sets": [_rule_set(used) for used in rule_sets],
        "worst": None
        if gravest is None
        else {
            "verdict": str(gravest.verdict),
            "rule": gravest.rule,
            "about": list(gravest.about),
        },
        "findings": [_finding(finding, language) for finding in findings],
        "envelope": [dict(entry) for entry in envelope],
    }


def _rule_set(used: RuleSetUsed) -> dict[str, str]:
    """The set with its edition and digest, each left out where there is none."""
    named = {"id": used.id, "edition": used.edition, "tables_sha256": used.tables_sha256}
    return {name: text for name, text in named.items() if text}


def _finding(finding: Finding, language: str) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "rule_set": finding.rule_set,
        "about": list(finding.about),
        "question": question(finding, language),
        "verdict": str(finding.verdict),
        "required": _measure(finding.required),
        "provided": _measure(finding.provided),
        "margin": _margin(finding.margin),
        "citation": _citation(finding.citation),
        "scope": str(finding.scope),
        "inputs": [_input(one) for one in finding.inputs],
        "sum": sum_lines(finding, language),
        "unknown": [_missing(one) for one in finding.unknown],
        "range": _range(finding.range, decides_line(finding, language)),
        "mend": mend_line(finding, language) or None,
    }


def _measure(measure: Measure | None) -> dict[str, str] | None:
    if measure is None:
        return None
    if isinstance(measure, Count):
        return {"value": str(measure.value), "unit": measure.unit}
    return {
        "value": exact_text(measure.value, _SI_DIGITS),
        "unit": measure.unit,
        "si": _significant(measure),
        "si_unit": SI_UNIT[measure.dimension],
    }


def _significant(amount: Amount) -> str:
    """The SI value with at most twelve significant digits, exact where it has fewer."""
    exact = exact_text(amount.si, _SI_DIGITS)
    digits = exact.lstrip("-").replace(".", "").lstrip("0")
    if len(digits) <= _SI_DIGITS or "." not in exact:
        return exact
    whole, part = exact.split(".")
    kept = _SI_DIGITS - len(whole.lstrip("-0"))
    if kept <= 0:
        return whole
    return f"{whole}.{part[:kept]}".rstrip("0").rstrip(".")


def _margin(measure: Measure | None) -> dict[str, str] | None:
    if measure is None:
        return None
    shown = _measure(measure)
    assert shown is not None
    return {"value": shown["value"], "unit": shown["unit"]}


def _citation(citation: Citation) -> dict[str, str]:
    return {
        "source": citation.source,
        "clause": citation.clause,
        "edition": citation.edition,
        "how_sure": citation.how_sure,
    }


def _input(one: Input) -> dict[str, Any]:
    document: dict[str, Any] = {
        "name": one.name,
        "about": one.about,
        "value": None if one.value is None else _value(one.value),
        "basis": str(one.basis),
    }
    if one.citation is not None:
        document["citation"] = _citation(one.citation)
    return document


def _value(value: Value) -> str:
    if isinstance(value, Quantity):
        return value.typed
    if isinstance(value, Amount):
        return f"{exact_text(value.value, _SI_DIGITS)} {value.unit}"
    if isinstance(value, Count):
        return count_text(value)
    return str(value)


def _missing(missing: Missing) -> str:
    return f"{missing.about} {missing.field}"


def _range(ends: Range | None, decides: str) -> dict[str, Any] | None:
    if ends is None:
        return None
    return {"worst": _measure(ends.worst), "best": _measure(ends.best), "decides": decides}
