"""`triplog witness stamp`: a time-stamp authority says by when a signed head was there."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli.exit_codes import FOUND
from triplog.cli.face import AsJson, OfTrip, face, leave, recorded, show, show_json
from triplog.cli.lines import tell

if TYPE_CHECKING:
    from triplog.desk.desk import Desk
    from triplog.journal.entries import Entry
    from triplog.journal.trip import Trip

stamp = typer.Typer(
    help="Have an authority of your choice put its time under signed heads (RFC 3161).",
    no_args_is_help=True,
)
Authority = Annotated[
    Path | None,
    typer.Option("--authority", help="The authority's certificates that you trust, a PEM file."),
]


@stamp.command("ask")
def ask(
    context: typer.Context,
    to: Annotated[Path, typer.Option("--to", help="The folder to write the requests to.")],
    trip: OfTrip = None,
) -> None:
    """Write a request for each signed head that has no time-stamp; they wait until answered."""
    from triplog.desk import stamps

    here = face(context)
    desk = here.desk()
    asked = stamps.ask(desk, _trip(desk, trip), to)
    show([f"{to / stamps.request_name(one)}" for one in asked])
    show([f"{len(asked)} wait for an answer; take it with `triplog witness stamp take`"])


@stamp.command("take")
def take(
    context: typer.Context,
    answers: Annotated[list[Path], typer.Argument(help="The authority's answers, .tsr files.")],
    authority: Authority = None,
) -> None:
    """Take an authority's answers, and record by when each head was there."""
    from triplog.desk import stamps

    here = face(context)
    desk = here.desk()
    _show_taken(desk, stamps.take(desk, answers, authority))


@stamp.command("send")
def send(
    context: typer.Context,
    url: Annotated[
        str | None, typer.Option("--url", help="The authority's address, of your choice.")
    ] = None,
    authority: Authority = None,
    trip: OfTrip = None,
) -> None:
    """Send what waits to an authority and take its answers; what gets none waits on."""
    from triplog.desk import stamps
    from triplog.desk.refused import Refused

    if url is None:
        raise Refused("say with --url which authority; triplog knows none")
    here = face(context)
    desk = here.desk()
    sent = stamps.send(desk, url, _trip(desk, trip), authority)
    _show_taken(desk, sent.taken)
    if sent.trouble is not None:
        tell(f"{sent.trouble}. {sent.waiting} wait on; nothing of them is lost")
        leave(FOUND)


@stamp.command("list")
def list_stamps(context: typer.Context, trip: OfTrip = None, as_json: AsJson = False) -> None:
    """List signed heads, by when an authority says they were there, and how late that came."""
    from triplog.desk import stamps
    from triplog.wording.stamps import stamped_text, waiting_text

    here = face(context)
    desk = here.desk(reading_only=True)
    found = stamps.head_stamps(desk, _trip(desk, trip))
    now = desk.now().wall
    told = []
    for one in found:
        body = None if one.taken is None else one.taken.body
        line = (
            waiting_text(one.asked is not None, int((now - one.head.entry_time).total_seconds()))
            if body is None
            else stamped_text(str(body["gen_time"]), int(str(body["delay_s"])))
        )
        told.append((one, body, line))
    if as_json:
        show_json(
            [
                {
                    "head": one.head.hash,
                    "entries": one.checkpoint.size,
                    "code": one.checkpoint.code,
                    "asked": one.asked is not None,
                    "gen_time": None if body is None else body["gen_time"],
                    "delay_s": None if body is None else body["delay_s"],
                    "signature": None if body is None else body["signature"],
                    "told": line,
                }
                for one, body, line in told
            ]
        )
        return
    show(
        [
            f"{one.checkpoint.size:>7} entries  {one.checkpoint.code}  {line}"
            for one, _, line in told
        ]
    )
    if not told:
        show(["no head is signed yet; a departure, hand-over, closing or export signs one"])


def _show_taken(desk: "Desk", entries: "list[Entry] | tuple[Entry, ...]") -> None:
    from triplog.desk.stamps import carries_certificate
    from triplog.journal.checkpoint import signed_of
    from triplog.wording.stamps import NO_CERTIFICATE, NOT_CHECKED, stamped_text

    for entry in entries:
        body = entry.body
        head = desk.store.entry(str(body["head"]))
        size = signed_of(str(head.body["signed_note"])).checkpoint.size
        show([recorded(entry, f"time-stamp of the head over {size} entries")])
        show([f"  {stamped_text(str(body['gen_time']), int(str(body['delay_s'])))}"])
        if body["signature"] == "holds":
            show(["  the authority's signature holds by your file"])
        else:
            show([f"  {NOT_CHECKED}"])
        if not carries_certificate(entry):
            show([f"  {NO_CERTIFICATE}"])


def _trip(desk: "Desk", trip: str | None) -> "Trip | None":
    from triplog.desk.finding_things import the_trip
    from triplog.journal.trip import TripState

    return None if trip is None else the_trip(desk, trip, TripState)
