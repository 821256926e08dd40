"""`triplog hub work`, `office` and `retention`: what is done with what has arrived."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import AsJson, face, leave, show, show_json
from triplog.cli.hanging_up import TERMINAL_CLOSED, TOLD_TO_END
from triplog.cli.hub_base import Dsn, OfCarrier, dsn_of, open_hub, told_carrier
from triplog.cli.lines import tell
from triplog.cli.office import Argument, Command, Folder, Nowhere
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from triplog.hub.told import Message
    from triplog.hub.work import Worker

_CONNECTIONS = 3
_LISTED_MAX = 100


def work(
    context: typer.Context,
    once: Annotated[
        bool, typer.Option("--once", help="Do what waits now, try each message once, and end.")
    ] = False,
    as_json: AsJson = False,
    dsn: Dsn = None,
) -> None:
    """Make the lists of what came in, find late checks and tell the offices, until Ctrl-C.

    As many as wanted may work at once, on any machine that has the hub's key and ways out. What
    each does is told on standard error, a line of JSON each.
    """
    from triplog.hub.hub_log import HubLog, to_stderr
    from triplog.hub.ways_out import WaysOut
    from triplog.hub.work import Worker

    if as_json and not once:
        raise Refused("--json belongs to --once")
    here = face(context)
    worker = Worker(
        database=open_hub(context, dsn, connections=_CONNECTIONS),
        clock=here.clock,
        ways=WaysOut(home=here.home, clock=here.clock),
        log=HubLog(here.clock, None if once else to_stderr),
    )
    if once:
        _work_once(worker, as_json=as_json)
    else:
        _work(worker, dsn_of(dsn))


def _work_once(worker: "Worker", *, as_json: bool) -> None:
    from triplog.hub.work import work_once

    found = work_once(worker)
    told = found.tried.count("accepted")
    if as_json:
        show_json(
            {
                "derived": found.derived,
                "put_aside": found.put_aside,
                "late": found.late,
                "tried": [str(one) for one in found.tried],
            }
        )
    else:
        show(
            [
                f"lists made of {found.derived} trips and things",
                f"put aside, because no rows can be made of it: {found.put_aside}",
                f"late checks found: {found.late}",
                f"messages tried: {len(found.tried)}, of which told: {told}",
            ]
        )
    leave(DONE if told == len(found.tried) and not found.put_aside else FOUND)


def _work(worker: "Worker", dsn: str) -> None:
    """Work until it is told to end; what is under way is finished before."""
    import gc
    import signal
    import threading

    from triplog.hub.work import work as work_on

    ending = threading.Event()
    for name in ("SIGINT", TOLD_TO_END, TERMINAL_CLOSED):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), lambda *_: ending.set())
    gc.enable()
    show(["working; Ctrl-C ends it"])
    work_on(worker, dsn, ending)
    show(["the worker has ended"])


def office(
    context: typer.Context,
    command: Command = None,
    argument: Argument = None,
    folder: Folder = None,
    address: Annotated[
        str | None,
        typer.Option("--address", help="An address, https://..., that is sent each message."),
    ] = None,
    nowhere: Nowhere = False,
    of_carrier: OfCarrier = None,
    as_json: AsJson = False,
    dsn: Dsn = None,
) -> None:
    """Show or set how a carrier's office is told of late checks, and what it was told.

    The way out belongs to this machine, beside the hub's key: `triplog hub work` here goes it. A
    call is signed with the hub's key (RFC 9421). How late a check has to be is on the carrier's
    card, written on an office's device: `triplog carrier --office-margin "5 mi"`.
    """
    from triplog.hub.carriers import carrier_named
    from triplog.hub.margins import margin_of
    from triplog.hub.told import messages_of
    from triplog.hub.ways_out import WaysOut
    from triplog.wording.office import outbox_lines

    ways = [bool(command), folder is not None, address is not None]
    if sum(ways) + nowhere > 1:
        raise Refused("name one way: --command, --folder, --address or --nowhere")
    if argument and not command:
        raise Refused("--argument belongs to --command")
    here = face(context)
    database = open_hub(context, dsn)
    carrier = told_carrier(carrier_named(database, of_carrier))
    out = WaysOut(home=here.home, clock=here.clock)
    if any(ways) or nowhere:
        told = [command, *(argument or [])] if command else []
        out.set(carrier, command=told, folder=folder, address=address)
    hook = out.by_carrier().get(carrier.id)
    with database.work("office", carrier.id) as connection:
        margin = margin_of(connection, carrier.id)
        found = messages_of(connection, carrier.id, most=_LISTED_MAX)
    if as_json:
        way = None if hook is None else {"by": hook.name, "to": str(hook)}
        about = {"carrier": carrier.label, "margin": margin, "way": way}
        messages = [_as_json(one) for one in found]
        show_json({**about, "key": out.key_of(carrier.id), "messages": messages})
        return
    told_lines = [one.told for one in reversed(found)]
    way_line = None if hook is None else str(hook)
    show(outbox_lines(way_line, margin, told_lines, by="triplog hub work"))
    if address is not None:
        show([f"calls are signed; the key to check them with: {out.key_of(carrier.id)}"])


def _as_json(one: "Message") -> dict[str, object]:
    return {
        "trip": one.trip,
        "message": one.told.message,
        "written": one.told.written,
        "tried": one.told.tried,
        "told": one.told_at,
        "repeated": one.repeated,
    }


def retention(
    context: typer.Context,
    could_go: Annotated[bool, typer.Option("--could-go", help="Only what could go today.")] = False,
    device: Annotated[
        list[str] | None, typer.Option("--device", help="Only this device, by label or id.")
    ] = None,
    of_carrier: OfCarrier = None,
    as_json: AsJson = False,
    dsn: Dsn = None,
) -> None:
    """List how long a carrier's trips, incidents and gear stay, by which source; what could go.

    As `triplog retention list` on a device, over all that has arrived; by the same table, with
    every hold. Nothing goes by itself, and nothing is deleted here.
    """
    from triplog.cli.retention import show_kept
    from triplog.desk.retention import kept, today_of
    from triplog.hub.carriers import carrier_named
    from triplog.hub.exporting import Place, asked_for
    from triplog.hub.extract import extract

    here = face(context)
    database = open_hub(context, dsn)
    carrier = told_carrier(carrier_named(database, of_carrier))
    place = Place(database=database, home=here.home, clock=here.clock)
    asked = asked_for(place, carrier, device or [], [], None, None)
    with extract(database, "office", here.home, carrier, asked, here.clock) as desk:
        today = today_of(desk)
        show_kept(kept(desk), today, could_go=could_go, as_json=as_json)
    tell(
        "private values and photos that did not travel are counted on the devices alone: triplog"
        " retention list"
    )


COMMANDS: dict[str, Callable[..., None]] = {
    "work": work,
    "office": office,
    "retention": retention,
}
