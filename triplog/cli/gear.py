"""`triplog gear`."""

from typing import Annotated, Any

import typer

from triplog.cli import asking
from triplog.cli.face import AsJson, Note, Reason, as_record, face, given, recorded, show, show_json
from triplog.cli.gear_lists import import_list, inspection_list, inspection_read
from triplog.cli.gear_looks import hold, inspect, lift_hold
from triplog.desk.refused import Refused
from triplog.securement.quantity import Dimension

app = typer.Typer(help="The gear: in stock, set aside, unfit.", no_args_is_help=True)
Label = Annotated[str, typer.Argument(help="What is written on it, such as S-1.")]
Kind = Annotated[
    str | None,
    typer.Option(
        "--kind",
        help="ratchet strap, winch strap, chain, wire rope, cordage, steel strapping,"
        " friction mat, bar.",
    ),
]
Width = Annotated[str | None, typer.Option("--width", help="Of webbing, such as 2 in.")]
Size = Annotated[str | None, typer.Option("--size", help="Of chain or rope, such as 3/8 in.")]
Grade = Annotated[str | None, typer.Option("--grade", help="Of chain, such as 70.")]
Length = Annotated[str | None, typer.Option("--length", help="Such as 27 ft.")]
Wll = Annotated[
    str | None, typer.Option("--wll", help="The rating as marked; leave out where unmarked.")
]
Breaking = Annotated[
    str | None, typer.Option("--breaking", help="The breaking strength as marked; no rating.")
]
Thickness = Annotated[str | None, typer.Option("--thickness", help="Of steel strapping.")]
Material = Annotated[str | None, typer.Option("--material", help="Of cordage, such as nylon.")]
LashingCapacity = Annotated[
    str | None, typer.Option("--lc", help="LC as a European label has it, such as 2500 daN.")
]
TensionForce = Annotated[
    str | None, typer.Option("--stf", help="STF of the label, such as 350 daN; none: leave out.")
]
HandForce = Annotated[str | None, typer.Option("--shf", help="SHF of the label, such as 50 daN.")]
Tracer = Annotated[
    int | None, typer.Option("--tracer-lines", help="Lines woven in: a hint, never a rating.")
]
Hooks = Annotated[
    str | None,
    typer.Option(
        "--hooks", help='End fittings: "flat hook", or one an end: "flat hook, snap hook".'
    ),
]
HooksWll = Annotated[str | None, typer.Option("--hooks-wll", help="Rating of each end fitting.")]
HooksBreaking = Annotated[
    str | None, typer.Option("--hooks-breaking", help="Breaking strength of each end fitting.")
]
Tensioner = Annotated[str | None, typer.Option("--tensioner", help="ratchet, winch, binder.")]
TensionerWll = Annotated[str | None, typer.Option("--tensioner-wll", help="Its rating.")]
TensionerBreaking = Annotated[
    str | None, typer.Option("--tensioner-breaking", help="Its breaking strength.")
]
Friction = Annotated[
    str | None, typer.Option("--friction", help="Of a friction mat, as marked, such as 0.6.")
]
DamageOption = Annotated[
    list[str] | None,
    typer.Option("--damage", help='What is wrong: "cut 3/16 in", "no label"; may be repeated.'),
]
Mass = Annotated[str | None, typer.Option("--mass", help="What the piece itself weighs.")]
InspectBy = Annotated[
    str | None,
    typer.Option("--inspect-by", help="The day it is to be looked at, by the company's own rule."),
]
NoDamage = Annotated[bool, typer.Option("--no-damage", help="Looked at, and nothing was found.")]


def _tensioner(told: dict[str, Any]) -> dict[str, Any]:
    return {"tensioner": told} if told else {}


def _fittings(hooks: str | None, each: dict[str, Any] | None = None) -> dict[str, Any]:
    """Two end fittings, alike or one an end; empty: nothing is known of them."""
    if hooks is None:
        return {"fittings": [dict(each), dict(each)]} if each else {}
    kinds = [part.strip() for part in hooks.split(",")]
    if len(kinds) > 2 or not all(kinds):
        raise Refused(f'write --hooks as "flat hook" or "flat hook, snap hook"; found {hooks!r}')
    return {"fittings": [{"kind": kind} | (each or {}) for kind in (kinds * 2)[:2]]}


def _damage(damage: list[str] | None, no_damage: bool) -> dict[str, Any]:
    if damage and no_damage:
        raise Refused("--damage and --no-damage contradict each other")
    from triplog.desk.gear import damage_typed

    if damage is None and not no_damage:
        return {}

    return {"damage": [damage_typed(one) for one in damage or []]}


