"""`triplog retention`: how long things are kept, what could go, and letting it go."""

from dataclasses import asdict
from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli import asking
from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import AsJson, Note, Reason, face, leave, recorded, show, show_json
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from collections.abc import Iterable

    from triplog.desk.retention import Kept

app = typer.Typer(
    help="How long trips, incidents and gear are kept, and what could go.", no_args_is_help=True
)
LOCAL_LAW = (
    "Local law goes before this list, and a claim or a letter before both: `triplog hold` keeps"
    " everything of a trip. Nothing goes by itself."
)


@app.command("list")
def listed(
    context: typer.Context,
    could_go: Annotated[bool, typer.Option("--could-go", help="Only what could go today.")] = False,
    as_json: AsJson = False,
) -> None:
    """List how long each trip, incident and piece of gear stays, by which source; what could go."""
    from triplog.desk.retention import kept, today_of

    desk = face(context).desk()
    show_kept(kept(desk), today_of(desk), could_go=could_go, as_json=as_json)


def show_kept(found: "Iterable[Kept]", today: date, *, could_go: bool, as_json: bool) -> None:
    """Show what is kept and how it stands on a day; `could_go`: only what could go then."""
    from triplog.screen import table_lines

    found = [one for one in found if not could_go or one.stands(today) == "could go"]
    if as_json:
        return show_json(
            [
                {
                    "about": one.about,
                    "label": one.label,
                    "counted_from": one.since,
                    "keep_until": None if one.until is None else one.until.day,
                    "period": None if one.until is None else one.until.period.id,
                    "stands": one.stands(today),
                    "holds": [hold.hold.original.hash for hold in one.holds],
                    "private": one.private,
                }
                for one in found
            ]
        )
    rows = [
        (
            one.about,
            one.label,
            one.since,
            *((None, None) if one.until is None else (one.until.day, _why(one.until.period))),
            one.stands(today),
        )
        for one in found
    ]
    columns = ("what", "label", "counted from", "keep until", "by", "stands")
    return show([*table_lines(columns, rows), "", LOCAL_LAW])


def _why(period: object) -> str:
    from triplog.journal.retention import Force, Period

    assert isinstance(period, Period), "what keeps is a period"
    months = f"{period.months} months"
    if period.force in (Force.OWN, Force.COMPANY):
        return f"{months}, {period.force}"
    return f"{months}, {period.cited}"


@app.command("table")
def table(context: typer.Context, as_json: AsJson = False) -> None:
    """Show the periods: what, how long, counted from when, by which source, how sure."""
    from triplog.desk.retention import KEPT_KINDS, company_periods
    from triplog.journal.retention import About, all_periods, periods_for
    from triplog.journal.store_file import STORE_NAME
    from triplog.screen import table_lines

    here = face(context)
    # The table can be read before there is a journal.
    company = company_periods(here.desk()) if (here.home / STORE_NAME).exists() else {}
    periods = [one for kind in KEPT_KINDS for one in periods_for(kind, company)]
    periods += [one for one in all_periods() if one.about is About.ELSEWHERE]
    if as_json:
        return show_json([asdict(one) for one in periods])
    rows = [
        (one.about, one.what, one.months, one.counted_from, one.force, one.cited, one.how_sure)
        for one in periods
    ]
    columns = ("for", "what", "months", "counted from", "by", "source", "how sure")
    notes = [f"{one.what}: {one.note}" for one in periods if one.note]
    return show([*table_lines(columns, rows), "", *notes, "", LOCAL_LAW])


@app.command("keep")
def keep(
    context: typer.Context,
    kind: Annotated[str, typer.Argument(help="trip, incident or gear.")],
    months: Annotated[str, typer.Argument(help="Whole months, such as 60.")],
    note: Note = None,
) -> None:
    """Say how long the carrier itself keeps a kind of record: longer than the table, never less."""
    from triplog.desk.retention import set_company_period

    here = face(context)
    desk = here.desk()
    try:
        count = asking.whole_number(months)
    except ValueError as problem:
        raise Refused(str(problem)) from None
    entry = here.recording(desk, lambda: set_company_period(desk, kind, count, note=note))
    show([recorded(entry, f"each {kind} is kept {count} months at least")])


@app.command("delete")
def delete(
    context: typer.Context,
    label: Annotated[str, typer.Argument(help="Which trip, by label; with --gear which gear.")],
    gear: Annotated[bool, typer.Option("--gear", help="A piece of gear, not a trip.")] = False,
    yes: Annotated[bool | None, typer.Option("--yes", help="Do it: it is for good.")] = None,
    reason: Reason = None,
) -> None:
    """Delete private texts and photos whose time is over; the entries stay and still verify."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.letting_go import delete_gear, delete_trip
    from triplog.journal.trip import TripState
    from triplog.wording.private import LIMITS

    here = face(context)
    desk = here.desk()
    found = None if gear else the_trip(desk, label, TripState)
    why = asking.text(reason, "Why", "--reason")
    if not asking.yes(yes, "Delete what is private of it, for good?", "--yes"):
        here.end("nothing was deleted")
    done = here.recording(
        desk,
        lambda: (
            delete_gear(desk, label, reason=why)
            if found is None
            else delete_trip(desk, found, reason=why)
        ),
    )
    show([recorded(done.entry, f"{done.openings} private values and {done.photos} photos deleted")])
    if done.shared:
        show([f"{done.shared} photos stay: another trip has them too"])
    show(f"  {line}" for line in LIMITS)
    if done.is_left:
        show(["something of it is still in the file: another program has it open. Delete again"])
    leave(FOUND if done.is_left else DONE)


COMMANDS = {"retention": app}
