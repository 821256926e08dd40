"""Correcting an entry and taking one back: both are new entries that follow the old one."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import cast

from triplog.checks import vehicle_changes
from triplog.desk import incident
from triplog.desk.checking import (
    Found,
    Line,
    answer_body,
    due_before,
    item_found,
    look_body,
    same_instrument,
)
from triplog.desk.desk import Desk
from triplog.desk.late_reasons import NO_REASON
from triplog.desk.looking import entry_named
from triplog.desk.odometer import odometer_text
from triplog.desk.photos import word_listed
from triplog.desk.refused import Refused
from triplog.desk.time_doubts import NOT_ASKED, TimeAsked, refuse_before_departure, time_body
from triplog.desk.vehicles import refuse_bad_top_speed
from triplog.journal.entries import Body, Draft, Entry
from triplog.journal.folding import in_force
from triplog.journal.kinds import KINDS
from triplog.journal.trip import Trip, records_in
from triplog.securement.quantity import Dimension, parse
from triplog.wording.incident import QUESTIONS

LAST = "last"
"""Instead of a hash: the last entry of the person typing."""
_ODOMETER_KINDS = frozenset(
    {
        "odometer_read",
        "departed",
        "check_completed",
        "check_left_open",
        "article_delivered",
        "handed_over",
    }
)
_NEVER_IN_DOUBT = frozenset({"article_delivered", "gear_replaced", "handed_over", "released"})
"""On the road, and never at a time that cannot be right."""
_NEVER_WITHDRAWN = frozenset(
    {
        "store_begun",
        "store_restored",
        "carrier_recorded",
        "clock_stepped",
        "hold_placed",
        "hold_lifted",
        "deletion_refused",
        "exported",
        "key_recorded",
        "checkpoint_signed",
        "checkpoint_withheld",
        "head_countersigned",
        "countersignature_taken",
        "time_stamp_asked",
        "time_stamp_taken",
        "backed_up",
        "journal_taken_in",
        "fork_found",
        "hub_paired",
        "device_unpaired",
        "trip_opened",
        "plan_judged",
        "prompt_raised",
        "prompt_outcome",
        "prompt_heard",
        "office_message_queued",
        "office_message_tried",
        "entry_withdrawn",
        "stock_list_read",
        "inspection_list_read",
    }
)

_MAKES_A_PLAN = {
    "article_delivered": "delivery",
    "loading_recorded": "loading",
    "gear_replaced": "replacement",
}


def correct(
    desk: Desk,
    hash_start: str,
    *,
    changes: dict[str, str],
    at: datetime | None,
    reason: str,
    time_asked: TimeAsked = NOT_ASKED,
) -> Entry:
    """Record a correction of an entry: the same kind, complete, following the one it replaces.

    `changes` are fields with their new values; `at` a new event time, that takes away what was in
    doubt about the old one. The old entry stays.
    """
    if not reason.strip():
        raise Refused("a correction needs its reason: --reason")
    old = to_correct(desk, hash_start)
    if not changes and at is None:
        raise Refused("nothing to correct was given: FIELD=VALUE, or --at")
    body: Body = dict(old.body)
    if at is not None and old.kind in _NEVER_IN_DOUBT:
        refuse_before_departure(desk.trip(cast(str, old.trip)), at)
    elif at is not None and may_be_in_doubt(old):
        body.pop("time_doubt", None)
        body |= time_body(desk, desk.trip(cast(str, old.trip)), at, time_asked)
    if at is not None and "time_told" in KINDS[old.kind].optional:
        body["time_told"] = True
    private: dict[str, str | None] = dict(desk.store.openings(old.hash))
    private.pop("correction_reason", None)
    if "time_doubt" in old.body and "time_doubt" not in body and "closes" in body:
        before = due_before(desk, desk.trip(cast(str, old.trip)), at, same_instrument(body))
        body |= answer_body(before)
        if "late" in body:
            private.setdefault("reason", NO_REASON)
    for name, value in changes.items():
        if name in KINDS[old.kind].private:
            private[name] = value
        else:
            body = _changed(desk, old, body, name, value)
    private["correction_reason"] = reason
    draft = desk.draft(
        old.kind, body, trip=old.trip, private=private, at=at or old.event_time, follows=old.hash
    )
    return desk.record(replace(draft, event_offset_min=old.event_offset_min))


def to_correct(desk: Desk, hash_start: str) -> Entry:
    """The entry in force that is meant: by the start of its hash, or the last of who types."""
    return _last_own(desk) if hash_start == LAST else _entry(desk, hash_start)


def may_be_in_doubt(entry: Entry) -> bool:
    """Whether an entry's time may be recorded as stated although it cannot be right."""
    return "time_doubt" in KINDS[entry.kind].optional and entry.via != "imported"


