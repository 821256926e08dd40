"""`triplog witness`: a head of the log in somebody else's hands."""

from pathlib import Path
from typing import Annotated

import typer

from triplog.cli.face import Note, OfTrip, face, recorded, show
from triplog.cli.stamping import stamp
from triplog.desk.refused import Refused

witness = typer.Typer(
    help="Put the log's head into other hands: that is what makes a later change show.",
    no_args_is_help=True,
)


@witness.command("give")
def give(
    context: typer.Context,
    where: Annotated[str, typer.Argument(help="paper, office or message.")],
    to: Annotated[str | None, typer.Option("--to", help="Into whose hands; kept private.")] = None,
    file: Annotated[
        Path | None, typer.Option("--file", help="Write the signed head to this file as well.")
    ] = None,
    note: Note = None,
    trip: OfTrip = None,
) -> None:
    """Sign the head now, show its code, and record where a copy went."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.witness import give_head, where_word
    from triplog.journal.trip import TripState
    from triplog.wording.head import code_line

    here = face(context)
    desk = here.desk()
    place = where_word(where)
    found = None if trip is None else the_trip(desk, trip, TripState)
    entry, head = here.recording(
        desk, lambda: give_head(desk, found, place, to=to, note=note, file=file)
    )
    show([recorded(entry, f"head given: {place}"), f"  {code_line(head.code, head.size)}"])
    if file is not None:
        show([f"  {file}"])


@witness.command("countersign")
def countersign(
    context: typer.Context,
    source: Annotated[Path, typer.Argument(help="The signed head of another log, a file.")],
    to: Annotated[Path, typer.Option("--to", help="The file to write, with both signatures.")],
) -> None:
    """Sign another log's head as it was brought here; give the new file back to its driver."""
    from triplog.desk import witness as desk_witness
    from triplog.desk.checkpoints import recorded_key
    from triplog.wording.head import code_line

    here = face(context)
    desk = here.desk()
    entry, head = here.recording(desk, lambda: desk_witness.countersign(desk, source, to))
    show(
        [
            recorded(entry, f"countersigned a head of {head.origin}"),
            f"  {code_line(head.code, head.size)}",
            f"  {to}",
            f"  this installation's key: {recorded_key(desk, desk.store.device)}",
        ]
    )


@witness.command("take")
def take(
    context: typer.Context,
    source: Annotated[Path, typer.Argument(help="The file that came back.")],
    public_key: Annotated[
        str | None, typer.Option("--public-key", help="The other installation's key.")
    ] = None,
) -> None:
    """Record that a head of this log came back countersigned."""
    from triplog.desk.witness import take_countersigned
    from triplog.wording.head import code_line

    if public_key is None:
        raise Refused("say with --public-key whose signature it is, as countersigning printed it")
    here = face(context)
    desk = here.desk()
    entry, head = here.recording(desk, lambda: take_countersigned(desk, source, public_key))
    show([recorded(entry, "countersigned head taken"), f"  {code_line(head.code, head.size)}"])


@witness.command("key")
def key(
    context: typer.Context,
    anew: Annotated[
        bool, typer.Option("--new", help="Take a new key; the old one signs once more.")
    ] = False,
    note: Note = None,
) -> None:
    """Show this device's public key, or take a new one, after a laptop was away for instance."""
    from triplog.desk.checkpoints import change_key, recorded_key

    here = face(context)
    desk = here.desk()
    if anew:
        entry = here.recording(desk, lambda: change_key(desk, note))
        show([recorded(entry, "new key")])
    found = recorded_key(desk, desk.store.device)
    show([found or "no key is recorded yet; the next departure or export makes one"])


witness.add_typer(stamp, name="stamp")
COMMANDS = {"witness": witness}
