"""What the office is told of a late check: facts only. English."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta, timezone

from scheduler.due import DueCheck
from triplog.journal.entries import Entry
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
) -> str:
    """The message: what is late on which trip, since when, by how much, and what is known.

    `duty` None: no duty status is recorded. `odometer`: the last reading as typed, and its time.
    """
    lines = [
        f"Trip {label}: a load check is late.",
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


def outbox_lines(
    way: str | None, margin: str | None, messages: Iterable[tuple[Entry, Sequence[str]]]
) -> list[str]:
    """How the office is told, and each message (what was written, what came of each attempt)."""
    lines = [
        "the office is not told of late checks: no margin is set"
        if margin is None
        else f"the office is told of a check that is more than {margin} late, by `triplog watch`",
        "no way of telling it is set on this machine; messages wait"
        if way is None
        else f"way of telling it: {way}",
    ]
    for entry, tried in messages:
        trip_line, what, *_ = str(entry.body["message"]).splitlines()
        written = _moment(entry.entry_time, entry.event_offset_min)
        lines += ["", f"{_came(tried)}: {trip_line}", f"  {what}", f"  written {written}"]
    return lines


def _came(tried: Sequence[str]) -> str:
    if "accepted" in tried:
        return "told"
    if not tried:
        return "waits"
    times = "once" if len(tried) == 1 else f"{len(tried)} times"
    return f"waits, tried {times} ({tried[-1].replace('_', ' ')})"
