"""What private fields there are, whether they can be read, and where else the same may stand."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import cast

from triplog.desk.desk import Desk
from triplog.desk.scope import scope_of
from triplog.journal.entries import Entry

_COPIES = "kind IN ('exported', 'backed_up')"


@dataclass(frozen=True, slots=True, kw_only=True)
class PrivateField:
    """A private field of an entry; `is_readable` False: its value is destroyed."""

    entry: Entry
    field: str
    is_readable: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """A copy that left the journal: an export with its forms, or a back-up.

    `entry` recorded it; `trip` None: the whole store.
    """

    entry: Entry
    forms: tuple[str, ...]
    trip: str | None


def private_fields(desk: Desk, where: str, values: Sequence[object]) -> list[PrivateField]:
    """The private fields of the entries that match a condition, in the order of the entries."""
    return [
        PrivateField(entry=entry, field=name, is_readable=name in opened)
        for entry in desk.store.entries(where, values)
        for opened in [desk.store.openings(entry.hash)]
        for name in sorted(entry.private)
    ]


def same_text(desk: Desk, texts: Iterable[str]) -> Iterator[tuple[Entry, str | None]]:
    """The entries in which one of these texts stands, in whatever case, with the field.

    None for the field: it stands in the body, which is never changed.
    """
    wanted = {text.casefold().strip() for text in texts if text.strip()}
    for entry, field, _, value in desk.store.opening_rows():
        if any(one in value.casefold() for one in wanted):
            yield desk.store.entry(entry), field
    for entry_ in desk.store.entries():
        if any(one in text.casefold() for text in _texts_in(entry_.body) for one in wanted):
            yield entry_, None


def copies_with(desk: Desk, openings: Sequence[tuple[str, str]]) -> Iterator[Copy]:
    """The exports and back-ups made while these private values could be read, oldest first."""
    named = [(desk.store.entry(entry), field) for entry, field in openings]
    made = sorted(desk.store.entries(_COPIES), key=lambda one: (one.entry_time, one.seq))
    for copy in made:
        trip = cast(str | None, copy.body.get("trip_of"))
        withheld = cast(list[str], copy.body.get("withheld", []))
        beside = set(scope_of(desk, desk.trip(trip)).beside) if trip is not None else set()
        if any(
            entry.entry_time <= copy.entry_time
            and field not in withheld
            and (trip is None or entry.trip == trip or entry.hash in beside)
            for entry, field in named
        ):
            yield Copy(
                entry=copy, forms=tuple(cast(list[str], copy.body.get("form", []))), trip=trip
            )


def _texts_in(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from _texts_in(one)
    elif isinstance(value, list):
        for one in value:
            yield from _texts_in(one)
