"""`triplog page`: the page in the cab and in the office, and which browsers may come in."""

import gc
import ipaddress
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli.face import AsJson, Face, face, show, show_json
from triplog.cli.lines import tell
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from triplog.page.entrance.book import Book, PairingCode

PORT = 8744
_NOT_HERE = (
    "the page needs libraries that are not installed; install them with:"
    ' pip install "triplog[page]"'
)
_WARNING = (
    "others on this network can reach the entrance; only a browser that was paired comes in",
    "what is typed there travels as plain text: whoever listens on this network can read it, and"
    " take over a pairing. Use a network of your own, or --certificate",
    "without HTTPS a phone cannot reload the page where there is no connection; an open page keeps"
    " what is recorded all the same",
)

page = typer.Typer(help="The page in the cab and in the office; it is served from this machine.")


@page.callback(invoke_without_command=True)
def serve(
    context: typer.Context,
    on: Annotated[
        str | None,
        typer.Option("--on", help="This machine's address on the local network; else only here."),
    ] = None,
    port: Annotated[int, typer.Option("--port", min=1, max=65535)] = PORT,
    certificate: Annotated[
        Path | None, typer.Option("--certificate", help="For HTTPS: a certificate file, PEM.")
    ] = None,
    certificate_key: Annotated[
        Path | None, typer.Option("--certificate-key", help="Its private key, PEM.")
    ] = None,
) -> None:
    """Serve the page until Ctrl-C, on this machine alone unless --on says otherwise."""
    if context.invoked_subcommand is None:
        _serve(face(context), on, port, certificate, certificate_key)


def _serve(
    here: Face, on: str | None, port: int, certificate: Path | None, key: Path | None
) -> None:
    _need_libraries()
    import uvicorn

    from triplog.page.app import application, open_house
    from triplog.page.house import Settings

    if (certificate is None) != (key is None):
        raise Refused("HTTPS needs both: --certificate and --certificate-key")
    for file in (certificate, key):
        if file is not None and not file.is_file():
            raise Refused(f"there is no file {file}")
    gc.enable()
    address = _address(on)
    names = {f"{_in_url(address)}:{port}"}
    if ipaddress.ip_address(address).is_loopback:
        names |= {f"localhost:{port}", f"127.0.0.1:{port}"}
    settings = Settings(names=frozenset(names), is_secure=certificate is not None)
    here.desk().store.close()
    house = open_house(here.home, here.clock, settings, heads=here.heads)
    try:
        where = f"{'https' if certificate else 'http'}://{_in_url(address)}:{port}"
        house.book.keep_fact("address", where)
        _say_where(here, house.book, where, on)
        server = uvicorn.Server(
            uvicorn.Config(
                application(house),
                host=address,
                port=port,
                log_level="critical",
                access_log=False,
                server_header=False,
                date_header=True,
                timeout_keep_alive=15,
                timeout_graceful_shutdown=3,
                limit_concurrency=300,
                ssl_certfile=certificate,
                ssl_keyfile=key,
            )
        )
        try:
            server.run()
        except SystemExit:
            raise Refused(
                f"the page cannot be served on {where}: another program has it, or this machine"
                " has no such address; name another --port"
            ) from None
    finally:
        house.close()
    show(["the page is served no more"])


def _say_where(here: Face, book: "Book", where: str, on: str | None) -> None:
    from triplog.page.entrance.book import Wanted

    desk = here.desk()
    show([f"the page is served at {where}; Ctrl-C ends it"])
    if desk.invented:
        tell("invented: this is the demo's store")
    if on is None:
        now_ms = int(here.clock.read().wall.timestamp() * 1000)
        wanted = Wanted(label="this computer", roles=("cab", "office"), person=desk.by)
        code = book.new_code(wanted, now_ms)
        show([f"for a browser on this computer, once, within five minutes: {_link(where, code)}"])
    else:
        for line in _WARNING:
            tell(line)
    show(["for another browser: triplog page pair --label phone-1"])


