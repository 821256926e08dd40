"""`triplog gear`."""

from typing import Annotated, Any

import typer

from triplog.cli.face import AsJson, Note, Reason, as_record, face, given, recorded, show, show_json
from triplog.desk.refused import Refused

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
Tensioner = Annotated[str | None, typer.Option("--tensioner", help="ratchet, winch, binder.")]
TensionerWll = Annotated[str | None, typer.Option("--tensioner-wll", help="Its rating.")]
DamageOption = Annotated[
    list[str] | None,
    typer.Option("--damage", help='What is wrong: "cut 3/16 in", "no label"; may be repeated.'),
]
NoDamage = Annotated[bool, typer.Option("--no-damage", help="Looked at, and nothing was found.")]


def _item(
    kind: str | None,
    width: str | None,
    size: str | None,
    grade: str | None,
    length: str | None,
    wll: str | None,
    breaking: str | None,
    tracer_lines: int | None,
    hooks: str | None,
    hooks_wll: str | None,
    tensioner: str | None,
    tensioner_wll: str | None,
    damage: list[str] | None,
    no_damage: bool,
) -> dict[str, Any]:
    if damage and no_damage:
        raise Refused("--damage and --no-damage contradict each other")
    return given(
        kind=kind,
        width=width,
        size=size,
        grade=grade,
        length=length,
        wll=wll,
        breaking=breaking,
        tracer_lines=tracer_lines,
        fittings=_fittings(hooks, hooks_wll),
        tensioner=given(kind=tensioner, wll=tensioner_wll) or None,
        damage=[] if no_damage else None if damage is None else [_damage(one) for one in damage],
    )


def _fittings(hooks: str | None, wll: str | None) -> list[dict[str, Any]] | None:
    """Two end fittings, alike or one an end; None: nothing is known of them."""
    if hooks is None:
        return None if wll is None else [{"wll": wll}, {"wll": wll}]
    kinds = [part.strip() for part in hooks.split(",")]
    if len(kinds) > 2 or not all(kinds):
        raise Refused(f'write --hooks as "flat hook" or "flat hook, snap hook"; found {hooks!r}')
    return [given(kind=kind, wll=wll) for kind in (kinds if len(kinds) == 2 else kinds * 2)]


def _damage(text: str) -> dict[str, str]:
    """ "cut 3/16 in" as a kind and a size; without a figure it was not measured."""
    words = text.split()
    place = next((at for at, word in enumerate(words) if word[0].isdigit()), len(words))
    kind, size = " ".join(words[:place]), " ".join(words[place:])
    if not kind:
        raise Refused(
            f'write --damage with what it is first, such as "cut 3/16 in"; found {text!r}'
        )
    return given(kind=kind, size=size or None)


@app.command("add")
def add(
    context: typer.Context,
    label: Label,
    kind: Kind = "ratchet strap",
    width: Width = None,
    size: Size = None,
    grade: Grade = None,
    length: Length = None,
    wll: Wll = None,
    breaking: Breaking = None,
    tracer_lines: Tracer = None,
    hooks: Hooks = None,
    hooks_wll: HooksWll = None,
    tensioner: Tensioner = None,
    tensioner_wll: TensionerWll = None,
    damage: DamageOption = None,
    no_damage: NoDamage = False,
    count: Annotated[
        int, typer.Option("--count", help="Many alike: numbered on from the label.")
    ] = 1,
    note: Note = None,
) -> None:
    """Take gear into stock."""
    from triplog.desk.gear import add_gear

    here = face(context)
    desk = here.desk()
    item = _item(
        kind,
        width,
        size,
        grade,
        length,
        wll,
        breaking,
        tracer_lines,
        hooks,
        hooks_wll,
        tensioner,
        tensioner_wll,
        damage,
        no_damage,
    )
    entries = here.recording(
        desk, lambda: add_gear(desk, label=label, item=item, count=count, note=note)
    )
    show(recorded(entry, f"gear {entry.body['label']}") for entry in entries)


@app.command("change")
def change(
    context: typer.Context,
    label: Label,
    kind: Kind = None,
    width: Width = None,
    size: Size = None,
    grade: Grade = None,
    length: Length = None,
    wll: Wll = None,
    breaking: Breaking = None,
    tracer_lines: Tracer = None,
    hooks: Hooks = None,
    hooks_wll: HooksWll = None,
    tensioner: Tensioner = None,
    tensioner_wll: TensionerWll = None,
    damage: DamageOption = None,
    no_damage: NoDamage = False,
) -> None:
    """Change what is known of a piece of gear."""
    from triplog.desk.gear import change_gear

    here = face(context)
    desk = here.desk()
    item = _item(
        kind,
        width,
        size,
        grade,
        length,
        wll,
        breaking,
        tracer_lines,
        hooks,
        hooks_wll,
        tensioner,
        tensioner_wll,
        damage,
        no_damage,
    )
    entry = here.recording(desk, lambda: change_gear(desk, label, item=item))
    show([recorded(entry, f"gear {label}")])


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
    """Put gear that was set aside back into stock."""
    _set_standing(context, label, "in stock", reason)


def _set_standing(context: typer.Context, label: str, word: str, reason: str | None) -> None:
    from triplog.cli import asking
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
        str | None, typer.Option("--standing", help="in stock, set aside, unfit.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List the gear."""
    from triplog.desk.looking import gear
    from triplog.screen import table_lines

    rows = gear(face(context).desk(), standing=standing)
    if as_json:
        return show_json(rows)
    columns = ("label", "kind", "width", "size", "grade", "length", "wll", "standing", "on_trip")
    return show(table_lines(columns, [as_record(row, *columns) for row in rows]))


@app.command("show")
def shown(context: typer.Context, label: Label, as_json: AsJson = False) -> None:
    """Show a piece of gear and its life."""
    from triplog.desk.finding_things import gear_named
    from triplog.desk.looking import gear_life
    from triplog.screen import field_text, moment_text

    desk = face(context).desk()
    life = gear_life(desk, gear_named(desk, label))
    if as_json:
        return show_json(life)
    lines = [f"gear {life['label']}, {life['standing']}"]
    lines += [
        f"  {name.replace('_', ' '):<16}{field_text(value)}" for name, value in life["item"].items()
    ]
    if "wll" not in life["item"]:
        lines.append(f"  {'wll':<16}unmarked: a rule set's default counts, where it has one")
    lines.append(f"  {'trips':<16}{', '.join(life['trips']) or 'none yet'}")
    for event in life["history"]:
        what = event["standing"] or event["kind"].replace("_", " ")
        when = moment_text(event["when"], event["offset_min"])
        lines.append(f"  {when}  {what}  {event['reason'] or ''}".rstrip())
    lines.append("  Tie-down gear is not for lifting.")
    return show(lines)


COMMANDS = {"gear": app}
