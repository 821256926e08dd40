"""`triplog backup`, `restore`, `take-in` and `rebuild`."""

from pathlib import Path
from typing import Annotated

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import face, leave, recorded, show


def backup(
    context: typer.Context,
    target: Annotated[Path, typer.Argument(help="The file to write.")],
) -> None:
    """Write a consistent copy of the store; a plain file copy may miss what is being written."""
    from triplog.desk.keeping import back_up
    from triplog.wording.moving import backed_up_lines

    here = face(context)
    desk = here.desk()
    made = here.recording(desk, lambda: back_up(desk, target))
    show([recorded(made.entry, f"backed up to {target}")])
    show(backed_up_lines(str(target), made.entries, made.beside))


def restore(
    context: typer.Context,
    source: Annotated[Path, typer.Argument(help="The back-up.")],
    known_head: Annotated[
        list[str] | None,
        typer.Option(
            "--known-head",
            help="A head you know of: DEVICE:NUMBER:FINGERPRINT, a checkpoint's file, or its code.",
        ),
    ] = None,
    although_behind: Annotated[
        bool,
        typer.Option(
            "--although-behind",
            help="Restore it although later entries are known of; what is missing is recorded.",
        ),
    ] = False,
) -> None:
    """Go on from a back-up, as a new device: the old chain is kept and never continued."""
    from triplog.desk import keeping

    here = face(context)
    found = keeping.restore(
        source,
        here.home,
        here.clock,
        told_heads=known_head or [],
        heads_kept=here.heads,
        although_behind=although_behind,
    )
    store = here.closing(found.desk).store
    show([f"the journal is at {store.path}", f"this is now device {store.device}"])
    show(
        f"  found {device}: {seq + 1} entries, head {head}"
        for device, (seq, head) in found.heads.items()
    )
    show(f"  {one.sentence}" for one in found.told)
    if found.destroyed_again:
        show([f"  {found.destroyed_again} private value(s) destroyed before were destroyed again"])
    leave(DONE if all(one.is_reached for one in found.told) else FOUND)


def take_in(
    context: typer.Context,
    source: Annotated[
        Path,
        typer.Argument(help="A bundle of a whole store, a back-up, or raw entries (form lines)."),
    ],
    openings: Annotated[
        Path | None,
        typer.Option("--openings", help="The private values that go with raw entries."),
    ] = None,
) -> None:
    """Take in what another installation recorded, beside what is here; nothing is renumbered."""
    from triplog.desk.taking_in import take_in_from
    from triplog.wording.moving import NOTHING_NEW, photo_lines, taken_in_lines

    here = face(context)
    desk = here.desk()
    found = here.recording(desk, lambda: take_in_from(desk, source, openings))
    told = f"taken in from {source}: {found.taken.new} new entries"
    show([NOTHING_NEW if found.entry is None else recorded(found.entry, told)])
    show(taken_in_lines(found.taken, found.own_device, str(source)))
    show(photo_lines(found.photos, found.photos_lacking))
    leave(FOUND if found.forked else DONE)


def rebuild(context: typer.Context) -> None:
    """Make the lists anew from the journal; the journal itself is only read."""
    from triplog.desk import keeping

    count = keeping.rebuild(face(context).desk())
    show([f"the lists were made anew from {count} entries"])


COMMANDS = {"backup": backup, "restore": restore, "take-in": take_in, "rebuild": rebuild}
