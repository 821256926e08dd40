"""What the office is told of a late check: facts only. English."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta, timezone
from typing import NamedTuple

from scheduler.due import DueCheck
from triplog.wording.due import measure, rule_text, state_text, title
from triplog.wording.entries import span

_ASK = (
    "The vehicle may be moving when you read this: do not call it then. At its next stop, ask if"
    " and where they can stop."
)


def office_text(
    check: DueCheck,
    label: str,
    *,
    duty: str | None,
    odometer: tuple[str, datetime] | None,
    offset_min: int,
    now: datetime,
    device: str | None = None,
) -> str:
    """The message: what is late on which trip, since when, by how much, and what is known.

    `duty` None: no duty status is recorded. `odometer`: the last reading as typed, and its time.
    `device`: on which of many the trip was last written, where there are many.
    """
    lines = [
        f"Trip {label}: a load check is late.",
        *([] if device is None else [f"Last written on: {device}"]),
        f"What is late: {title(check)} ({rule_text(check)})",
    ]
    if check.due_at is not None:
        lines.append(f"Due since: {_moment(check.due_at, offset_min)}")
    lines.append(f"By how much: {_how_late(check)}")
    if odometer is None:
        lines.append("Last odometer reading: none")
    else:
        reading, read_at = odometer
        lines.append(
            f"Last odometer reading: {reading}, at {_moment(read_at, offset_min)}"
            f" ({span(max(now - read_at, timedelta(0)))} before this was written)"
        )
    lines += [f"Last duty status recorded: {duty or 'none'}", _ASK]
    return "\n".join(lines)


def handed_text(
    message: str,
    *,
    written: datetime,
    handed: datetime,
    offset_min: int,
    repeated: bool,
    invented: bool,
) -> str:
    """The message as handed over, with both times; `repeated`: it may have arrived before."""
    head = ["Invented: this is of the demo's store."] if invented else []
    if repeated:
        head.append("Repeated: this may have reached you before.")
    foot = [
        f"Written: {_moment(written, offset_min)}."
        f" Handed over: {_moment(handed, offset_min)}."
        " It says what was known when it was written."
    ]
    return "\n".join([*head, message, *foot]) + "\n"


def _how_late(check: DueCheck) -> str:
    if check.late_by is None:
        return "how far was driven since is not known"
    if check.counter.limit is None:
        return f"at most {measure(check, check.late_by, 'up')} driven on without it"
    return state_text(check)


def _moment(moment: datetime, offset_min: int) -> str:
    """The local time with its date and its offset: it may be read on another day, elsewhere."""
    zone = timezone(timedelta(minutes=offset_min))
    return moment.astimezone(zone).strftime("%Y-%m-%d %H:%M (%Z)")


class Told(NamedTuple):
    """A message to the office as it was written; `tried`: what came of each attempt, in order."""

    message: str
    written: datetime
    offset_min: int
    tried: Sequence[str]

    @property
    def came(self) -> str:
        """What came of it, in words."""
        if "accepted" in self.tried:
            return "told"
        if not self.tried:
            return "waits"
        times = "once" if len(self.tried) == 1 else f"{len(self.tried)} times"
        return f"waits, tried {times} ({self.tried[-1].replace('_', ' ')})"


def outbox_lines(
    way: str | None, margin: str | None, messages: Iterable[Told], *, by: str = "triplog watch"
) -> list[str]:
    """How the office is told, and each message. `by`: the command that tells it."""
    lines = [
        "the office is not told of late checks: no margin is set"
        if margin is None
        else f"the office is told of a check that is more than {margin} late, by `{by}`",
        "no way of telling it is set on this machine; messages wait"
        if way is None
        else f"way of telling it: {way}",
    ]
    for one in messages:
        trip_line, what, *_ = one.message.splitlines()
        lines += [
            "",
            f"{one.came}: {trip_line}",
            f"  {what}",
            f"  written {_moment(one.written, one.offset_min)}",
        ]
    return lines
