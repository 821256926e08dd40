"""`triplog incident` and `triplog piece`: the first minutes, the facts, what is kept."""

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING, Annotated, Any

import typer

from triplog.cli import asking
from triplog.cli.face import Note, OfTrip, Place, Stopped, When, face, recorded, show
from triplog.desk.refused import Refused
from triplog.wording.incident import (
    COUNTS,
    HELD,
    LATER,
    PICTURES,
    PIECE_STATES,
    PIECES,
    QUESTIONS,
    TOLD,
    first_minutes,
)

if TYPE_CHECKING:
    from triplog.desk.desk import Desk
    from triplog.desk.incident import Facts
    from triplog.journal.trip import Trip

Moved = Annotated[bool | None, typer.Option("--moved/--not-moved", help="The load moved.")]
Fell = Annotated[bool | None, typer.Option("--fell/--not-fell", help="Some of it fell.")]
Damage = Annotated[bool | None, typer.Option("--damage/--no-damage", help="Damage was done.")]
Injured = Annotated[
    str | None, typer.Option("--injured", help="How many people are hurt; or unknown.")
]
Killed = Annotated[str | None, typer.Option("--killed", help="How many people died; or unknown.")]
Hazardous = Annotated[
    bool | None,
    typer.Option(
        "--hazardous/--no-hazardous",
        help="Dangerous goods were released, other than fuel from the tanks.",
    ),
]
Towed = Annotated[bool | None, typer.Option("--towed/--not-towed", help="A vehicle was towed.")]
Police = Annotated[
    bool | None, typer.Option("--police/--no-police", help="The police were called.")
]
Insurer = Annotated[
    bool | None, typer.Option("--insurer/--no-insurer", help="The insurer was told.")
]
Driver = Annotated[str | None, typer.Option("--driver", help="Who drove, by label.")]
Told = Annotated[
    list[str] | None,
    typer.Option("--told", help=f"Who has been told: {', '.join(TOLD)}. May be repeated."),
]
Names = Annotated[
    str | None, typer.Option("--names", help="Names, such as those of witnesses; kept private.")
]


def incident(
    context: typer.Context,
    add: Annotated[
        bool, typer.Option("--add", help="Later facts of the incident reported last.")
    ] = False,
    only_list: Annotated[
        bool, typer.Option("--list", help="Only print the lists; nothing is recorded.")
    ] = False,
    still_open: Annotated[
        bool, typer.Option("--open", help="Show what is unknown, not pictured, not kept yet.")
    ] = False,
    moved: Moved = None,
    fell: Fell = None,
    damage: Damage = None,
    injured: Injured = None,
    killed: Killed = None,
    hazardous: Hazardous = None,
    towed: Towed = None,
    police: Police = None,
    insurer: Insurer = None,
    driver: Driver = None,
    told: Told = None,
    gear: Annotated[
        list[str] | None,
        typer.Option("--gear", help="Gear to keep as evidence, by label; may be repeated."),
    ] = None,
    place: Place = None,
    names: Names = None,
    note: Note = None,
    stopped: Stopped = None,
    at: When = None,
    trip: OfTrip = None,
) -> None:
    """After an incident: the list of the first minutes at once, then the facts, and a hold."""
    if add + only_list + still_open > 1:
        raise Refused("say one of --add, --list and --open")
    if not (add or still_open):
        show(first_minutes())
    if only_list:
        return show(["", *_plain_lists()])
    here = face(context)
    desk = here.desk()
    if still_open:
        return show(_open_lines(desk, _trip_meant(desk, trip)))
    given = (moved, fell, damage, injured, killed, hazardous, towed, police, insurer)
    answers = dict(zip(QUESTIONS, given, strict=True))
    alone = all(one is None for one in (*given, driver, told, gear, place, names, note, at))
    if add:
        facts = _facts(answers, driver, told, place, names, note)
        return _add(context, facts, at, trip)
    if alone and asking.at_terminal():
        show([""])
        if not asking.yes(None, "Is everybody out of danger, and do you record it now?", "--list"):
            here.end(f"nothing was recorded; {LATER}")
        asked = _asked(desk)
        at, place, note, gear = (asked.pop(name, None) for name in ("at", "place", "note", "gear"))
        answers = asked
    facts = _facts(answers, driver, told, place, names, note)
    return _report(context, facts, gear or [], stopped, at, trip)


def _asked(desk: "Desk") -> dict[str, Any]:
    """What was answered, by name; where the asking was broken off, what was answered until then."""
    answered: dict[str, Any] = {}
    try:
        for name, answer in _answers(desk):
            answered[name] = answer
    except (KeyboardInterrupt, asking.InputEnded):
        show(["", "broken off: what was told until here is recorded"])
    return answered


def _answers(desk: "Desk") -> Iterator[tuple[str, Any]]:
    """Each question asked in turn; an empty answer means unknown."""
    from triplog.desk.finding_things import labels_taken
    from triplog.desk.incident import read_fact
    from triplog.desk.when import moment
    from triplog.journal.derived import GearRow

    at = asking.maybe(
        None, "When did it happen", lambda typed: moment(typed, desk.now()), empty="unknown"
    )
    yield "at", at
    yield "place", asking.maybe(None, "Nearest town and state, kept private", empty="unknown")
    for name, question in QUESTIONS.items():
        if name in COUNTS:
            reads = partial(read_fact, name)
            yield name, asking.maybe(None, question, reads, empty="unknown")
        else:
            yield name, asking.known(None, f"{question}?")
    there = sorted(labels_taken(desk, GearRow))
    listed = asking.maybe(
        None,
        "Which gear broke or is to be kept, by label",
        asking.among(there, "gear"),
        empty="none",
    )
    yield "gear", None if listed is None else listed.replace(",", " ").split()
    yield "note", asking.maybe(None, "What you saw, no guesses, kept private", empty="nothing")


