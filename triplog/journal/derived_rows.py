"""From folded entries to rows of the derived tables: one function per kind of entry, all pure."""

import json
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import TypeAlias, cast

from sqlmodel import SQLModel

from triplog.journal.derived import (
    AnchorRow,
    ArticleRow,
    CheckLineRow,
    CheckLookRow,
    CheckRow,
    DutyRow,
    FindingRow,
    GearRow,
    PersonRow,
    PlanRow,
    PromptRow,
    ReadingRow,
    TieDownRow,
    TripEventRow,
    VehicleRow,
)
from triplog.journal.derived_photos import photo_rows
from triplog.journal.entries import Body, time_text
from triplog.journal.folding import InForce
from triplog.journal.things import Thing
from triplog.journal.trip import OPEN_STATES, Trip, records_in, text_in
from triplog.securement.quantity import Dimension, parse

Row: TypeAlias = tuple[type[SQLModel], dict[str, object]]


def odometer_mm(typed: str) -> int:
    """An odometer reading in whole millimetres, nearest."""
    return round(parse(typed, Dimension.LENGTH).si * 1000)


def rows_of_fact(trip: Trip, fact: InForce) -> Iterator[Row]:
    """The rows that one entry of a trip gives, apart from the trip's own row."""
    odometer = fact.entry.body.get("odometer")
    if isinstance(odometer, str):
        yield (
            ReadingRow,
            _when(trip, fact)
            | {
                "odometer": odometer,
                "odometer_mm": odometer_mm(odometer),
                "via": fact.entry.via,
            },
        )
    rows = _ROWS.get(fact.original.kind)
    if rows is not None:
        yield from rows(trip, fact)
    elif fact.original.kind in _WHAT:
        what = _WHAT[fact.original.kind](fact.entry.body)
        yield TripEventRow, _when(trip, fact) | {"kind": fact.original.kind, "what": what}


def may_change_trip_row(trip: Trip, kind: str) -> bool:
    """Whether a new entry of a kind, following none, can change the trip's own row."""
    return kind in _IN_TRIP_ROW or trip.first("trip_opened") is None


_IN_TRIP_ROW = frozenset(
    {
        "trip_opened",
        "plan_recorded",
        "plan_judged",
        "loading_recorded",
        "departed",
        "duty_changed",
        "article_delivered",
        "trip_closed",
        "trip_withdrawn",
        "hold_placed",
        "hold_lifted",
        "openings_destroyed",
    }
)


def row_of_trip(trip: Trip) -> dict[str, object]:
    """The trip's own row."""
    opened, departure, plan = trip.first("trip_opened"), trip.departure, trip.plan
    ended = trip.first("trip_closed") or trip.first("trip_withdrawn")
    not_met, not_known = _unsettled(trip.judgement)
    deleted = trip.deletion
    state = trip.state
    return {
        "id": trip.id,
        "label": trip.label,
        "state": str(state),
        "is_open": int(state in OPEN_STATES),
        "opened_at": time_text((opened or trip.facts[0]).entry.event_time),
        "departed_at": None if departure is None else time_text(departure.entry.event_time),
        "ended_at": None if ended is None else time_text(ended.entry.event_time),
        "driver": None if departure is None else text_in(departure.entry.body, "driver"),
        "vehicle": None if departure is None else departure.entry.body.get("vehicle"),
        "revision": None if plan is None else plan.entry.hash,
        "revision_number": None if plan is None else plan.entry.body["number"],
        "not_met": not_met,
        "not_known": not_known,
        "duty": ", ".join(sorted(set(trip.duty_by_driver.values()))) or None,
        "holds": len(trip.holds),
        "deleted_at": None if deleted is None else time_text(deleted.entry.event_time),
        "deleted_by": None if deleted is None else deleted.entry.by,
    }


