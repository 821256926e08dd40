"""`triplog deliver`, `release` and `close`."""

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
    Stopped,
    Sure,
    When,
    face,
    leave,
    line_width,
    recorded,
    show,
)
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from triplog.desk.releasing import Answer


def deliver(
    context: typer.Context,
    articles: Annotated[
        list[str] | None, typer.Argument(help="The articles that were delivered.")
    ] = None,
    everything: Annotated[bool, typer.Option("--all", help="All that is left.")] = False,
    stopped: Stopped = None,
    odometer: Odometer = None,
    sure: Sure = False,
    new_instrument: NewInstrument = False,
    place: Place = None,
    note: Note = None,
    at: When = None,
    trip: OfTrip = None,
) -> None:
    """Record a delivery; what is left is planned and judged anew before rolling."""
    from triplog.checks import exemption
    from triplog.cli.judging import summary
    from triplog.cli.stops import show_next_stop
    from triplog.desk import delivering
    from triplog.desk.finding_things import the_trip
    from triplog.desk.setting_up import units_of
    from triplog.desk.when import moment
    from triplog.journal.trip import UNDER_WAY
    from triplog.wording.handbook import findings_lines
    from triplog.wording.happened import EXEMPTION_ENDED

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, UNDER_WAY)
    stopped = asking.standing(found, stopped)
    if not (articles or everything) and asking.at_terminal():
        question = f"What is delivered, of {', '.join(found.article_ids)}"
        articles = asking.text(None, question, "ARTICLES").replace(",", " ").split()
    when = moment(at, desk.now_on(found))
    told = asking.reading_with(
        desk, found, odometer, sure=sure, new_instrument=new_instrument, at=when
    )
    result = here.recording(
        desk,
        lambda: delivering.deliver(
            desk,
            found,
            list(found.article_ids) if everything else articles or [],
            stopped=stopped,
            at=when,
            place=place,
            note=note,
            **told,
        ),
    )
    names = ", ".join(found.article_ids if everything else articles or ())
    show([recorded(result.entry, f"trip {found.label}: delivered {names}")])
    if result.judgement is None:
        show(["everything is delivered; `triplog close` when the gear is counted"])
        return
    if exemption(found) and not exemption(result.trip):
        show([EXEMPTION_ENDED])
    left = ", ".join(result.trip.article_ids)
    show([f"left: {left}. The plan without what was delivered:", ""])
    unsettled = result.judgement.unsettled
    show(findings_lines(unsettled, line_width(), units=units_of(desk)))
    show(["", summary(result.judgement.findings)])
    show_next_stop(desk, result.trip)
    leave(FOUND if unsettled else DONE)


def release(
    context: typer.Context,
    answer: Annotated[
        list[str] | None,
        typer.Option("--answer", help='"level=yes"; what is not answered is unknown.'),
    ] = None,
    all_yes: Annotated[
        bool, typer.Option("--all-yes", help="Every question was looked at, and is a yes.")
    ] = False,
    holding: Annotated[
        list[str] | None,
        typer.Option("--holding", help="Only what holds this article; may be repeated."),
    ] = None,
    stopped: Stopped = None,
    place: Place = None,
    note: Note = None,
    at: When = None,
    trip: OfTrip = None,
) -> None:
    """Before the first tie-down is touched: the questions, then the order of letting off."""
    from triplog.desk import releasing
    from triplog.desk.finding_things import the_trip
    from triplog.desk.when import moment
    from triplog.journal.trip import UNDER_WAY, TripState

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, (*UNDER_WAY, TripState.DELIVERED))
    stopped = asking.standing(found, stopped)
    answers = dict(_answer(one) for one in answer or [])
    if all_yes:
        answers = dict.fromkeys(releasing.QUESTIONS, releasing.Answer.YES) | answers
    elif not answers and asking.at_terminal():
        words = [str(word) for word in releasing.Answer]
        answers = {
            name: releasing.Answer(asking.one_of(question, words))
            for name, question in releasing.QUESTIONS.items()
        }
    entry, ready = here.recording(
        desk,
        lambda: releasing.record_release(
            desk,
            found,
            answers,
            stopped=stopped,
            at=moment(at, desk.now_on(found)),
            place=place,
            note=note,
        ),
    )
    given = {name: answers.get(name, releasing.Answer.UNKNOWN) for name in releasing.QUESTIONS}
    show(f"  {given[name]!s:<8}{question}" for name, question in releasing.QUESTIONS.items())
    show([recorded(entry, "ready to let off" if ready else "DO NOT RELEASE")])
    if not ready:
        show(["a no or an unknown stands above: put it right first, then ask again"])
        leave(FOUND)
    show(["let off in this order, a little at a time, never more than one ahead of the unloading:"])
    for number, step in enumerate(releasing.release_order(found, holding), start=1):
        held = "  hold the load with a machine or a frame first" if step.held_first else ""
        show([f"  {number}. {step.tie_down} on {', '.join(step.holds)}{held}"])


def _answer(text: str) -> "tuple[str, Answer]":
    from triplog.desk.releasing import Answer

    name, _, word = text.partition("=")
    try:
        return name.strip(), Answer(word.strip().lower())
    except ValueError:
        raise Refused(f'write --answer as "level=yes" (yes, no, unknown); found {text!r}') from None


def close(
    context: typer.Context,
    release_done: Annotated[
        bool | None,
        typer.Option("--release-done/--release-not-done", help="Were the questions asked?"),
    ] = None,
    missing: Annotated[
        list[str] | None,
        typer.Option("--missing", help="Gear that did not come back; the rest was counted."),
    ] = None,
    all_back: Annotated[
        bool, typer.Option("--all-back", help="The gear was counted: all of it is back.")
    ] = False,
    note: Note = None,
    trip: OfTrip = None,
) -> None:
    """Close a trip: gear counted out is gear counted in, or named as missing."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.trips import close_trip, gear_out
    from triplog.journal.trip import UNDER_WAY, TripState

    here = face(context)
    desk = here.desk()
    found = the_trip(desk, trip, (*UNDER_WAY, TripState.DELIVERED))
    asked = any(fact.entry.body["ready"] for fact in found.of("released"))
    done = asking.yes(
        True if release_done is None and asked else release_done,
        "Was the release list gone through before the first tie-down was touched?",
        "--release-done",
    )
    out = gear_out(found)
    if all_back and missing:
        raise Refused("--all-back says that nothing is missing; leave it or --missing out")
    if missing is None and out and (all_back or asking.at_terminal()):
        question = f"Out were {', '.join(out)}. Counted, and all back?"
        back = all_back or asking.yes(None, question, "--all-back")
        missing = [] if back else _which_are_missing()
    entry = here.recording(
        desk,
        lambda: close_trip(desk, found, release_done=done, gear_missing=missing, note=note),
    )
    show([recorded(entry, f"trip {found.label} closed")])
    if not done:
        show(["the release list was not gone through; that is recorded"])
    if missing:
        show([f"missing, and set aside until found: {', '.join(missing)}"])
    if asking.at_terminal():
        show([f"next: triplog export --trip {found.label}"])
    if missing is None and out:
        show([f"not counted back, and recorded as that: {', '.join(out)}"])
        leave(FOUND)


def _which_are_missing() -> list[str]:
    said = asking.text(None, "Which are missing, such as S-2, S-5", "--missing")
    return [one.strip() for one in said.split(",") if one.strip()]


COMMANDS = {"deliver": deliver, "release": release, "close": close}
