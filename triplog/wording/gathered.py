"""Findings gathered for a reader: six about one load that say the same stand as one.

The forces along the deck (49 CFR 393.102(a)) are asked six times of each group. Where their verdict
is the same and has no figure of its own, a reader is told once. Files keep every finding.
"""

from collections.abc import Iterable

from triplog.securement.finding import Finding, Verdict

BY_DIRECTION = "us-393.102-by-direction"
CLAUSE = "49 CFR 393.102(a)"
_PREFIXES = ("us-393.102-breaking-", "us-393.102-wll-")
_TOLD_ONCE = frozenset({Verdict.CANNOT_TELL, Verdict.DOES_NOT_APPLY})


def can_be_gathered(finding: Finding) -> bool:
    """Whether it is one of the six, and has nothing to say that the others do not."""
    return finding.rule.startswith(_PREFIXES) and finding.verdict in _TOLD_ONCE


def gathered(findings: Iterable[Finding]) -> list[tuple[Finding, ...]]:
    """The findings in their order; those told once stand together where the first stood."""
    bundles: list[list[Finding]] = []
    places: dict[object, int] = {}
    for one in findings:
        key = (one.about, one.verdict, one.scope)
        if can_be_gathered(one) and key in places:
            bundles[places[key]].append(one)
            continue
        if can_be_gathered(one):
            places[key] = len(bundles)
        bundles.append([one])
    return [tuple(bundle) for bundle in bundles]