def _ask_webbing(
    kind: str | None, width: str | None, hooks: str | None
) -> tuple[str | None, str | None]:
    """What tells how much an unmarked strap counts, and whether it fits an anchor point."""
    if kind not in ("ratchet strap", "winch strap"):
        return width, hooks
    width = asking.quantity(width, "The width of its webbing, such as 2 in", Dimension.LENGTH)
    return width, asking.maybe(hooks, "Its hooks, such as flat hook", _fittings)


def _ask(wll: str | None, length: str | None, count: int) -> tuple[str | None, str | None, int]:
    """What every piece has and is not given: rating, length, and how many there are."""
    wll = asking.quantity(
        wll, "The rating as marked, such as 3333 lb", Dimension.FORCE, empty="not marked"
    )
    length = asking.quantity(length, "Its length, such as 27 ft", Dimension.LENGTH)
    if count == 1:
        alike = asking.maybe(None, "How many alike", asking.whole_number, empty="1")
        count = 1 if alike is None else asking.whole_number(alike)
    return wll, length, count


@app.command("add")
def add(
    context: typer.Context,
    label: Annotated[str | None, typer.Argument(help="What is written on it, such as S-1.")] = None,
    kind: Kind = "ratchet strap",
    width: Width = None,
    size: Size = None,
    thickness: Thickness = None,
    grade: Grade = None,
    material: Material = None,
    length: Length = None,
    wll: Wll = None,
    breaking: Breaking = None,
    lc: LashingCapacity = None,
    stf: TensionForce = None,
    shf: HandForce = None,
    tracer_lines: Tracer = None,
    hooks: Hooks = None,
    hooks_wll: HooksWll = None,
    hooks_breaking: HooksBreaking = None,
    tensioner: Tensioner = None,
    tensioner_wll: TensionerWll = None,
    tensioner_breaking: TensionerBreaking = None,
    friction: Friction = None,
    damage: DamageOption = None,
    no_damage: NoDamage = False,
    mass: Mass = None,
    inspect_by: InspectBy = None,
    count: Annotated[
        int, typer.Option("--count", help="Many alike: numbered on from the label.")
    ] = 1,
    note: Note = None,
) -> None:
    """Take gear into stock."""
    from triplog.desk.gear import add_gear

    here = face(context)
    desk = here.desk()
    named = asking.text(label, "What is written on it", "LABEL", example="S-1")
    if label is None:
        width, hooks = _ask_webbing(kind, width, hooks)
        wll, length, count = _ask(wll, length, count)
    item = given(
        kind=kind,
        width=width,
        size=size,
        thickness=thickness,
        grade=grade,
        material=material,
        length=length,
        wll=wll,
        breaking=breaking,
        lc=lc,
        stf=stf,
        shf=shf,
        tracer_lines=tracer_lines,
        mass=mass,
        friction=friction,
    )
    item |= _fittings(hooks, given(wll=hooks_wll, breaking=hooks_breaking))
    item |= _tensioner(given(kind=tensioner, wll=tensioner_wll, breaking=tensioner_breaking))
    item |= _damage(damage, no_damage)
    entries = here.recording(
        desk,
        lambda: add_gear(
            desk, label=named, item=item, count=count, inspect_by=inspect_by, note=note
        ),
    )
    aside = ", set aside" if damage else ""
    show(recorded(entry, f"gear {entry.body['label']}{aside}") for entry in entries)
    show(asking.next_line("triplog trip new; triplog gear add for other gear"))


@app.command("change")
def change(
    context: typer.Context,
    label: Label,
    kind: Kind = None,
    width: Width = None,
    size: Size = None,
    thickness: Thickness = None,
    grade: Grade = None,
    material: Material = None,
    length: Length = None,
    wll: Wll = None,
    breaking: Breaking = None,
    lc: LashingCapacity = None,
    stf: TensionForce = None,
    shf: HandForce = None,
    tracer_lines: Tracer = None,
    hooks: Hooks = None,
    hooks_wll: HooksWll = None,
    hooks_breaking: HooksBreaking = None,
    tensioner: Tensioner = None,
    tensioner_wll: TensionerWll = None,
    tensioner_breaking: TensionerBreaking = None,
    friction: Friction = None,
    damage: DamageOption = None,
    no_damage: NoDamage = False,
    mass: Mass = None,
    inspect_by: InspectBy = None,
) -> None:
    """Change what is known of a piece of gear."""
    from triplog.desk.gear import change_gear

    here = face(context)
    desk = here.desk()
    item = given(
        kind=kind,
        width=width,
        size=size,
        thickness=thickness,
        grade=grade,
        material=material,
        length=length,
        wll=wll,
        breaking=breaking,
        lc=lc,
        stf=stf,
        shf=shf,
        tracer_lines=tracer_lines,
        mass=mass,
        friction=friction,
    )
    item |= _fittings(hooks, given(wll=hooks_wll, breaking=hooks_breaking))
    item |= _tensioner(given(kind=tensioner, wll=tensioner_wll, breaking=tensioner_breaking))
    item |= _damage(damage, no_damage)
    card, *aside = here.recording(
        desk, lambda: change_gear(desk, label, item=item, inspect_by=inspect_by)
    )
    show([recorded(card, f"gear {label}")])
    show(recorded(entry, f"gear {label} is set aside") for entry in aside)


