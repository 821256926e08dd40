"""`triplog article`: what is loaded."""

from typing import Annotated, Any

import typer

from triplog.cli import asking
from triplog.cli.face import (
    AsJson,
    OfTrip,
    Reason,
    face,
    given,
    parts_of_place,
    show,
    show_json,
)
from triplog.cli.facts import Answers, Facts, answers_table, facts_table
from triplog.cli.plan_change import change_the_plan
from triplog.desk.refused import Refused
from triplog.securement.quantity import Dimension

app = typer.Typer(help="The articles of cargo on a trip's plan.", no_args_is_help=True)
Id = Annotated[str, typer.Argument(help="The article, such as A.")]
What = Annotated[str | None, typer.Option("--what", help="What it is.")]
Mass = Annotated[str | None, typer.Option("--mass", help="Such as 6200 lb or 2.8 t.")]
Basis = Annotated[str | None, typer.Option("--basis", help="weighed, stated or estimated.")]
Length = Annotated[str | None, typer.Option("--length", help="Such as 12 ft.")]
Width = Annotated[str | None, typer.Option("--width", help="Such as 6 ft.")]
Height = Annotated[str | None, typer.Option("--height", help="Such as 5 ft.")]
Commodity = Annotated[
    str | None,
    typer.Option(
        "--commodity",
        help="general, logs, dressed lumber, metal coil, paper roll, concrete pipe, container,"
        " light vehicle, machine, flattened car, roll-off, boulder.",
    ),
]
Section = Annotated[
    str | None,
    typer.Option("--section", help="Where the law leaves a choice: general, 393.128, 393.130."),
]
At = Annotated[
    str | None,
    typer.Option("--at", help='Its front face back from the deck front: "10 ft, centre".'),
]
On = Annotated[str | None, typer.Option("--on", help="deck, or the article it stands on.")]
Blocked = Annotated[
    list[str] | None,
    typer.Option("--blocked", help='"forward=front structure", "forward=nothing" ...'),
]
Friction = Annotated[str | None, typer.Option("--friction", help="A friction value, if known.")]
Sharp = Annotated[
    bool | None, typer.Option("--sharp-edges/--no-sharp-edges", help="Where tie-downs bear.")
]
Rolls = Annotated[bool | None, typer.Option("--rolls/--does-not-roll", help="Whether it can roll.")]
Contained = Annotated[
    bool | None,
    typer.Option("--contained/--not-contained", help="Fully, by the vehicle's structure."),
]
Stands = Annotated[
    bool | None,
    typer.Option("--stands/--does-not-stand", help="Whether it stands without tie-downs."),
]
Together = Annotated[str | None, typer.Option("--together", help="A group that is judged as one.")]


def article_fields(
    *,
    blocked: list[str] | None,
    at: str | None,
    friction: str | None,
    facts: list[str] | None = None,
    answers: list[str] | None = None,
    **plain: object,
) -> dict[str, Any]:
    """The [[article]] table of what was given."""
    return given(
        **plain,
        at=None if at is None else parts_of_place(at),
        friction=friction,
        blocked=None if blocked is None else dict(_blocked(one) for one in blocked),
        facts=facts_table(facts),
        answers=answers_table(answers),
    )


def _commodity(given_word: str | None) -> str | None:
    from triplog.securement.model import Commodity as Word

    if given_word is not None or not asking.at_terminal():
        return given_word
    return asking.one_of(
        "What kind of cargo, general where none fits", [str(word) for word in Word]
    )


def _place(given_place: str | None) -> str | None:
    """Where it lies, asked for until it can be read."""

    def reads(answer: str) -> object:
        from triplog.securement.model import PlanRefused
        from triplog.securement.plan_fields import position_of

        try:
            return position_of(parts_of_place(answer), "its place")
        except PlanRefused:
            raise Refused(
                f'{answer!r} is no place; write "10 ft, centre" or "10 ft, left 2 ft": back from'
                " the deck front, then across"
            ) from None

    question = 'Its front face, back from the deck front, such as "10 ft, centre"'
    return asking.maybe(given_place, question, reads)


_YES_OR_NO = ("y", "yes", "n", "no")


def _forward(given_blocks: list[str] | None) -> list[str] | None:
    by = None
    if given_blocks is None:
        question = 'Blocked forward by what, such as front structure, or B, or "nothing"'
        by = asking.maybe(None, question, lambda answer: _blocked(f"forward={answer}"))
    return given_blocks if by is None else [f"forward={by}"]


def _blocked(text: str) -> tuple[str, str]:
    direction, _, by = text.partition("=")
    if not by.strip():
        raise Refused(f'write --blocked as "forward=front structure"; found {text!r}')
    if by.strip().lower() in _YES_OR_NO:
        raise Refused(
            f"{by.strip()!r} does not say what blocks it: a structure such as front structure, an"
            " article by its letter, or nothing"
        )
    return direction.strip(), by.strip()


