"""`triplog trip`: opening a trip, listing, showing, withdrawing."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from triplog.cli import asking
from triplog.cli.articles import (
    At,
    Basis,
    Blocked,
    Commodity,
    Contained,
    Height,
    Length,
    Mass,
    Rolls,
    Section,
    Sharp,
    Stands,
    What,
    Width,
    article_fields,
)
from triplog.cli.face import (
    AsJson,
    Note,
    OfTrip,
    Reason,
    as_record,
    face,
    given,
    line_width,
    recorded,
    show,
    show_json,
)
from triplog.cli.tie_downs import tie_down_fields
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from triplog.desk.desk import Desk
    from triplog.desk.planning import Change
    from triplog.journal.trip import Trip

app = typer.Typer(help="The trips.", no_args_is_help=True)


@app.command("new")
def new(
    context: typer.Context,
    label: Annotated[str | None, typer.Option("--label", help="Else T-1, T-2 ...")] = None,
    vehicle: Annotated[str | None, typer.Option("--vehicle", help="By label.")] = None,
    like: Annotated[
        str | None, typer.Option("--like", help="Take load and vehicle from an earlier trip.")
    ] = None,
    origin: Annotated[str | None, typer.Option("--from", help="Nearest town; private.")] = None,
    destination: Annotated[str | None, typer.Option("--to", help="Nearest town; private.")] = None,
    papers: Annotated[str | None, typer.Option("--papers", help="Shipping paper number.")] = None,
    rules: Annotated[
        list[str] | None,
        typer.Option("--rules", help="A rule set to judge by; may be repeated."),
    ] = None,
    what: What = None,
    mass: Mass = None,
    basis: Basis = None,
    length: Length = None,
    width: Width = None,
    height: Height = None,
    commodity: Commodity = None,
    section: Section = None,
    at: At = None,
    blocked: Blocked = None,
    sharp_edges: Sharp = None,
    rolls: Rolls = None,
    contained: Contained = None,
    stands_unaided: Stands = None,
    strap: Annotated[
        list[str] | None,
        typer.Option("--strap", help="A tie-down over the load, GEAR:FROM:TO, such as S-1:L2:R2."),
    ] = None,
    note: Note = None,
) -> None:
    """Open a trip; a light load goes in one command, with --what, --mass, --length, --strap."""
    from triplog.desk.trips import Opening, new_trip_label, open_trip, rules_change

    here = face(context)
    desk = here.desk()
    label = label or new_trip_label(desk)
    earlier, changes = _before_the_load(desk, vehicle, like)
    article = article_fields(
        what=what,
        mass=mass,
        mass_basis=basis,
        length=length,
        width=width,
        height=height,
        commodity=commodity,
        section=section,
        blocked=blocked,
        sharp_edges=sharp_edges,
        rolls=rolls,
        contained=contained,
        stands_unaided=stands_unaided,
        at=at,
        friction=None,
    )
    opening = Opening(
        label=label,
        like=earlier,
        origin=asking.maybe(origin, "From which town, kept private"),
        destination=asking.maybe(destination, "To which town, kept private"),
        papers=papers,
        note=note,
    )
    changes += [rules_change(rules)] if rules else []
    changes += _load(desk, label, article, strap or [])
    trip = here.recording(desk, lambda: open_trip(desk, opening, changes))
    _show_new(trip)


def _show_new(trip: "Trip") -> None:
    from triplog.cli.next_step import of_plan
    from triplog.screen import plan_lines

    assert trip.plan is not None, "a trip opens with a plan"
    show([recorded(trip.plan.entry, f"trip {trip.label}, plan 1"), ""])
    show(plan_lines(given(**(trip.document or {}))))
    show(asking.next_line(of_plan(trip.document or {})))


def _ask_vehicle(desk: "Desk") -> str | None:
    """Which of several vehicles; None where there is no choice, or nobody to ask."""
    from triplog.desk.looking import vehicles

    there = [str(row["label"]) for row in vehicles(desk)]
    if len(there) < 2 or not asking.at_terminal():
        return None
    question = f"Which vehicle, of {asking.listed(there)}"
    return asking.text(None, question, "--vehicle", reads=asking.among(there, "vehicle"))


def _before_the_load(
    desk: "Desk", vehicle: str | None, like: str | None
) -> "tuple[Trip | None, list[Change]]":
    """The earlier trip that was named, and what a new plan takes from it and from the vehicle."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.trips import like_change, vehicle_change
    from triplog.journal.trip import TripState

    if like is None:
        return None, vehicle_change(desk, vehicle or _ask_vehicle(desk))
    earlier = the_trip(desk, like, TripState)
    named = [] if vehicle is None else vehicle_change(desk, vehicle)
    return earlier, [like_change(earlier), *named]


def _load(desk: "Desk", label: str, article: dict[str, Any], straps: list[str]) -> "list[Change]":
    """A light load in one command: its one article and the straps over it."""
    from triplog.desk.planning import add_article

    loaded = [add_article(article=article, article_id=None, count=1)] if article else []
    return [*loaded, *(_strap(desk, label, one) for one in straps)]


