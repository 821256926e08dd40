"""The check: one press where all were looked at and none is slack, else a line a tie-down."""

from collections.abc import Mapping
from typing import Any, cast

from triplog.desk.checking import (
    LOOKS,
    Checked,
    Fault,
    Found,
    ItemFound,
    Line,
    item_found,
    late_checks,
    record_check,
    tie_downs_of,
)
from triplog.desk.desk import Desk
from triplog.desk.handing_over import last_look
from triplog.desk.refused import Refused
from triplog.drawing.deck_to_touch import deck_to_touch
from triplog.journal.trip import Trip
from triplog.page.cab.act import Act, Said
from triplog.page.forms import Form, reading_told
from triplog.screen import HURT_GEAR, unrevised_line
from triplog.securement.plan_read import plan_from_document
from triplog.wording.due import Say, state_text
from triplog.wording.looks import left_wrong_text

_WIDTH = 60
_ALL_FINE, _OTHERS_FINE = "all fine", "others fine"


def _shown(desk: Desk, trip: Trip, say: Say) -> Mapping[str, object]:
    now = desk.now_on(trip)
    document = cast(dict[str, Any], trip.document or {})
    deck = deck_to_touch(
        plan_from_document(document),
        say("The deck from above, with a handle for each tie-down"),
        say("front"),
        say("{name}: say what was found"),
    )
    return {
        "picture": None if deck.drawing is None else deck.drawing.svg,
        "unplaced": deck.unplaced,
        "tie_downs": document.get("tie_down", []),
        "found": [str(one) for one in Found],
        "looks": LOOKS,
        "faults": [str(one) for one in Fault],
        "asks_reason": bool(late_checks(trip, now.wall)),
        "last_look": last_look(desk, trip, now, _WIDTH),
        "all_fine": _ALL_FINE,
        "others_fine": _OTHERS_FINE,
    }


def _record(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    at = form.happened_at(desk.now_on(trip).wall)
    answer = form.text("answer")
    all_fine, others_fine = answer == _ALL_FINE, answer == _OTHERS_FINE
    lines = _all_fine(trip, form) if all_fine else _lines(trip, form, others_fine=others_fine)
    if not lines and not form.texts("look"):
        raise Refused(say("Nothing was looked at yet: say it of each tie-down, or of all."))
    result = record_check(
        desk,
        trip,
        lines=lines,
        looked_at=LOOKS if all_fine or others_fine else _looked_at(form),
        items=() if all_fine else tuple(_items(form)),
        stopped=True,
        at=at,
        place=form.text("place"),
        note=form.text("note"),
        reason=form.text("reason"),
        **reading_told(desk, trip, form, at),
    )
    return Said(result.entry, tuple(_said(result, form.text("reason"), say)))


def _all_fine(trip: Trip, form: Form) -> list[Line]:
    """Every tie-down fine; Refused where something else was said of one on the same form."""
    odd = [
        name
        for name in tie_downs_of(trip)
        if form.text(f"found-{name}") not in (None, str(Found.NOT_LOOKED_AT), str(Found.FINE))
    ]
    odd += [look for look in LOOKS if form.text(f"fault-{look}")]
    if odd:
        raise Refused(
            f"something was found on {', '.join(odd)}: record what was found, not that all is fine"
        )
    return [Line(tie_down=name, found=Found.FINE) for name in tie_downs_of(trip)]


def _looked_at(form: Form) -> tuple[str, ...]:
    return tuple(one for one in form.texts("look") if one in LOOKS)


def _lines(trip: Trip, form: Form, *, others_fine: bool) -> list[Line]:
    words = [str(one) for one in Found]
    lines = []
    for name in tie_downs_of(trip):
        found = Found.NOT_LOOKED_AT
        if form.text(f"found-{name}") is not None:
            found = form.one_of(f"found-{name}", Found, words)
        if found is Found.NOT_LOOKED_AT and others_fine:
            found = Found.FINE
        if found is Found.NOT_LOOKED_AT:
            continue
        slack, moved = found is Found.SLACK, found is Found.MOVED
        lines.append(
            Line(
                tie_down=name,
                found=found,
                notches=_notches(name, form.text(f"notches-{name}")) if slack else None,
                moved=form.text(f"moved-{name}") if moved else None,
            )
        )
    return lines


def _notches(name: str, typed: str | None) -> int | None:
    if typed is None:
        return None
    if not typed.isdecimal() or len(typed) > 3:
        raise Refused(f"{name}: a number of notches is a whole number; found {typed!r}")
    return int(typed)


def _items(form: Form) -> list[ItemFound]:
    found = []
    for look in LOOKS:
        fault = form.text(f"fault-{look}")
        if fault is not None:
            done = ", put right" if form.is_ticked(f"right-{look}") else ""
            found.append(item_found(look, f"{fault}{done}"))
    return found


def _said(result: Checked, reason: str | None, say: Say) -> list[str]:
    hurt = [say(HURT_GEAR)] if result.found_damage else []
    if result.left_wrong:
        left = [f"{say(one.item)} {say(one.fault)}" for one in result.left_wrong]
        hurt.append(say(left_wrong_text(left)))
    if not result.complete:
        names = ", ".join(result.not_looked_at)
        told = say("Not looked at: {names}. It counts as a look, not as a check.")
        return [told.format(names=names), *hurt]
    lines = [say("Checked.")]
    for one in result.late:
        why = reason or say("no reason given")
        lines.append(f"{state_text(one, say)}: {why}")
    lines += hurt
    if result.calls_for_new_plan:
        lines.append(say(unrevised_line(1)))
    return lines


ACTS = {"check": Act(template="cab/check.html", record=_record, shown=_shown)}