def withdraw(desk: Desk, hash_start: str | None, *, reason: str) -> tuple[Entry, Entry]:
    """Take an entry back, or the last one this person made; it stays, shown as withdrawn."""
    if not reason.strip():
        raise Refused("taking back needs its reason: --reason")
    old = _last_own(desk) if hash_start in (None, LAST) else _entry(desk, hash_start)
    if old.kind in _NEVER_WITHDRAWN:
        raise Refused(f"an entry {old.kind} is not taken back; record what holds now instead")
    _refuse_plan_of_another(desk, old)
    if old.kind == "departed" and _road_facts(desk.trip(cast(str, old.trip))):
        raise Refused(
            "things have been recorded on the road since that departure; correct the departure"
            " instead of taking it back"
        )
    with_it = _plan_made_by(desk, old)
    with desk.writing() as writing:
        entry = desk.append(writing, _withdrawal(desk, old, reason))
        if with_it is not None:
            writing.append(_withdrawal(desk, with_it, reason))
    return entry, old


def _refuse_plan_of_another(desk: Desk, old: Entry) -> None:
    """Refuse a plan that came with the trip, with a delivery or with a look at the gear."""
    if old.kind == "plan_recorded" and old.body["number"] == 1:
        label = desk.trip(cast(str, old.trip)).label
        raise Refused(
            f"that is the first plan of trip {label}, and a trip has a plan: change it, or take"
            f" back the trip: `triplog trip withdraw --trip {label}`"
        )
    for places in (-1, 1):
        other = _beside(desk, old, places)
        if other is not None and _made_by(other, old):
            act = _MAKES_A_PLAN[other.kind]
            raise Refused(f"that plan came with a {act}; take the {act} back: {other.hash[:8]}")


def _withdrawal(desk: Desk, old: Entry, reason: str) -> Draft:
    return desk.draft(
        "entry_withdrawn", {}, trip=old.trip, private={"reason": reason}, follows=old.hash
    )


def _plan_made_by(desk: Desk, old: Entry) -> Entry | None:
    """The plan that came with an entry, to be taken back with it; None: there is none in force.

    A part delivery leaves one, a look at the gear before loading and a replacement another.
    Refused where the plan has been changed since: what was delivered would be on no plan.
    """
    made = _beside(desk, old, 1 if old.kind == "article_delivered" else -1)
    if made is None or not _made_by(old, made):
        return None
    trip = desk.trip(cast(str, old.trip))
    if made.hash not in {fact.original.hash for fact in trip.of("plan_recorded")}:
        return None
    if trip.plan is None or trip.plan.original.hash != made.hash:
        raise Refused(
            f"the plan has been changed since that {_MAKES_A_PLAN[old.kind]}; take those changes"
            " back first, the newest first"
        )
    return made


def _made_by(other: Entry | None, plan: Entry) -> bool:
    """Whether a plan was recorded with the entry beside it, as a part of the same act."""
    if other is None or plan.kind != "plan_recorded" or other.trip != plan.trip:
        return False
    if other.kind == "article_delivered":
        return other.seq < plan.seq and str(plan.body["cause"]).endswith(" delivered")
    with_look = other.kind == "loading_recorded" and other.body.get("looked_over") is True
    return (with_look or other.kind == "gear_replaced") and other.body["revision"] == plan.hash


def _beside(desk: Desk, entry: Entry, places: int) -> Entry | None:
    """The entry so many places on in the same chain; None: there is none."""
    found = desk.store.entries("device = ? AND seq = ?", (entry.device, entry.seq + places))
    return next(found, None)


def _entry(desk: Desk, hash_start: str) -> Entry:
    """The entry in force whose hash starts so; Refused for one corrected or taken back."""
    entry = entry_named(desk, hash_start)
    related = (
        desk.store.trip_entries(entry.trip)
        if entry.trip is not None
        else desk.store.thing_entries(desk.store.thing_of(entry) or "") or [entry]
    )
    standing = {fact.entry.hash: fact for fact in in_force(related)}
    if entry.hash in standing:
        return entry
    for fact in standing.values():
        if entry in fact.replaced:
            raise Refused(
                f"entry {hash_start} has been corrected already; the entry in force is"
                f" {fact.entry.hash[:8]}"
            )
    raise Refused(f"entry {hash_start} has been taken back already")


def _last_own(desk: Desk) -> Entry:
    rows = desk.store.entries(
        "device = ? AND seq > (SELECT max(seq) FROM entry WHERE device = ?) - 200",
        (desk.store.device, desk.store.device),
    )
    listed = list(rows)
    taken_back: set[str] = set()
    for before, entry in reversed([*zip([None, *listed], listed, strict=False)]):
        if entry.kind == "entry_withdrawn":
            taken_back.add(cast(str, entry.follows))
        elif (
            entry.by == desk.by
            and entry.kind not in _NEVER_WITHDRAWN
            and entry.hash not in taken_back
            and not _made_by(before, entry)
        ):
            return entry
    raise Refused("there is no entry of yours to take back; name one of `triplog entries`")