def rows_of_thing(thing: Thing) -> Iterator[Row]:
    """The rows of a piece of gear, a vehicle or a person."""
    body = thing.body
    match thing.card.original.kind:
        case "gear_recorded":
            item = thing.item
            wll, look = item.get("wll"), thing.last_look
            yield (
                GearRow,
                {
                    "id": thing.id,
                    "label": thing.label,
                    "standing": str(thing.standing),
                    "wll_n": _si(wll, Dimension.FORCE),
                    "is_held": int(thing.hold is not None),
                    "inspected_at": None if look is None else time_text(look.entry.event_time),
                    "inspect_by": thing.inspect_by,
                    **{name: item.get(name) for name in _GEAR_COLUMNS},
                },
            )
        case "vehicle_recorded":
            document = cast(Body, body["document"])
            anchors = records_in(body, "anchors")
            yield (
                VehicleRow,
                {
                    "id": thing.id,
                    "label": thing.label,
                    "top_speed": body.get("top_speed"),
                    "anchors": len(anchors),
                    **{name: document.get(name) for name in _VEHICLE_COLUMNS},
                },
            )
            for anchor in anchors:
                at = cast(list[str | None], anchor.get("at", [None, None]))
                yield (
                    AnchorRow,
                    {
                        "vehicle": thing.id,
                        "id": anchor["id"],
                        "kind": anchor.get("kind"),
                        "from_front": at[0],
                        "across": at[1],
                        "wll": anchor.get("wll"),
                    },
                )
        case "person_recorded":
            roles = ", ".join(cast(list[str], body["roles"]))
            yield PersonRow, {"id": thing.id, "label": thing.label, "roles": roles}


_GEAR_COLUMNS = ("kind", "width", "size", "grade", "length", "wll", "mass")
_VEHICLE_COLUMNS = ("gross_mass", "use", "deck_length", "deck_width")


def _when(trip: Trip, fact: InForce) -> dict[str, object]:
    return {
        "entry": fact.entry.hash,
        "trip": trip.id,
        "event_time": time_text(fact.entry.event_time),
        "event_offset_min": fact.entry.event_offset_min,
        "entry_time": time_text(fact.entry.entry_time),
        "time_doubt": fact.entry.body.get("time_doubt"),
        "by": fact.entry.by,
    }


def _plan_rows(trip: Trip, fact: InForce) -> Iterator[Row]:
    document = cast(Body, fact.entry.body["document"])
    articles, tie_downs = records_in(document, "article"), records_in(document, "tie_down")
    yield (
        PlanRow,
        _when(trip, fact)
        | {
            "number": fact.entry.body["number"],
            "cause": fact.entry.body.get("cause"),
            "articles": len(articles),
            "tie_downs": len(tie_downs),
        },
    )
    within = {"revision": fact.entry.hash, "trip": trip.id}
    for article in articles:
        plain = ("id", "what", "commodity", "mass", "mass_basis", "length")
        yield (
            ArticleRow,
            within
            | {name: article.get(name) for name in plain}
            | {
                "mass_kg": _si(article.get("mass"), Dimension.MASS),
                "length_m": _si(article.get("length"), Dimension.LENGTH),
            },
        )
    for tie_down in tie_downs:
        yield (
            TieDownRow,
            within
            | {
                "id": tie_down["id"],
                "holds": ", ".join(tie_down["holds"]),
                "path": tie_down.get("path"),
                "gear": tie_down.get("gear"),
                "from_anchor": tie_down.get("from"),
                "to_anchor": tie_down.get("to"),
            },
        )


def _finding_rows(trip: Trip, fact: InForce) -> Iterator[Row]:
    findings = records_in(cast(Body, fact.entry.body["findings"]), "findings")
    for number, finding in enumerate(findings):
        required, provided = _measure(finding.get("required")), _measure(finding.get("provided"))
        citation = cast(dict[str, str], finding["citation"])
        yield (
            FindingRow,
            {
                "judgement": fact.entry.hash,
                "number": number,
                "trip": trip.id,
                "revision": fact.entry.body["revision"],
                "rule": finding["rule"],
                "about": ", ".join(finding["about"]),
                "verdict": finding["verdict"],
                "scope": finding["scope"],
                "clause": f"{citation['source']} {citation['clause']}".strip(),
                "required": required[0],
                "required_unit": required[1],
                "provided": provided[0],
                "provided_unit": provided[1],
            },
        )


def _duty_rows(trip: Trip, fact: InForce) -> Iterator[Row]:
    body = fact.entry.body
    yield (
        DutyRow,
        _when(trip, fact) | {"driver": body["driver"], "status": body.get("status", "driving")},
    )
    if fact.original.kind == "departed":
        yield TripEventRow, _when(trip, fact) | {"kind": "departed", "what": _departed(body)}


