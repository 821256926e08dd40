"""Trips, due checks, lists and entries as lines of text. Pure; the face prints them."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta, timezone
from textwrap import wrap
from typing import Any

from scheduler.due import DueCheck, State
from triplog.journal.entries import Entry
from triplog.wording.due import by_when, count_text, rule_text, state_text, title
from triplog.wording.entries import gist, moment_text, span
from triplog.wording.time_doubts import MARK as TIME_MARK

WIDTH = 100
_STATE_COLUMN = 16
_TEXT_MIN = 20
_VALUE_MAX = 200
CAUTIONS = (
    "Local law, the gear's label and a competent person come first. Nothing here is a promise.",
    "No phone in the hand while driving; check only where you can stop safely, off the road.",
    "Load seen, heard or felt to move: stop at the nearest safe place now, not at the next planned"
    " stop.",
    "No knots, no damaged or unreadable gear, protection at every edge; never lift with it.",
    "No bar on a handle; do not climb on the load; stay out of where it could fall.",
)


HURT_GEAR = (
    "the gear that is damaged or broken is set aside: nobody plans it until it has been looked at"
)


def due_lines(
    label: str,
    state: str,
    due: Sequence[DueCheck],
    offset_min: int,
    now: datetime,
    *,
    width: int = WIDTH,
) -> list[str]:
    """What is due on one trip, worst first: state, what, by when, why."""
    lines = [f"trip {label}, {state}"]
    if not due:
        lines.append(
            "  nothing to check until it has departed"
            if state in ("planned", "loaded")
            else "  nothing due"
        )
        return lines
    for check in due:
        lines += _due_block(check, offset_min, now, width)
    return lines


def next_due_line(label: str, check: DueCheck, offset_min: int, now: datetime) -> str:
    """One glance: the worst due check of all."""
    when = by_when(check, offset_min, now)
    parts = [f"trip {label}: {state_text(check)}: {title(check)}", when]
    return "; ".join(part for part in parts if part)


def _due_block(check: DueCheck, offset_min: int, now: datetime, width: int) -> list[str]:
    word = state_text(check)
    head = word if check.state in (State.LATE, State.DUE) else str(check.state)
    rest = [title(check), by_when(check, offset_min, now), count_text(check), rule_text(check)]
    room = max(width - _STATE_COLUMN - 2, _TEXT_MIN)
    texts = [line for part in rest for line in wrap(part, room)]
    if len(head) >= _STATE_COLUMN:
        return [f"  {head}", *(f"  {'':<{_STATE_COLUMN}}{text}" for text in texts)]
    heads = (head, *[""] * (len(texts) - 1))
    return [f"  {one:<{_STATE_COLUMN}}{text}" for one, text in zip(heads, texts, strict=True)]


def unrevised_line(count: int) -> str:
    """What to do after a broken tie-down or a moved load."""
    what = "something was found or happened" if count == 1 else f"{count} things were found"
    return (
        f"{what} that the plan does not show yet (damaged, or the load moved): add before you"
        " release, record the new plan and judge it before rolling, and have a second person look"
    )


def not_looked_line(names: Sequence[str]) -> str:
    """What a partial look means; without names, one that was left when all had been looked at."""
    if not names:
        return (
            "left before the end. It counts as a look, not as a check: nothing starts anew; type"
            " the check again to finish it"
        )
    return (
        f"not looked at: {', '.join(names)}. It counts as a look, not as a check: nothing starts"
        " anew until all have been looked at"
    )


def table_lines(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> list[str]:
    """A plain table, one line a row, as wide as its cells."""
    cells = [[_cell(value) for value in row] for row in rows]
    widths = [
        max([len(name), *(len(row[place]) for row in cells)]) for place, name in enumerate(columns)
    ]
    lines = [columns, *cells]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in lines
    ]


def asked_lines(article_id: str, rows: Iterable[Mapping[str, Any]]) -> list[str]:
    """What the section of an article asks: what is told, the option that tells it, the words."""
    cells = [(_told(row["told"]), f"--{row['option']} {row['name']}", row["words"]) for row in rows]
    if not cells:
        return [f"no section of its own asks anything about {article_id}"]
    return table_lines(("told", "by", "asked"), cells)


def _told(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "not told" if value is None else str(value)


def plan_lines(document: Mapping[str, Any]) -> list[str]:
    """A plan document as its articles and tie-downs."""
    vehicle = document.get("vehicle", {})
    lines = [f"vehicle  {vehicle.get('name', 'not given')}"]
    articles = [
        (
            one["id"],
            one.get("what"),
            one.get("mass"),
            one.get("mass_basis"),
            one.get("length"),
            one.get("commodity"),
            one.get("on", "deck"),
        )
        for one in document.get("article", [])
    ]
    names = ("article", "what", "mass", "basis", "length", "commodity", "on")
    lines += ["", *table_lines(names, articles)] if articles else ["no article yet"]
    tie_downs = [
        (
            one["id"],
            one.get("gear"),
            ", ".join(one["holds"]),
            one.get("path"),
            one.get("from"),
            one.get("to"),
            _edges(one.get("edge_protection")),
        )
        for one in document.get("tie_down", [])
    ]
    names = ("tie-down", "gear", "holds", "path", "from", "to", "edges fitted")
    return [*lines, "", *table_lines(names, tie_downs)] if tie_downs else lines


def field_text(value: object) -> str:
    """A field of a card on one line: its parts by name, a list of them one after another."""
    if isinstance(value, Mapping):
        return ", ".join(f"{name} {field_text(part)}" for name, part in value.items())
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "; ".join(field_text(part) for part in value) or "none"
    return str(value)


def entry_line(entry: Entry, standing: str, opened: Mapping[str, str]) -> str:
    """One entry on one line; late entries and corrections look it."""
    zone = timezone(timedelta(minutes=entry.event_offset_min))
    when = entry.event_time.astimezone(zone).strftime("%Y-%m-%d %H:%M:%S%z")
    marks = [] if standing == "in force" else [standing]
    if entry.via == "imported":
        marks.append("imported, not our observation")
    late = entry.entered_late_by
    if late >= timedelta(minutes=1):
        marks.append(f"entered {span(late)} later")
    if "time_doubt" in entry.body:
        marks.append(TIME_MARK.format(doubt=entry.body["time_doubt"]))
    if entry.follows:
        marks.append(f"follows {entry.follows[:8]}")
    note = f"  [{'; '.join(marks)}]" if marks else ""
    private = ", ".join(f"{name}: {_short(value)}" for name, value in sorted(opened.items()))
    detail = "; ".join(part for part in (gist(entry), private) if part)
    return f"{entry.hash[:8]}  {when}  {entry.kind:<18} {detail}{note}".rstrip()


def gear_life_lines(history: Iterable[Mapping[str, Any]]) -> list[str]:
    """The life of a piece of gear, a line for each entry: when, what, why, who, how late."""
    lines = []
    for one in history:
        said = ", ".join(
            one["opened"][name] for name in ("reason", "place", "note") if name in one["opened"]
        )
        marks = [] if one["standing"] == "in force" else [one["standing"]]
        if one["entered_late_by_min"]:
            marks.append(f"entered {span(timedelta(minutes=one['entered_late_by_min']))} later")
        parts = (
            f"{one['what']}{f' ({said})' if said else ''}",
            f"trip {one['trip']}" if one["trip"] else "",
            f"by {one['by']}",
            f"[{'; '.join(marks)}]" if marks else "",
        )
        when = moment_text(one["event_time"], one["offset_min"])
        lines.append(f"  {when}  {'  '.join(part for part in parts if part)}")
    return lines


def _short(value: str) -> str:
    """A private value on a line: a long one is told in full by `triplog entries HASH`."""
    line = "; ".join(value.splitlines())
    return line if len(line) <= _VALUE_MAX else f"{line[:_VALUE_MAX]} ..."


def _edges(protection: Mapping[str, Any] | None) -> str:
    if protection is None:
        return "not given"
    return f"{protection.get('fitted', '?')} of {protection.get('needed', '?')}"


def _cell(value: object) -> str:
    return "-" if value is None else str(value)
