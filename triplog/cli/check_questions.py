"""What a check is told: by options, and at a terminal by questions, a few keys each.

Whoever stops in the middle has looked all the same: what was told by then is kept.
"""

import contextlib
import signal
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from types import FrameType
from typing import TYPE_CHECKING, NoReturn

from triplog.cli import asking
from triplog.cli.face import line_width, show
from triplog.desk.checking import (
    LOOKS,
    Fault,
    Found,
    ItemFound,
    Line,
    late_checks,
    tie_downs_of,
)
from triplog.desk.odometer import doubts, odometer_text, read_at
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from scheduler.due import DueCheck
    from triplog.desk.desk import Desk
    from triplog.desk.odometer import Answered
    from triplog.journal.trip import Trip

_PUT_RIGHT = "put right"


@dataclass(slots=True, kw_only=True)
class Told:
    """What a check was told; it grows with each answer.

    `looked_at` None: nothing was said of what lies beside the tie-downs. `is_left_off`: whoever was
    asked stopped before the end.
    """

    lines: list[Line]
    tensions: Mapping[str, str]
    looked_at: tuple[str, ...] | None
    items: list[ItemFound]
    odometer: str | None
    answered: "Answered"
    reason: str | None
    is_left_off: bool = False

    def same_instrument(self, desk: "Desk") -> str | None:
        """The reading with its unit, None where there is none or another instrument counts."""
        if self.odometer is None or self.answered["new_instrument"]:
            return None
        return odometer_text(desk, self.odometer)

    def lines_with_readings(self) -> list[Line]:
        """The lines with what a gauge read; Refused where a reading has no line of its own."""
        for name in self.tensions.keys() - {line.tie_down for line in self.lines}:
            if not self.is_left_off:
                raise Refused(
                    f"{name} has a gauge reading and no line: say --fine {name} or --slack"
                )
        return [replace(one, tension=self.tensions.get(one.tie_down)) for one in self.lines]


def ask(desk: "Desk", trip: "Trip", told: Told, *, at: datetime | None) -> None:
    """Ask at a terminal for what was not told; elsewhere nothing is asked.

    Ctrl-C, the end of the input and a terminal that is closed end the questions. KeyboardInterrupt
    or InputEnded where nothing was told by then.
    """
    try:
        with _hanging_up_interrupts():
            if not told.lines and asking.at_terminal():
                _ask_what_was_found(desk, trip, told)
            _ask_reading(desk, trip, told, at)
            if late_checks(trip, desk.now_on(trip).wall, at=at, reading=told.same_instrument(desk)):
                told.reason = asking.maybe(told.reason, "The check is late; why")
    except (KeyboardInterrupt, asking.InputEnded):
        if not told.lines:
            raise
        told.is_left_off = True
        if _is_odd(desk, trip, told, at):
            told.odometer = None
        with contextlib.suppress(OSError):
            show(["", "stopped in the middle: what was told by then is kept as a part look"])


def lines_told(
    trip: "Trip", words: Mapping[str, Sequence[str] | None], *, all_fine: bool
) -> list[Line]:
    """The lines told by options, by what was found; Refused where all are fine and one is not."""
    lines = [_line(text, word) for word, texts in words.items() for text in texts or ()]
    if all_fine and lines:
        raise Refused("--all-fine says that none is slack, damaged or moved; leave it or them out")
    return _all_fine(trip) if all_fine else lines


def looks_told(items: Sequence[str] | None, *, all_fine: bool) -> tuple[str, ...] | None:
    """What was looked at beside the tie-downs; None: nothing was said; Refused for other words."""
    known = tuple(_item(one) for one in items or ())
    return LOOKS if all_fine else known or None


def items_told(texts: Sequence[str] | None) -> list[ItemFound]:
    """What was found beside the tie-downs, from "tarps: loose" or "tails: loose, put right"."""
    return [_item_found(text) for text in texts or ()]


def _item(text: str) -> str:
    """One of LOOKS, by its name or by how it alone begins."""
    begun = [one for one in LOOKS if text and one.startswith(text)]
    if len(begun) != 1:
        raise Refused(f"{text!r} is none of: {', '.join(LOOKS)}")
    return begun[0]


def _item_found(text: str) -> ItemFound:
    item, _, said = (part.strip() for part in text.partition(":"))
    fault, _, done = (part.strip() for part in said.partition(","))
    if fault not in list(Fault) or done not in ("", _PUT_RIGHT):
        raise Refused(
            f"{text!r} says nothing that can be found; write --found 'tarps: loose', with one of"
            f" {', '.join(Fault)}, and ', {_PUT_RIGHT}' where it was"
        )
    return ItemFound(item=_item(item), fault=Fault(fault), put_right=bool(done))


