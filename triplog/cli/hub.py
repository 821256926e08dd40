"""`triplog hub`: one place for the logs of many devices, on PostgreSQL."""

import gc
import ipaddress
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli import hub_office, hub_work
from triplog.cli.face import AsJson, Face, face, show, show_json
from triplog.cli.hanging_up import TOLD_TO_END, interrupting
from triplog.cli.hub_base import Dsn, OfCarrier, dsn_of, need_libraries, open_hub, told_carrier
from triplog.desk.refused import Refused
from triplog.version import __version__

if TYPE_CHECKING:
    from triplog.hub.database import Database

PORT = 8745
hub = typer.Typer(
    help="One place for the logs of many devices: they are taken in, checked and watched there.",
    no_args_is_help=True,
)
for _name, _command in (hub_office.COMMANDS | hub_work.COMMANDS).items():
    hub.command(_name)(_command)


@hub.command("init")
def init(context: typer.Context, dsn: Dsn = None) -> None:
    """Make the hub's tables in a database, or bring them up to this program; and the hub's key."""
    from contextlib import closing

    need_libraries()
    from triplog.hub.carriers import keep_hub_key
    from triplog.hub.database import connect
    from triplog.hub.schema import bring_up

    here = face(context)
    with closing(connect(dsn_of(dsn))) as connection:
        connection.autocommit = True
        done = bring_up(connection)
    keep_hub_key(here.home)
    show(
        [f"step {step.number}: {step.name}" for step in done]
        or ["the tables are as they should be"]
    )
    show([f"the hub's key lies in {here.home}; who has it can sign as the hub"])


@hub.command("put-back")
def put_back(context: typer.Context, dsn: Dsn = None) -> None:
    """Say that this database was put back from a back-up: the hub's own logs go on anew."""
    from triplog.hub.put_back import go_on_anew

    here = face(context)
    found = go_on_anew(open_hub(context, dsn), here.home, here.clock.read())
    show(f"carrier {one.label}: the hub's own logs go on under new names" for one in found)
    show(["what devices brought after the back-up comes again with their next push"])


@hub.command("carrier")
def carrier(
    context: typer.Context,
    label: Annotated[str, typer.Argument(help="What people call the carrier.")],
    opened: Annotated[
        list[str] | None,
        typer.Option("--opened", help="A private field that may travel; * for all. Else none."),
    ] = None,
    invented: Annotated[
        bool, typer.Option("--invented", help="Its data are invented, as those of the demo.")
    ] = False,
    dsn: Dsn = None,
) -> None:
    """Take a carrier on, and say which private values may travel to the hub."""
    from triplog.hub.carriers import add_carrier

    here = face(context)
    database = open_hub(context, dsn)
    made = add_carrier(
        database, here.home, label, opened or [], here.clock.read(), invented=invented
    )
    travels = ", ".join(made.opened) or "none"
    show([f"carrier {made.label}; private values that travel: {travels}"])


@hub.command("serve")
def serve(
    context: typer.Context,
    on: Annotated[
        str | None,
        typer.Option("--on", help="This machine's address on a network; else only here."),
    ] = None,
    port: Annotated[int, typer.Option("--port", min=1, max=65535, help="Where it listens.")] = PORT,
    certificate: Annotated[
        Path | None, typer.Option("--certificate", help="A certificate file, PEM; else its own.")
    ] = None,
    certificate_key: Annotated[
        Path | None, typer.Option("--certificate-key", help="Its private key, PEM.")
    ] = None,
    called: Annotated[
        list[str] | None,
        typer.Option("--called", help="A name by which browsers reach its pages too."),
    ] = None,
    watched_from: Annotated[
        list[str] | None,
        typer.Option(
            "--watched-from",
            help="An address that may ask for /health and /metrics; else only here.",
        ),
    ] = None,
    dsn: Dsn = None,
) -> None:
    """Take in what devices bring, until Ctrl-C; on a network by HTTPS only."""
    if (certificate is None) != (certificate_key is None):
        raise Refused("HTTPS needs both: --certificate and --certificate-key")
    database = open_hub(context, dsn)
    here = face(context)
    _refuse_unready(here, database)
    address = _address(on)
    watching = frozenset(map(_watching, watched_from or []))
    if certificate is None and not ipaddress.ip_address(address).is_loopback:
        from triplog.hub.house import own_certificate

        certificate, certificate_key = own_certificate(here.home, address, here.clock.read().wall)
    gc.enable()
    names = frozenset(one.lower() for one in called or [])
    _serve(here, database, address, port, certificate, certificate_key, names, watching)
    show(["the hub is served no more"])


