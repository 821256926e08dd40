"""One finding of a findings file in full, as on paper: the clause, what goes in, the sum.

Reads the document and not the finding, so that what was recorded is explained as it was judged.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from triplog.securement.finding import Missing
from triplog.wording.findings import Row, missing_text
from triplog.wording.handbook import headed_lines
from triplog.wording.languages import words_of

EXPLAINED_WIDTH = 100
_REASONS = ("inputs", "sum", "unknown", "range", "mend")
"""What says why; a yes or no with none of it is one that nothing in the plan speaks against."""


def explained_rows(finding: Mapping[str, Any], language: str = "en") -> list[Row]:
    """The account, a row a line; `finding` is one of a findings file, format 1."""
    whole = words_of(language)
    words = whole.general
    citation = finding["citation"]
    where = " ".join(part for part in (citation["source"], citation["clause"]) if part)
    sure = words.HOW_SURE[citation["how_sure"]]
    edition = words.EDITION.format(edition=citation["edition"]) if citation["edition"] else ""
    blocks: list[tuple[str, Sequence[str]]] = [
        ("asked", [finding["question"]]),
        ("clause", ["; ".join(part for part in (where, edition, sure) if part)]),
        ("standing", [words.SCOPES[finding["scope"]] or words.SCOPE_LAW]),
        ("inputs", [_input(one, words.HOW_SURE) for one in finding.get("inputs", ())]),
        ("sum", finding.get("sum", ())),
        ("unknown", [missing_text(_missing(finding["unknown"], whole.fields), whole)]),
        ("decides", [finding["range"]["decides"]] if finding.get("range") else ()),
        ("mend", [finding["mend"]] if finding.get("mend") else ()),
    ]
    if not any(finding.get(name) for name in _REASONS):
        blocks.append(("sum", [words.NOTHING_AGAINST]))
    return [
        Row(label=words.LABELS[name] if number == 0 else "", figure="", text=text)
        for name, texts in blocks
        for number, text in enumerate(texts)
        if text
    ]


def explained_lines(finding: Mapping[str, Any], language: str = "en") -> list[str]:
    """The account as lines of a terminal, verdict first."""
    about = ", ".join(finding["about"])
    head = f"{finding['rule']}: {about}    {finding['rule_set']}"
    return headed_lines(
        finding["verdict"], head, explained_rows(finding, language), EXPLAINED_WIDTH
    )


def _missing(unknown: Sequence[str], fields: Mapping[str, str]) -> list[Missing]:
    """The facts that a findings file names as "what field", the longest field there is a word for.

    A field without a word of its own begins after the first space.
    """
    missing = []
    for told in unknown:
        about, field = told.split(" ", 1)
        known = [one for one in fields if told.endswith(f" {one}")]
        if known:
            field = max(known, key=len)
            about = told.removesuffix(f" {field}")
        missing.append(Missing(field=field, about=about))
    return missing


def _input(one: Mapping[str, Any], how_sure: Mapping[str, str]) -> str:
    """A value with what it is about, its basis, and where it is published if it is."""
    name = one["name"].replace("_", " ").replace(".", ", ")
    told = f"{one['about']}: {name} {one['value'] or ''}".rstrip()
    citation = one.get("citation")
    if citation is None:
        return f"{told} ({one['basis']})"
    where = " ".join(part for part in (citation["source"], citation["clause"]) if part)
    return f"{told} ({one['basis']}: {where}, {how_sure[citation['how_sure']]})"
