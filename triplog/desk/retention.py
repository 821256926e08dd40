"""How long trips, incidents and gear are kept, what could go today, and a carrier's own periods."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta, timezone
from typing import cast

from triplog.desk.desk import Desk
from triplog.desk.finding_things import person_label
from triplog.desk.holding import Standing as HoldStanding
from triplog.desk.holding import Ward, holds_over, wards_of
from triplog.desk.refused import Refused
from triplog.desk.when import local_day
from triplog.journal import attachments
from triplog.journal.entries import Entry
from triplog.journal.folding import InForce, in_force
from triplog.journal.retention import About, KeptUntil, Period, longest, periods_for
from triplog.journal.things import Standing, Thing, thing_from
from triplog.journal.trip import OPEN_STATES, Trip

KEPT_KINDS = (About.TRIP, About.INCIDENT, About.GEAR)
_COMPANY_MONTHS_MAX = 1200


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A trip, incident or piece of gear with how long it stays.

    `since`: the day counted from, None while it is open or in use, and then `until` is None too.
    `holds` that stand over it. `deleted`: when and by whom its private values were deleted.
    `private`: how many private values and photos are there.
    """

    about: About
    id: str
    label: str
    since: date | None
    until: KeptUntil | None
    holds: tuple[HoldStanding, ...]
    deleted: str | None
    private: int

    def is_over(self, today: date) -> bool:
        """Whether the last day it has to stay is past; False where its time has not begun."""
        return self.until is not None and today > self.until.day

    def stands(self, today: date) -> str:
        """How it stands on a day, in a few words."""
        if self.holds:
            return "under hold"
        if self.until is None:
            return "in use" if self.about is About.GEAR else "open"
        if not self.is_over(today):
            return "kept"
        if self.private:
            return "could go"
        return self.deleted or "nothing private to go"


def today_of(desk: Desk) -> date:
    """The day it is where this is read."""
    return date.fromisoformat(local_day(desk.now()))


def company_periods(desk: Desk) -> dict[str, int]:
    """The carrier's own months by kind of record, as recorded last; empty: none."""
    entries = list(desk.store.entries("kind = 'retention_recorded' AND trip IS NULL"))
    found: dict[str, int] = {}
    for fact in in_force(entries):
        found |= cast(dict[str, int], fact.entry.body["periods"])
    return found


def set_company_period(desk: Desk, kind: str, months: int, *, note: str | None = None) -> Entry:
    """Record how long the carrier itself keeps a kind of record: longer than the table, never less.

    Refused for another kind, and where it would shorten what the table says.
    """
    if kind not in map(str, KEPT_KINDS):
        raise Refused(f"kept here are {', '.join(KEPT_KINDS)}; found {kind!r}")
    table = max(period.months for period in periods_for(About(kind), {}))
    if not table <= months <= _COMPANY_MONTHS_MAX:
        raise Refused(
            f"{months} months would not do: the table keeps a {kind} {table} months, and a period"
            f" of your own is only ever longer, up to {_COMPANY_MONTHS_MAX}; `triplog retention"
            " table` shows why"
        )
    draft = desk.draft("retention_recorded", {"periods": {kind: months}}, private={"note": note})
    return desk.record(draft)


def kept(desk: Desk) -> Iterator[Kept]:
    """Everything that is kept here: trips in the order they were opened, incidents, gear."""
    company, wards = company_periods(desk), wards_of(desk)
    rows = desk.store.raw.execute("SELECT id FROM trip ORDER BY opened_at, id").fetchall()
    of_incidents = []
    for (trip_id,) in rows:
        trip = desk.trip(trip_id)
        if trip.first("incident_reported") is not None:
            of_incidents.append(trip)
        yield kept_trip(desk, trip, company, wards)
    for trip in of_incidents:
        for fact in trip.of("incident_reported"):
            yield _kept_incident(desk, trip, fact, company, wards)
    for (gear,) in desk.store.raw.execute("SELECT id FROM gear ORDER BY label, id").fetchall():
        thing = thing_from(gear, desk.store.thing_entries(gear))
        if thing is not None:
            yield kept_gear(desk, thing, company, wards)