def _facts(
    answers: "dict[str, bool | str | None]",
    driver: str | None,
    told: list[str] | None,
    place: str | None,
    names: str | None,
    note: str | None,
) -> "Facts":
    from triplog.desk.incident import Facts, read_fact

    return Facts(
        answers={
            name: read_fact(name, answer) if isinstance(answer, str) else answer
            for name, answer in answers.items()
        },
        driver=driver,
        told=tuple(told or ()),
        place=place,
        names=names,
        note=note,
    )


def _report(
    context: typer.Context,
    facts: "Facts",
    gear: list[str],
    stopped: bool | None,
    at: str | None,
    trip: str | None,
) -> None:
    from triplog.desk.finding_things import the_trip
    from triplog.desk.incident import at_the_wheel, report
    from triplog.desk.when import moment
    from triplog.journal.trip import OPEN_STATES, TripState
    from triplog.wording.happened import LOAD_MOVED

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, TripState if trip else OPEN_STATES)
    stands = stopped
    if at_the_wheel(desk, found):
        stands = asking.yes(
            stopped, "Does the vehicle stand, and are you out of the traffic?", "--stopped"
        )
    when = moment(at, desk.now_on(found))
    made = here.recording(
        desk, lambda: report(desk, found, facts, at=when, stopped=bool(stands), gear=gear)
    )
    show(["", recorded(made.entry, f"incident on trip {found.label}"), HELD])
    show(f"gear {label} is under an evidence hold too" for label in gear)
    show(LOAD_MOVED if made.moved else [])
    show(["", *_open_lines(desk, desk.trip(found.id))])


def _add(context: typer.Context, facts: "Facts", at: str | None, trip: str | None) -> None:
    from triplog.desk.incident import add_facts
    from triplog.desk.when import moment
    from triplog.wording.entries import gist

    here = face(context)
    desk = here.desk()
    found = _trip_meant(desk, trip)
    when = moment(at, desk.now_on(found))
    entry = here.recording(desk, lambda: add_facts(desk, found, facts, at=when))
    show([recorded(entry, f"added to the incident on trip {found.label}: {gist(entry) or 'note'}")])


def piece(
    context: typer.Context,
    what: Annotated[str | None, typer.Argument(help=", ".join(PIECES) + ".")] = None,
    state: Annotated[
        str, typer.Option("--state", help=f"{', '.join(PIECE_STATES)}.")
    ] = PIECE_STATES[0],
    tie_down: Annotated[str | None, typer.Option("--tie-down", help="Which one it is of.")] = None,
    gear: Annotated[str | None, typer.Option("--gear", help="Of which gear, by label.")] = None,
    place: Annotated[
        str | None, typer.Option("--place", help="Where it is kept, or who has it; private.")
    ] = None,
    note: Note = None,
    trip: OfTrip = None,
) -> None:
    """Record that a piece is kept after an incident, where and by whom, or that it is not found."""
    from triplog.desk.incident import keep_piece

    here = face(context)
    desk = here.desk()
    found = _trip_meant(desk, trip)
    if what is None and asking.at_terminal():
        what = asking.one_of("Which piece", PIECES)
    named = asking.text(what, "Which piece", "WHAT")
    where = asking.maybe(place, "Where it is kept, kept private")
    entry = here.recording(
        desk,
        lambda: keep_piece(
            desk,
            found,
            named,
            state=state,
            tie_down=tie_down,
            gear=gear,
            place=where,
            note=note,
        ),
    )
    show([recorded(entry, f"{named}, {state}")])


def _trip_meant(desk: "Desk", label: str | None) -> "Trip":
    """The trip named; else the only one with an incident, the open one, or the one closed last."""
    from triplog.desk.finding_things import the_trip_or_last

    rows = desk.store.raw.execute(
        "SELECT DISTINCT trip FROM entry WHERE kind = 'incident_reported'"
    ).fetchall()
    if label is None and len(rows) == 1:
        return desk.trip(rows[0][0])
    return the_trip_or_last(desk, label)


def _plain_lists() -> list[str]:
    return [
        "pictures to take, only from where you are out of danger:",
        *(f"  {word:<12}{what}" for word, what in PICTURES),
        "",
        "pieces to keep:",
        *(f"  {one}" for one in PIECES),
    ]


def _open_lines(desk: "Desk", trip: "Trip") -> list[str]:
    """The register's fields, the pictures and the pieces of a trip, as far as they are recorded."""
    from triplog.desk.incident_report import incident_facts
    from triplog.dossier.incident_lists import picture_rows, piece_rows, register_rows
    from triplog.screen import table_lines

    facts = incident_facts(desk, trip)
    return [
        *table_lines(("register, 49 CFR 390.15(b)", "as told"), register_rows(trip, facts)),
        "",
        *table_lines(("picture of", "taken", "what to take"), picture_rows(trip)),
        "",
        *table_lines(("piece", "state", "of", "where", "by"), piece_rows(trip, facts)),
    ]


COMMANDS = {"incident": incident, "piece": piece}
