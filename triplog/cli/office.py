"""`triplog office`: by what way the office is told of late checks, and what it was told."""

from pathlib import Path
from typing import Annotated

import typer

from triplog.cli.face import face, show

Command = Annotated[
    str | None,
    typer.Option("--command", help="A program that is handed each message on standard input."),
]
Argument = Annotated[
    list[str] | None, typer.Option("--argument", help="An argument of it; one after another.")
]
Folder = Annotated[
    Path | None, typer.Option("--folder", help="A folder where each message is put as a file.")
]
Nowhere = Annotated[
    bool, typer.Option("--nowhere", help="Hand nothing over any more; messages wait.")
]


def office(
    context: typer.Context,
    command: Command = None,
    argument: Argument = None,
    folder: Folder = None,
    nowhere: Nowhere = False,
) -> None:
    """Show or set how the office is told of late checks; `triplog watch` tells it.

    The program is run as it is, by no shell, with your rights, whenever a message waits; name only
    one you trust. 0 is its good end; after anything else, or 20 s, the message waits and is tried
    again. The setting belongs to this machine and is kept beside the journal, not in it. How late
    a check has to be is on the carrier's card: `triplog carrier --office-margin "5 mi"`.
    """
    from triplog.desk.office import hook_of, messages, set_hook
    from triplog.desk.refused import Refused
    from triplog.desk.setting_up import office_margin
    from triplog.wording.office import Told, outbox_lines

    ways = [bool(command), folder is not None, nowhere]
    if sum(ways) > 1:
        raise Refused("name one way: --command, --folder or --nowhere")
    if argument and not command:
        raise Refused("--argument belongs to --command")
    here = face(context)
    desk = here.desk()
    if any(ways):
        set_hook(
            here.home, command=[command, *(argument or [])] if command else None, folder=folder
        )
    hook = hook_of(here.home)
    told = [
        Told(
            message=str(one.entry.body["message"]),
            written=one.entry.entry_time,
            offset_min=one.entry.event_offset_min,
            tried=one.tried,
        )
        for one in messages(desk)
    ]
    show(outbox_lines(None if hook is None else str(hook), office_margin(desk), told))


COMMANDS = {"office": office}
