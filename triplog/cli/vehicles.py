"""`triplog vehicle`."""

from typing import Annotated, Any, Literal, cast

import typer

from triplog.cli import asking
from triplog.cli.face import (
    AsJson,
    Note,
    as_record,
    face,
    given,
    parts_of_place,
    recorded,
    show,
    show_json,
)
from triplog.desk.refused import Refused
from triplog.securement.quantity import Dimension

app = typer.Typer(help="The vehicles with their anchor points.", no_args_is_help=True)
Label = Annotated[str, typer.Argument(help="What people call the vehicle.")]
GrossMass = Annotated[
    str | None,
    typer.Option("--gross-mass", help="Gross rating of the vehicle or combination, in lb or kg."),
]
Use = Annotated[str | None, typer.Option("--use", help='"interstate business" or "other".')]
RegisteredIn = Annotated[
    str | None,
    typer.Option("--registered-in", help="As a code of ISO 3166, such as US or CA-SK."),
]
DeckLength = Annotated[str | None, typer.Option("--deck-length", help="Such as 48 ft.")]
DeckWidth = Annotated[str | None, typer.Option("--deck-width", help="Such as 8'6\".")]
DeckHeight = Annotated[str | None, typer.Option("--deck-height", help="Above the road.")]
DeckSurface = Annotated[str | None, typer.Option("--deck-surface", help="Such as sawn timber.")]
Front = Annotated[
    str | None,
    typer.Option(
        "--front", help='Front structure: "none", or "height=4 ft, width=8 ft, rated=20000 lb".'
    ),
]
Body = Annotated[
    str | None,
    typer.Option(
        "--body",
        help="flatbed, lowboy, sided, curtain side, frame, crib-type log trailer, pole trailer,"
        " container chassis, hoist.",
    ),
]
TopSpeed = Annotated[
    str | None,
    typer.Option("--top-speed", help="Top road speed; bounds the distance between readings."),
]
AnchorKind = Annotated[
    str | None, typer.Option("--kind", help="ring, stake pocket, rail, winch, track, loop.")
]
Wll = Annotated[str | None, typer.Option("--wll", help="Rating of each anchor point.")]
Breaking = Annotated[
    str | None, typer.Option("--breaking", help="Breaking strength of each, if told; no rating.")
]
Opening = Annotated[str | None, typer.Option("--opening", help="Clear opening, such as 60 mm.")]
Accepts = Annotated[list[str] | None, typer.Option("--accepts", help="A hook kind that fits.")]


_FRONT = 'Front structure: none, or its size such as "height=4 ft, width=8 ft"'
AnchorAt = Annotated[
    str | None,
    typer.Option("--at", help='Its place: "6 ft, left 4 ft", and if above the deck ", 1 ft".'),
]


def _use(typed: str | None) -> str | None:
    if typed is not None:
        return typed
    between = asking.known(None, "Is it used in business between states or countries?")
    return None if between is None else ("interstate business" if between else "other")


def _front_structure(text: str | None) -> object:
    """The front structure a person typed: "none", or its parts."""
    if text is None or text.strip().lower() == "none":
        return text and "none"
    parts = [part.partition("=") for part in text.split(",")]
    named = {name.strip(): value.strip() for name, _, value in parts}
    if not set(named) <= {"height", "width", "rated"} or not all(named.values()):
        raise Refused('write --front as "none" or "height=4 ft, width=8 ft, rated=20000 lb"')
    return named


@app.command("add")
def add(
    context: typer.Context,
    label: Annotated[str | None, typer.Argument(help="What people call the vehicle.")] = None,
    gross_mass: GrossMass = None,
    use: Use = None,
    registered_in: RegisteredIn = None,
    deck_length: DeckLength = None,
    deck_width: DeckWidth = None,
    deck_height: DeckHeight = None,
    deck_surface: DeckSurface = None,
    front: Front = None,
    body: Body = None,
    top_speed: TopSpeed = None,
    note: Note = None,
) -> None:
    """Add a vehicle; what is not given is recorded as not known."""
    from triplog.desk.vehicles import add_vehicle

    here = face(context)
    desk = here.desk()
    named = asking.text(label, "What people call the vehicle", "LABEL", example="TR-1")
    document = given(
        gross_mass=asking.quantity(gross_mass, "Its gross mass rating", Dimension.MASS),
        use=_use(use),
        registered_in=registered_in,
        deck_length=asking.quantity(deck_length, "Length of the deck", Dimension.LENGTH),
        deck_width=asking.quantity(deck_width, "Width of the deck", Dimension.LENGTH),
        deck_height=deck_height,
        deck_surface=deck_surface,
        front_structure=_front_structure(asking.maybe(front, _FRONT, _front_structure)),
        body=body,
    )
    entry = here.recording(
        desk,
        lambda: add_vehicle(desk, label=named, document=document, top_speed=top_speed, note=note),
    )
    show([recorded(entry, f"vehicle {named}")])
    show(asking.next_line(f"triplog vehicle anchors {named}, for its anchor points"))


@app.command("change")
def change(
    context: typer.Context,
    label: Label,
    gross_mass: GrossMass = None,
    use: Use = None,
    registered_in: RegisteredIn = None,
    deck_length: DeckLength = None,
    deck_width: DeckWidth = None,
    deck_height: DeckHeight = None,
    deck_surface: DeckSurface = None,
    front: Front = None,
    body: Body = None,
    top_speed: TopSpeed = None,
) -> None:
    """Change what is known of a vehicle."""
    from triplog.desk.vehicles import change_vehicle

    here = face(context)
    desk = here.desk()
    document = given(
        gross_mass=gross_mass,
        use=use,
        registered_in=registered_in,
        deck_length=deck_length,
        deck_width=deck_width,
        deck_height=deck_height,
        deck_surface=deck_surface,
        front_structure=_front_structure(front),
        body=body,
    )
    entry = here.recording(
        desk, lambda: change_vehicle(desk, label, document=document, top_speed=top_speed)
    )
    show([recorded(entry, f"vehicle {label}")])


