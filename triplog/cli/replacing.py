"""`triplog replace`: other gear in a tie-down's place, on the road."""

from typing import Annotated

import typer

from triplog.cli import asking
from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import (
    Note,
    OfTrip,
    Stopped,
    When,
    face,
    leave,
    line_width,
    recorded,
    show,
)
from triplog.desk.refused import Refused

_OLD_FIRST = (
    "the old one was let off first; that is recorded. Add before you release: a load that a strap"
    " was holding falls when it is let off"
)


def replace(
    context: typer.Context,
    tie_down: Annotated[str, typer.Argument(help="Which tie-down, such as T3.")],
    new: Annotated[
        str | None, typer.Option("--with", help="The gear that takes its place, by label.")
    ] = None,
    new_on: Annotated[
        bool, typer.Option("--new-on", help="First: the new one is on, tensioned, without a knot.")
    ] = False,
    old_off: Annotated[bool, typer.Option("--old-off", help="Then: the old one is off.")] = False,
    old_first: Annotated[
        bool, typer.Option("--old-first", help="It was done the other way round.")
    ] = False,
    cause: Annotated[
        str | None, typer.Option("--cause", help="Why it had to be, if that was found; private.")
    ] = None,
    kept: Annotated[
        str | None, typer.Option("--kept", help="Where the old one is kept; private.")
    ] = None,
    stopped: Stopped = None,
    note: Note = None,
    at: When = None,
    trip: OfTrip = None,
) -> None:
    """Replace gear on the road: add the new one, then release the old; the plan follows."""
    from triplog.cli.judging import summary
    from triplog.cli.stops import show_next_stop
    from triplog.desk import replacing
    from triplog.desk.finding_things import the_trip
    from triplog.desk.setting_up import units_of
    from triplog.desk.when import moment
    from triplog.journal.trip import OPEN_STATES
    from triplog.wording.handbook import findings_lines
    from triplog.wording.happened import CAUSE_NOT_FOUND

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, OPEN_STATES)
    stopped = asking.standing(found, stopped)
    old = replacing.gear_of(found, tie_down) or "the old one"
    fresh = asking.text(new, f"Which gear takes the place of {old}, by label", "--with")
    _confirm(tie_down, fresh, old, new_on=new_on, old_off=old_off, old_first=old_first)
    cause = asking.maybe(cause, f"Why {old} had to be replaced")
    kept = asking.maybe(kept, f"Where {old} is kept")
    order = replacing.Order.OLD_OFF_FIRST if old_first else replacing.Order.NEW_ON_FIRST
    result = here.recording(
        desk,
        lambda: replacing.replace_gear(
            desk,
            found,
            tie_down,
            fresh,
            order=order,
            stopped=stopped,
            cause=cause,
            kept=kept,
            at=moment(at, desk.now_on(found)),
            note=note,
        ),
    )
    show([recorded(result.entry, f"trip {found.label}, {tie_down}: {fresh} in place of {old}")])
    show([_OLD_FIRST] if old_first else [])
    show([CAUSE_NOT_FOUND] if result.asks_for_more else [])
    unsettled = result.judgement.unsettled
    show(findings_lines(unsettled, line_width(), units=units_of(desk)))
    show([summary(result.judgement.findings)])
    show_next_stop(desk, result.trip)
    leave(DONE if result.is_settled else FOUND)


def _confirm(
    tie_down: str, new: str, old: str, *, new_on: bool, old_off: bool, old_first: bool
) -> None:
    """Both steps, each asked for in its order; Refused where one is not done.

    The second is not asked, and does not count, before the first is done.
    """
    first, second = f"{new} is on as {tie_down}, tensioned, no knot", f"{old} is off"
    steps = [(first, "--new-on", new_on), (second, "--old-off", old_off)]
    for number, (what, option, done) in enumerate(reversed(steps) if old_first else steps, 1):
        if done or (asking.at_terminal() and asking.yes(None, f"{number}. {what}?", option)):
            continue
        later = f"; only then {second}" if option == "--new-on" and not old_first else ""
        raise Refused(f"not done yet: {what} ({option}){later}")


COMMANDS = {"replace": replace}
