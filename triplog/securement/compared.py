"""The findings of two plans side by side: what came out otherwise, and what only moved."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from triplog.securement.finding import Finding, Verdict

_UNSETTLED = frozenset({Verdict.DOES_NOT_MEET, Verdict.CANNOT_TELL})


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A rule's answer about the same things before and after; None: it was not asked there."""

    about: tuple[str, ...]
    before: Finding | None
    after: Finding | None

    @property
    def finding(self) -> Finding:
        """The one after, or where there is none the one before."""
        found = self.after or self.before
        assert found is not None
        return found

    @property
    def is_of_verdict(self) -> bool:
        """Whether the verdict is another, or was asked in only one of the plans."""
        before, after = self.before, self.after
        return before is None or after is None or before.verdict is not after.verdict

    @property
    def has_moved(self) -> bool:
        """Whether the figure provided is another."""
        return (self.before and self.before.provided) != (self.after and self.after.provided)


def changes_of(before: Sequence[Finding], after: Sequence[Finding]) -> tuple[Change, ...]:
    """What differs in verdict or in the figure provided, by rule and each thing it is about.

    In the order of `after`, then what is no longer asked. Of a thing that came with the change only
    a verdict that is unsettled and new for its rule is told; of one that went, nothing.
    """
    old, new = _by_thing(before), _by_thing(after)
    came, went = _things(after) - _things(before), _things(before) - _things(after)
    told = {(one.rule, one.verdict) for one in before}
    pairs: dict[tuple[int | None, int | None], list[str]] = {}
    for key in dict.fromkeys((*new, *old)):
        thing = key[1]
        for was, found in zip_longest(old.get(key, ()), new.get(key, ())):
            if thing in went or (
                thing in came and found is not None and not _is_news(after[found], told)
            ):
                continue
            pairs.setdefault((was, found), []).append(thing)
    changes = (
        Change(
            about=tuple(things),
            before=None if was is None else before[was],
            after=None if found is None else after[found],
        )
        for (was, found), things in pairs.items()
    )
    return tuple(one for one in changes if one.is_of_verdict or one.has_moved)


def _by_thing(findings: Sequence[Finding]) -> dict[tuple[str, str], list[int]]:
    """The places of the findings, by rule and each thing they are about."""
    places: dict[tuple[str, str], list[int]] = {}
    for place, one in enumerate(findings):
        for thing in one.about:
            places.setdefault((one.rule, thing), []).append(place)
    return places


def _things(findings: Iterable[Finding]) -> set[str]:
    return {thing for one in findings for thing in one.about}


def _is_news(finding: Finding, told: set[tuple[str, Verdict]]) -> bool:
    return finding.verdict in _UNSETTLED and (finding.rule, finding.verdict) not in told
