"""The order of unloading that a trip was given: its steps, and what a sheet shows of them."""

from collections.abc import Iterator
from typing import Any, cast

from exports.document import Block, Heading, Paragraph, Picture
from triplog.drawing.deck import deck_in_unloading_order
from triplog.drawing.svg import Drawing
from triplog.journal.trip import Trip
from triplog.securement.model import Plan
from triplog.securement.plan_read import plan_from_document
from triplog.securement.unloading import Side, UnloadingStep, UnloadingStop, unloading_steps
from triplog.wording.unloading import TITLE, not_on_any_stop, order_note, step_lines, step_name

_HEIGHT_MM = 95.0


def stops_of(trip: Trip) -> tuple[UnloadingStop, ...]:
    """The stops as last planned, with the articles that are still on the plan; empty: none."""
    fact = trip.last("unloading_planned")
    if fact is None:
        return ()
    there = set(trip.article_ids) - trip.delivered_ids
    stops = []
    for number, stop in enumerate(cast(list[dict[str, Any]], fact.entry.body["stops"]), 1):
        articles = tuple(one for one in stop["articles"] if one in there)
        if articles:
            side = None if stop.get("side") is None else Side(stop["side"])
            stops.append(UnloadingStop(number=number, articles=articles, side=side))
    return tuple(stops)


def on_no_stop(plan: Plan, steps: tuple[UnloadingStep, ...]) -> list[str]:
    """The articles that come off at no stop."""
    given = {one for step in steps for one in step.articles}
    return [one.id for one in plan.articles if one.id not in given]


def unloading_picture(plan: Plan, steps: tuple[UnloadingStep, ...]) -> Drawing:
    """The deck from above with the stop of each article."""
    order = {
        one: (step.number, None if step.side is None else str(step.side))
        for step in steps
        for one in step.articles
    }
    rest = on_no_stop(plan, steps)
    told = [
        *(f"{step_name(step)}: {'; '.join(step_lines(step))}" for step in steps),
        *([not_on_any_stop(rest)] if rest else []),
        order_note(),
    ]
    return deck_in_unloading_order(plan, order, told)


def unloading_blocks(trip: Trip) -> Iterator[Block]:
    """Picture and words for a loader; nothing where no order was planned, or it fits no more."""
    stops = stops_of(trip)
    if not stops or trip.document is None:
        return
    plan = plan_from_document(trip.document)
    steps = unloading_steps(plan, stops)
    drawing = unloading_picture(plan, steps)
    yield Heading(text=TITLE.capitalize())
    yield Picture(svg=drawing.svg, alt=drawing.title, height_mm=_HEIGHT_MM)
    for step in steps:
        yield Heading(text=step_name(step), level=2)
        yield Paragraph(text="\n".join(step_lines(step)))
    rest = on_no_stop(plan, steps)
    if rest:
        yield Paragraph(text=not_on_any_stop(rest))
    yield Paragraph(text=order_note(), style="caution")
