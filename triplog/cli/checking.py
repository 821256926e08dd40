"""`triplog check`: what was found."""

from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli import asking
from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import (
    NewInstrument,
    Note,
    Odometer,
    OfTrip,
    Place,
    Reason,
    Stopped,
    Sure,
    When,
    face,
    leave,
    recorded,
    show,
)

if TYPE_CHECKING:
    from triplog.desk.checking import Checked
    from triplog.desk.desk import Desk

Slack = Annotated[
    list[str] | None,
    typer.Option("--slack", help="Slack, tightened: T2, or T2:3 for three notches."),
]
Moved = Annotated[
    list[str] | None, typer.Option("--moved", help="The load moved there: T1, or T1:15 mm.")
]
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
FoundBeside = Annotated[
    list[str] | None,
    typer.Option(
        "--found",
        help="Beside the tie-downs: 'tarps: loose', open, moved, damaged or missing; with"
        " ', put right' where it was.",
    ),
]


def check(
    context: typer.Context,
    all_fine: Annotated[
        bool, typer.Option("--all-fine", help="All were looked at, and none is slack.")
    ] = False,
    fine: Annotated[list[str] | None, typer.Option("--fine", help="A tie-down.")] = None,
    slack: Slack = None,
    damaged: Annotated[list[str] | None, typer.Option("--damaged", help="A tie-down.")] = None,
    moved: Moved = None,
    gauge: Gauge = None,
    looked: Looked = None,
    found_beside: FoundBeside = None,
    stopped: Stopped = None,
    odometer: Odometer = None,
    sure: Sure = False,
    new_instrument: NewInstrument = False,
    place: Place = None,
    note: Note = None,
    reason: Reason = None,
    at: When = None,
    trip: OfTrip = None,
) -> None:
    """Record a check: look first, touch nothing that leans; each tie-down has its line."""
    from triplog.cli import check_questions as questions
    from triplog.desk.checking import record_check
    from triplog.desk.finding_things import the_trip
    from triplog.desk.road import refuse_before_departure
    from triplog.desk.when import moment
    from triplog.journal.trip import UNDER_WAY

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, UNDER_WAY)
    when = moment(at, desk.now_on(found))
    refuse_before_departure(found, when)
    words = {"fine": fine, "slack, tightened": slack, "damaged": damaged, "moved": moved}
    told = questions.Told(
        lines=questions.lines_told(found, words, all_fine=all_fine),
        tensions=questions.readings_told(found, gauge),
        looked_at=questions.looks_told(looked, all_fine=all_fine),
        items=questions.items_told(found_beside),
        odometer=odometer,
        answered={"sure": sure, "new_instrument": new_instrument},
        reason=reason,
    )
    stopped = asking.standing(found, stopped)
    questions.ask(desk, found, told, at=when)
    result = here.recording(
        desk,
        lambda: record_check(
            desk,
            found,
            lines=told.lines_with_readings(),
            looked_at=told.looked_at or (),
            items=tuple(told.items),
            stopped=stopped,
            at=when,
            place=place,
            note=note,
            reason=told.reason,
            is_left_off=told.is_left_off,
            odometer=told.odometer,
            **told.answered,
        ),
    )
    code = _say(result, told.reason)
    _show_next(desk, result)
    leave(code)


def _show_next(desk: "Desk", result: "Checked") -> None:
    """After a whole look what comes due next, by which reading and about when; the next stop."""
    from triplog.checks import due_checks_of
    from triplog.cli.stops import show_next_stop
    from triplog.wording.due import by_when, rule_text, title

    now = desk.now_on(result.trip)
    due = due_checks_of(result.trip, now.wall) if result.complete else ()
    for check in due[:1]:
        parts = (title(check), by_when(check, now.offset_min, now.wall), rule_text(check))
        show([f"next: {'; '.join(part for part in parts if part)}"])
    show_next_stop(desk, result.trip)


def _say(result: "Checked", reason: str | None) -> int:
    """Say what the check did; its exit code."""
    from triplog.cli.check_questions import with_rule
    from triplog.screen import HURT_GEAR, not_looked_line, unrevised_line
    from triplog.wording.due import REASON_LATER, state_text
    from triplog.wording.looks import left_wrong_text

    label = result.trip.label
    hurt = [HURT_GEAR] if result.found_damage else []
    if result.left_wrong:
        hurt.append(left_wrong_text([f"{one.item} {one.fault}" for one in result.left_wrong]))
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
    show(f"  answers: {with_rule(one)}" for one in result.closed)
    show(f"  {state_text(one)}: {reason or 'no reason given'}" for one in result.late)
    show([REASON_LATER] if result.late and not reason else [])
    show(_loss_lines(result))
    show(hurt)
    if result.calls_for_new_plan:
        show([unrevised_line(1)])
    return FOUND if result.late or result.calls_for_new_plan or result.left_wrong else DONE


def _loss_lines(result: "Checked") -> list[str]:
    """How soon to look again where tension was found lost, and whether the cause is asked for."""
    from triplog.checks import counters_of, observed_loss
    from triplog.wording.due import LOOK_WHY, check_title

    lost = observed_loss(result.entry)
    if lost is None:
        return []
    from scheduler.observed_loss import asks_why
    from scheduler.recheck_rules import Kind

    lines = [
        f"  {check_title(one.kind, f'{one.printed_limit} {one.printed_unit}')}; our own estimate"
        for one in counters_of(result.trip)
        if one.kind is Kind.OBSERVED_LOSS
    ]
    return [*lines, LOOK_WHY] if asks_why(lost) else lines


COMMANDS = {"check": check}