@app.command("set-aside")
def set_aside(context: typer.Context, label: Label, reason: Reason = None) -> None:
    """Set gear aside: not to be used until somebody has looked at it."""
    _set_standing(context, label, "set aside", reason)


@app.command("unfit")
def unfit(context: typer.Context, label: Label, reason: Reason = None) -> None:
    """Say that gear is unfit: it does not come back."""
    _set_standing(context, label, "unfit", reason)


@app.command("return")
def put_back(context: typer.Context, label: Label, reason: Reason = None) -> None:
    """Put gear that was set aside back into stock; the reason and who says so are kept."""
    _set_standing(context, label, "in stock", reason)


def _set_standing(context: typer.Context, label: str, word: str, reason: str | None) -> None:
    from triplog.desk.gear import set_standing
    from triplog.journal.things import Standing

    here = face(context)
    desk = here.desk()
    why = asking.maybe(reason, "Why")
    entry = here.recording(desk, lambda: set_standing(desk, label, Standing(word), reason=why))
    show([recorded(entry, f"gear {label} is {word}")])


@app.command("list")
def listed(
    context: typer.Context,
    standing: Annotated[
        str | None, typer.Option("--standing", help="in stock, on a trip, set aside, unfit.")
    ] = None,
    to_inspect: Annotated[
        bool, typer.Option("--to-inspect", help="Only gear whose day to be looked at has come.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """List the gear."""
    from triplog.desk.looking import gear, known_standing
    from triplog.desk.when import local_day
    from triplog.screen import table_lines

    desk = face(context).desk()
    day = local_day(desk.now()) if to_inspect else None
    rows = gear(desk, standing=known_standing(standing), inspect_on=day)
    if as_json:
        return show_json(rows)
    columns = ("label", "kind", "width", "size", "grade", "length", "wll", "standing", "on_trip")
    more = tuple(name for name in ("hold", "inspect_by") if any(row[name] for row in rows))
    lines = [as_record(row, *columns, *more) for row in rows]
    return show(table_lines((*columns, *more), lines))


@app.command("show")
def shown(context: typer.Context, label: Label, as_json: AsJson = False) -> None:
    """Show a piece of gear and its whole life: everything that happened, with both times."""
    from triplog.desk.finding_things import gear_named
    from triplog.desk.looking import gear_life
    from triplog.screen import field_text, gear_life_lines
    from triplog.wording.gear import gear_notes

    desk = face(context).desk()
    life = gear_life(desk, gear_named(desk, label))
    if as_json:
        return show_json(life)
    lines = [f"gear {life['label']}, {life['standing']}"]
    if life["why_not_in_use"] is not None:
        lines.append(f"  {life['why_not_in_use']}")
    lines += [
        f"  {name.replace('_', ' '):<16}{field_text(value)}" for name, value in life["item"].items()
    ]
    if "wll" not in life["item"]:
        lines.append(f"  {'wll':<16}unmarked: a rule set's default counts, where it has one")
    if life["inspect_by"] is not None:
        lines.append(f"  {'inspect by':<16}{life['inspect_by']}, by the company's own rule")
    lines.append(f"  {'trips':<16}{', '.join(life['trips']) or 'none yet'}")
    lines += gear_life_lines(life["history"])
    lines += [f"  {note}" for note in gear_notes(life["item"]["kind"])]
    return show(lines)


app.command("import")(import_list)
app.command("inspect")(inspect)
app.command("inspection-list")(inspection_list)
app.command("inspection-read")(inspection_read)
app.command("hold")(hold)
app.command("lift-hold")(lift_hold)
COMMANDS = {"gear": app}
