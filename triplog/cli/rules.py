"""`triplog rules`: the re-check rules there are, those of a trip, and the company's own."""

from typing import Annotated

import typer

from triplog.cli.face import (
    AsJson,
    Note,
    OfTrip,
    SoftLoad,
    face,
    line_width,
    recorded,
    show,
    show_json,
)
from triplog.desk.refused import Refused

app = typer.Typer(
    help="The re-check rules: when a load is looked at again, by which law or advice.",
    no_args_is_help=True,
)


@app.command("list")
def listed(
    countries: Annotated[
        list[str] | None,
        typer.Argument(metavar="COUNTRY", help="US, CA-QC, DE ..., or a rule set by name."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List the rules, with source, legal force, edition and how sure."""
    from triplog.desk.recheck_rules import kept_rules
    from triplog.wording.recheck_rules import rule_record, rule_set_lines

    rules = kept_rules(countries or ())
    if as_json:
        return show_json([rule_record(rule) for rule in rules])
    return show(rule_set_lines(rules, line_width()))


@app.command("trip")
def of_trip(context: typer.Context, trip: OfTrip = None, as_json: AsJson = False) -> None:
    """Show the rules a trip has, and which stands behind which."""
    from triplog.checks import sorted_rules
    from triplog.desk.finding_things import the_trip
    from triplog.journal.trip import OPEN_STATES
    from triplog.wording.recheck_rules import combined_record, trip_rule_lines

    found = the_trip(face(context).desk(), trip, OPEN_STATES)
    if found.departure is None:
        raise Refused(f"trip {found.label} has not departed; its rules are set then")
    rules = sorted_rules(found)
    if as_json:
        return show_json(combined_record(rules.running, rules.behind, rules.told))
    return show(
        trip_rule_lines(
            label=found.label,
            running=rules.running,
            behind=rules.behind,
            told=rules.told,
            width=line_width(),
        )
    )


@app.command("add")
def add(
    context: typer.Context,
    countries: Annotated[
        list[str], typer.Argument(metavar="COUNTRY", help="The country the trip goes into as well.")
    ],
    soft_load: SoftLoad = False,
    note: Note = None,
    trip: OfTrip = None,
) -> None:
    """Take on the rules of one more country under way; nothing gets looser by it."""
    from triplog.checks import due_checks_of
    from triplog.desk.finding_things import the_trip
    from triplog.desk.recheck_rules import add_rules
    from triplog.journal.trip import UNDER_WAY
    from triplog.screen import due_lines

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, UNDER_WAY)
    entry = here.recording(
        desk, lambda: add_rules(desk, found, countries, soft_load=soft_load, note=note)
    )
    show([recorded(entry, f"trip {found.label} has the rules of {', '.join(countries)} too")])
    found = desk.trip(found.id)
    now = desk.now_on(found)
    due = due_checks_of(found, now.wall)
    show(due_lines(found.label, found.state, due, now.offset_min, now.wall, width=line_width()))


@app.command("company")
def company(
    context: typer.Context,
    first: Annotated[
        str | None, typer.Option("--first", help="First check within, such as 40 mi.")
    ] = None,
    every: Annotated[
        str | None,
        typer.Option("--every", help="Then at the latest every, such as 100 mi."),
    ] = None,
    driving: Annotated[
        str | None, typer.Option("--driving", help="And at the latest every, such as 2 h.")
    ] = None,
    none: Annotated[
        bool, typer.Option("--none", help="The company has no rules of its own any more.")
    ] = False,
    note: Note = None,
) -> None:
    """Set the company's own rules, all at once, or show them: they may only tighten."""
    from triplog.desk.company_rules import company_rules, record_company_rules
    from triplog.wording.recheck_rules import company_lines

    here = face(context)
    named = any(one is not None for one in (first, every, driving))
    if named and none:
        raise Refused("--none goes with no limit")
    desk = here.desk(reading_only=not (named or none))
    if named or none:
        entry = here.recording(
            desk,
            lambda: record_company_rules(
                desk, first=first, every=every, driving=driving, note=note
            ),
        )
        show([recorded(entry, "company rules, for trips that depart from now on")])
    show(company_lines(company_rules(desk)))


COMMANDS = {"rules": app}
