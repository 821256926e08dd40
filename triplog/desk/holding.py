"""Evidence holds: placed in one step on a trip or a piece of gear, lifted only by a named person.

While a hold stands, nothing goes that a file of that trip would hold: its entries, and those about
the people, the vehicle and the gear it names. What is asked for all the same is refused, and the
refusal is recorded.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NoReturn

from triplog.desk.desk import NOBODY, Desk, present
from triplog.desk.finding_things import gear_named, person_label
from triplog.desk.gear import HELD
from triplog.desk.refused import Refused, RefusedAndRecorded
from triplog.desk.scope import scope_of
from triplog.desk.when import local_text
from triplog.journal.entries import Draft, Entry
from triplog.journal.folding import InForce
from triplog.journal.store import Writing
from triplog.journal.things import thing_from
from triplog.journal.trip import Trip, trip_of

_SHOWN = 8
UNDER_HOLD = "under hold"
"""Why a deletion was refused, as its entry says it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A hold that stands, in words: on what, since when, by whom, why (None: withheld)."""

    hold: InForce
    on: str
    since: str
    by: str
    reason: str | None

    @property
    def line(self) -> str:
        """The hold on one line."""
        why = self.reason or "reason withheld"
        return f"{self.on} is {HELD} since {self.since} by {self.by} ({why})  [{self.name}]"

    @property
    def name(self) -> str:
        """The start of its hash, by which it is lifted."""
        return self.hold.original.hash[:_SHOWN]


def hold_trip(desk: Desk, trip: Trip, *, reason: str) -> Entry:
    """Put a trip under an evidence hold, however it stands and whoever writes to it meanwhile."""
    _need_reason(reason)
    return _record(desk, hold_draft(desk, reason=reason, trip=trip.id))


def hold_gear(desk: Desk, label: str, *, reason: str) -> Entry:
    """Keep a piece as evidence: from now on it is neither planned nor put back into stock."""
    _need_reason(reason)
    return _record(desk, hold_draft(desk, reason=reason, gear=gear_named(desk, label).id))


def hold_draft(
    desk: Desk,
    *,
    reason: str,
    trip: str | None = None,
    gear: str | None = None,
    incident: str | None = None,
) -> Draft:
    """The draft of a hold on a trip or on a piece of gear; `incident`: the entry that placed it."""
    body = present(gear=gear, incident=incident)
    return desk.draft("hold_placed", body, trip=trip, private={"reason": reason})


def lift_trip_hold(desk: Desk, trip: Trip, *, hold: str | None, reason: str) -> Entry:
    """Lift one hold on a trip; `hold`: the start of its hash, None where only one stands."""
    found = _meant(desk, f"trip {trip.label}", trip.holds, hold)
    _refuse_lifting(desk, reason)
    body = present(hold=found.original.hash)
    return _record(desk, desk.draft("hold_lifted", body, trip=trip.id, private={"reason": reason}))


def lift_gear_hold(desk: Desk, label: str, *, hold: str | None, reason: str) -> Entry:
    """Lift one hold on a piece of gear; without any left it stands as it stood before."""
    thing = gear_named(desk, label)
    found = _meant(desk, label, thing.holds, hold)
    _refuse_lifting(desk, reason)
    body = present(gear=thing.id, hold=found.original.hash)
    return _record(desk, desk.draft("hold_lifted", body, private={"reason": reason}))


def holds_on_trip(desk: Desk, trip: Trip) -> list[Standing]:
    """The holds a trip is under, oldest first."""
    return [_standing(desk, f"trip {trip.label}", fact) for fact in trip.holds]


def all_holds(desk: Desk) -> list[Standing]:
    """Every hold that stands, on trips and on gear."""
    return [one for ward in wards_of(desk) for one in ward.holds]


def holds_over(
    desk: Desk, entries: Iterable[Entry], wards: "Sequence[Ward] | None" = None
) -> list[Standing]:
    """The holds that keep any of these entries, their openings or their attachments from going.

    To be asked inside the transaction that would take them away: the journal is read anew, unless
    `wards` says what `wards_of` gave.
    """
    hashes = {entry.hash for entry in entries}
    standing = wards_of(desk) if wards is None else wards
    return [one for ward in standing if hashes & ward.keeps for one in ward.holds]


def refuse_deletion(
    desk: Desk,
    writing: Writing,
    *,
    what: str,
    holds: Sequence[Standing] = (),
    why: str = UNDER_HOLD,
    trip: str | None = None,
    about: str | None = None,
    until: str | None = None,
    reason: str | None = None,
) -> None:
    """Record inside a transaction that a deletion was asked for and refused.

    `what` was to go, of `trip` or of the thing `about`; `until`: the day it is kept until at least.
    """
    body = present(
        what=what,
        why=why,
        about=about,
        holds=[one.hold.original.hash for one in holds] or None,
        until=until,
    )
    writing.append(
        desk.draft("deletion_refused", body, trip=trip, private={"reason": reason or None})
    )


def tell_refused(what: str, holds: Sequence[Standing]) -> NoReturn:
    """Say, after the refusal has been recorded, that a hold keeps something from going."""
    raise RefusedAndRecorded(
        f"{what} stays: {'; '.join(one.line for one in holds)}. A named person lifts a hold with a"
        " reason: triplog lift-hold"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ward:
    """Holds, and the hashes of every entry they keep."""

    holds: tuple[Standing, ...]
    keeps: frozenset[str]


def wards_of(desk: Desk) -> list[Ward]:
    """Each trip and piece of gear under a hold, with what that keeps.

    Gear keeps what is about itself, and the trips whose plans ever named it.
    """
    rows = desk.store.raw.execute(
        "SELECT DISTINCT trip, thing FROM entry WHERE kind = 'hold_placed'"
    ).fetchall()
    found = []
    for trip_id, gear in rows:
        if trip_id is not None:
            trip = trip_of(trip_id, desk.store.trip_entries(trip_id))
            holds = tuple(holds_on_trip(desk, trip))
            keeps = _of_trip(desk, trip) if holds else frozenset()
        else:
            entries = desk.store.thing_entries(gear)
            thing = thing_from(gear, entries)
            facts = () if thing is None else thing.holds
            label = gear if thing is None else thing.label
            holds = tuple(_standing(desk, label, fact) for fact in facts)
            keeps = frozenset({entry.hash for entry in entries} | _planned(desk, label))
        if holds:
            found.append(Ward(holds=holds, keeps=keeps))
    return found


def _of_trip(desk: Desk, trip: Trip) -> frozenset[str]:
    """The trip's own entries, and those about what took part in it."""
    own = {entry.hash for entry in desk.store.trip_entries(trip.id)}
    return frozenset(own.union(scope_of(desk, trip).beside))


