"""`triplog check`: what was found."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli import asking
from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import (
    Note,
    Odometer,
    OfTrip,
    Place,
    Reason,
    Stopped,
    When,
    face,
    leave,
    recorded,
    show,
)
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from triplog.desk.checking import Checked, Line
    from triplog.journal.trip import Trip

Gauge = Annotated[
    list[str] | None,
    typer.Option("--gauge", help="What a gauge read, as found: T3:280 daN."),
]
Looked = Annotated[
    list[str] | None,
    typer.Option(
        "--looked",
        help="cargo and dunnage, edge protection, hooks and anchor points, tails, doors and tarps.",
    ),
]


def check(
    context: typer.Context,
    all_fine: Annotated[
        bool, typer.Option("--all-fine", help="All were looked at, and none is slack.")
    ] = False,
    fine: Annotated[list[str] | None, typer.Option("--fine", help="A tie-down.")] = None,
    slack: Annotated[
        list[str] | None,
        typer.Option("--slack", help="Slack, tightened: T2, or T2:3 for three notches."),
    ] = None,
    damaged: Annotated[list[str] | None, typer.Option("--damaged", help="A tie-down.")] = None,
    moved: Annotated[
        list[str] | None, typer.Option("--moved", help="The load moved there: T1, or T1:15 mm.")
    ] = None,
    gauge: Gauge = None,
    looked: Looked = None,
    stopped: Stopped = None,
    odometer: Odometer = None,
    sure: Annotated[bool, typer.Option("--sure", help="An odd reading is right.")] = False,
    place: Place = None,
    note: Note = None,
    reason: Reason = None,
    at: When = None,
    trip: OfTrip = None,
) -> None:
    """Record a check: look first, touch nothing that leans; each tie-down has its line."""
    from triplog.cli.stops import show_next_stop
    from triplog.desk import checking
    from triplog.desk.finding_things import the_trip
    from triplog.desk.when import moment
    from triplog.journal.trip import UNDER_WAY

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, UNDER_WAY)
    stopped = asking.standing(found, stopped)
    words = {"fine": fine, "slack, tightened": slack, "damaged": damaged, "moved": moved}
    lines, all_fine = _told(found, words, all_fine=all_fine, ask=not looked)
    lines = _with_readings(lines, gauge)
    when = moment(at, desk.now())
    reading, sure = asking.reading(desk, found, odometer, sure=sure, at=when)
    if checking.late_checks(found, desk.now().wall, at=when, reading=reading):
        reason = asking.maybe(reason, "The check is late; why")
    result = here.recording(
        desk,
        lambda: checking.record_check(
            desk,
            found,
            lines=lines,
            looked_at=checking.LOOKS if all_fine else _looked_at(looked),
            stopped=stopped,
            odometer=reading,
            sure=sure,
            at=when,
            place=place,
            note=note,
            reason=reason,
        ),
    )
    code = _say(result, reason)
    show_next_stop(desk, result.trip)
    leave(code)


def _told(
    trip: "Trip", words: Mapping[str, list[str] | None], *, all_fine: bool, ask: bool
) -> "tuple[list[Line], bool]":
    """The lines told, or asked for where nothing was; and whether all are fine."""
    from triplog.desk.checking import tie_downs_of

    lines = [line for word, texts in words.items() for line in _lines(texts, word)]
    if ask and not (all_fine or lines) and asking.at_terminal():
        all_fine = asking.yes(None, "All looked at, and none slack?", "--all-fine")
        lines = [] if all_fine else _ask_lines(tie_downs_of(trip))
    return _all_fine(tie_downs_of(trip), lines) if all_fine else lines, all_fine


def _all_fine(names: tuple[str, ...], lines: "list[Line]") -> "list[Line]":
    """A line for each tie-down that says it is fine; Refused where a line says otherwise."""
    from triplog.desk.checking import Found, Line

    if lines:
        raise Refused("--all-fine says that none is slack, damaged or moved; leave it or them out")
    return [Line(tie_down=name, found=Found.FINE) for name in names]


def _with_readings(lines: "list[Line]", texts: list[str] | None) -> "list[Line]":
    """The lines with what a gauge read; Refused where one has no line of its own."""
    from dataclasses import replace

    tensions: dict[str, str] = {}
    for text in texts or ():
        name, _, tension = (part.strip() for part in text.partition(":"))
        if name not in {line.tie_down for line in lines}:
            raise Refused(f"{name} has a gauge reading and no line: say --fine {name} or --slack")
        tensions[name] = tension
    return [replace(one, tension=tensions.get(one.tie_down)) for one in lines]


def _looked_at(items: list[str] | None) -> tuple[str, ...]:
    """What was looked at beside the tie-downs, as typed; Refused for any other word."""
    from triplog.desk.checking import LOOKS

    unknown = [one for one in items or () if one not in LOOKS]
    if unknown:
        raise Refused(f"{unknown[0]!r} is none of: {', '.join(LOOKS)}")
    return tuple(items or ())


def _say(result: "Checked", reason: str | None) -> int:
    """Say what the check did; its exit code."""
    from triplog.screen import HURT_GEAR, not_looked_line, unrevised_line
    from triplog.wording.due import state_text, title

    label = result.trip.label
    hurt = [HURT_GEAR] if result.found_damage else []
    if not result.complete:
        show(
            [
                recorded(result.entry, f"trip {label}: looked at in part"),
                not_looked_line(result.not_looked_at),
                *hurt,
            ]
        )
        return FOUND
    show([recorded(result.entry, f"trip {label} checked")])
    show(f"  answers: {title(one)}" for one in result.closed)
    show(f"  {state_text(one)}: {reason or 'no reason given'}" for one in result.late)
    show(_loss_lines(result))
    show(hurt)
    if result.calls_for_new_plan:
        show([unrevised_line(1)])
    return FOUND if result.late or result.calls_for_new_plan else DONE


def _loss_lines(result: "Checked") -> list[str]:
    """How soon to look again where tension was found lost, and whether the cause is asked for."""
    from fractions import Fraction

    from scheduler.recheck_rules import Kind
    from triplog.checks import counters_of
    from triplog.wording.due import LOOK_WHY, check_title

    recorded_loss = result.entry.body.get("observed_loss")
    if not isinstance(recorded_loss, dict):
        return []
    lines = [
        f"  {check_title(one.kind, f'{one.printed_limit} {one.printed_unit}')}; our own estimate"
        for one in counters_of(result.trip)
        if one.kind is Kind.OBSERVED_LOSS
    ]
    half_gone = 2 * Fraction(recorded_loss["lost"]) > Fraction(recorded_loss["allowed"])
    return [*lines, LOOK_WHY] if half_gone else lines


def _lines(texts: list[str] | None, word: str) -> "list[Line]":
    from triplog.desk.checking import Found, Line

    lines = []
    for text in texts or []:
        name, _, detail = text.partition(":")
        detail = detail.strip()
        if detail and word == "slack, tightened" and not detail.isdecimal():
            raise Refused(f"{detail!r} is no number of notches; write T2:3")
        lines.append(
            Line(
                tie_down=name.strip(),
                found=Found(word),
                notches=int(detail) if detail and word == "slack, tightened" else None,
                moved=detail if detail and word == "moved" else None,
            )
        )
    return lines


def _ask_lines(names: tuple[str, ...]) -> "list[Line]":
    """Ask for each tie-down in turn; the default of each is *not looked at*."""
    from triplog.desk.checking import Found

    lines = []
    for name in names:
        word = asking.one_of(name, [str(found) for found in Found])
        detail = ""
        if word == str(Found.SLACK):
            detail = asking.maybe(None, "  how many notches") or ""
        elif word == str(Found.MOVED):
            detail = asking.maybe(None, "  how far, such as 15 mm") or ""
        lines += _lines([f"{name}:{detail}" if detail else name], word)
    return lines


COMMANDS = {"check": check}
