"""Entries in a few words, and their times. English."""

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta, timezone
from typing import Any, cast

from triplog.journal.entries import Entry
from triplog.wording.due import made_late_text
from triplog.wording.incident import facts_text
from triplog.wording.looks import beside_texts
from triplog.wording.slip import together_text
from triplog.wording.stamps import stamped_text

_PLAIN = (
    *("label", "odometer", "status", "what", "standing", "grounds", "stage"),
    *("moved", "how", "seen", "source", "shows"),
)
"""The fields of a body that tell it by their bare value."""
_ADDED = "tie-down added"


def moment_text(recorded: str | None, offset_min: int) -> str | None:
    """A recorded time, RFC 3339 in UTC, as local date and time; None stays None."""
    if recorded is None:
        return None
    zone = timezone(timedelta(minutes=offset_min))
    return datetime.fromisoformat(recorded).astimezone(zone).strftime("%Y-%m-%d %H:%M")


def span(lasting: timedelta) -> str:
    """A time span in hours and minutes."""
    minutes = int(lasting.total_seconds() // 60)
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


def gist(entry: Entry) -> str:
    """The few words of an entry's body that tell it from its neighbours."""
    body = entry.body
    words = [str(body[name]) for name in _PLAIN if body.get(name)]
    for name in ("at_odometer", "next_stop_odometer"):
        if body.get(name):
            words.append(f"next stop at {body[name]}")
    for name in ("articles", "files", "tie_downs"):
        value = body.get(name)
        if isinstance(value, list):
            words.append(", ".join(map(str, value)))
    if entry.kind in _OF_KIND:
        words += filter(None, [_OF_KIND[entry.kind](body)])
    lines = body.get("lines")
    if isinstance(lines, list):
        odd = [f"{one['tie_down']} {one['found']}" for one in lines if one["found"] != "fine"]
        odd += beside_texts(cast(list[dict[str, object]], body.get("looks", [])))
        words.append("; ".join(odd) if odd else f"{len(lines)} tie-downs fine")
    late = body.get("late")
    if isinstance(late, list):
        words.append(made_late_text(late, str(body.get("odometer"))))
    return ", ".join(words)


def _planned(body: Mapping[str, Any]) -> str:
    """Why a plan revision was made; a tie-down that was added is named: it stands at the end."""
    causes = str(body.get("cause", "")).split(", ")
    count = causes.count(_ADDED)
    added = iter(body["document"].get("tie_down", [])[-count:] if count else ())
    told = []
    for cause in causes:
        one = next(added, None) if cause == _ADDED else None
        gear = f" ({one['gear']})" if one is not None and one.get("gear") else ""
        told.append(cause if one is None else f"{cause}: {one['id']}{gear}")
    return ", ".join(told)


def _replaced(body: Mapping[str, Any]) -> str:
    out = body.get("out", "what was there")
    return f"{body['tie_down']}: {body['in']} in place of {out}, {body['order']}"


def _tried(body: Mapping[str, Any]) -> str:
    repeated = ", repeated" if body.get("repeated") else ""
    return f"by {body['by']}: {str(body['came']).replace('_', ' ')}{repeated}"


def _came_of(body: Mapping[str, Any]) -> str:
    """What came of a prompt, way by way: "desktop: no backend, terminal: accepted"."""
    tried = [f"{one['by']}: {str(one['came']).replace('_', ' ')}" for one in body["outcomes"]]
    return ", ".join([*tried, *(["repeated after restart"] if body.get("repeated") else [])])


def _verdicts(body: Mapping[str, Any]) -> str:
    verdicts = [one["verdict"] for one in body["findings"]["findings"]]
    not_met, not_known = verdicts.count("does not meet"), verdicts.count("cannot tell")
    return f"{len(verdicts)} findings: {not_met} not met, {not_known} not known"


_OF_KIND: dict[str, Callable[[Mapping[str, Any]], str]] = {
    "released": lambda body: "ready to let off" if body["ready"] else "not to be released",
    "handed_over": lambda body: f"looked together: {together_text(body.get('looked_together'))}",
    "gear_replaced": _replaced,
    "incident_reported": facts_text,
    "incident_added": facts_text,
    "piece_kept": lambda body: ", ".join(
        str(body[name]) for name in ("piece", "tie_down", "gear", "state") if name in body
    ),
    "hold_placed": lambda body: "by an incident" if "incident" in body else "",
    "retention_recorded": lambda body: ", ".join(
        f"{what} {months} months" for what, months in body["periods"].items()
    ),
    "openings_destroyed": lambda body: f"{len(body['openings'])} private value(s): {body['why']}",
    "deletion_refused": lambda body: f"{body['what']}: {body['why']}",
    "cause_told": lambda body: f"why {body['tie_down']} had to be replaced",
    "late_reason_given": lambda body: f"why {body['due'].split('/')[1]} was late",
    "office_message_queued": lambda body: str(body["message"]).splitlines()[1],
    "office_message_tried": _tried,
    "plan_judged": _verdicts,
    "plan_recorded": _planned,
    "prompt_raised": lambda body: f"{body['channel']} {body['number']}, {body['rule']}",
    "prompt_outcome": _came_of,
    "time_stamp_asked": lambda body: f"of the head {body['head'][:8]}",
    "time_stamp_taken": lambda body: stamped_text(body["gen_time"], body["delay_s"]),
    "prompt_heard": lambda body: str(body["due"]).split("/")[1],
    "browser_paired": lambda body: f"for {' and '.join(body['roles'])}",
    "browser_unpaired": lambda body: str(body["why"]),
    "hub_paired": lambda body: f"for {body['carrier']}",
    "device_paired": lambda body: f"{body['label']}, device {body['device']}",
    "device_unpaired": lambda body: f"device {body['device']}",
    "head_received": lambda body: f"entry {body['seq']} of device {body['of']}, {body['new']} new",
    "auditor_looked": lambda body: f"{body['label']}: {body['about']}",
    "entrance_refused": lambda body: f"{body['count']} time(s) since {body['since'][11:16]} UTC",
}
"""What tells an entry of a kind, beside its plain fields."""
