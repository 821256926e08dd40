"""`triplog check`: what was found."""

import contextlib
import signal
from collections.abc import Iterator, Mapping
from types import FrameType
from typing import TYPE_CHECKING, Annotated, NamedTuple, NoReturn

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
    line_width,
    recorded,
    show,
)
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from scheduler.due import DueCheck
    from triplog.desk.checking import Checked, Line
    from triplog.desk.desk import Desk
    from triplog.journal.trip import Trip

Gauge = Annotated[
    list[str] | None,
    typer.Option("--gauge", help="What a gauge read, as found: T3:280 daN."),
]
Looked = Annotated[
    list[str] | None,
    typer.Option(
        "--looked",
        help="cargo, dunnage and blocking, edge protection, hooks and anchor points, ratchets and"
        " binders, tails, tarps, doors and tailgate.",
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
    told = _told(desk, found, words, all_fine=all_fine, ask=not looked)
    all_fine = told.all_fine
    lines = _with_readings(told.lines, gauge)
    when = moment(at, desk.now())
    reading = odometer
    if not told.is_left_off:
        reading, sure = asking.reading(desk, found, odometer, sure=sure, at=when)
    late = checking.late_checks(found, desk.now().wall, at=when, reading=reading)
    if late and not told.is_left_off:
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
    if result.complete:
        _show_next(desk, result.trip)
    show_next_stop(desk, result.trip)
    leave(code)


class _Told(NamedTuple):
    """The lines, whether all are fine, and whether whoever was asked stopped before the end."""

    lines: "list[Line]"
    all_fine: bool
    is_left_off: bool = False


def _told(
    desk: "Desk",
    trip: "Trip",
    words: Mapping[str, list[str] | None],
    *,
    all_fine: bool,
    ask: bool,
) -> _Told:
    """The lines told, or asked for where nothing was."""
    from triplog.desk.checking import tie_downs_of

    names = tie_downs_of(trip)
    lines = [line for word, texts in words.items() for line in _lines(texts, word)]
    if ask and not (all_fine or lines) and asking.at_terminal():
        _show_before(desk, trip)
        all_fine = asking.yes(None, "All looked at, and none slack?", "--all-fine")
        if not all_fine:
            return _ask_lines(names)
    return _Told(_all_fine(names, lines) if all_fine else lines, all_fine)


def _show_before(desk: "Desk", trip: "Trip") -> None:
    """What the last look found, what keeps going slack, and what this check is to answer."""
    from triplog.checks import due_checks_of
    from triplog.desk.handing_over import last_look
    from triplog.wording.due import state_text

    now = desk.now()
    due = [check for check in due_checks_of(trip, now.wall) if check.is_due]
    show(last_look(desk, trip, now, line_width()))
    show(f"{state_text(check)}: {_with_rule(check)}" for check in due)


def _show_next(desk: "Desk", trip: "Trip") -> None:
    """What comes due next, by which odometer reading and about when."""
    from triplog.checks import due_checks_of
    from triplog.wording.due import by_when, rule_text, title

    now = desk.now()
    for check in due_checks_of(trip, now.wall)[:1]:
        parts = (title(check), by_when(check, now.offset_min, now.wall), rule_text(check))
        show([f"next: {'; '.join(part for part in parts if part)}"])


def _with_rule(check: "DueCheck") -> str:
    """What check it is, by which rule."""
    from triplog.wording.due import rule_text, title

    return f"{title(check)}; {rule_text(check)}"


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
    from triplog.wording.due import state_text

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
    show(f"  answers: {_with_rule(one)}" for one in result.closed)
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


def _ask_lines(names: tuple[str, ...]) -> _Told:
    """Ask for each tie-down in turn; the default of each is *not looked at*.

    Where whoever is asked stops in the middle, what was answered by then is a part look.
    """
    lines: list[Line] = []
    with _hanging_up_interrupts():
        try:
            for name in names:
                lines += _ask_line(name)
        except (KeyboardInterrupt, asking.InputEnded):
            if not lines:
                raise
            with contextlib.suppress(OSError):
                show(["", "stopped in the middle: the rest was not looked at"])
            return _Told(lines, all_fine=False, is_left_off=True)
    return _Told(lines, all_fine=False)


def _ask_line(name: str) -> "list[Line]":
    from triplog.desk.checking import Found

    word = asking.one_of(name, [str(found) for found in Found])
    detail = ""
    if word == str(Found.SLACK):
        detail = asking.maybe(None, "  how many notches") or ""
    elif word == str(Found.MOVED):
        detail = asking.maybe(None, "  how far, such as 15 mm") or ""
    return _lines([f"{name}:{detail}" if detail else name], word)


@contextlib.contextmanager
def _hanging_up_interrupts() -> Iterator[None]:
    """Let a terminal that is closed stop the questions as Ctrl-C does."""
    number = getattr(signal, "SIGHUP", None)
    if number is None:
        yield
        return

    def stop(_number: int, _frame: FrameType | None) -> NoReturn:
        raise KeyboardInterrupt

    before = signal.signal(number, stop)
    try:
        yield
    finally:
        signal.signal(number, before)


COMMANDS = {"check": check}
