"""A judgement on one screen: what is open with what it lacks, the rest named. English.

Nothing is left out without being counted; the sums are a command away.
"""

from collections.abc import Iterable, Sequence
from textwrap import wrap

from triplog.securement.finding import Finding, Verdict
from triplog.wording.amounts import Units, comparison_texts
from triplog.wording.findings import citation_text, rows, rows_told_once, title
from triplog.wording.gathered import family_of_all, gathered
from triplog.wording.handbook import bundle_title
from triplog.wording.languages import words_of

_COLUMN = 16
_TEXT_MIN = 24
_OPEN_LINES = 26
_SETTLED_LINES = 18
_ROW_LINES = 2
_TOLD = ("short", "unknown")
"""The rows of an open finding that say what it lacks, by the ids of their labels."""


def open_lines(
    findings: Sequence[Finding], width: int, units: Units | None = None, language: str = "en"
) -> list[str]:
    """What does not meet, then what cannot be told, each with what it is short by or lacks.

    So many as a screen takes; how many more there are is the last line.
    """
    worst_first = sorted(findings, key=lambda one: one.verdict is not Verdict.DOES_NOT_MEET)
    lines: list[str] = []
    bundles = gathered(worst_first)
    for number, bundle in enumerate(bundles):
        told = _open(bundle, width, units, language)
        if lines and len(lines) + len(told) > _OPEN_LINES:
            return [*lines, f"{'':{_COLUMN}}and {_counted(bundles[number:])} more"]
        lines += told
    return lines


def settled_lines(
    findings: Sequence[Finding], width: int, units: Units | None = None, language: str = "en"
) -> list[str]:
    """What meets, a line for each rule; what does not apply, in one list."""
    by_rule: dict[str, list[Finding]] = {}
    for one in findings:
        if one.verdict is Verdict.MEETS:
            by_rule.setdefault(one.rule, []).append(one)
    lines: list[str] = []
    for number, same in enumerate(by_rule.values()):
        told = _column(Verdict.MEETS.value, _met(same, units, language), width)
        if len(lines) + len(told) > _SETTLED_LINES:
            more = sum(len(one) for one in list(by_rule.values())[number:])
            lines.append(f"{'':{_COLUMN}}and {more} more")
            break
        lines += told
    idle = [one for one in findings if one.verdict is Verdict.DOES_NOT_APPLY]
    names = dict.fromkeys(_name(bundle, language) for bundle in gathered(idle))
    return lines + (_column(Verdict.DOES_NOT_APPLY.value, "; ".join(names), width) if names else [])


def _open(bundle: tuple[Finding, ...], width: int, units: Units | None, language: str) -> list[str]:
    first = bundle[0]
    where = citation_text(first) if len(bundle) == 1 else family_of_all(bundle).clause
    head = f"{_name(bundle, language)}: {', '.join(first.about)} ({where})"
    labels = words_of(language).general.LABELS
    wanted = {labels[name] for name in _TOLD}
    told = rows(first, language, units) if len(bundle) == 1 else rows_told_once(bundle, language)
    lines = _column(first.verdict.value, head, width)
    for row in told:
        if row.label in wanted:
            said = " ".join(part for part in (row.label, row.figure, row.text) if part)
            lines += _cut(_column("", said, width))
    return lines


def _met(same: Sequence[Finding], units: Units | None, language: str) -> str:
    about = ", ".join(dict.fromkeys(name for one in same for name in one.about))
    required, provided = comparison_texts(same[0], units) if len(same) == 1 else ("", "")
    compared = f", {provided} for {required}" if required and provided else ""
    return f"{title(same[0], language)}: {about}{compared} ({citation_text(same[0])})"


def _name(bundle: Sequence[Finding], language: str) -> str:
    return title(bundle[0], language) if len(bundle) == 1 else bundle_title(bundle, language)


def _counted(bundles: Iterable[Sequence[Finding]]) -> int:
    return sum(len(bundle) for bundle in bundles)


def _cut(lines: list[str]) -> list[str]:
    """So many lines, the last with what says that there is more."""
    return lines if len(lines) <= _ROW_LINES else [*lines[: _ROW_LINES - 1], f"{lines[1][:-4]} ..."]


def _column(verdict: str, text: str, width: int) -> list[str]:
    """The verdict in its column and the text beside it; below it where there is no room."""
    room = width - _COLUMN
    if room < _TEXT_MIN:
        return [*([verdict] if verdict else []), *(f"  {line}" for line in wrap(text, width - 2))]
    first, *others = wrap(text, room, break_on_hyphens=False)
    return [f"{verdict:{_COLUMN}}{first}", *(f"{'':{_COLUMN}}{line}" for line in others)]
