"""The vehicles with their anchor points: kept once, copied into each plan."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Literal, cast

from triplog.desk.desk import Desk, present
from triplog.desk.finding_things import refuse_label, vehicle_named
from triplog.desk.refused import Refused
from triplog.journal.derived import VehicleRow
from triplog.journal.entries import Body, Entry
from triplog.journal.store import new_id
from triplog.journal.things import Thing
from triplog.journal.trip import records_in
from triplog.securement.model import PlanRefused
from triplog.securement.plan_read import plan_from_document
from triplog.securement.quantity import Dimension, Quantity, exact_text, parse

Side = Literal["left", "right", "both"]
_MOST_ANCHORS = 200


def add_vehicle(
    desk: Desk,
    *,
    label: str,
    document: Body,
    top_speed: str | None,
    note: str | None = None,
) -> Entry:
    """Make a vehicle's card. `document` holds the fields of a plan's [vehicle]."""
    refuse_label(desk, VehicleRow, label)
    return _record(
        desk,
        vehicle_id=new_id(),
        label=label,
        document=document,
        anchors=[],
        top_speed=top_speed,
        note=note,
    )


def change_vehicle(
    desk: Desk, label: str, *, document: Body, top_speed: str | None = None
) -> Entry:
    """Record a vehicle's card anew with some fields changed."""
    vehicle = vehicle_named(desk, label)
    return _record(
        desk,
        vehicle_id=vehicle.id,
        label=vehicle.label,
        document=cast(Body, vehicle.body["document"]) | document,
        anchors=records_in(vehicle.body, "anchors"),
        top_speed=top_speed or cast(str | None, vehicle.body.get("top_speed")),
        note=None,
    )


def add_anchor_row(
    desk: Desk,
    label: str,
    *,
    side: Side,
    first: str,
    every: str | None,
    count: int | None,
    fields: Body,
    across: str | None,
) -> Entry:
    """Add a row of anchor points to a vehicle: "both sides, every 4 ft from 2 ft".

    Without `count` the row goes on to the end of the deck. Ids run on: L1, L2 ..., R1, R2 ...
    """
    vehicle = vehicle_named(desk, label)
    anchors = list(records_in(vehicle.body, "anchors"))
    document = cast(Body, vehicle.body["document"])
    offset = across or _half_width(document)
    places = _places(document, first=first, every=every, count=count)
    for letter, word in (("L", "left"), ("R", "right")):
        if side not in (word, "both"):
            continue
        number = 1 + sum(1 for anchor in anchors if anchor["id"].startswith(letter))
        for place in places:
            anchor = {"id": f"{letter}{number}", "at": [place, f"{word} {offset}"], **fields}
            anchors.append(cast(dict[str, str], anchor))
            number += 1
    return _with_anchors(desk, vehicle, anchors)


def change_anchor(desk: Desk, label: str, anchor_id: str, *, fields: Body) -> Entry:
    """Change what is known of one anchor point."""
    vehicle = vehicle_named(desk, label)
    anchors = [dict(anchor) for anchor in records_in(vehicle.body, "anchors")]
    for anchor in anchors:
        if anchor["id"] == anchor_id:
            anchor.update(cast(dict[str, str], fields))
            return _with_anchors(desk, vehicle, anchors)
    there = ", ".join(anchor["id"] for anchor in anchors) or "none yet"
    raise Refused(f"{label} has no anchor point {anchor_id!r}; there is: {there}")


def card_of(desk: Desk, label: str | None) -> Body:
    """What a vehicle's card tells of it, by the field of a plan's [vehicle]."""
    return cast(Body, vehicle_named(desk, label).body["document"])


def vehicle_tables(vehicle: Thing) -> Body:
    """The vehicle's part of a plan document: its [vehicle] and its [[anchor]] tables."""
    document = dict(cast(Mapping[str, object], vehicle.body["document"]))
    return {"vehicle": {"name": vehicle.label, **document}, "anchor": vehicle.body["anchors"]}


def _with_anchors(desk: Desk, vehicle: Thing, anchors: list[dict[str, str]]) -> Entry:
    return _record(
        desk,
        vehicle_id=vehicle.id,
        label=vehicle.label,
        document=cast(Body, vehicle.body["document"]),
        anchors=anchors,
        top_speed=cast(str | None, vehicle.body.get("top_speed")),
        note=None,
    )


def _record(
    desk: Desk,
    *,
    vehicle_id: str,
    label: str,
    document: Body,
    anchors: list[dict[str, str]],
    top_speed: str | None,
    note: str | None,
) -> Entry:
    plan: Body = {"format": "triplog-plan/1", "vehicle": {"name": label, **document}}
    try:
        plan_from_document(plan | {"anchor": anchors})
    except PlanRefused as problem:
        raise Refused(str(problem)) from problem
    if top_speed is not None:
        refuse_bad_top_speed(top_speed)
    return desk.record(
        desk.draft(
            "vehicle_recorded",
            present(
                id=vehicle_id,
                label=label,
                document=document,
                anchors=anchors,
                top_speed=top_speed,
            ),
            private={"note": note},
        )
    )


def stated_top_speed(desk: Desk, label: str | None) -> str | None:
    """The top road speed on a vehicle's card as typed; None: not stated, or there is no card."""
    query = "SELECT top_speed FROM vehicle WHERE label = ?"
    row = desk.store.raw.execute(query, (label,)).fetchone()
    return None if row is None else cast(str | None, row[0])


def refuse_bad_top_speed(typed: str) -> None:
    """Refuse a top road speed that cannot be read, or is zero."""
    try:
        speed = parse(typed, Dimension.SPEED)
    except ValueError as problem:
        raise Refused(str(problem)) from problem
    _refuse_zero(speed)


def _places(document: Body, *, first: str, every: str | None, count: int | None) -> list[str]:
    """Where the anchor points of a row lie, back from the deck front, in the row's own unit."""
    start = _length(first)
    if every is None:
        if count not in (None, 1):
            raise Refused("several anchor points in a row need --every")
        return [first]
    step = _length(every)
    _refuse_zero(step)
    if count is None:
        deck = document.get("deck_length")
        if not isinstance(deck, str):
            raise Refused(
                "the deck length is not known: give --count, or the vehicle's deck length"
            )
        count = int((_length(deck).si - start.si) / step.si) + 1
    if not 0 < count <= _MOST_ANCHORS:
        raise Refused(
            f"a row of {count} anchor points cannot be right; look at --first and --every"
        )
    return [
        f"{exact_text(start.in_unit(step.unit).value + step.value * number)} {step.unit}"
        for number in range(count)
    ]


def _half_width(document: Body) -> str:
    width = document.get("deck_width")
    if not isinstance(width, str):
        raise Refused("the deck width is not known: give --across, or the vehicle's deck width")
    quantity = _length(width)
    return f"{exact_text(quantity.value * Fraction(1, 2))} {quantity.unit}"


def _length(typed: str) -> Quantity:
    try:
        return parse(typed, Dimension.LENGTH)
    except ValueError as problem:
        raise Refused(str(problem)) from problem


def _refuse_zero(quantity: Quantity) -> None:
    if quantity.value == 0:
        raise Refused(f"{quantity.typed} must be above zero")
