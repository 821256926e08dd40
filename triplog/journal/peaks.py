"""The tree of a log that grows, in a few hashes: what is kept while entries only come one by one.

The peaks are the roots of the largest complete subtrees from the left (RFC 9162, section 2.1.2,
keeps the same ones). A root over everything so far follows from them alone. Pure.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from triplog.journal.tree import EMPTY_ROOT, Hash, leaf_hash, node_hash

_HASH_BYTES = 32


class PeaksBroken(ValueError):
    """Bytes that hold no peaks."""


@dataclass(slots=True)
class Peaks:
    """The peaks of a log, the largest first, each with its level (0: a leaf)."""

    found: list[tuple[int, Hash]] = field(default_factory=list)

    @property
    def size(self) -> int:
        """How many leaves they stand for."""
        return sum(1 << level for level, _ in self.found)

    @property
    def root(self) -> Hash:
        """The root over all leaves."""
        if not self.found:
            return EMPTY_ROOT
        *before, (_, here) = self.found
        for _, peak in reversed(before):
            here = node_hash(peak, here)
        return here

    @property
    def raw(self) -> bytes:
        """As bytes: for each peak its level in a byte, and its hash."""
        return b"".join(bytes([level]) + peak for level, peak in self.found)

    def add(self, data: bytes) -> None:
        """Take in the next leaf, by its bytes."""
        level, here = 0, leaf_hash(data)
        while self.found and self.found[-1][0] == level:
            here = node_hash(self.found.pop()[1], here)
            level += 1
        self.found.append((level, here))


def peaks_in(raw: bytes) -> Peaks:
    """The peaks that bytes hold, as `raw` wrote them. Raises PeaksBroken."""
    each = _HASH_BYTES + 1
    if len(raw) % each:
        raise PeaksBroken(f"{len(raw)} bytes hold no peaks")
    found = [(raw[at], raw[at + 1 : at + each]) for at in range(0, len(raw), each)]
    levels = [level for level, _ in found]
    if levels != sorted(set(levels), reverse=True):
        raise PeaksBroken("the peaks are not in the order of their levels")
    return Peaks(found)


def peaks_of(leaves: Iterable[bytes]) -> Peaks:
    """The peaks over the bytes of all leaves."""
    peaks = Peaks()
    for data in leaves:
        peaks.add(data)
    return peaks
