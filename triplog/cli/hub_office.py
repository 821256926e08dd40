"""`triplog hub export`, `browser` and `auditor`: who looks at what has arrived."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli.face import face, show
from triplog.cli.hub_base import Dsn, OfCarrier, open_hub, told_carrier

if TYPE_CHECKING:
    from triplog.hub.office.browsers import Role


def export(
    context: typer.Context,
    to: Annotated[Path, typer.Option("--to", help="The folder to write into.")] = Path("export"),
    device: Annotated[
        list[str] | None, typer.Option("--device", help="Only this device, by label or id.")
    ] = None,
    trip: Annotated[
        list[str] | None,
        typer.Option("--trip", help="Only this trip, by label or id."),
    ] = None,
    since: Annotated[
        str | None,
        typer.Option("--since", help="Each trip of which something was written since: 2026-03-01."),
    ] = None,
    until: Annotated[
        str | None, typer.Option("--until", help="What was written until then, that day included.")
    ] = None,
    form: Annotated[
        list[str] | None, typer.Option("--form", help="As in `triplog export`; default: bundle.")
    ] = None,
    withhold: Annotated[
        list[str] | None, typer.Option("--withhold", help="As in `triplog export`.")
    ] = None,
    withhold_reason: Annotated[
        str | None, typer.Option("--withhold-reason", help="Why; the export says it.")
    ] = None,
    of_carrier: OfCarrier = None,
    dsn: Dsn = None,
) -> None:
    """Write logs or trips that have arrived: bundle, tables, JSON, sheets; all of it or nothing."""
    from triplog.desk.withholding import Wish, words_in
    from triplog.hub.carriers import carrier_named
    from triplog.hub.exporting import Order, Place, asked_for, export_from_hub

    here = face(context)
    database = open_hub(context, dsn)
    found = told_carrier(carrier_named(database, of_carrier))
    wish = Wish(words=words_in(withhold or []), reason=withhold_reason)
    place = Place(database=database, home=here.home, clock=here.clock)
    asked = asked_for(place, found, device or [], trip or [], since, until)
    order = Order(forms=tuple(form or ("bundle",)), who="at the hub's command line", wish=wish)
    for made in export_from_hub(place, found, asked, order, to):
        show(f"  {path}" for path in made.files)
        if made.seal is not None:
            show([f"  the bundle's fingerprint: {made.seal}"])


def browser(
    context: typer.Context,
    label: Annotated[str, typer.Argument(help="What people call who will sit at it.")],
    of_carrier: OfCarrier = None,
    dsn: Dsn = None,
) -> None:
    """Draw a code that lets one browser into the office's pages, once."""
    _draw(context, label, "office", of_carrier, dsn)


def auditor(
    context: typer.Context,
    label: Annotated[str, typer.Option("--label", help="What people call the auditor.")],
    sql_login: Annotated[
        str | None,
        typer.Option("--sql-login", help="Make a login of this name to the database as well."),
    ] = None,
    of_carrier: OfCarrier = None,
    dsn: Dsn = None,
) -> None:
    """Draw a code for a browser that only reads; what it opens is recorded."""
    from triplog.hub.auditors import make_login
    from triplog.hub.carriers import carrier_named

    if sql_login is not None:
        login_of = open_hub(context, dsn)
        make_login(login_of, carrier_named(login_of, of_carrier), sql_login)
        show(
            [
                f"login {sql_login} reads this carrier's rows in the schema hub, and no others",
                "it cannot be used before the database's administrator has set its password",
                "what is read by it is told in the database's own log, and not in the carrier's",
            ]
        )
    _draw(context, label, "auditor", of_carrier, dsn)


def _draw(
    context: typer.Context, label: str, role: "Role", of_carrier: str | None, dsn: str | None
) -> None:
    from triplog.hub.carriers import carrier_named
    from triplog.hub.house import reached
    from triplog.hub.office.browsers import draw_browser_code

    here = face(context)
    database = open_hub(context, dsn)
    where = reached(here.home).address
    found = told_carrier(carrier_named(database, of_carrier))
    code = draw_browser_code(database, found, label, role, here.clock.read().wall)
    show([f"{where}/enter#{code}", f"lets {label} in, once, within a quarter of an hour"])


COMMANDS: dict[str, Callable[..., None]] = {
    "export": export,
    "browser": browser,
    "auditor": auditor,
}
