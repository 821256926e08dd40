"""A bundle beside the journal here, in words. English."""

from collections.abc import Iterator, Mapping
from datetime import timedelta, timezone

from triplog.journal.beside import Beside, DeviceBeside, TripBeside
from triplog.journal.entries import Entry
from triplog.wording.entries import gist

FORK = (
    "    a fork: two programs went on from one copy of the file, under one name. No program can"
    " tell which of the two is the true one; both stand as they are"
)
FORK_WHAT_TO_DO = (
    "    keep both files. On one of the two machines go on from its back-up with `triplog restore`:"
    " it is a new device then"
)
TWICE = (
    "    both have gone on with this trip, and neither counts what the other recorded: a check that"
    " is only in the bundle is not known here. Agree on one to go on with, and write down in it"
    " what is missing, with --at and a note; it looks late, as it is"
)
ALIKE = "  nothing in the one contradicts the other"
_SHOWN = 12


def beside_lines(found: Beside, labels: Mapping[str, str], here: str) -> Iterator[str]:
    """Who has what, where the two part, and what to do then. `here`: the device of the journal."""
    yield "Beside the journal here"
    for one in found.devices:
        yield from _device(one, here)
    for trip in found.trips:
        yield from _trip(trip, labels[trip.trip])
    if not found.have_parted:
        yield ALIKE


def _device(one: DeviceBeside, here: str) -> Iterator[str]:
    counts = (
        (one.same, "the same in both"),
        (one.only_there, "only in the bundle"),
        (one.only_here, "only here"),
    )
    told = ", ".join(f"{count} {where}" for count, where in counts if count)
    whose = ", which is this one" if one.device == here else ""
    yield f"  device {one.device}{whose}: {told or 'nothing'}"
    if one.parted_at is not None:
        yield f"    from its entry {one.parted_at} on the two tell different histories"
        yield FORK
        yield FORK_WHAT_TO_DO


def _trip(trip: TripBeside, label: str) -> Iterator[str]:
    for where, entries in (("only in the bundle", trip.there), ("only here", trip.here)):
        if entries:
            yield f"  trip {label}, {where}:"
            yield from (f"    {_line(one)}" for one in entries[:_SHOWN])
        if len(entries) > _SHOWN:
            yield f"    and {len(entries) - _SHOWN} more"
    if trip.went_on_twice:
        yield TWICE


def _line(entry: Entry) -> str:
    zone = timezone(timedelta(minutes=entry.event_offset_min))
    when = entry.event_time.astimezone(zone).strftime("%Y-%m-%d %H:%M")
    return f"{when}  {entry.kind.replace('_', ' ')}  {gist(entry)}".rstrip()
