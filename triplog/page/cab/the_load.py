"""Loading and departing, replacing gear, delivering, letting off, handing over, closing."""

from collections.abc import Mapping

from triplog.desk import delivering, departing, handing_over, releasing, replacing, second_look
from triplog.desk.desk import Desk
from triplog.desk.finding_things import person_label
from triplog.desk.judging import judge_trip
from triplog.desk.looking import gear, people
from triplog.desk.planning import add_tie_down
from triplog.desk.planning_on_the_road import change_and_judge
from triplog.desk.refused import Refused
from triplog.desk.setting_up import units_of
from triplog.desk.swaps import damaged_tie_downs
from triplog.desk.trips import close_trip, gear_out
from triplog.journal.things import Standing
from triplog.journal.trip import Trip, records_in, text_in
from triplog.page.cab.act import Act, Said
from triplog.page.forms import Form, reading_told
from triplog.page.shown.findings import findings_said
from triplog.screen import CAUTIONS
from triplog.wording import happened
from triplog.wording.due import Say

_LOADS_SAME = "carried_before"


def _loaded(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    carried = form.yes_or_no(_LOADS_SAME)
    entry = departing.record_loading(
        desk,
        trip,
        over=form.is_ticked("looked_over"),
        note=form.text("note"),
        carried_before=carried,
    )
    lines = [say("Loaded and tied as planned.")]
    if carried is False:
        lines.append(say("A second person's look is asked for."))
    return Said(entry, tuple(lines))


def _depart_shown(desk: Desk, trip: Trip, say: Say) -> Mapping[str, object]:
    outlook = departing.outlook(desk, trip)
    return {
        "findings": findings_said(outlook.judgement.unsettled, units_of(desk)),
        "gear_out": [say(one) for one in outlook.gear_out.values()],
        "second_look": outlook.second_look and say(outlook.second_look),
        "asks_reason": not outlook.is_settled,
        "asks_top_speed": outlook.top_speed is None,
        "asks_carried": second_look.carried_before(trip) is None,
        "cautions": [say(one) for one in CAUTIONS],
    }


def _depart(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    departure = departing.depart(
        desk,
        trip,
        driver=desk.by,
        odometer=form.text("odometer"),
        top_speed=form.text("top_speed"),
        next_stop=form.text("next_stop"),
        reason=form.text("reason"),
        soft_load=form.is_ticked("soft_load"),
        at=form.happened_at(desk.now_on(trip).wall),
        next_stop_odometer=form.text("next_stop_odometer"),
        carried_before=form.yes_or_no(_LOADS_SAME),
    )
    return Said(departure.entry, (say("Departed."),))


def _replace_shown(desk: Desk, trip: Trip, say: Say) -> Mapping[str, object]:
    del say
    tie_downs = records_in(trip.document or {}, "tie_down")
    return {
        "tie_downs": [(one["id"], one.get("gear") or "") for one in tie_downs],
        "hurt": damaged_tie_downs(trip),
        "gear": [row["label"] for row in gear(desk, standing=str(Standing.IN_STOCK))],
    }


def _replace(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    tie_down, new = form.text("tie_down"), form.text("gear")
    if tie_down is None or new is None:
        raise Refused(say("Say which tie-down, and which gear takes its place."))
    words = [str(one) for one in replacing.Order]
    result = replacing.replace_gear(
        desk,
        trip,
        tie_down,
        new,
        order=form.one_of("order", replacing.Order, words),
        stopped=True,
        cause=form.text("cause"),
        kept=form.text("kept"),
        at=form.happened_at(desk.now_on(trip).wall),
        note=form.text("note"),
    )
    lines = [say("Replaced. The plan was made new and judged.")]
    if result.judgement.unsettled:
        lines.append(say("Something is not met or not known: look at the plan."))
    if result.asks_for_more:
        lines.append(say(happened.CAUSE_NOT_FOUND.split(": the plan")[0]))
    return Said(result.entry, tuple(lines))


def _tie_down_shown(desk: Desk, trip: Trip, say: Say) -> Mapping[str, object]:
    del say
    document = trip.document or {}
    articles = records_in(document, "article")
    judged = None if not articles else judge_trip(trip)
    unsettled = () if judged is None else judged.unsettled
    return {
        "articles": [(one["id"], one.get("what") or "") for one in articles],
        "anchors": [one["id"] for one in records_in(document, "anchor")],
        "gear": [row["label"] for row in gear(desk, standing=str(Standing.IN_STOCK))],
        "findings": findings_said(unsettled, units_of(desk)),
    }


def _tie_down(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    holds, start, end = form.texts("article"), form.text("from"), form.text("to")
    new = form.text("gear")
    if not holds or start is None or end is None or new is None:
        raise Refused(say("Say which gear, what it holds, and from which anchor point to which."))
    tie_down: dict[str, object] = {
        "holds": holds,
        "path": "over",
        "from": start,
        "to": end,
        "knots": False,
    }
    edges = [form.text(name) for name in ("fitted", "needed")]
    if all(one is not None and one.isdecimal() and len(one) < 3 for one in edges):
        fitted, needed = (int(one or 0) for one in edges)
        tie_down["edge_protection"] = {"needed": needed, "fitted": fitted}
    change = add_tie_down(desk, trip.label, tie_down=tie_down, gear=new, tie_down_id=None)
    entry, judgement = change_and_judge(desk, trip, change)
    lines = [say("Added. The plan was made new and judged.")]
    if judgement.unsettled:
        lines.append(say("Something is not met or not known: look at the plan."))
    return Said(entry, tuple(lines), "tie-down")


def _deliver_shown(desk: Desk, trip: Trip, say: Say) -> Mapping[str, object]:
    del desk, say
    articles = records_in(trip.document or {}, "article")
    return {"articles": [(one["id"], one.get("what") or "") for one in articles]}


def _deliver(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    at = form.happened_at(desk.now_on(trip).wall)
    result = delivering.deliver(
        desk,
        trip,
        form.texts("article"),
        stopped=True,
        at=at,
        place=form.text("place"),
        note=form.text("note"),
        **reading_told(desk, trip, form, at),
    )
    if result.judgement is None:
        return Said(result.entry, (say("Everything is delivered."),))
    left = ", ".join(result.trip.article_ids)
    lines = [say("Delivered. Left: {left}.").format(left=left)]
    if result.judgement.unsettled:
        lines.append(
            say("What is left does not meet, or is not known in part: plan it anew before rolling.")
        )
    return Said(result.entry, tuple(lines))


def _release_shown(desk: Desk, trip: Trip, say: Say) -> Mapping[str, object]:
    del desk
    questions = [(name, say(question)) for name, question in releasing.QUESTIONS.items()]
    last = trip.last("released")
    ready = last is not None and bool(last.entry.body["ready"])
    return {
        "questions": questions,
        "answers": [str(one) for one in releasing.Answer],
        "order": releasing.release_order(trip) if ready else (),
        "is_ready": ready,
        "all_yes": "all yes",
    }


def _release(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    answers = {}
    for name in releasing.QUESTIONS:
        if form.text("answer") == "all yes":
            answers[name] = releasing.Answer.YES
        elif form.text(f"answer-{name}") is not None:
            words = [str(one) for one in releasing.Answer]
            answers[name] = form.one_of(f"answer-{name}", releasing.Answer, words)
    entry, ready = releasing.record_release(
        desk,
        trip,
        answers,
        stopped=True,
        at=form.happened_at(desk.now_on(trip).wall),
        place=form.text("place"),
        note=form.text("note"),
    )
    if ready:
        return Said(
            entry, (say("Ready to let off: in this order, a little at a time."),), "release"
        )
    not_yet = say("DO NOT RELEASE: put right first what is a no or unknown, then ask again.")
    return Said(entry, (not_yet,), "release")


def _handover_shown(desk: Desk, trip: Trip, say: Say) -> Mapping[str, object]:
    del say
    on_board = set(trip.duty_by_driver)
    others = [
        row["label"] for row in people(desk) if row["id"] not in on_board or len(on_board) > 1
    ]
    return {"people": others}


def _handover(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    to = form.text("to")
    if to is None:
        raise Refused(say("Say who takes over."))
    at = form.happened_at(desk.now_on(trip).wall)
    entry = handing_over.hand_over(
        desk,
        trip,
        to=to,
        giver=None,
        looked_together=form.yes_or_no("looked_together"),
        stopped=True,
        open_points=form.text("open_points"),
        at=at,
        place=form.text("place"),
        note=form.text("note"),
        **reading_told(desk, trip, form, at),
    )
    who = person_label(desk, text_in(entry.body, "from"))
    line = say("{giver} hands over to {taker}.").format(giver=who, taker=to)
    return Said(entry, (line,), "slip")


def _close_shown(desk: Desk, trip: Trip, say: Say) -> Mapping[str, object]:
    del desk, say
    asked = any(fact.entry.body["ready"] for fact in trip.of("released"))
    return {"gear": gear_out(trip), "asks_release": not asked}


def _close(desk: Desk, trip: Trip, form: Form, say: Say) -> Said:
    asked = any(fact.entry.body["ready"] for fact in trip.of("released"))
    done = asked or form.is_ticked("release_done")
    missing = form.texts("missing")
    counted = form.is_ticked("all_back") or bool(missing)
    if form.is_ticked("all_back") and missing:
        raise Refused(say("Either all of it is back, or some is missing: say one of the two."))
    entry = close_trip(
        desk,
        trip,
        release_done=done,
        gear_missing=missing if counted else None,
        note=form.text("note"),
    )
    lines = [say("The trip is closed.")]
    if not done:
        lines.append(say("The release list was not gone through; that is recorded."))
    if missing:
        names = ", ".join(missing)
        lines.append(say("Missing, and set aside until found: {names}.").format(names=names))
    elif not counted and gear_out(trip):
        lines.append(say("The gear was not counted back; that is recorded."))
    return Said(entry, tuple(lines))


ACTS = {
    "loaded": Act(template="cab/loaded.html", record=_loaded),
    "depart": Act(template="cab/depart.html", record=_depart, shown=_depart_shown),
    "tie-down": Act(template="cab/tie-down.html", record=_tie_down, shown=_tie_down_shown),
    "replace": Act(template="cab/replace.html", record=_replace, shown=_replace_shown),
    "deliver": Act(template="cab/deliver.html", record=_deliver, shown=_deliver_shown),
    "release": Act(template="cab/release.html", record=_release, shown=_release_shown),
    "handover": Act(template="cab/handover.html", record=_handover, shown=_handover_shown),
    "close": Act(template="cab/close.html", record=_close, shown=_close_shown),
}
