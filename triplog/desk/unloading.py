"""The order of unloading: planned, worked out stop by stop, judged after each, and drawn."""

import copy
from dataclasses import dataclass
from pathlib import Path
from typing import cast

from triplog.desk.desk import Desk, present
from triplog.desk.judging import judge_document
from triplog.desk.picturing import write_drawings
from triplog.desk.planning import Document, take_off
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_at_the_wheel
from triplog.dossier.unloading import on_no_stop, stops_of, unloading_picture
from triplog.journal.entries import Body, Entry
from triplog.journal.trip import OPEN_STATES, Trip
from triplog.securement.model import Plan
from triplog.securement.plan_read import plan_from_document
from triplog.securement.unloading import (
    OrderRefused,
    Side,
    UnloadingStep,
    UnloadingStop,
    unloading_steps,
)

PICTURE = "unloading-order"


@dataclass(frozen=True, slots=True, kw_only=True)
class Unloading:
    """The steps with what each leaves open: verdict and rule, None where nothing stays.

    `on_no_stop`: articles that come off at no stop.
    """

    plan: Plan
    steps: tuple[UnloadingStep, ...]
    left_open: tuple[tuple[tuple[str, str], ...] | None, ...]
    on_no_stop: tuple[str, ...]

    @property
    def is_settled(self) -> bool:
        """Whether all come off somewhere, nothing is in the way, and what stays is held."""
        return not (
            self.on_no_stop or any(self.left_open) or any(one.in_the_way for one in self.steps)
        )


def stop_typed(text: str, number: int) -> UnloadingStop:
    """A stop as typed, "LIME-1, LIME-2:right"; Refused for a side that is none."""
    names, colon, side = text.partition(":")
    word = side.strip().lower()
    if colon and word not in {str(one) for one in Side}:
        raise Refused(f"a side is one of: {', '.join(Side)}; found {side.strip()!r} in {text!r}")
    articles = tuple(one.strip() for one in names.split(",") if one.strip())
    return UnloadingStop(number=number, articles=articles, side=Side(word) if colon else None)


def plan_unloading(
    desk: Desk, trip: Trip, stops: tuple[UnloadingStop, ...], *, note: str | None
) -> Entry:
    """Record what comes off at which stop; Refused where it is no order, and while driving."""
    if trip.state not in OPEN_STATES:
        raise Refused(f"trip {trip.label} is {trip.state}; nothing is unloaded from it any more")
    refuse_at_the_wheel(trip)
    _worked_out(trip, stops)
    plan = trip.plan
    assert plan is not None, "a trip opens with a plan"
    body: Body = {
        "stops": [
            present(articles=list(one.articles), side=None if one.side is None else str(one.side))
            for one in stops
        ],
        "revision": plan.entry.hash,
    }
    return desk.record(desk.draft("unloading_planned", body, trip=trip.id, private={"note": note}))


def unloading_of(trip: Trip) -> Unloading:
    """The order as last planned, against the plan in force; Refused where there is none."""
    stops = stops_of(trip)
    if not stops:
        raise Refused(
            f"no order of unloading is planned for trip {trip.label}; plan it with --stop, such as"
            ' --stop "A:right" --stop "B, C:rear"'
        )
    plan, steps = _worked_out(trip, stops)
    document = copy.deepcopy(cast(Document, trip.document))
    left_open: list[tuple[tuple[str, str], ...] | None] = []
    for step in steps:
        take_off(document, set(step.articles))
        if not step.stays:
            left_open.append(None)
            continue
        unsettled = judge_document(document).unsettled
        told = dict.fromkeys((str(one.verdict), one.rule) for one in unsettled)
        left_open.append(tuple(told))
    return Unloading(
        plan=plan,
        steps=steps,
        left_open=tuple(left_open),
        on_no_stop=tuple(on_no_stop(plan, steps)),
    )


def write_unloading_picture(found: Unloading, folder: Path) -> Path:
    """Write the picture as SVG; Refused where it is there already or cannot be written."""
    (path,) = write_drawings({PICTURE: unloading_picture(found.plan, found.steps)}, folder)
    return path


def _worked_out(
    trip: Trip, stops: tuple[UnloadingStop, ...]
) -> tuple[Plan, tuple[UnloadingStep, ...]]:
    plan = plan_from_document(trip.document or {})
    try:
        return plan, unloading_steps(plan, stops)
    except OrderRefused as problem:
        raise Refused(str(problem)) from problem
