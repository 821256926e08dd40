"""`triplog backup`, `restore` and `rebuild`."""

from pathlib import Path
from typing import Annotated

import typer

from triplog.cli.face import face, recorded, show


def backup(
    context: typer.Context,
    target: Annotated[Path, typer.Argument(help="The file to write.")],
) -> None:
    """Write a consistent copy of the store; a plain file copy may miss what is being written."""
    from triplog.desk.keeping import back_up

    here = face(context)
    desk = here.desk()
    entry = here.recording(desk, lambda: back_up(desk, target))
    show([recorded(entry, f"backed up to {target}")])


def restore(
    context: typer.Context,
    source: Annotated[Path, typer.Argument(help="The back-up.")],
    told_head: Annotated[
        list[str] | None,
        typer.Option("--told-head", help="A later head you know of: DEVICE:NUMBER:FINGERPRINT."),
    ] = None,
) -> None:
    """Go on from a back-up, as a new device: the old chain is kept and never continued."""
    from triplog.desk import keeping

    here = face(context)
    desk, heads = keeping.restore(
        source, here.home, here.clock, told_heads=told_head or [], heads=here.heads
    )
    here.closing(desk)
    show([f"the journal is at {desk.store.path}", f"this is now device {desk.store.device}"])
    show(
        f"  found {device}: {seq + 1} entries, head {head}" for device, (seq, head) in heads.items()
    )
    again = keeping.destroyed_again(desk)
    if again:
        show([f"  {again} private value(s) destroyed since the back-up were destroyed again"])


def rebuild(context: typer.Context) -> None:
    """Make the lists anew from the journal; the journal itself is only read."""
    from triplog.desk import keeping

    count = keeping.rebuild(face(context).desk())
    show([f"the lists were made anew from {count} entries"])


COMMANDS = {"backup": backup, "restore": restore, "rebuild": rebuild}
