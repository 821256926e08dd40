"""Looking at gear: what was found, and what follows from it."""

from dataclasses import dataclass
from datetime import datetime

from triplog.desk.desk import Desk, present
from triplog.desk.finding_things import gear_named
from triplog.desk.gear import day_text, gear_table
from triplog.desk.refused import Refused
from triplog.journal.entries import Body, Draft, Entry
from triplog.journal.things import Thing
from triplog.securement.inspection import PLACES, Look, look_at
from triplog.securement.model import PlanRefused
from triplog.securement.plan_names import PLAN_FORMAT
from triplog.securement.plan_read import plan_from_document
from triplog.securement.quantity import Dimension, Quantity, QuantityRefused, parse
from triplog.wording.gear import against_record


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspected:
    """A recorded inspection, its answer, and the gear as it stands after it."""

    entry: Entry
    look: Look
    thing: Thing


def inspect(
    desk: Desk,
    label: str,
    *,
    damage: list[Body],
    used_in: tuple[str, ...] = (),
    allowed: str | None = None,
    allowed_by: str | None = None,
    inspect_by: str | None = None,
    note: str | None = None,
    at: datetime | None = None,
) -> Inspected:
    """Record what was found on a piece; `damage` empty: looked at, and nothing was found.

    `used_in`: where it will be used, empty: anywhere. `allowed`: the damage that label or maker
    allow, and `allowed_by` where that is said. `inspect_by`: the day of the next look.
    """
    thing = gear_named(desk, label)
    draft, look = look_draft(
        desk,
        thing,
        damage=damage,
        used_in=used_in,
        allowed=allowed,
        allowed_by=allowed_by,
        inspect_by=inspect_by,
        note=note,
        at=at,
    )
    return Inspected(entry=desk.record(draft), look=look, thing=gear_named(desk, label))


def look_draft(
    desk: Desk,
    thing: Thing,
    *,
    damage: list[Body],
    used_in: tuple[str, ...] = (),
    allowed: str | None = None,
    allowed_by: str | None = None,
    inspect_by: str | None = None,
    note: str | None = None,
    at: datetime | None = None,
) -> tuple[Draft, Look]:
    """The draft of an inspection, as `inspect` records it, and what it comes to."""
    unknown = [place for place in used_in if place not in PLACES]
    if unknown:
        raise Refused(f"where it is used is one of {', '.join(PLACES)}; found {unknown[0]!r}")
    if allowed is not None and allowed_by is None:
        raise Refused("say with --allowed-by where that is allowed: the label, a maker's sheet")
    table = gear_table(thing) | {"damage": damage}
    try:
        plan = plan_from_document({"format": PLAN_FORMAT, "gear": [table]})
    except PlanRefused as problem:
        raise Refused(str(problem).replace("gear[0]", f"gear {thing.label}")) from problem
    (gear,) = plan.gear
    look = look_at(gear, gear.damage or (), used_in=used_in, allowed=_length(allowed))
    draft = desk.draft(
        "gear_inspected",
        {
            "gear": thing.id,
            "damage": damage,
            "answer": str(look.answer),
            "limits": [against_record(one) for one in look.against],
            **present(
                used_in=list(used_in) or None,
                allowed=allowed,
                inspect_by=None if inspect_by is None else day_text(inspect_by),
            ),
        },
        private={"note": note, "reason": allowed_by},
        at=at,
    )
    return draft, look


def _length(typed: str | None) -> Quantity | None:
    if typed is None:
        return None
    try:
        return parse(typed, Dimension.LENGTH)
    except QuantityRefused as problem:
        raise Refused(str(problem)) from problem
