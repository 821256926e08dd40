"""What private fields there are, whether they can be read, and where else the same may stand."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import cast

from triplog.desk.desk import Desk
from triplog.desk.finding_things import person_named, the_trip
from triplog.desk.looking import entry_named
from triplog.desk.refused import Refused
from triplog.desk.scope import scope_of
from triplog.journal.entries import Entry
from triplog.journal.trip import TripState

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


def fields_of(desk: Desk, *, trip: str | None, person: str | None) -> list[PrivateField]:
    """The private fields of a trip or about a person, by label; of the whole journal for neither.

    In the order of the entries.
    """
    if trip is not None and person is not None:
        raise Refused("say either --trip or --person")
    if trip is not None:
        return _fields(desk, "trip = ?", (the_trip(desk, trip, TripState).id,))
    if person is not None:
        return _fields(desk, "thing = ?", (person_named(desk, person).id,))
    return _fields(desk, "1", ())


def fields_meant(
    desk: Desk,
    named: Sequence[str],
    *,
    trip: str | None,
    person: str | None,
    fields: Sequence[str],
) -> list[tuple[str, str]]:
    """The readable values named as ENTRY:FIELD or ENTRY, or those of a trip or about a person.

    `fields` takes only these of them. Refused where nothing is named, or a field is not there.
    """
    if bool(named) + (trip is not None) + (person is not None) != 1:
        raise Refused("name private values as `triplog private list` does, or --trip, or --person")
    if not named:
        of_it = [
            one
            for one in fields_of(desk, trip=trip, person=person)
            if one.is_readable and one.entry.kind != "openings_destroyed"
        ]
        return [(one.entry.hash, one.field) for one in of_it if not fields or one.field in fields]
    found = []
    for name in named:
        start, _, field = name.partition(":")
        entry = entry_named(desk, start)
        wanted = [field] if field else sorted(desk.store.openings(entry.hash))
        if fields:
            raise Refused("--field goes with --trip or --person; else write ENTRY:FIELD")
        found += [(entry.hash, one) for one in wanted]
    return list(dict.fromkeys(found))


def _fields(desk: Desk, where: str, values: Sequence[object]) -> list[PrivateField]:
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
    """The exports and back-ups made while these private values could be read, oldest first.

    Those that left such values out are among them: it is not known for a single value.
    """
    named = [(desk.store.entry(entry), field) for entry, field in openings]
    made = sorted(desk.store.entries(_COPIES), key=lambda one: (one.entry_time, one.seq))
    for copy in made:
        trip = cast(str | None, copy.body.get("trip_of"))
        beside = set(scope_of(desk, desk.trip(trip)).beside) if trip is not None else set()
        if any(
            entry.entry_time <= copy.entry_time
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
