"""`triplog tie-down`: how the load is tied."""

from dataclasses import dataclass
from typing import Annotated, Any

import typer

from triplog.cli import asking
from triplog.cli.face import OfTrip, Reason, face, given, parts_of_place, show
from triplog.cli.plan_change import change_the_plan
from triplog.desk.refused import Refused

app = typer.Typer(help="The tie-downs on a trip's plan.", no_args_is_help=True)
Id = Annotated[str, typer.Argument(help="The tie-down, such as T1.")]
Gear = Annotated[str | None, typer.Option("--gear", help="The gear, by label.")]
Holds = Annotated[
    list[str] | None, typer.Option("--holds", help="An article it holds; may be repeated.")
]
PathOption = Annotated[
    str | None,
    typer.Option("--path", help="over, direct (to the article), same side, spring (round a face)."),
]
From = Annotated[str | None, typer.Option("--from", help="The anchor point it starts at.")]
To = Annotated[
    str | None, typer.Option("--to", help="Where it ends: an anchor point, or on the article.")
]
Edges = Annotated[
    str | None,
    typer.Option("--edges", help='Edge protectors "fitted/needed", such as 2/2.'),
]
Tension = Annotated[str | None, typer.Option("--tension", help="Only if a gauge was used.")]
TensionerSide = Annotated[str | None, typer.Option("--tensioner-side", help="left, right or both.")]
Touches = Annotated[
    list[str] | None,
    typer.Option(
        "--touches",
        help='Where it bears on the article, in order: "12 ft, left 3 ft, 5 ft"; may be repeated.',
    ),
]
Lay = Annotated[
    str | None,
    typer.Option("--lay", help="Over the article, from above: crosswise, lengthwise, diagonal."),
]
ThroughEye = Annotated[
    bool | None,
    typer.Option("--through-eye/--not-through-eye", help="Of a coil, or the bore of a pipe."),
]
Knots = Annotated[bool | None, typer.Option("--knots/--no-knots", help="Whether it has any.")]


def tie_down_fields(
    *,
    holds: list[str] | None,
    path: str | None,
    start: str | None,
    to: str | None,
    touches: list[str] | None,
    edges: str | None,
    tension: str | None,
    tensioner_side: str | None,
    knots: bool | None,
    lay: str | None = None,
    through_eye: bool | None = None,
) -> dict[str, Any]:
    """The [[tie_down]] table of what was given."""
    return given(
        holds=holds,
        path=path,
        to=to,
        touches=None if touches is None else [parts_of_place(one) for one in touches],
        edge_protection=None if edges is None else _edge_protection(edges),
        tension=tension,
        tension_basis=None if tension is None else "measured",
        tensioner_side=tensioner_side,
        knots=knots,
        lay=lay,
        through_eye=through_eye,
        **{"from": start},
    )


def _edge_protection(text: str) -> dict[str, int]:
    fitted, _, needed = text.partition("/")
    if not (fitted.strip().isdecimal() and needed.strip().isdecimal()):
        raise Refused(f'write --edges as "fitted/needed", such as 2/2; found {text!r}')
    return {"needed": int(needed), "fitted": int(fitted)}


@app.command("add")
def add(
    context: typer.Context,
    gear: Gear = None,
    holds: Holds = None,
    path: PathOption = "over",
    start: From = None,
    to: To = None,
    touches: Touches = None,
    edges: Edges = None,
    tension: Tension = None,
    tensioner_side: TensionerSide = None,
    knots: Knots = None,
    lay: Lay = None,
    through_eye: ThroughEye = None,
    tie_down_id: Annotated[str | None, typer.Option("--id", help="Else T1, T2 ...")] = None,
    trip: OfTrip = None,
) -> None:
    """Add a tie-down; hand-tension and ratchet by hand only, no bar on the handle."""
    from triplog.desk.planning import add_tie_down

    there = _there(context, trip)
    gear = asking.maybe(gear, _of("Which gear", there.gear), asking.among(there.gear, "gear"))
    if holds is None:
        question = _of("Which article it holds, or which, such as A B", there.articles)
        held = asking.maybe(None, question, asking.among(there.articles, "article"))
        holds = None if held is None else held.replace(",", " ").split()
    anchors = asking.among(there.anchors if path == "over" else (), "anchor point")
    fields = tie_down_fields(
        holds=holds,
        path=path,
        start=asking.maybe(start, _of("From which anchor point", there.anchors), anchors),
        to=asking.maybe(to, "To which anchor point", anchors),
        touches=touches,
        edges=asking.maybe(edges, "Edge protectors fitted/needed, such as 2/2", _edge_protection),
        tension=tension,
        tensioner_side=tensioner_side,
        knots=asking.known(knots, "Any knot in it?"),
        lay=lay,
        through_eye=through_eye,
    )
    change_the_plan(
        context,
        trip,
        lambda desk, label: add_tie_down(
            desk, label, tie_down=fields, gear=gear, tie_down_id=tie_down_id
        ),
    )
    show(
        asking.next_line(
            "triplog tie-down add for another; where all are on the plan: triplog judge"
        )
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _There:
    """What a tie-down can be made of, by label, in the order of the plan; empty: not known."""

    gear: tuple[str, ...] = ()
    articles: tuple[str, ...] = ()
    anchors: tuple[str, ...] = ()


def _there(context: typer.Context, trip: str | None) -> _There:
    """What there is to choose from, where somebody can be asked."""
    if not asking.at_terminal():
        return _There()
    from triplog.desk.finding_things import the_trip
    from triplog.desk.looking import gear
    from triplog.journal.trip import OPEN_STATES, records_in

    desk = face(context).desk()
    plan = the_trip(desk, trip, OPEN_STATES).document or {}
    free = [row["label"] for row in gear(desk, standing="in stock")]
    return _There(
        gear=tuple(free),
        articles=tuple(one["id"] for one in records_in(plan, "article")),
        anchors=tuple(one["id"] for one in records_in(plan, "anchor")),
    )


def _of(question: str, labels: tuple[str, ...]) -> str:
    return f"{question}, of {asking.listed(labels)}" if labels else question


@app.command("change")
def change(
    context: typer.Context,
    tie_down_id: Id,
    gear: Gear = None,
    holds: Holds = None,
    path: PathOption = None,
    start: From = None,
    to: To = None,
    touches: Touches = None,
    edges: Edges = None,
    tension: Tension = None,
    tensioner_side: TensionerSide = None,
    knots: Knots = None,
    lay: Lay = None,
    through_eye: ThroughEye = None,
    reason: Reason = None,
    trip: OfTrip = None,
) -> None:
    """Change a tie-down, or put other gear in its place: add first, then take the old one off."""
    from triplog.desk.planning import change_tie_down

    fields = tie_down_fields(
        holds=holds,
        path=path,
        start=start,
        to=to,
        touches=touches,
        edges=edges,
        tension=tension,
        tensioner_side=tensioner_side,
        knots=knots,
        lay=lay,
        through_eye=through_eye,
    )
    if not fields and gear is None:
        raise Refused("nothing to change was given")
    change_the_plan(
        context,
        trip,
        lambda desk, label: change_tie_down(desk, label, tie_down_id, tie_down=fields, gear=gear),
        reason,
    )


@app.command("remove")
def remove(
    context: typer.Context, tie_down_id: Id, reason: Reason = None, trip: OfTrip = None
) -> None:
    """Take a tie-down off the plan."""
    from triplog.desk.planning import remove_tie_down

    change_the_plan(context, trip, lambda _desk, _label: remove_tie_down(tie_down_id), reason)


COMMANDS = {"tie-down": app}