@page.command("pair")
def pair(
    context: typer.Context,
    label: Annotated[str, typer.Option("--label", help="What people call the browser: phone-1.")],
    role: Annotated[
        list[str] | None, typer.Option("--role", help="cab or office; else cab alone.")
    ] = None,
    person: Annotated[
        str | None, typer.Option("--person", help="Who records with it, by label; else you.")
    ] = None,
) -> None:
    """Draw a code that pairs one browser, once, within five minutes."""
    _need_libraries()
    from triplog.desk.entrance import browser_label, roles_named
    from triplog.desk.finding_things import person_named
    from triplog.page.entrance.book import Wanted

    here = face(context)
    desk = here.desk()
    who = desk.by if person is None else person_named(desk, person).id
    wanted = Wanted(label=browser_label(label), roles=roles_named(role or ["cab"]), person=who)
    book = _book(here)
    where = book.fact("address")
    if where is None:
        raise Refused("the page was never served here; start it first: triplog page")
    code = book.new_code(wanted, int(here.clock.read().wall.timestamp() * 1000))
    book.close()
    _draw(_link(where, code))
    show(
        [
            _link(where, code),
            f"or type at {where}/enter: {code.digits[:4]} {code.digits[4:]}",
            f"pairs {wanted.label} for {' and '.join(wanted.roles)}, once, within five minutes",
        ]
    )


@page.command("browsers")
def browsers(context: typer.Context, as_json: AsJson = False) -> None:
    """List the browsers that are paired, and when each was last used."""
    _need_libraries()
    from triplog.desk.finding_things import person_label
    from triplog.screen import table_lines

    here = face(context)
    desk = here.desk()
    book = _book(here)
    rows = [
        {
            "label": one.label,
            "for": " and ".join(one.roles),
            "person": person_label(desk, one.person),
            "paired": _moment(here, one.paired_ms),
            "last_used": _moment(here, one.seen_ms),
            "browser": one.browser,
        }
        for one in book.sessions()
    ]
    book.close()
    if as_json:
        show_json(rows)
    elif rows:
        show(table_lines(tuple(rows[0]), [tuple(row.values()) for row in rows]))
    else:
        show(["no browser is paired"])


@page.command("unpair")
def unpair(
    context: typer.Context,
    label: Annotated[str, typer.Argument(help="The browser, by label or as listed.")],
) -> None:
    """Unpair a browser: its session ends at once."""
    _need_libraries()
    from triplog.desk.entrance import record_unpaired

    here = face(context)
    desk = here.desk()
    book = _book(here)
    named = [one for one in book.sessions() if label in (one.label, one.browser)]
    if not named:
        there = ", ".join(one.label for one in book.sessions()) or "none"
        raise Refused(f"no paired browser is called {label!r}; there is: {there}")
    for one in named:
        record_unpaired(desk, one.browser, "unpaired at the computer")
        book.end(one.browser)
    book.close()
    show([f"unpaired: {len(named)} browser(s) called {label}"])


def _need_libraries() -> None:
    """Refuse where the extra is not installed."""
    from importlib.util import find_spec

    if not all(find_spec(name) for name in ("starlette", "uvicorn", "jinja2", "babel")):
        raise Refused(_NOT_HERE)


def _book(here: Face) -> "Book":
    from triplog.page.entrance.book import Book

    return Book(here.home)


def _address(on: str | None) -> str:
    """The one address to answer at; Refused for a name, and for every address at once."""
    if on is None:
        return "127.0.0.1"
    try:
        found = ipaddress.ip_address(on)
    except ValueError:
        raise Refused(f"--on names an address such as 192.168.1.20; found {on!r}") from None
    if found.is_unspecified or found.is_multicast:
        raise Refused("name the one address the page is to be reached at, not all of them")
    return str(found)


def _in_url(address: str) -> str:
    return f"[{address}]" if ":" in address else address


def _link(where: str, code: "PairingCode") -> str:
    """The pairing token stands behind the #, so it is in no server's log."""
    return f"{where}/enter#{code.token}"


def _draw(link: str) -> None:
    if sys.stdout.isatty():
        import segno

        segno.make(link, error="m").terminal(compact=True, border=2)


def _moment(here: Face, ms: int) -> str:
    from datetime import UTC, datetime, timedelta, timezone

    zone = timezone(timedelta(minutes=here.clock.read().offset_min))
    return datetime.fromtimestamp(ms / 1000, UTC).astimezone(zone).strftime("%Y-%m-%d %H:%M")


COMMANDS = {"page": page}
