"""`triplog correct` and `triplog withdraw`."""

from typing import Annotated

import typer

from triplog.cli import asking
from triplog.cli.face import Reason, When, face, leave, recorded, show
from triplog.cli.stated_time import AsStated, show_doubt, stated
from triplog.desk.refused import Refused


def correct(
    context: typer.Context,
    entry: Annotated[
        str, typer.Argument(help="The start of its hash, as `entries` shows it, or: last.")
    ],
    changes: Annotated[
        list[str] | None,
        typer.Argument(
            help='FIELD=VALUE, such as odometer="24,180 mi" or T2="slack, tightened:3".'
        ),
    ] = None,
    at: When = None,
    as_stated: AsStated = False,
    reason: Reason = None,
) -> None:
    """Correct an entry: a new one follows it; the old one stays and is shown."""
    from triplog.desk import mending
    from triplog.desk.time_doubts import NOT_ASKED
    from triplog.desk.when import moment

    here = face(context)
    desk = here.desk()
    fields = {}
    for one in changes or []:
        name, sign, value = one.partition("=")
        if not sign or not value.strip():
            raise Refused(f"write FIELD=VALUE; found {one!r}")
        fields[name.strip()] = value.strip()
    why = asking.text(reason, "Why is it corrected", "--reason")
    old = mending.to_correct(desk, entry)
    if at is not None and old.trip is not None and mending.may_be_in_doubt(old):
        when, time_asked = stated(desk, desk.trip(old.trip), at, as_stated=as_stated)
    else:
        when, time_asked = moment(at, desk.now()), NOT_ASKED
    made = here.recording(
        desk,
        lambda: mending.correct(
            desk, old.hash, changes=fields, at=when, reason=why, time_asked=time_asked
        ),
    )
    show(
        [recorded(made, f"corrects [{str(made.follows)[:8]}], which stays and shows as corrected")]
    )
    leave(show_doubt(made))


def withdraw(
    context: typer.Context,
    entry: Annotated[
        str | None, typer.Argument(help="The start of its hash; else your last entry.")
    ] = None,
    reason: Reason = None,
) -> None:
    """Take an entry back, by default your last one; it stays and is shown as taken back."""
    from triplog.desk import mending

    here = face(context)
    desk = here.desk()
    why = asking.text(reason, "Why is it taken back", "--reason")
    made, old = here.recording(desk, lambda: mending.withdraw(desk, entry, reason=why))
    show([recorded(made, f"takes back {old.kind} [{old.hash[:8]}]")])


COMMANDS = {"correct": correct, "withdraw": withdraw}
