"""Which entries are in force, as known at a given time.

A correction is an entry of the same kind that follows the one it replaces; a withdrawal takes an
entry back. Nothing disappears: what is replaced stays in the journal and is shown beside.
"""

from bisect import bisect
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from triplog.journal.entries import Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class InForce:
    """An entry as it stands: `entry` is what holds now, `original` the entry first made.

    `replaced` are the entries it stands for, oldest first, competing corrections included.
    """

    entry: Entry
    original: Entry
    replaced: tuple[Entry, ...] = ()

    @property
    def hashes(self) -> frozenset[str]:
        """Every hash it goes by: what was recorded before a correction names the old one."""
        return frozenset(one.hash for one in (self.entry, self.original, *self.replaced))


def in_force(entries: Iterable[Entry], known_at: datetime | None = None) -> tuple[InForce, ...]:
    """The entries that hold, ordered by event time, entry time, device and seq.

    `known_at` leaves out what was entered later. Of competing corrections the later entry time
    wins; withdrawing a correction brings back what it replaced.
    """
    known = [entry for entry in entries if known_at is None or entry.entry_time <= known_at]
    followers: defaultdict[str, list[Entry]] = defaultdict(list)
    hashes = {entry.hash for entry in known}
    for entry in known:
        if entry.follows is not None:
            followers[entry.follows].append(entry)
    standing = []
    for entry in known:
        if entry.kind == "entry_withdrawn" or (entry.follows in hashes):
            continue
        if _stands(entry, followers):
            now_holds = _last_correction(entry, followers)
            replaced = tuple(
                sorted(
                    (one for one in _corrections(entry, followers) if one is not now_holds),
                    key=lambda one: (one.entry_time, one.device, one.seq),
                )
            )
            standing.append(InForce(entry=now_holds, original=entry, replaced=replaced))
    return tuple(sorted(standing, key=_order))


def holds_in(facts: Sequence[InForce]) -> tuple[InForce, ...]:
    """The evidence holds that stand, among the facts of one trip or one piece of gear.

    Several stand side by side, each until it is lifted by itself. A `hold_lifted` of version 1
    names none: it ended what was placed before it.
    """
    standing: list[InForce] = []
    for fact in facts:
        if fact.original.kind == "hold_placed":
            standing.append(fact)
        elif fact.original.kind == "hold_lifted" and "hold" not in fact.entry.body:
            standing.clear()
    lifted = {
        fact.entry.body["hold"]
        for fact in facts
        if fact.original.kind == "hold_lifted" and "hold" in fact.entry.body
    }
    return tuple(fact for fact in standing if not fact.hashes & lifted)


def with_new(standing: tuple[InForce, ...], entry: Entry) -> tuple[InForce, ...]:
    """The entries that hold, with one more that follows none, as `in_force` would give them."""
    assert entry.follows is None, "what follows an entry changes how others stand"
    new = InForce(entry=entry, original=entry)
    place = bisect(standing, _order(new), key=_order)
    return (*standing[:place], new, *standing[place:])


def _order(one: InForce) -> tuple[datetime, datetime, str, int]:
    original = one.original
    return one.entry.event_time, original.entry_time, original.device, original.seq


def _stands(entry: Entry, followers: dict[str, list[Entry]]) -> bool:
    return not any(
        follower.kind == "entry_withdrawn" and _stands(follower, followers)
        for follower in followers.get(entry.hash, ())
    )


def _last_correction(entry: Entry, followers: dict[str, list[Entry]]) -> Entry:
    live = [
        follower
        for follower in followers.get(entry.hash, ())
        if follower.kind == entry.kind and _stands(follower, followers)
    ]
    if not live:
        return entry
    newest = max(live, key=lambda one: (one.entry_time, one.device, one.seq))
    return _last_correction(newest, followers)


def _corrections(entry: Entry, followers: dict[str, list[Entry]]) -> list[Entry]:
    """The entry and everything of its kind that follows it, directly or not."""
    found = [entry]
    for follower in followers.get(entry.hash, ()):
        if follower.kind == entry.kind:
            found.extend(_corrections(follower, followers))
    return found