def readings_told(trip: "Trip", texts: Sequence[str] | None) -> dict[str, str]:
    """What a gauge read, by tie-down: each told once, of one on the plan, and readable."""
    known = tie_downs_of(trip)
    told: dict[str, str] = {}
    for text in texts or ():
        name, _, tension = (part.strip() for part in text.partition(":"))
        if name not in known:
            raise Refused(f"there is no tie-down {name!r} for {text!r}; write --gauge T3:280 daN")
        if name in told:
            raise Refused(f"{name} has two gauge readings; give the one as found")
        told[name] = Line(tie_down=name, found=Found.FINE, tension=tension).tension or ""
    return told


def with_rule(check: "DueCheck") -> str:
    """What check it is, by which rule."""
    from triplog.wording.due import rule_text, title

    return f"{title(check)}; {rule_text(check)}"


def _ask_what_was_found(desk: "Desk", trip: "Trip", told: Told) -> None:
    _show_before(desk, trip)
    if asking.yes(None, "All looked at, and none slack?", "--all-fine"):
        told.lines, told.looked_at = _all_fine(trip), LOOKS
        return
    if asking.yes(None, "But every tie-down looked at, and none slack?", "--fine"):
        told.lines.extend(_all_fine(trip))
    else:
        for name in tie_downs_of(trip):
            told.lines.append(_ask_line(name))
    are_shown = told.looked_at is None
    if told.looked_at is None:
        told.looked_at = asking.chosen("Looked at besides", LOOKS)
    if not told.items:
        for item in asking.chosen("Of these not as it should be", LOOKS, are_shown=are_shown):
            told.items.append(_ask_item(item))


def _all_fine(trip: "Trip") -> list[Line]:
    return [Line(tie_down=name, found=Found.FINE) for name in tie_downs_of(trip)]


def _show_before(desk: "Desk", trip: "Trip") -> None:
    """What the last look found, what keeps going slack, and what this check is to answer."""
    from triplog.checks import due_checks_of
    from triplog.desk.handing_over import last_look
    from triplog.wording.due import state_text

    now = desk.now_on(trip)
    due = [check for check in due_checks_of(trip, now.wall) if check.is_due]
    show(last_look(desk, trip, now, line_width()))
    show(f"{state_text(check)}: {with_rule(check)}" for check in due)


def _ask_line(name: str) -> Line:
    """What was found on a tie-down; a detail that cannot be read is told, and asked again."""
    word = asking.one_of(name, [str(found) for found in Found])
    question = {Found.SLACK: "  how many notches", Found.MOVED: "  how far, such as 15 mm"}
    if word not in question:
        return _line(name, word)
    detail = asking.maybe(
        None, question[Found(word)], lambda answer: _line(f"{name}:{answer}", word)
    )
    return _line(name if detail is None else f"{name}:{detail}", word)


def _ask_item(item: str) -> ItemFound:
    """What was found beside the tie-downs, and whether it was put right there."""
    fault = Fault(asking.one_of(item, list(Fault)))
    return ItemFound(item=item, fault=fault, put_right=asking.yes(None, "  put right?", "--found"))


def _line(text: str, word: str) -> Line:
    name, _, detail = (part.strip() for part in text.partition(":"))
    if detail and word == Found.SLACK and not detail.isdecimal():
        raise Refused(f"{detail!r} is no number of notches; write T2:3")
    return Line(
        tie_down=name,
        found=Found(word),
        notches=int(detail) if detail and word == Found.SLACK else None,
        moved=detail if detail and word == Found.MOVED else None,
    )


def _is_odd(desk: "Desk", trip: "Trip", told: Told, at: datetime | None) -> bool:
    """Whether the reading given is one that nobody has said to be right all the same."""
    if told.odometer is None or told.answered["sure"] or told.answered["new_instrument"]:
        return False
    return bool(doubts(trip, odometer_text(desk, told.odometer), read_at(desk, trip, at)))


def _ask_reading(desk: "Desk", trip: "Trip", told: Told, at: datetime | None) -> None:
    told.odometer = asking.reads_odometer(desk, told.odometer)
    if told.odometer is not None:
        told.odometer, told.answered = asking.reading(
            desk,
            trip,
            told.odometer,
            sure=told.answered["sure"],
            new_instrument=told.answered["new_instrument"],
            at=at,
        )


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
