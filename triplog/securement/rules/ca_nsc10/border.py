"""A trip through both countries: which of the two rules is the stricter, where they differ.

Both verdicts stand side by side as findings of their own; the Canadian one says which is stricter.
"""

from dataclasses import replace
from fractions import Fraction

from triplog.securement.finding import SEVERITY, Count, Finding, Measure, Step

_PAIRS = {"ca-nsc10-count": "us-393.110-count", "ca-nsc10-aggregate": "us-393.106-aggregate"}


def with_stricter(
    canadian: tuple[Finding, ...], american: tuple[Finding, ...]
) -> tuple[Finding, ...]:
    """The Canadian findings, each with a note where its American pair is stricter or laxer."""
    pairs = {(one.rule, one.about): one for one in american}
    return tuple(_noted(one, pairs.get((_PAIRS.get(one.rule, ""), one.about))) for one in canadian)


def _noted(canadian: Finding, american: Finding | None) -> Finding:
    if american is None or _strictness(canadian) == _strictness(american):
        return canadian
    stricter = min(canadian, american, key=_strictness)
    step_id = "note.stricter-here" if stricter is canadian else "note.stricter-there"
    clause = f"{american.citation.source} {american.citation.clause}"
    return replace(canadian, steps=(*canadian.steps, Step(id=step_id, values={"clause": clause})))


def _strictness(finding: Finding) -> tuple[int, Fraction]:
    """Lower is stricter: the graver verdict, then the smaller margin."""
    return SEVERITY[finding.verdict], _size(finding.margin)


def _size(margin: Measure | None) -> Fraction:
    if margin is None:
        return Fraction(0)
    return Fraction(margin.value) if isinstance(margin, Count) else margin.si
