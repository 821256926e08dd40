"""Withholding private values from an export: by group or field, or those of other people.

It is done where values are opened, in the store, for as long as the export is written: a form that
is added later cannot forget it. Positions are withheld unless they are asked for.
"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace

from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.desk.scope import Scope
from triplog.journal.entries import Entry
from triplog.journal.kinds import CORRECTION_FIELDS, KINDS
from triplog.journal.store import Store
from triplog.journal.withheld import NOTHING_WITHHELD, Withheld
from triplog.wording.private import withheld_text

POSITIONS = "positions"
GROUPS: dict[str, frozenset[str]] = {
    "names": frozenset({"name", "names", "reach", "ordered_by", "loaded_by", "receiver"}),
    "notes": frozenset({"note", "open_points", "report"}),
    "places": frozenset({"place", "origin", "destination", "next_stop", "address"}),
    POSITIONS: frozenset({"positions"}),
    "reasons": frozenset({"reason", *CORRECTION_FIELDS}),
}
"""Every private field of every kind of entry, by the word that withholds it."""
_OWN_WORDS = GROUPS["names"] | GROUPS["notes"] | GROUPS["reasons"]
"""What is another person's where they typed it; places are the trip's."""

_OF_FILES = "kind IN ('readings_imported', 'photo_added')"
_COORDINATE = re.compile(r"\d{1,5}[.,]\d{3,}", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is to be left out of an export. Checked at birth: Refused for what cannot be meant.

    `words`: groups or single fields. `reason`: why; needed where anything but positions is left
    out. `with_positions`: show those that are kept. `mine`: the id of the person whose export it
    is; other people's names and what they wrote are left out.
    """

    words: tuple[str, ...] = ()
    reason: str | None = None
    with_positions: bool = False
    mine: str | None = None

    def __post_init__(self) -> None:
        fields = {field for kind in KINDS.values() for field in kind.private} | CORRECTION_FIELDS
        unknown = [word for word in self.words if word not in GROUPS and word not in fields]
        if unknown:
            raise Refused(
                f"what can be withheld is {', '.join(GROUPS)}, or one of the fields"
                f" {', '.join(sorted(fields))}; found {unknown[0]!r}"
            )
        if self.words and not (self.reason or "").strip():
            raise Refused("what is withheld is withheld with a reason: --withhold-reason")
        if self.with_positions and POSITIONS in self.words:
            raise Refused("say either --with-positions or --withhold positions")

    @property
    def why(self) -> str:
        """The reason as the export says it."""
        if self.reason:
            return self.reason
        return OTHERS if self.mine is not None else NOT_ASKED_FOR


NOTHING_ASKED = Wish()
OTHERS = "what other people wrote, and their names, are not this person's to hand on"
NOT_ASKED_FOR = "positions are left out unless they are asked for"


def words_in(given: Sequence[str]) -> tuple[str, ...]:
    """The words of options such as "names,notes", each once."""
    words = [word.strip() for one in given for word in one.split(",")]
    return tuple(dict.fromkeys(word for word in words if word))


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What an export leaves out: `counts` by field, of values that could have been shown."""

    withheld: Withheld
    counts: dict[str, int]
    why: str

    def sparing(self, entry: Entry) -> "Left":
        """The same, with the export's own entry shown: it says why."""
        return replace(self, withheld=replace(self.withheld, spared=frozenset({entry.hash})))


def left_out(scope: Scope, wish: Wish) -> Left:
    """What a wish leaves out of a scope."""
    fields = set() if wish.with_positions else set(GROUPS[POSITIONS])
    for word in wish.words:
        fields |= GROUPS.get(word, frozenset({word}))
    pairs = set() if wish.mine is None else set(_of_others(scope, wish.mine))
    if not wish.with_positions:
        pairs |= set(_telling_places(scope))
    withheld = Withheld(fields=frozenset(fields), pairs=frozenset(pairs))
    where, values = scope.condition
    rows = scope.desk.store.opening_rows(where, values)
    counts = Counter(field for entry, field, *_ in rows if withheld.hides(entry, field))
    told = {field: counts[field] for field in sorted(counts)}
    if told and (wish.words or wish.mine is not None):
        withheld = replace(withheld, said=withheld_text(told, wish.why))
    return Left(withheld=withheld, counts=told, why=wish.why)


@contextmanager
def withholding(store: Store, left: Left) -> Iterator[None]:
    """While it lasts, the store opens nothing that is left out."""
    store.withheld = left.withheld
    try:
        yield
    finally:
        store.withheld = NOTHING_WITHHELD


def trips_of(desk: Desk, person: str) -> list[str]:
    """The ids of the trips a person drove, took over, looked over or typed for, as they began."""
    rows = desk.store.raw.execute(
        "SELECT trip FROM entry WHERE trip IS NOT NULL AND"
        " ? IN (CAST(data AS TEXT) ->> '$.by', CAST(data AS TEXT) ->> '$.body.driver',"
        " CAST(data AS TEXT) ->> '$.body.from', CAST(data AS TEXT) ->> '$.body.to',"
        " CAST(data AS TEXT) ->> '$.body.by_whom') GROUP BY trip ORDER BY min(entry_time), trip",
        (person,),
    )
    return [trip for (trip,) in rows]


def _telling_places(scope: Scope) -> Iterator[tuple[str, str]]:
    """The names and reports of files in which something stands that looks like a coordinate."""
    where, values = scope.condition
    rows = scope.desk.store.opening_rows(f"({where}) AND {_OF_FILES}", values)
    for entry, field, _, value in rows:
        if field in ("name", "report") and _COORDINATE.search(value):
            yield entry, field


def _of_others(scope: Scope, person: str) -> Iterator[tuple[str, str]]:
    """The values that are other people's: the names on their cards, and what they wrote."""
    store = scope.desk.store
    where, values = scope.condition
    for entry in store.entries(where, values):
        if entry.kind == "carrier_recorded" or not entry.private:
            continue
        about = store.thing_of(entry) if entry.kind == "person_recorded" else None
        if about == person:
            continue
        fields: Sequence[str] = [one for one in entry.private if one in _OWN_WORDS]
        if about is not None or entry.by != person:
            yield from ((entry.hash, field) for field in fields)
