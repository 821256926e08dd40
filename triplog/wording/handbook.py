"""A finding as it reads on the terminal: like a page of a handbook, verdict first."""

import re
from collections.abc import Sequence
from textwrap import wrap

from triplog.securement.finding import Finding
from triplog.wording.amounts import Units, comparison_texts
from triplog.wording.findings import Row, citation_text, rows, rows_told_once, title
from triplog.wording.gathered import Said, family_of_all, gathered, without_said
from triplog.wording.languages import words_of

_VERDICT_COLUMN = 16
_LABEL_COLUMN = 10
_TEXT_WIDTH_MIN = 20
_WIDTH_OF_COLUMNS = _VERDICT_COLUMN + _LABEL_COLUMN + _TEXT_WIDTH_MIN
_KEPT_SPACE = "\N{NO-BREAK SPACE}"
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=(?:lb|kg|t|N|daN|kN|kNm|in|ft|mm|cm|m)\b)")


def finding_lines(
    finding: Finding, width: int = 100, language: str = "en", units: Units | None = None
) -> list[str]:
    """The lines of one finding, none longer than `width` where words allow it."""
    about = ", ".join(finding.about)
    citation = citation_text(finding).replace(" ", _KEPT_SPACE)
    head = "    ".join((f"{title(finding, language)}: {about}", finding.rule, citation))
    return headed_lines(finding.verdict.value, head, rows(finding, language, units), width)


def headed_lines(verdict: str, head: str, under: Sequence[Row], width: int) -> list[str]:
    """A verdict beside its head, and rows under it in their columns."""
    if width < _WIDTH_OF_COLUMNS:
        return [
            *_stacked(verdict, head, width),
            *(line for row in under for line in _row_lines(row, width)),
        ]
    margin = " " * _VERDICT_COLUMN
    first, *others = _wrapped(head, width - _VERDICT_COLUMN)
    return [
        f"{verdict:<{_VERDICT_COLUMN}}{first}",
        *(f"{margin}{line}" for line in others),
        *(line for row in under for line in _row_lines(row, width)),
    ]


def findings_lines(
    findings: Sequence[Finding],
    width: int = 100,
    language: str = "en",
    units: Units | None = None,
    *,
    apart: bool = False,
) -> list[str]:
    """All findings, a blank line between two; `apart`: none gathered with others."""
    lines: list[str] = []
    said: Said = set()
    for bundle in [(one,) for one in findings] if apart else gathered(findings):
        if lines:
            lines.append("")
        if len(bundle) == 1:
            lines += finding_lines(without_said(bundle[0], said), width, language, units)
        else:
            told = rows_told_once(bundle, language)
            head = bundle_heading(bundle, language)
            lines += headed_lines(bundle[0].verdict.value, head, told, width)
    return lines


def one_line_each(
    findings: Sequence[Finding], language: str = "en", units: Units | None = None
) -> list[str]:
    """Each finding, or several gathered, on one line without its sum."""
    lines = []
    for bundle in gathered(findings):
        if len(bundle) == 1:
            lines.append(finding_line(bundle[0], language, units))
        else:
            told = _bundle_title(bundle, language)
            clause = family_of_all(bundle).clause
            lines.append(verdict_line(bundle[0].verdict.value, told, clause))
    return lines


def finding_line(finding: Finding, language: str = "en", units: Units | None = None) -> str:
    """One finding on one line, without its sum."""
    required, provided = comparison_texts(finding, units)
    compared = f"{provided} for {required}" if required and provided else provided
    about = ", ".join(finding.about)
    return verdict_line(
        finding.verdict.value,
        f"{title(finding, language)}: {about}",
        compared,
        citation_text(finding),
    )


def verdict_line(verdict: str, *parts: str) -> str:
    """A verdict in its column and, beside it, those parts that say something."""
    return f"{verdict:<{_VERDICT_COLUMN}}" + "   ".join(part for part in parts if part)


def bundle_heading(bundle: Sequence[Finding], language: str = "en") -> str:
    """What findings gathered are about, with their clause."""
    clause = family_of_all(bundle).clause.replace(" ", _KEPT_SPACE)
    return f"{_bundle_title(bundle, language)}    {clause}"


def bundle_title(bundle: Sequence[Finding], language: str = "en") -> str:
    """As "forces along the deck, 6 findings"."""
    words = words_of(language)
    title = words.titles[family_of_all(bundle).title]
    return str(words.general.SEVERAL.format(title=title, number=len(bundle)))


def _bundle_title(bundle: Sequence[Finding], language: str) -> str:
    """As "forces along the deck, 6 findings: A"."""
    return f"{bundle_title(bundle, language)}: {', '.join(bundle[0].about)}"


def _row_lines(row: Row, width: int) -> list[str]:
    text = "   ".join(part for part in (row.figure, row.text) if part)
    indent = _VERDICT_COLUMN + _LABEL_COLUMN
    if width < _WIDTH_OF_COLUMNS:
        return _stacked(f"  {row.label}" if row.label else "", text, width)
    lines = _wrapped(text, width - indent)
    first = f"{' ' * _VERDICT_COLUMN}{row.label:<{_LABEL_COLUMN}}{lines[0]}"
    return [first] + [f"{' ' * indent}{line}" for line in lines[1:]]


def _stacked(head: str, text: str, width: int) -> list[str]:
    """The text below its head, where there is no room for columns."""
    below = [f"    {line}" for line in _wrapped(text, width - 4)]
    return [head, *below] if head else below


def _wrapped(text: str, width: int) -> list[str]:
    """The text in lines; a number and its unit stay together."""
    kept = _NUMBER_AND_UNIT.sub(_KEPT_SPACE, text)
    lines = wrap(kept, max(width, _TEXT_WIDTH_MIN), break_on_hyphens=False)
    return [line.replace(_KEPT_SPACE, " ") for line in lines]
