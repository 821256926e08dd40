"""Deleting under retention: private values and photos of a trip, or of a piece of gear, for good.

The entries stay, so the chain stays whole and everything still verifies. What is asked for too
early, or under a hold, is refused, and the refusal is recorded. Holds and periods are read anew
inside the transaction that deletes: a hold placed meanwhile by another program counts.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from triplog.desk.desk import NOBODY, Desk, present
from triplog.desk.destroying import keep_list
from triplog.desk.finding_things import gear_named
from triplog.desk.holding import UNDER_HOLD, refuse_deletion, tell_refused
from triplog.desk.refused import Refused, RefusedAndRecorded
from triplog.desk.retention import ACTS, Kept, company_periods, kept_gear, kept_trip, today_of
from triplog.journal import attachments
from triplog.journal.entries import Body, Entry
from triplog.journal.erasing import erase, left_in_file
from triplog.journal.retention import About
from triplog.journal.store import Writing
from triplog.journal.things import thing_from
from triplog.journal.trip import RETENTION, Trip, text_in, trip_of

_TOO_EARLY = "before its period is over"
_NOT_ENDED = "not ended"
_WHAT = "private values and photos"


@dataclass(frozen=True, slots=True, kw_only=True)
class LetGo:
    """What went: how many private values and photos; `entry` recorded it.

    `shared`: photos that stay because another trip names them. `is_left`: something of it is still
    in the file.
    """

    entry: Entry
    openings: int
    photos: int
    shared: int
    is_left: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Done:
    """What was done inside the transaction; the salts are looked for in the file afterwards."""

    entry: Entry
    openings: int
    photos: int
    shared: int
    salts: tuple[str, ...]


def delete_trip(desk: Desk, trip: Trip, *, reason: str) -> LetGo:
    """Delete what is private of a trip whose time is over.

    Refused for nobody named and without a reason. Refused and recorded under a hold, before the
    longest period is over, and for a trip that has not ended.
    """
    _refuse(desk, reason)
    company = company_periods(desk)
    with desk.writing(whatever_came=True) as writing:
        entries = desk.store.trip_entries(trip.id)
        kept = kept_trip(desk, trip_of(trip.id, entries), company)
        done = _delete(desk, writing, kept, entries, reason)
    return _told(desk, kept, done)


def delete_gear(desk: Desk, label: str, *, reason: str) -> LetGo:
    """Delete what is private about a piece of gear that has been out of use for its period.

    Refused as for a trip; gear that is still in use is refused and recorded.
    """
    _refuse(desk, reason)
    gear, company = gear_named(desk, label).id, company_periods(desk)
    with desk.writing(whatever_came=True) as writing:
        entries = desk.store.thing_entries(gear)
        thing = thing_from(gear, entries)
        assert thing is not None, "gear that has a label has a card"
        kept = kept_gear(desk, thing, company)
        done = _delete(desk, writing, kept, entries, reason)
    return _told(desk, kept, done)


def _delete(
    desk: Desk, writing: Writing, kept: Kept, entries: list[Entry], reason: str
) -> _Done | None:
    """Delete, or record the refusal (None), inside the transaction."""
    trip = kept.id if kept.about is About.TRIP else None
    about = None if trip is not None else kept.id
    why = _why_not(kept, today_of(desk))
    if why is not None or kept.holds:
        refuse_deletion(
            desk,
            writing,
            what=_WHAT,
            holds=kept.holds,
            why=why or UNDER_HOLD,
            trip=trip,
            about=about,
            until=None if kept.until is None else kept.until.day.isoformat(),
            reason=reason,
        )
        return None
    pairs = [
        (entry.hash, name) for entry in entries if entry.kind not in ACTS for name in entry.private
    ]
    own, shared = _photos(desk, entries, trip)
    gone = erase(writing, pairs, own)
    if not gone and not own:
        raise Refused(f"nothing private of {kept.about} {kept.label} is left to delete")
    assert kept.until is not None, "what has no end is not deleted"
    body: Body = present(
        openings=[{"entry": one.entry, "field": one.field} for one in gone],
        why=RETENTION,
        about=about,
        attachments=own or None,
        until=kept.until.day.isoformat(),
        period=kept.until.period.id,
    )
    draft = desk.draft("openings_destroyed", body, trip=trip, private={"reason": reason})
    return _Done(
        entry=desk.append(writing, draft),
        openings=len(gone),
        photos=len(own),
        shared=shared,
        salts=tuple(one.salt for one in gone),
    )


def _why_not(kept: Kept, today: date) -> str | None:
    """Why something stays although no hold keeps it; None: its time is over."""
    if kept.holds:
        return None
    if kept.until is None:
        return _NOT_ENDED
    return None if kept.is_over(today) else _TOO_EARLY


def _told(desk: Desk, kept: Kept, done: _Done | None) -> LetGo:
    """What came of it, once that is durable. Raises RefusedAndRecorded."""
    name = f"{kept.about} {kept.label}"
    if done is None and kept.holds:
        tell_refused(name, kept.holds)
    if done is None and kept.until is None:
        still = "in use" if kept.about is About.GEAR else "not ended"
        raise RefusedAndRecorded(f"{name} stays: it is {still}, so its time has not begun")
    if done is None:
        assert kept.until is not None, "told above"
        period = kept.until.period
        raise RefusedAndRecorded(
            f"{name} stays until {kept.until.day}: {period.months} months from {kept.since or ''}"
            f" ({period.what}; {period.force}, {period.cited}). `triplog retention list` shows what"
            " could go"
        )
    keep_list(desk)
    return LetGo(
        entry=done.entry,
        openings=done.openings,
        photos=done.photos,
        shared=done.shared,
        is_left=left_in_file(desk.store.path, [one.encode() for one in done.salts]),
    )


def _refuse(desk: Desk, reason: str) -> None:
    if not reason.strip():
        raise Refused("what is private is deleted with a reason: --reason")
    if desk.by == NOBODY:
        raise Refused(
            "deleting is the act of a named person: say who types with --as LABEL; `triplog person"
            " add` makes their card"
        )


def _photos(desk: Desk, entries: Iterable[Entry], trip: str | None) -> tuple[list[str], int]:
    """The photos that are kept for this trip alone, and how many another trip names too."""
    digests = dict.fromkeys(
        text_in(entry.body, "digest") for entry in entries if entry.kind == "photo_added"
    )
    there = [one for one in digests if attachments.has(desk.store, one)]
    own = [one for one in there if attachments.trips_naming(desk.store, one) == [trip]]
    return own, len(there) - len(own)