def _road_facts(trip: Trip) -> bool:
    kinds = ("odometer_read", "duty_changed", "check_completed", "article_delivered")
    return any(trip.of(*kinds)) or any(fact.original.kind in kinds for fact in trip.doubtful)


def _changed(desk: Desk, old: Entry, body: Body, name: str, value: str) -> Body:
    told = incident.corrected(old, body, name, value)
    if told is not None:
        return told
    readers: dict[tuple[str, str], Callable[[], object]] = {
        ("departed", "top_speed"): lambda: _top_speed(value),
        ("plan_recorded", "top_speed"): lambda: _top_speed_of_other(desk, old, value),
        ("duty_changed", "status"): lambda: _status(value),
        ("event_reported", "what"): lambda: value.strip().lower(),
        ("event_reported", "moved"): lambda: _parsed(value, Dimension.LENGTH),
        ("photo_added", "shows"): lambda: word_listed(value),
    }
    if name == "odometer" and old.kind in _ODOMETER_KINDS:
        return body | {"odometer": odometer_text(desk, value)}
    if (old.kind, name) in readers:
        return body | {name: readers[old.kind, name]()}
    if old.kind in ("check_completed", "check_left_open"):
        if any(look["item"] == name for look in records_in(body, "looks")):
            return _with_item(body, name, value)
        return _with_line(body, name, value)
    fields = sorted(
        {field for kind, field in readers if kind == old.kind}
        | ({"odometer"} if old.kind in _ODOMETER_KINDS else set())
        | (set(QUESTIONS) if old.kind in incident.KINDS else set())
        | KINDS[old.kind].private
    )
    raise Refused(
        f"{name} of an entry {old.kind} is not corrected like this;"
        f" {'fields that are: ' + ', '.join(fields) if fields else 'record it anew'}"
    )


def _with_line(body: Body, tie_down: str, value: str) -> Body:
    """A check's body with one tie-down's line changed: T2="slack, tightened:3"."""
    found, _, detail = value.partition(":")
    lines = [dict(line) for line in cast(list[Body], body["lines"])]
    line = next((one for one in lines if one["tie_down"] == tie_down), None)
    if line is None:
        there = ", ".join(str(one["tie_down"]) for one in lines)
        raise Refused(f"that check has no tie-down {tie_down!r}; it has: {there}")
    try:
        state = Found(found.strip())
    except ValueError:
        raise Refused(f"{found!r} is none of: {', '.join(Found)}") from None
    line.clear()
    line.update({"tie_down": tie_down, "found": str(state)})
    detail = detail.strip()
    if detail and state is Found.MOVED:
        line["moved"] = detail
    elif detail:
        if not detail.isdecimal():
            raise Refused(f"{detail!r} is no number of notches")
        line["notches"] = int(detail)
    Line(
        tie_down=tie_down,
        found=state,
        notches=cast(int | None, line.get("notches")),
        moved=cast(str | None, line.get("moved")),
    )
    return body | {"lines": lines}


def _with_item(body: Body, item: str, value: str) -> Body:
    """A check's body with what was found beside the tie-downs changed: tails="loose, put right"."""
    said = value.strip()
    is_plain = said in (Found.FINE, Found.NOT_LOOKED_AT)
    found = None if is_plain else item_found(item, said)
    new = look_body(item, found, is_seen=said == Found.FINE)
    looks = cast(list[Body], body["looks"])
    return body | {"looks": [new if look["item"] == item else look for look in looks]}


def _top_speed(value: str) -> str:
    refuse_bad_top_speed(value)
    return value


def _top_speed_of_other(desk: Desk, plan: Entry, value: str) -> str:
    """Of a vehicle taken on the road; Refused for a plan that took none."""
    changes = vehicle_changes(desk.trip(cast(str, plan.trip)))
    if plan.hash not in {fact.entry.hash for fact in changes}:
        raise Refused(
            "that plan took no other vehicle on the road; a top road speed stands with the"
            " departure, and on the vehicle's card: `triplog vehicle change`"
        )
    return _top_speed(value)


def _parsed(value: str, dimension: Dimension) -> str:
    try:
        return parse(value, dimension).typed
    except ValueError as problem:
        raise Refused(str(problem)) from problem


def _status(value: str) -> str:
    from scheduler.progress import DutyStatus

    try:
        return str(DutyStatus(value))
    except ValueError:
        raise Refused(f"{value!r} is none of: {', '.join(DutyStatus)}") from None