@app.command("anchors")
def anchors(
    context: typer.Context,
    label: Label,
    side: Annotated[str, typer.Option("--side", help="left, right or both.")] = "both",
    first: Annotated[
        str | None, typer.Option("--first", help="Back from the deck front; else 0 ft.")
    ] = None,
    every: Annotated[str | None, typer.Option("--every", help="Distance between them.")] = None,
    count: Annotated[
        int | None, typer.Option("--count", help="How many a side; else to the deck's end.")
    ] = None,
    across: Annotated[
        str | None, typer.Option("--across", help="From the centre line; else the deck's edge.")
    ] = None,
    kind: AnchorKind = None,
    wll: Wll = None,
    breaking: Breaking = None,
    opening: Opening = None,
    accepts: Accepts = None,
) -> None:
    """Add a row of anchor points: both sides, every 4 ft from 2 ft, 5,000 lb."""
    from triplog.desk.vehicles import add_anchor_row, card_of

    if side not in ("left", "right", "both"):
        raise Refused(f"a side is left, right or both, found {side!r}")
    here = face(context)
    desk = here.desk()
    if first is None and every is None and count is None:
        first, every, count = _ask_row("deck_length" in card_of(desk, label))
        if "deck_width" not in card_of(desk, label):
            across = asking.quantity(across, "How far from the centre line", Dimension.LENGTH)
        wll = asking.quantity(wll, "The rating (WLL) of each, such as 5000 lb", Dimension.FORCE)
    entry = here.recording(
        desk,
        lambda: add_anchor_row(
            desk,
            label,
            side=cast(Literal["left", "right", "both"], side),
            first=first or "0 ft",
            every=every,
            count=count,
            across=across,
            fields=given(kind=kind, wll=wll, breaking=breaking, opening=opening, accepts=accepts),
        ),
    )
    placed = cast(list[dict[str, Any]], entry.body["anchors"])
    show([recorded(entry, f"vehicle {label}, {len(placed)} anchor points in all")])
    if asking.at_terminal():
        show([f"  {' '.join(one['id'] for one in placed)}"])
        show(["next: triplog gear add, or triplog trip new where the gear is in stock already"])


def _ask_row(length_known: bool) -> tuple[str | None, str | None, int | None]:
    """The first of a row, the step, and how many; asked at a terminal."""
    from triplog.securement.quantity import parse

    def length(answer: str) -> object:
        return parse(answer, Dimension.LENGTH)

    first = asking.maybe(None, "The first, back from the deck front", length, empty="0 ft")
    step = "From one to the next, such as 4 ft"
    every = asking.maybe(None, step, length, empty="there is one a side")
    count = None
    if every is not None and not length_known:
        count = asking.text(None, "How many a side", "--count", reads=asking.whole_number)
    return first, every, None if count is None else int(count)


@app.command("anchor")
def anchor(
    context: typer.Context,
    label: Label,
    anchor_id: Annotated[str, typer.Argument(help="The anchor point, such as L3.")],
    at: AnchorAt = None,
    kind: AnchorKind = None,
    wll: Wll = None,
    breaking: Breaking = None,
    opening: Opening = None,
    accepts: Accepts = None,
) -> None:
    """Change what is known of one anchor point."""
    from triplog.desk.vehicles import change_anchor

    here = face(context)
    desk = here.desk()
    place = None if at is None else parts_of_place(at)
    fields = given(
        at=place, kind=kind, wll=wll, breaking=breaking, opening=opening, accepts=accepts
    )
    entry = here.recording(desk, lambda: change_anchor(desk, label, anchor_id, fields=fields))
    show([recorded(entry, f"vehicle {label}, anchor point {anchor_id}")])


@app.command("list")
def listed(context: typer.Context, as_json: AsJson = False) -> None:
    """List the vehicles."""
    from triplog.desk.looking import vehicles
    from triplog.screen import table_lines

    rows = vehicles(face(context).desk())
    if as_json:
        return show_json(rows)
    columns = ("label", "gross_mass", "use", "deck_length", "deck_width", "top_speed", "anchors")
    return show(table_lines(columns, [as_record(row, *columns) for row in rows]))


@app.command("show")
def shown(
    context: typer.Context,
    label: Annotated[str | None, typer.Argument(help="Which vehicle.")] = None,
    as_json: AsJson = False,
) -> None:
    """Show a vehicle with its anchor points."""
    from triplog.desk.finding_things import vehicle_named
    from triplog.desk.looking import anchors as anchors_of
    from triplog.screen import field_text, table_lines

    desk = face(context).desk()
    vehicle = vehicle_named(desk, label)
    if as_json:
        return show_json(vehicle.body)
    document = cast(dict[str, object], vehicle.body["document"])
    lines = [f"vehicle {vehicle.label}"]
    lines += [
        f"  {name.replace('_', ' '):<16}{field_text(value)}" for name, value in document.items()
    ]
    lines.append(f"  {'top speed':<16}{vehicle.body.get('top_speed', 'not stated')}")
    told = [
        row | {"accepts": ", ".join(row["accepts"]) if row["accepts"] else None}
        for row in anchors_of(desk, vehicle)
    ]
    more = [name for name in ("breaking", "opening", "accepts") if any(row[name] for row in told)]
    columns = ("id", "kind", "from_front", "across", "wll", *more)
    rows = [as_record(row, *columns) for row in told]
    return show([*lines, "", *table_lines(columns, rows)])


COMMANDS = {"vehicle": app}