def kept_trip(
    desk: Desk, trip: Trip, company: Mapping[str, int], wards: Sequence[Ward] | None = None
) -> Kept:
    """How long a trip stays: its own periods from its end, those of its incidents from theirs."""
    entries = desk.store.trip_entries(trip.id)
    ended = trip.first("trip_closed") or trip.first("trip_withdrawn")
    since = None if trip.state in OPEN_STATES or ended is None else _day(ended)
    until = None
    if since is not None:
        counted = _counted(since, About.TRIP, company)
        for fact in trip.of("incident_reported"):
            counted += _counted(_day(fact), About.INCIDENT, company)
        until = longest(counted)
    return Kept(
        about=About.TRIP,
        id=trip.id,
        label=trip.label,
        since=since,
        until=until,
        holds=tuple(holds_over(desk, entries, wards)),
        deleted=_deleted(desk, trip.deletion),
        private=_private(desk, entries),
    )


def kept_gear(
    desk: Desk, thing: Thing, company: Mapping[str, int], wards: Sequence[Ward] | None = None
) -> Kept:
    """How long the life of a piece of gear stays: while in use, and from then on its period."""
    entries = desk.store.thing_entries(thing.id)
    fact = thing.standing_fact
    out = thing.standing is Standing.UNFIT and fact is not None
    since = _day(fact) if out and fact is not None else None
    destroyed = [one for one in thing.facts if "period" in one.entry.body]
    return Kept(
        about=About.GEAR,
        id=thing.id,
        label=thing.label,
        since=since,
        until=None if since is None else longest(_counted(since, About.GEAR, company)),
        holds=tuple(holds_over(desk, entries, wards)),
        deleted=_deleted(desk, destroyed[-1] if destroyed else None),
        private=_private(desk, entries),
    )


def _kept_incident(
    desk: Desk, trip: Trip, fact: InForce, company: Mapping[str, int], wards: Sequence[Ward]
) -> Kept:
    entries = [
        one
        for one in desk.store.trip_entries(trip.id)
        if one.hash in fact.hashes or one.body.get("incident") in fact.hashes
    ]
    since = _day(fact)
    return Kept(
        about=About.INCIDENT,
        id=fact.original.hash,
        label=f"{trip.label}, {fact.original.hash[:8]}",
        since=since,
        until=longest(_counted(since, About.INCIDENT, company)),
        holds=tuple(holds_over(desk, entries, wards)),
        deleted=_deleted(desk, trip.deletion),
        private=_private(desk, entries),
    )


def _counted(since: date, about: About, company: Mapping[str, int]) -> list[tuple[date, Period]]:
    return [(since, period) for period in periods_for(about, company)]


def _day(fact: InForce) -> date:
    """The local day it happened, or was first written down where that was later."""
    zone = timezone(timedelta(minutes=fact.entry.event_offset_min))
    return max(fact.entry.event_time, fact.original.entry_time).astimezone(zone).date()


def deletion_text(desk: Desk, fact: InForce) -> str:
    """When and by whom private values were deleted because their time was over."""
    return f"deleted under retention, {_day(fact)} by {person_label(desk, fact.entry.by)}"


def _deleted(desk: Desk, fact: InForce | None) -> str | None:
    return None if fact is None else deletion_text(desk, fact)


def _private(desk: Desk, entries: Iterable[Entry]) -> int:
    """How many private values and photos of these entries are there; acts of keeping left out."""
    return sum(
        len(desk.store.openings(entry.hash))
        + (entry.kind == "photo_added" and attachments.has(desk.store, str(entry.body["digest"])))
        for entry in entries
        if entry.kind not in ACTS
    )


ACTS = frozenset({"openings_destroyed", "deletion_refused", "hold_placed", "hold_lifted"})
"""What holds, refusals and deletions say of themselves stays: it tells why the rest is gone."""
