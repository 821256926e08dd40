"""`triplog gear inspect`, `hold` and `lift-hold`: looking at gear, and keeping it as evidence."""

from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import Note, Reason, When, face, leave, recorded, show
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from triplog.desk.desk import Desk
    from triplog.desk.inspecting import Inspected
    from triplog.journal.entries import Body

WhichHold = Annotated[
    str | None, typer.Option("--hold", help="Which hold, by the start of its hash, where several.")
]
Label = Annotated[str, typer.Argument(help="What is written on it, such as S-1.")]


def inspect(
    context: typer.Context,
    label: Label,
    damage: Annotated[
        list[str] | None,
        typer.Option("--damage", help='What is wrong: "cut 3/16 in", "no label"; may be repeated.'),
    ] = None,
    no_damage: Annotated[
        bool, typer.Option("--no-damage", help="Looked at, and nothing was found.")
    ] = False,
    used_in: Annotated[
        list[str] | None,
        typer.Option("--used-in", help="us, ca, eu or au; not given: anywhere. May be repeated."),
    ] = None,
    allowed: Annotated[
        str | None, typer.Option("--allowed", help="The damage that label or maker allow.")
    ] = None,
    allowed_by: Annotated[
        str | None, typer.Option("--allowed-by", help="Where that is said; kept private.")
    ] = None,
    inspect_by: Annotated[
        str | None, typer.Option("--inspect-by", help="The day of the next look.")
    ] = None,
    at: When = None,
    note: Note = None,
) -> None:
    """Look at a piece of gear and record what was found; what is damaged goes out of use."""
    from triplog.desk.finding_things import gear_named
    from triplog.desk.inspecting import inspect as look_and_record
    from triplog.desk.when import moment

    here = face(context)
    desk = here.desk()
    found = _found(str(gear_named(desk, label).item["kind"]), damage, no_damage=no_damage)
    result = here.recording(
        desk,
        lambda: look_and_record(
            desk,
            label,
            damage=found,
            used_in=tuple(used_in or ()),
            allowed=allowed,
            allowed_by=allowed_by,
            inspect_by=inspect_by,
            note=note,
            at=moment(at, desk.now()),
        ),
    )
    show([recorded(result.entry, f"gear {label} inspected")])
    leave(_tell_result(desk, result))


def _found(kind: str, damage: list[str] | None, *, no_damage: bool) -> "list[Body]":
    """What was found, as given or asked for with what to look for."""
    from triplog.cli import asking
    from triplog.desk.gear import damage_typed
    from triplog.wording.gear import look_for

    if damage and no_damage:
        raise Refused("--damage and --no-damage contradict each other")
    if not damage and not no_damage:
        if not asking.at_terminal():
            raise Refused("say what was found with --damage, or --no-damage")
        show(f"look for: {one}" for one in look_for(kind))
        damage = asking.several('What is wrong, such as "cut 3/16 in"')
    return [damage_typed(one) for one in damage or []]


def _tell_result(desk: "Desk", result: "Inspected") -> int:
    """Say what a look came to and what follows; the exit code."""
    from triplog.desk.gear import out_of_use
    from triplog.desk.planning import gear_in_use
    from triplog.wording.gear import gear_notes, look_lines

    thing = result.thing
    out = out_of_use(desk, thing)
    show(look_lines(result.look, thing.item))
    if out is not None:
        show([out])
        if not result.entry.body["damage"]:
            show(["a look brings nothing back: `triplog gear return` does, with a reason"])
        trip = gear_in_use(desk).get(thing.label)
        if trip is not None:
            show([f"it is on trip {trip}: add other gear first, then take this off"])
    show(gear_notes(str(thing.item["kind"])))
    return DONE if out is None else FOUND


def hold(context: typer.Context, label: Label, reason: Reason = None) -> None:
    """Keep a piece as evidence: not planned, not put back, nothing about it taken away."""
    from triplog.cli import asking
    from triplog.desk.holding import hold_gear

    here = face(context)
    desk = here.desk()
    why = asking.text(reason, "Why", "--reason")
    entry = here.recording(desk, lambda: hold_gear(desk, label, reason=why))
    show([recorded(entry, f"gear {label} is under an evidence hold")])


def lift_hold(
    context: typer.Context, label: Label, hold: WhichHold = None, reason: Reason = None
) -> None:
    """Lift an evidence hold: without any left the piece stands again as it stood before."""
    from triplog.cli import asking
    from triplog.desk.finding_things import gear_named
    from triplog.desk.holding import lift_gear_hold

    here = face(context)
    desk = here.desk()
    why = asking.text(reason, "Why", "--reason")
    entry = here.recording(desk, lambda: lift_gear_hold(desk, label, hold=hold, reason=why))
    thing = gear_named(desk, label)
    show([recorded(entry, f"hold on gear {label} lifted; it is {thing.standing}")])
    show(["another hold stands on it"] if thing.holds else [])
