"""The gear: in and out of stock, set aside, unfit."""

from collections.abc import Iterable
from datetime import datetime
from typing import cast

from triplog.desk.desk import Desk, present
from triplog.desk.finding_things import gear_named, labels_taken, person_label, refuse_label
from triplog.desk.refused import Refused
from triplog.journal.derived import GearRow
from triplog.journal.entries import Body, Draft, Entry, time_text
from triplog.journal.folding import InForce
from triplog.journal.store import new_id
from triplog.journal.things import Standing, Thing
from triplog.journal.trip import Trip, records_in
from triplog.securement.stock.words import ALIKE_MAX, WordRefused, damage_named, day_of, numbered

HELD = "under an evidence hold"


def add_gear(
    desk: Desk,
    *,
    label: str,
    item: Body,
    count: int = 1,
    inspect_by: str | None = None,
    note: str | None = None,
) -> list[Entry]:
    """Take gear into stock; `count` many alike are numbered on from the label.

    `item` holds the fields of a plan's [[gear]] but the id, which is the label. `inspect_by`: the
    day to look at it again. What is damaged is set aside with it.
    """
    if not 0 < count <= ALIKE_MAX:
        raise Refused(f"{count} pieces at once cannot be right; at most {ALIKE_MAX}")
    labels = numbered(label, count)
    for one in labels:
        refuse_label(desk, GearRow, one)
    _refuse_bad(labels[0], item)
    day = None if inspect_by is None else day_text(inspect_by)
    entries = []
    with desk.writing() as writing:
        for number, one in enumerate(labels):
            draft = desk.draft(
                "gear_recorded",
                {"id": new_id(), "label": one, "item": item, **present(inspect_by=day)},
                private={"note": note},
            )
            entries.append(writing.append(draft) if number else desk.append(writing, draft))
            if item.get("damage"):
                writing.append(_damaged_draft(desk, cast(str, draft.body["id"]), item))
    return entries


def change_gear(
    desk: Desk, label: str, *, item: Body, inspect_by: str | None = None
) -> list[Entry]:
    """Record a gear card anew with some fields changed; damage named now sets the piece aside.

    Of an end fitting or a tensioner that stays what it is, what is not given stays as it was.
    """
    thing = gear_named(desk, label)
    changed = dict(thing.item) | item | _parts_kept(thing.item, item)
    _refuse_bad(label, changed)
    day = thing.inspect_by if inspect_by is None else day_text(inspect_by)
    body: Body = {"id": thing.id, "label": label, "item": changed, **present(inspect_by=day)}
    with desk.writing() as writing:
        entries = [desk.append(writing, desk.draft("gear_recorded", body))]
        if item.get("damage") and thing.standing is Standing.IN_STOCK:
            entries.append(writing.append(_damaged_draft(desk, thing.id, item)))
    return entries


def _parts_kept(old: Body, new: Body) -> Body:
    """The parts given anew, with what was known of them where their kind stays the same."""

    def kept(before: Body, now: Body) -> Body:
        same = "kind" not in now or now["kind"] == before.get("kind")
        return dict(before) | dict(now) if same else now

    found: dict[str, object] = {}
    if "tensioner" in old and "tensioner" in new:
        found["tensioner"] = kept(cast(Body, old["tensioner"]), cast(Body, new["tensioner"]))
    before, now = (cast(list[Body], one.get("fittings") or []) for one in (old, new))
    if len(before) == len(now) and now:
        found["fittings"] = [kept(*pair) for pair in zip(before, now, strict=True)]
    return found


def set_standing(desk: Desk, label: str, standing: Standing, *, reason: str | None) -> Entry:
    """Set gear aside, say it is unfit, or put it back into stock, which needs a reason."""
    thing = gear_named(desk, label)
    if standing is Standing.IN_STOCK and thing.hold is not None:
        raise Refused(f"{_told(desk, label, HELD, thing.hold)}; lift the hold first")
    if thing.standing is standing:
        raise Refused(f"{label} is {standing} already")
    if standing is Standing.IN_STOCK:
        _refuse_return(thing, reason)
    return desk.record(
        desk.draft(
            "gear_standing_set",
            {"gear": thing.id, "standing": str(standing)},
            private={"reason": reason or "no reason given"},
        )
    )


