"""Two journals of the same trips laid beside each other: who has what, and where they part. Pure.

Two entries of one device with one number and different bytes are a fork: somebody went on from a
copy of the file under its old name. Two devices that went on with one trip are no fork, but neither
knows what the other recorded.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from triplog.journal.entries import Entry

_BESIDE_THE_TRIP = frozenset(
    {"exported", "backed_up", "checkpoint_signed", "checkpoint_withheld", "head_given"}
    | {"countersignature_taken", "journal_taken_in", "fork_found", "openings_destroyed"}
)
"""What keeping the log adds to it: nobody went on with a trip by that."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceBeside:
    """One device's chain, here and there.

    `same`: entries both hold with the same bytes. `parted_at`: the first number under which they
    hold different entries, None: nowhere. `only_there`, `only_here`: entries one of the two holds.
    """

    device: str
    same: int
    parted_at: int | None
    only_there: int
    only_here: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TripBeside:
    """The entries of a trip that one of the two alone holds, in the order of their events."""

    trip: str
    there: tuple[Entry, ...]
    here: tuple[Entry, ...]

    @property
    def went_on_twice(self) -> bool:
        """Whether both have gone on with the trip."""
        return bool(self.there and self.here)


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """How two journals stand to each other."""

    devices: tuple[DeviceBeside, ...]
    trips: tuple[TripBeside, ...]

    @property
    def have_parted(self) -> bool:
        """Whether a chain has forked, or a trip went on in both."""
        forked = any(one.parted_at is not None for one in self.devices)
        return forked or any(one.went_on_twice for one in self.trips)


def beside(here: Iterable[Entry], there: Iterable[Entry]) -> Beside:
    """Compare the entries of two journals, by device and number."""
    ours = {(one.device, one.seq): one for one in here}
    theirs = {(one.device, one.seq): one for one in there}
    devices = dict.fromkeys(device for device, _ in (*ours, *theirs))
    only_there = _missing(theirs, ours)
    only_here = _missing(ours, theirs)
    trips = dict.fromkeys(one.trip for one in (*only_there, *only_here) if one.trip is not None)
    return Beside(
        devices=tuple(_device(device, ours, theirs) for device in devices),
        trips=tuple(
            TripBeside(
                trip=trip,
                there=tuple(one for one in only_there if one.trip == trip),
                here=tuple(one for one in only_here if one.trip == trip),
            )
            for trip in trips
        ),
    )


_Numbered = dict[tuple[str, int], Entry]


def _missing(entries: _Numbered, other: _Numbered) -> list[Entry]:
    """What is told of a trip in one journal and not in the other."""
    known = {one.hash for one in other.values()}
    missing = [
        one
        for one in entries.values()
        if one.hash not in known and one.kind not in _BESIDE_THE_TRIP
    ]
    return sorted(missing, key=lambda one: (one.event_time, one.entry_time, one.device, one.seq))


def _device(device: str, ours: _Numbered, theirs: _Numbered) -> DeviceBeside:
    here = {seq: entry.hash for (of, seq), entry in ours.items() if of == device}
    there = {seq: entry.hash for (of, seq), entry in theirs.items() if of == device}
    both = here.keys() & there.keys()
    parted = [seq for seq in both if here[seq] != there[seq]]
    return DeviceBeside(
        device=device,
        same=len(both) - len(parted),
        parted_at=min(parted, default=None),
        only_there=len(there.keys() - here.keys()) + len(parted),
        only_here=len(here.keys() - there.keys()) + len(parted),
    )
