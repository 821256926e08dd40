"""Findings gathered for a reader: those about one load that say the same stand as one.

The forces along the deck (49 CFR 393.102(a)) are asked six times of each group, sliding and tipping
by EN 12195-1 eight times, the static estimate four times. Where their verdict is the same and has
no figure of its own, a reader is told once. Files keep every finding.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from triplog.securement.finding import Finding, Step, Verdict

_TOLD_ONCE = frozenset({Verdict.CANNOT_TELL, Verdict.DOES_NOT_APPLY})


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """Rules that ask the same in several directions; `title` is its id among the titles."""

    title: str
    clause: str
    prefixes: tuple[str, ...]


_ALONG_THE_DECK = Family(
    title="us-393.102-by-direction",
    clause="49 CFR 393.102(a)",
    prefixes=("us-393.102-breaking-", "us-393.102-wll-"),
)
_ALONG_THE_DECK_CANADA = Family(
    title="ca-nsc10-by-direction", clause="NSC Standard 10 s.5", prefixes=("ca-nsc10-way-",)
)
_ALONG = (_ALONG_THE_DECK, _ALONG_THE_DECK_CANADA)
_WITHOUT_FIGURES = (
    Family(
        title="en-12195-1-by-direction",
        clause="EN 12195-1 5",
        prefixes=("en-12195-1-slide-", "en-12195-1-tip-"),
    ),
    Family(
        title="static-by-direction",
        clause="assumption static estimate",
        prefixes=("static-",),
    ),
)


def family_of(finding: Finding) -> Family | None:
    """The family it may be told with once; None where it has something of its own to say."""
    if finding.verdict not in _TOLD_ONCE:
        return None
    along = next((one for one in _ALONG if finding.rule.startswith(one.prefixes)), None)
    if along is not None:
        return along
    if finding.required is not None or finding.range is not None:
        return None
    return next((one for one in _WITHOUT_FIGURES if finding.rule.startswith(one.prefixes)), None)


def family_of_all(bundle: Sequence[Finding]) -> Family:
    """The family of findings that were gathered, which all belong to one."""
    family = family_of(bundle[0])
    assert family is not None, "only findings of a family are gathered"
    return family


def gathered(findings: Iterable[Finding]) -> list[tuple[Finding, ...]]:
    """The findings in their order; those told once stand together where the first stood."""
    bundles: list[list[Finding]] = []
    places: dict[object, int] = {}
    for one in findings:
        family = family_of(one)
        key = (family, one.about, one.verdict, one.scope)
        if family is not None and key in places:
            bundles[places[key]].append(one)
            continue
        if family is not None:
            places[key] = len(bundles)
        bundles.append([one])
    return [tuple(bundle) for bundle in bundles]


_ASSUMPTIONS = frozenset(
    {
        "note.static-route-assumed",
        "note.static-middle",
        "note.static-assumed",
        "note.static-stricter",
    }
)
_AS_ABOVE = Step(id="note.static-as-above")
Said = set[tuple[tuple[str, ...], str, str]]
"""Assumptions that a reader has read: what of, which, and with what values."""


def without_said(finding: Finding, said: Said) -> Finding:
    """The finding with the assumptions that were `said` of the same load in one line; adds its
    own to them."""
    keys = {
        step.id: (finding.about, step.id, str(sorted(step.values.items())))
        for step in finding.steps
        if step.id in _ASSUMPTIONS
    }
    again = {name for name, key in keys.items() if key in said}
    said.update(keys.values())
    if not again:
        return finding
    steps = [step for step in finding.steps if step.id not in again]
    return replace(finding, steps=(*steps, _AS_ABOVE))
