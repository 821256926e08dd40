"""The gear: in and out of stock, set aside, unfit."""

import re
from typing import cast

from triplog.desk.desk import Desk
from triplog.desk.finding_things import gear_named, label_is_free
from triplog.desk.refused import Refused
from triplog.journal.derived import GearRow
from triplog.journal.entries import Body, Entry, time_text
from triplog.journal.store import new_id
from triplog.journal.things import Standing, Thing
from triplog.securement.model import PlanRefused
from triplog.securement.plan_read import plan_from_document

_MOST_ALIKE = 500
_NUMBERED = re.compile(r"(.*?)(\d+)")


def add_gear(
    desk: Desk, *, label: str, item: Body, count: int = 1, note: str | None = None
) -> list[Entry]:
    """Take gear into stock; `count` many alike are numbered on from the label.

    `item` holds the fields of a plan's [[gear]] but the id, which is the label.
    """
    if not 0 < count <= _MOST_ALIKE:
        raise Refused(f"{count} pieces at once cannot be right; at most {_MOST_ALIKE}")
    labels = _numbered(label, count)
    for one in labels:
        if not label_is_free(desk, GearRow, one):
            raise Refused(f"there is gear {one!r} already; give another label")
    _refuse_bad(labels[0], item)
    entries = []
    with desk.writing() as writing:
        for number, one in enumerate(labels):
            draft = desk.draft(
                "gear_recorded",
                {"id": new_id(), "label": one, "item": item},
                private={"note": note},
            )
            entries.append(writing.append(draft) if number else desk.append(writing, draft))
    return entries


def change_gear(desk: Desk, label: str, *, item: Body) -> Entry:
    """Record a gear card anew with some fields changed."""
    thing = gear_named(desk, label)
    changed = dict(thing.item) | item
    _refuse_bad(label, changed)
    return desk.record(
        desk.draft("gear_recorded", {"id": thing.id, "label": label, "item": changed})
    )


def set_standing(desk: Desk, label: str, standing: Standing, *, reason: str | None) -> Entry:
    """Set gear aside, say it is unfit, or put it back into stock."""
    thing = gear_named(desk, label)
    if thing.standing is standing:
        raise Refused(f"{label} is {standing} already")
    if standing is Standing.IN_STOCK and thing.standing is Standing.UNFIT:
        raise Refused(
            f"{label} is unfit and stays out; where that was a mistake, withdraw the entry"
        )
    return desk.record(
        desk.draft(
            "gear_standing_set",
            {"gear": thing.id, "standing": str(standing)},
            private={"reason": reason or "no reason given"},
        )
    )


def gear_table(thing: Thing) -> Body:
    """The gear's [[gear]] table in a plan document."""
    return {"id": thing.label, **thing.item}


def usable_gear(desk: Desk, label: str) -> Thing:
    """Gear that may be planned; Refused, with reason and date, for gear set aside or unfit."""
    thing = gear_named(desk, label)
    fact = thing.standing_fact
    if thing.standing is not Standing.IN_STOCK and fact is not None:
        reason = desk.store.openings(fact.entry.hash).get("reason", "reason withheld")
        day = time_text(fact.entry.event_time)[:10]
        raise Refused(f"{label} is {thing.standing} since {day} ({reason}); take other gear")
    return thing


def _numbered(label: str, count: int) -> list[str]:
    if count == 1:
        return [label]
    found = _NUMBERED.fullmatch(label)
    stem, first = (found[1], int(found[2])) if found else (f"{label}-", 1)
    return [f"{stem}{first + step}" for step in range(count)]


def _refuse_bad(label: str, item: Body) -> None:
    plan: Body = {"format": "triplog-plan/1", "gear": [cast(object, {"id": label, **item})]}
    try:
        plan_from_document(plan)
    except PlanRefused as problem:
        raise Refused(str(problem).replace("gear[0]", f"gear {label}")) from problem