def _refuse_return(thing: Thing, reason: str | None) -> None:
    """Refuse to bring back unfit gear, and any gear without a reason."""
    if thing.standing is Standing.UNFIT:
        raise Refused(
            f"{thing.label} is unfit and stays out; where that was a mistake, withdraw the entry"
        )
    if not (reason or "").strip():
        raise Refused(f"{thing.label} comes back only with a reason: --reason")


def hurt_drafts(
    desk: Desk, trip: Trip, tie_downs: Iterable[str], what: str, *, at: datetime | None
) -> list[Draft]:
    """The drafts that set aside the gear of tie-downs found damaged or broken on the road.

    Gear without a card, or out of use already, is left as it is.
    """
    hurt = frozenset(tie_downs)
    drafts = []
    labels = labels_taken(desk, GearRow)
    for one in records_in(trip.document or {}, "tie_down"):
        label = one.get("gear")
        if one["id"] not in hurt or not isinstance(label, str) or label not in labels:
            continue
        thing = gear_named(desk, label)
        if thing.standing is Standing.IN_STOCK:
            body: Body = {"gear": thing.id, "standing": str(Standing.SET_ASIDE)}
            reason = f"{what}, trip {trip.label}, {one['id']}"
            drafts.append(desk.draft("gear_standing_set", body, private={"reason": reason}, at=at))
    return drafts


def gear_table(thing: Thing) -> Body:
    """The gear's [[gear]] table in a plan document."""
    return {"id": thing.label, **thing.item}


def usable_gear(desk: Desk, label: str) -> Thing:
    """Gear that may be planned; Refused, with why and since when, for gear out of use."""
    thing = gear_named(desk, label)
    why = out_of_use(desk, thing)
    if why is not None:
        raise Refused(f"{why}; take other gear")
    return thing


def out_of_use(desk: Desk, thing: Thing) -> str | None:
    """Why gear may not be used: set aside, unfit or under a hold; None: it is in stock."""
    if thing.hold is not None:
        return _told(desk, thing.label, HELD, thing.hold)
    fact = thing.standing_fact
    if thing.standing is Standing.IN_STOCK or fact is None:
        return None
    return _told(desk, thing.label, str(thing.standing), fact)


def damage_typed(text: str) -> Body:
    """Damage as typed, such as "cut 3/16 in", as a kind and a size."""
    try:
        return damage_named(text)
    except WordRefused as problem:
        raise Refused(f"write --damage with {problem.write}; found {text!r}") from problem


def day_text(typed: str) -> str:
    """A day as typed; Refused where it could be read in several orders."""
    try:
        return day_of(typed)
    except WordRefused as problem:
        raise Refused(f"{typed!r}: {problem}") from problem


def _told(desk: Desk, label: str, word: str, fact: InForce) -> str:
    """A piece, how it stands, since when, by whom, and why."""
    opened = desk.store.openings(fact.entry.hash)
    reason = opened.get("reason") or damage_text(fact.entry.body) or "reason withheld"
    day = time_text(fact.entry.event_time)[:10]
    return f"{label} is {word} since {day} by {person_label(desk, fact.entry.by)} ({reason})"


def damage_text(body: Body) -> str:
    """The damage that an entry tells of, in a few words; "" without any."""
    listed = cast(list[dict[str, str]], body.get("damage", []))
    return ", ".join(" ".join(one.values()) for one in listed)


def _damaged_draft(desk: Desk, gear: str, item: Body) -> Draft:
    return desk.draft(
        "gear_standing_set",
        {"gear": gear, "standing": str(Standing.SET_ASIDE)},
        private={"reason": damage_text(item)},
    )


def _refuse_bad(label: str, item: Body) -> None:
    # The commands of the road set gear aside too, and read no plan for it.
    from triplog.securement.model import PlanRefused
    from triplog.securement.plan_file import new_plan

    plan: Body = {"format": "triplog-plan/1", "gear": [cast(object, {"id": label, **item})]}
    try:
        new_plan(plan)
    except PlanRefused as problem:
        raise Refused(str(problem).replace("gear[0]", f"gear {label}")) from problem