def _strap(desk: "Desk", label: str, text: str) -> "Change":
    from triplog.desk.planning import add_tie_down

    parts = [part.strip() for part in text.split(":")]
    if len(parts) != 3 or not all(parts):
        raise Refused(f"write --strap as GEAR:FROM:TO, such as S-1:L2:R2; found {text!r}")
    fields = tie_down_fields(
        holds=None,
        path="over",
        start=parts[1],
        to=parts[2],
        touches=None,
        edges=None,
        tension=None,
        tensioner_side=None,
        knots=None,
    )
    return add_tie_down(desk, label, tie_down=fields, gear=parts[0], tie_down_id=None)


@app.command("list")
def listed(
    context: typer.Context,
    open_only: Annotated[bool, typer.Option("--open", help="Only open trips.")] = False,
    as_json: AsJson = False,
) -> None:
    """List the trips."""
    from triplog.desk.looking import trips
    from triplog.screen import table_lines
    from triplog.wording.entries import moment_text

    desk = face(context).desk()
    rows = trips(desk, open_only=open_only)
    if as_json:
        return show_json(rows)
    offset_min = desk.now().offset_min
    more = any(row["kept"] for row in rows)
    cells = [
        (
            row["label"],
            row["state"],
            moment_text(row["opened_at"], offset_min),
            moment_text(row["departed_at"], offset_min),
            moment_text(row["ended_at"], offset_min),
            *as_record(row, "revision_number", "not_met", "not_known"),
            *((row["kept"],) if more else ()),
        )
        for row in rows
    ]
    columns = ("trip", "state", "opened", "departed", "ended", "plan", "not met", "not known")
    return show(table_lines((*columns, "kept") if more else columns, cells))


@app.command("show")
def shown(
    context: typer.Context,
    trip: Annotated[str | None, typer.Argument(help="Which trip, by label.")] = None,
    as_json: AsJson = False,
) -> None:
    """Show a trip: plan, due checks, and everything that happened."""
    from triplog.checks import due_checks_of
    from triplog.desk.finding_things import the_trip
    from triplog.desk.holding import holds_on_trip
    from triplog.desk.imports import import_lines
    from triplog.desk.looking import entry_lines, trip_record
    from triplog.desk.retention import deletion_text
    from triplog.dossier.slip import moving_lines
    from triplog.journal.trip import OPEN_STATES, TripState
    from triplog.screen import due_lines, entry_line, plan_lines
    from triplog.wording.photos import count_line

    desk = face(context).desk()
    found = the_trip(desk, trip, TripState if trip else OPEN_STATES)
    if as_json:
        return show_json(trip_record(desk, found))
    reading = desk.now_on(found)
    due = due_checks_of(found, reading.wall)
    lines = due_lines(
        found.label, found.state, due, reading.offset_min, reading.wall, width=line_width()
    )
    opened = found.first("trip_opened")
    places = {} if opened is None else desk.store.openings(opened.entry.hash)
    lines += [f"  {name}: {value}" for name, value in places.items()]
    lines += [f"  {one.line}" for one in holds_on_trip(desk, found)]
    lines += [] if found.deletion is None else [f"  {deletion_text(desk, found.deletion)}"]
    lines += import_lines(desk, found)
    photos = [fact.entry.body for fact in found.of("photo_added")]
    lines += [f"  {count_line(photos)}"] if photos else []
    lines += ["", *plan_lines(given(**(found.document or {}))), ""]
    moving = moving_lines(found, line_width())
    lines += [*moving, ""] if moving else []
    lines += [
        entry_line(line.entry, line.standing, line.opened)
        for line in entry_lines(desk, found, None)
    ]
    return show(lines)


@app.command("picture")
def pictured(
    context: typer.Context,
    label: Annotated[str | None, typer.Argument(help="Which trip, by label.")] = None,
    to: Annotated[Path, typer.Option("--to", help="The folder to write into.")] = Path("pictures"),
    trip: OfTrip = None,
) -> None:
    """Draw the checks as SVG: distance and driving time between looks, with the limits."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.picturing import write_timeline
    from triplog.journal.trip import OPEN_STATES, TripState

    if label is not None and trip not in (None, label):
        raise Refused(f"which trip: {label}, or {trip}?")
    desk = face(context).desk()
    named = label or trip
    found = the_trip(desk, named, TripState if named else OPEN_STATES)
    show([str(write_timeline(desk, found, to))])


@app.command("withdraw")
def withdraw(context: typer.Context, trip: OfTrip = None, reason: Reason = None) -> None:
    """Withdraw a trip that has not departed; it stays in the journal."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.trips import withdraw_trip
    from triplog.journal.trip import TripState

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, (TripState.PLANNED, TripState.LOADED))
    why = asking.maybe(reason, "Why")
    entry = here.recording(desk, lambda: withdraw_trip(desk, found, reason=why))
    show([recorded(entry, f"trip {found.label} withdrawn")])


COMMANDS = {"trip": app}