def _serve(
    here: Face,
    database: "Database",
    address: str,
    port: int,
    certificate: Path | None,
    key: Path | None,
    called: frozenset[str],
    watching: frozenset[str],
) -> None:
    import uvicorn

    from triplog.hub.app import Hub, application
    from triplog.hub.house import Reached, keep_reached, pin_of
    from triplog.hub.hub_log import HubLog, to_stderr
    from triplog.hub.serving import config
    from triplog.page.house import Settings

    name = f"[{address}]" if ":" in address else address
    where = f"{'https' if certificate else 'http'}://{name}:{port}"
    names = [f"{name}:{port}", *(one if port == 443 else f"{one}:{port}" for one in called)]
    log = HubLog(here.clock, to_stderr)
    hub = Hub(
        database=database,
        home=here.home,
        clock=here.clock,
        office=Settings(names=frozenset(names), is_secure=certificate is not None),
        watched_from=watching,
        log=log,
    )
    server = uvicorn.Server(config(application(hub), address, port, certificate, key))
    try:
        # Before it is told and kept where the hub is reached.
        listening = server.config.bind_socket()
    except SystemExit:
        raise Refused(
            f"the hub cannot be served on {where}: another program has it, or this machine has no"
            " such address; name another --port"
        ) from None
    reached = Reached(where, None if certificate is None else pin_of(certificate))
    keep_reached(here.home, reached)
    show([f"the hub is served at {where}; Ctrl-C ends it"])
    if reached.pin is not None:
        show([f"its certificate: {reached.pin}"])
    show(["to pair a device: triplog hub code truck-1; a browser: triplog hub browser dispatcher"])
    log.tell("serving", version=__version__)
    try:
        # The server ends as it is told to, and then passes on that it was.
        with suppress(KeyboardInterrupt), interrupting(TOLD_TO_END):
            server.run(sockets=[listening])
    finally:
        log.tell("serving no more")


@hub.command("code")
def code(
    context: typer.Context,
    label: Annotated[str, typer.Argument(help="What people will call the device: truck-1.")],
    office: Annotated[
        bool,
        typer.Option("--office", help="What is recorded on it goes to every device."),
    ] = False,
    of_carrier: OfCarrier = None,
    dsn: Dsn = None,
) -> None:
    """Draw a code that pairs one device, once, within a quarter of an hour."""
    from triplog.hub.carriers import carrier_named, draw_code

    here = face(context)
    database = open_hub(context, dsn)
    from triplog.hub.house import reached

    where = reached(here.home)
    found = carrier_named(database, of_carrier)
    drawn = draw_code(database, found, label, is_office=office, now=here.clock.read().wall)
    pin = "" if where.pin is None else f" --certificate {where.pin}"
    show(
        [
            f"on {label}, once, within a quarter of an hour:",
            f"  triplog pair {where.address} --code {drawn}{pin}",
        ]
    )


@hub.command("devices")
def devices(
    context: typer.Context, of_carrier: OfCarrier = None, as_json: AsJson = False, dsn: Dsn = None
) -> None:
    """List the devices: up to which entry each has arrived, and when it was last heard of."""
    from triplog.hub.carriers import carrier_named
    from triplog.hub.device_list import device_rows
    from triplog.screen import table_lines

    database = open_hub(context, dsn)
    rows = device_rows(
        database, told_carrier(carrier_named(database, of_carrier)), face(context).clock
    )
    if as_json:
        show_json(rows)
    elif rows:
        show(table_lines(tuple(rows[0]), [tuple(row.values()) for row in rows]))
    else:
        show(["no device is paired"])


@hub.command("unpair")
def unpair(
    context: typer.Context,
    label: Annotated[str, typer.Argument(help="The device or the browser, by label or id.")],
    of_carrier: OfCarrier = None,
    dsn: Dsn = None,
) -> None:
    """End a pairing, of a device or a browser: nothing more comes of it; what came stays."""
    from triplog.hub.carriers import carrier_named
    from triplog.hub.carriers import unpair as end_pairing
    from triplog.hub.office.browsers import end

    database = open_hub(context, dsn)
    found, reading = carrier_named(database, of_carrier), face(context).clock.read()
    count = end_pairing(database, found, label, reading)
    browsers = end(database, found, label, "unpaired at the hub", reading)
    if not count + browsers:
        raise Refused(f"nothing paired is called {label!r}; triplog hub devices lists the devices")
    show([f"unpaired: {count} device(s) and {browsers} browser(s) called {label}"])


def _refuse_unready(here: Face, database: "Database") -> None:
    """Raise Refused or HubUnusable where nothing could be taken in: no key, or other tables."""
    from triplog.hub.carriers import kept_key
    from triplog.hub.state import standing

    standing(database, here.clock.read().wall)
    kept_key(here.home, "hub")


def _watching(told: str) -> str:
    try:
        return str(ipaddress.ip_address(told))
    except ValueError:
        raise Refused(
            f"--watched-from names an address such as 192.168.1.9; found {told!r}"
        ) from None


def _address(on: str | None) -> str:
    """The one address to answer at; Refused for a name, and for every address at once."""
    if on is None:
        return "127.0.0.1"
    try:
        found = ipaddress.ip_address(on)
    except ValueError:
        raise Refused(f"--on names an address such as 192.168.1.20; found {on!r}") from None
    if found.is_unspecified or found.is_multicast:
        raise Refused("name the one address the hub is to be reached at, not all of them")
    return str(found)


COMMANDS = {"hub": hub}