def _planned(desk: Desk, label: str) -> set[str]:
    """The entries of the trips whose plans ever named a piece of gear."""
    rows = desk.store.raw.execute(
        "SELECT hash FROM entry WHERE trip IN (SELECT DISTINCT trip FROM tie_down WHERE gear = ?)",
        (label,),
    )
    return {one for (one,) in rows}


def _standing(desk: Desk, on: str, fact: InForce) -> Standing:
    return Standing(
        hold=fact,
        on=on,
        since=local_text(fact.entry.event_time, fact.entry),
        by=person_label(desk, fact.entry.by),
        reason=desk.store.openings(fact.entry.hash).get("reason"),
    )


def _meant(desk: Desk, on: str, holds: Sequence[InForce], start: str | None) -> InForce:
    """The one hold that is to be lifted; Refused, listing them, where several could be meant."""
    listed = "; ".join(_standing(desk, on, fact).line for fact in holds)
    if not holds:
        raise Refused(f"{on} is not {HELD}")
    if start is None and len(holds) == 1:
        return holds[0]
    if start is None:
        raise Refused(
            f"several holds stand, each is lifted by itself: --hold with one of: {listed}"
        )
    found = [fact for fact in holds if any(one.startswith(start.lower()) for one in fact.hashes)]
    if len(found) != 1 or not start:
        raise Refused(f"no hold {start!r} stands there; what stands: {listed}")
    return found[0]


def _refuse_lifting(desk: Desk, reason: str) -> None:
    _need_reason(reason)
    if desk.by == NOBODY:
        raise Refused(
            "a hold is lifted by a named person: say who types with --as LABEL; `triplog person"
            " add` makes their card"
        )


def _need_reason(reason: str) -> None:
    if not reason.strip():
        raise Refused("a hold is placed and lifted with a reason: --reason")


def _record(desk: Desk, draft: Draft) -> Entry:
    with desk.writing(whatever_came=True) as writing:
        return desk.append(writing, draft)