@app.command("add")
def add(
    context: typer.Context,
    what: Annotated[str | None, typer.Argument(help="What it is.")] = None,
    mass: Mass = None,
    basis: Basis = None,
    length: Length = None,
    width: Width = None,
    height: Height = None,
    commodity: Commodity = None,
    section: Section = None,
    at: At = None,
    on: On = None,
    blocked: Blocked = None,
    friction: Friction = None,
    sharp_edges: Sharp = None,
    rolls: Rolls = None,
    contained: Contained = None,
    stands_unaided: Stands = None,
    together: Together = None,
    facts: Facts = None,
    answers: Answers = None,
    article_id: Annotated[str | None, typer.Option("--id", help="Else A, B, C ...")] = None,
    count: Annotated[int, typer.Option("--count", help="Many alike: ID-1, ID-2 ...")] = 1,
    trip: OfTrip = None,
) -> None:
    """Put an article on the plan; what is not given is recorded as not known."""
    from triplog.desk.planning import add_article

    article = article_fields(
        what=asking.text(what, "What is it", "WHAT", example="crated sprayer"),
        mass=asking.quantity(mass, "Its mass", Dimension.MASS),
        mass_basis=basis,
        length=asking.quantity(length, "Its length along the deck", Dimension.LENGTH),
        width=asking.quantity(width, "Its width", Dimension.LENGTH),
        height=asking.quantity(height, "Its height", Dimension.LENGTH),
        at=_place(at),
        commodity=_commodity(commodity),
        section=section,
        on=on,
        blocked=_forward(blocked),
        friction=friction,
        sharp_edges=asking.known(sharp_edges, "Sharp edges where tie-downs bear?"),
        rolls=asking.known(rolls, "Can it roll?"),
        contained=asking.known(contained, "Fully contained by the vehicle's structure?"),
        stands_unaided=asking.known(stands_unaided, "Does it stand without tie-downs?"),
        together=together,
        facts=facts,
        answers=answers,
    )
    change = add_article(article=article, article_id=article_id, count=count)
    change_the_plan(context, trip, lambda _desk, _label: change)
    if article.get("commodity", "general") != "general":
        show(["next: triplog article asked, for what the section of its commodity asks"])
    elif asking.at_terminal():
        show(["next: triplog tie-down add, or triplog article add for another article"])


@app.command("change")
def change_it(
    context: typer.Context,
    article_id: Id,
    what: What = None,
    mass: Mass = None,
    basis: Basis = None,
    length: Length = None,
    width: Width = None,
    height: Height = None,
    commodity: Commodity = None,
    section: Section = None,
    at: At = None,
    on: On = None,
    blocked: Blocked = None,
    friction: Friction = None,
    sharp_edges: Sharp = None,
    rolls: Rolls = None,
    contained: Contained = None,
    stands_unaided: Stands = None,
    together: Together = None,
    facts: Facts = None,
    answers: Answers = None,
    reason: Reason = None,
    trip: OfTrip = None,
) -> None:
    """Change what is known of an article."""
    fields = article_fields(
        what=what,
        mass=mass,
        mass_basis=basis,
        length=length,
        width=width,
        height=height,
        commodity=commodity,
        section=section,
        at=at,
        on=on,
        blocked=blocked,
        friction=friction,
        sharp_edges=sharp_edges,
        rolls=rolls,
        contained=contained,
        stands_unaided=stands_unaided,
        together=together,
        facts=facts,
        answers=answers,
    )
    if not fields:
        raise Refused("nothing to change was given")
    from triplog.desk.planning import change_article

    change_the_plan(context, trip, lambda _desk, _label: change_article(article_id, fields), reason)


@app.command("asked")
def asked(
    context: typer.Context, article_id: Id, trip: OfTrip = None, as_json: AsJson = False
) -> None:
    """List what the section of its commodity asks of an article, and what is told of it so far."""
    from dataclasses import asdict

    from triplog.desk.asked import asked_about
    from triplog.desk.finding_things import the_trip
    from triplog.journal.trip import OPEN_STATES
    from triplog.screen import asked_lines

    found = the_trip(face(context).desk(), trip, OPEN_STATES)
    rows = [asdict(one) for one in asked_about(found, article_id)]
    if as_json:
        return show_json({"article": article_id, "asked": rows})
    return show(asked_lines(article_id, rows))


@app.command("remove")
def remove(
    context: typer.Context, article_id: Id, reason: Reason = None, trip: OfTrip = None
) -> None:
    """Take an article off the plan (a delivery is `triplog deliver`)."""
    from triplog.desk.planning import remove_article

    change_the_plan(context, trip, lambda _desk, _label: remove_article(article_id), reason)


COMMANDS = {"article": app}
