"""Findings as the page says them: verdict, what is asked, about what, the figures. English."""

from collections.abc import Iterable
from dataclasses import dataclass

from triplog.securement.finding import Finding
from triplog.wording.amounts import Units
from triplog.wording.findings import citation_text, row_text, rows, title


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingSaid:
    """A finding in words."""

    verdict: str
    title: str
    about: str
    citation: str
    lines: tuple[str, ...]


def findings_said(findings: Iterable[Finding], units: Units) -> tuple[FindingSaid, ...]:
    """Findings in words, in their order."""
    return tuple(
        FindingSaid(
            verdict=str(one.verdict),
            title=title(one),
            about=", ".join(one.about),
            citation=citation_text(one),
            lines=tuple(row_text(row) for row in rows(one, units=units)),
        )
        for one in findings
    )