def _check_rows(trip: Trip, fact: InForce) -> Iterator[Row]:
    body = fact.entry.body
    yield (
        CheckRow,
        _when(trip, fact)
        | {
            "complete": int(fact.original.kind == "check_completed"),
            "odometer": body.get("odometer"),
            "closes": " ".join(cast(list[str], body.get("closes", []))),
            "late": ", ".join(
                f"{one['due']} {one['by']} {one['measure']}" for one in records_in(body, "late")
            )
            or None,
        },
    )
    for line in records_in(body, "lines"):
        yield (
            CheckLineRow,
            {
                "check": fact.entry.hash,
                "tie_down": line["tie_down"],
                "trip": trip.id,
                "found": line["found"],
                "notches": line.get("notches"),
                "moved": line.get("moved"),
            },
        )
    for look in records_in(body, "looks"):
        put_right = look.get("put_right")
        yield (
            CheckLookRow,
            {
                "check": fact.entry.hash,
                "item": look["item"],
                "trip": trip.id,
                "looked_at": int(look["looked_at"]),
                "found": look.get("found"),
                "put_right": None if put_right is None else int(put_right),
            },
        )


def _prompt_rows(trip: Trip, fact: InForce) -> Iterator[Row]:
    body = fact.entry.body
    outcomes = [
        one.entry.body
        for one in trip.of("prompt_outcome")
        if one.entry.body["raised"] == fact.original.hash
    ]
    plain = ("due", "rule", "stage", "channel", "number")
    yield (
        PromptRow,
        {key: value for key, value in _when(trip, fact).items() if key != "by"}
        | {name: body[name] for name in plain}
        | {
            "repeated": int(any(one.get("repeated") for one in outcomes)),
            "outcome": json.dumps(outcomes[-1]["outcomes"]) if outcomes else None,
        },
    )


_ROWS: dict[str, Callable[[Trip, InForce], Iterator[Row]]] = {
    "plan_recorded": _plan_rows,
    "plan_judged": _finding_rows,
    "departed": _duty_rows,
    "duty_changed": _duty_rows,
    "check_completed": _check_rows,
    "check_left_open": _check_rows,
    "photo_added": lambda trip, fact: photo_rows(_when(trip, fact), fact.entry.body),
    "prompt_raised": _prompt_rows,
}


def _departed(body: Body) -> str:
    unmet = len(cast(list[object], body["unmet"]))
    return f"departed with {unmet} findings not met or unknown" if unmet else "departed"


def _named(name: str) -> Callable[[Body], str]:
    def what(body: Body) -> str:
        value = body.get(name)
        return ", ".join(map(str, value)) if isinstance(value, list) else str(value)

    return what


_TOGETHER = {
    True: "handed over, looked together",
    False: "handed over, not looked together",
    None: "handed over",
}
_WHAT: dict[str, Callable[[Body], str]] = {
    "trip_opened": _named("label"),
    "unloading_planned": lambda body: f"{len(records_in(body, 'stops'))} stops",
    "loading_recorded": lambda _: "loading recorded",
    "stop_planned": lambda body: f"stop planned at {body.get('at_odometer', 'no reading named')}",
    "second_look_recorded": lambda body: f"{body['how']}: {body.get('seen', 'nothing')}",
    "gear_replaced": lambda body: (
        f"{body['in']} in place of {body.get('out', 'nothing')}, {body['order']}"
    ),
    "event_reported": _named("what"),
    "duty_imported": lambda body: f"{body['status']} (imported)",
    "readings_imported": lambda body: f"imported from {body['source']}",
    "office_message_queued": _named("due"),
    "office_message_tried": _named("came"),
    "prompt_heard": _named("due"),
    "late_reason_given": _named("due"),
    "cause_told": _named("tie_down"),
    "checks_exempted": _named("grounds"),
    "article_delivered": _named("articles"),
    "handed_over": lambda body: _TOGETHER[cast(bool | None, body.get("looked_together"))],
    "released": lambda body: "released" if body["ready"] else "not released",
    "trip_closed": lambda _: "closed",
    "trip_withdrawn": lambda _: "withdrawn",
    "hold_placed": lambda _: "put under an evidence hold",
    "hold_lifted": lambda _: "evidence hold lifted",
    "deletion_refused": _named("why"),
    "incident_reported": lambda _: "incident reported",
    "incident_added": lambda _: "told of an incident later",
    "piece_kept": lambda body: f"{body['piece']}, {body['state']}",
}


def _unsettled(judgement: InForce | None) -> tuple[int | None, int | None]:
    if judgement is None:
        return None, None
    findings = records_in(cast(Body, judgement.entry.body["findings"]), "findings")
    verdicts = [finding["verdict"] for finding in findings]
    return verdicts.count("does not meet"), verdicts.count("cannot tell")


def _measure(value: object) -> tuple[str | None, str | None]:
    measure = cast(dict[str, str] | None, value)
    return (None, None) if measure is None else (measure["value"], measure["unit"])


def _si(typed: object, dimension: Dimension) -> float | None:
    if not isinstance(typed, str):
        return None
    si: Fraction = parse(typed, dimension).si
    return float(si)
