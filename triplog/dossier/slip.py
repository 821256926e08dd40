"""The hand-over slip: the five things a relief driver must know, each in a line or two.

When the last look was, by whom and what was found; which tie-downs keep going slack; anything
odd; the counters and the next limit; and whether whoever takes over has looked. The same answers
are printed as text and set on one page.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from math import ceil
from textwrap import wrap
from typing import Any, cast

from exports.document import Block, Document, Heading, KeyValues, Paragraph
from scheduler.due import DueCheck
from triplog.dossier.head import last_head
from triplog.dossier.roadside_checks import found_words
from triplog.dossier.slip_counters import counters_told
from triplog.dossier.slip_odd import LOOKS, Told, odd_told, shown_first
from triplog.journal.folding import InForce
from triplog.journal.trip import UNDER_WAY, Trip, records_in, text_in
from triplog.wording import slip as wording
from triplog.wording.due import clock
from triplog.wording.entries import span

_MOVING_MAX = 4
_ODD_MAX = 5
_LARGE_MAX = 4
_LARGE_LETTERS, _SMALL_LETTERS = 58, 94
"""About how many letters a line of the page holds, in either size of type."""
_LINES_MAX = 29.5
"""About how many large lines a page holds beside its title and the five questions."""
_GAP, _SMALL, _BAND = 0.3, 0.8, 1.5
"""The gap below what is in large type, a line of small type, and the band over what is invented."""
_NAME_COLUMN = 15
_SLACK = "slack, tightened"
_NONE_MOVING = "Tie-downs"
"""Before what is told of all tie-downs, where none was found slack or moved."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipFacts:
    """What the slip needs beside the trip.

    `people`: a person's label by id; `opened`: the private values of an entry by its hash, of the
    entries of this trip that can be opened. `is_unrevised`: something broke or moved and the plan
    does not show it yet.
    """

    people: Mapping[str, str]
    opened: Mapping[str, Mapping[str, str]]
    due: tuple[DueCheck, ...]
    is_unrevised: bool
    now: datetime
    offset_min: int
    invented: bool

    def clock(self, moment: datetime) -> str:
        """A moment as the driver's clock shows it."""
        return clock(moment, self.offset_min, self.now)

    def when(self, moment: datetime) -> str:
        """A moment with how long ago it was."""
        passed = self.now - moment
        if passed >= timedelta(minutes=1):
            return f"{self.clock(moment)}, {span(passed)} ago"
        return f"{self.clock(moment)}{', just now' if passed >= timedelta(0) else ''}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One of the five: its question, and what is told, each with a short name before it."""

    question: str
    told: tuple[Told, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """The slip, ready to be set or printed; `first` None: nothing comes before all else."""

    title: str
    subtitle: str
    first: str | None
    answers: tuple[Answer, ...]
    invented: bool


def slip_of(trip: Trip, facts: SlipFacts) -> Slip:
    """The slip of a trip as it stands."""
    odd = list(odd_told(trip, facts.people, facts.opened, facts.clock, facts.is_unrevised))
    return Slip(
        title=f"Hand-over slip, trip {trip.label}",
        subtitle=_subtitle(trip, facts),
        first=_first(trip, facts),
        answers=(
            Answer(question=wording.LAST_LOOK, told=tuple(_last_look(trip, facts))),
            Answer(question=wording.MOVING, told=moving_told(trip)),
            Answer(
                question=wording.ODD,
                told=shown_first(odd, _ODD_MAX, f"`triplog trip show {trip.label}`")
                or (("Odd", wording.NOTHING_ODD),),
            ),
            Answer(
                question=wording.COUNTERS,
                told=tuple(counters_told(trip, facts.due, facts.offset_min, facts.now)),
            ),
            Answer(question=wording.YOURSELF, told=tuple(_yourself(trip, facts))),
        ),
        invented=facts.invented,
    )


def before_a_look(trip: Trip, facts: SlipFacts, width: int) -> list[str]:
    """What whoever looks now should know first: what was found last, and what keeps moving."""
    if not trip.of(*LOOKS):
        return []
    return ["last look:", *_told_lines((*_last_look(trip, facts), *found_moving(trip)), width)]


def moving_lines(trip: Trip, width: int) -> list[str]:
    """Which tie-downs were found slack or moved, as lines; nothing where none was."""
    moving = found_moving(trip)
    return [wording.MOVING, *_told_lines(moving, width)] if moving else []


def slip_lines(slip: Slip, width: int) -> list[str]:
    """The slip as lines of text."""
    lines = [slip.title, *wrap(slip.subtitle, width, break_on_hyphens=False)]
    if slip.first:
        lines += ["", *wrap(slip.first, width, break_on_hyphens=False)]
    for number, answer in enumerate(slip.answers, start=1):
        lines += ["", f"{number}. {answer.question}", *_told_lines(answer.told, width)]
    return [
        *lines,
        "",
        *wrap(wording.FOOTER, width, break_on_hyphens=False),
        *(["invented"] if slip.invented else []),
    ]


def _told_lines(told: Sequence[Told], width: int) -> list[str]:
    return [
        line
        for name, words in told
        for line in wrap(
            f"   {name:<{_NAME_COLUMN}} {words}",
            width,
            subsequent_indent=" " * (3 + _NAME_COLUMN + 1),
            drop_whitespace=True,
            break_on_hyphens=False,
        )
    ]


def slip_document(slip: Slip) -> Document:
    """The slip as a page: of each answer as much in large type as leaves it on one page."""
    most = next((most for most in range(_LARGE_MAX, 0, -1) if _fits(slip, most)), 0)
    blocks: list[Block] = [Paragraph(text=slip.first, style="caution")] if slip.first else []
    for number, answer in enumerate(slip.answers, start=1):
        blocks.append(Heading(text=f"{number}. {answer.question}", level=2))
        large, small = answer.told[:most], answer.told[most:]
        blocks += [KeyValues(pairs=(pair,), even=True) for pair in large]
        if small:
            blocks.append(Paragraph(text="\n".join(f"{name}: {words}" for name, words in small)))
    return Document(
        title=slip.title,
        subtitle=slip.subtitle,
        language="en",
        blocks=tuple(blocks),
        footer=wording.FOOTER,
        invented=slip.invented,
    )


def _fits(slip: Slip, most: int) -> bool:
    """Whether a page holds the slip with the first so many parts of each answer in large type."""
    lines = (_BAND if slip.invented else 0.0) + (_BAND if slip.first else 0.0)
    for answer in slip.answers:
        for number, (name, words) in enumerate(answer.told):
            letters = len(name) + len(words)
            if number < most:
                lines += ceil(letters / _LARGE_LETTERS) + _GAP
            else:
                lines += ceil((letters + 2) / _SMALL_LETTERS) * _SMALL
        lines += _GAP if len(answer.told) > most else 0
    return lines <= _LINES_MAX


def found_moving(trip: Trip) -> tuple[Told, ...]:
    """Each tie-down that was found slack or moved, the most often first; nothing where none was."""
    return tuple(one for one in moving_told(trip) if one[0] != _NONE_MOVING)


def moving_told(trip: Trip) -> tuple[Told, ...]:
    """Each tie-down that was found slack or moved: those on the plan first, most often first.

    Those that went off with what was delivered are told too: what they held may have shifted.
    """
    looks = trip.of(*LOOKS)
    if not looks:
        return ((_NONE_MOVING, wording.NOBODY_LOOKED),)
    on_plan = {one["id"]: one for one in records_in(trip.document or {}, "tie_down")}
    by_tie_down: dict[str, list[dict[str, Any]]] = {}
    for look in looks:
        for line in records_in(look.entry.body, "lines"):
            if line["found"] != "not looked at":
                by_tie_down.setdefault(line["tie_down"], []).append(cast(dict[str, Any], line))
    found: list[tuple[bool, int, Told]] = []
    for tie_down, lines in by_tie_down.items():
        slack = [line for line in lines if line["found"] == _SLACK]
        moved = [line for line in lines if line["found"] == "moved"]
        if slack or moved:
            words = wording.moving_text(
                slack=len(slack),
                notches=[line["notches"] for line in slack if "notches" in line],
                moved=len(moved),
                ways=[line["moved"] for line in moved if "moved" in line],
                looks=len(lines),
                keeps=_keeps_going_slack([line["found"] for line in lines]),
                is_off=tie_down not in on_plan,
            )
            one = on_plan.get(tie_down, {})
            name = f"{tie_down} ({one['gear']})" if one.get("gear") else tie_down
            if {"from", "to"} <= one.keys():
                words += f"; from {one['from']} to {one['to']}"
            found.append((tie_down not in on_plan, -len(slack) - len(moved), (name, words)))
    if not found:
        return ((_NONE_MOVING, wording.none_moved_text(len(looks))),)
    found.sort(key=lambda one: one[:2])
    in_order = [one for *_, one in found]
    told, rest = in_order[:_MOVING_MAX], in_order[_MOVING_MAX:]
    also = [("Also", ", ".join(name for name, _ in rest))] if rest else []
    return (*told, *also)


def _keeps_going_slack(found: Sequence[str]) -> bool:
    """Whether a tie-down was slack at two of the last three looks at it: our reading."""
    return found[-3:].count(_SLACK) >= 2


def _first(trip: Trip, facts: SlipFacts) -> str | None:
    """What comes before driving: a check that is owed, or a look of one's own."""
    if trip.state not in UNDER_WAY:
        return None
    if any(check.is_due for check in facts.due):
        return wording.CHECK_NOW
    handed = trip.last("handed_over")
    if handed is None:
        return None
    since = trip.facts[trip.facts.index(handed) :]
    taker = text_in(handed.entry.body, "to")
    whole = (one for one in since if one.original.kind == "check_completed")
    return None if any(_is_look_by(one, taker) for one in whole) else wording.LOOK_FIRST


def _carries(trip: Trip) -> str:
    plan, delivered = trip.document or {}, trip.delivered_ids
    articles = [
        f"{one['what']} {one['mass']}".strip() if "mass" in one else one["what"]
        for one in records_in(plan, "article")
        if one["id"] not in delivered
    ]
    return wording.carries_text(articles, len(records_in(plan, "tie_down")))


def _subtitle(trip: Trip, facts: SlipFacts) -> str:
    zone = timezone(timedelta(minutes=facts.offset_min))
    made = facts.now.astimezone(zone).strftime("%Y-%m-%d %H:%M %Z")
    number = "none" if trip.plan is None else trip.plan.entry.body["number"]
    head = last_head(trip)
    parts = [f"made {made}"]
    handed = trip.last("handed_over")
    if handed is not None:
        body = handed.entry.body
        giver, taker = (
            facts.people.get(one, one) for one in (text_in(body, "from"), text_in(body, "to"))
        )
        place = facts.opened.get(handed.entry.hash, {}).get("place")
        where = [one for one in (body.get("odometer"), place) if one]
        at = facts.clock(handed.entry.event_time)
        parts.append(", ".join([f"{giver} to {taker} at {at}", *map(str, where)]))
    parts += [_carries(trip), f"plan revision {number}", f"the trip is {trip.state}"]
    if head is not None:
        parts.append(f"code of the log {head.code}")
    return "; ".join(parts)


def _last_look(trip: Trip, facts: SlipFacts) -> Iterator[Told]:
    looks = trip.of(*LOOKS)
    departure = trip.departure
    if departure is None:
        yield "When", "none yet, not departed"
    elif not looks:
        yield "When", f"none since departure at {facts.when(departure.entry.event_time)}"
    else:
        yield from _look(looks[-1], facts)
        if looks[-1].original.kind == "check_left_open":
            last = trip.last("check_completed")
            words = "none since departure" if last is None else _when_and_who(last, facts)
            yield "All of them", words


def _look(look: InForce, facts: SlipFacts) -> Iterator[Told]:
    part = look.original.kind == "check_left_open"
    yield "When", f"{'a part look, ' if part else ''}{_when_and_who(look, facts)}"
    lines = records_in(look.entry.body, "lines")
    seen = sum(1 for one in lines if one["found"] != "not looked at")
    found = found_words(look.entry.body)
    found[:1] = [f"{seen} of {len(lines)} tie-downs: {found[0]}"] if found else []
    items = records_in(look.entry.body, "looks")
    left_out = [one["item"] for one in items if not one["looked_at"]]
    if left_out:
        if len(left_out) == len(items):
            found.append("the rest was not looked at")
        else:
            found.append(f"{'nor' if part else 'not looked'} at {', '.join(left_out)}")
    yield "Found", wording.shortened("; ".join(found) or "no tie-down was on the plan")


def _when_and_who(look: InForce, facts: SlipFacts) -> str:
    entry = look.entry
    who = facts.people.get(entry.by, entry.by)
    reading = entry.body.get("odometer", "odometer not read")
    return f"{facts.when(entry.event_time)}, by {who}, {reading}"


def _yourself(trip: Trip, facts: SlipFacts) -> Iterator[Told]:
    handed = trip.last("handed_over")
    if handed is None:
        yield "You", wording.NO_HAND_OVER
        return
    taker = text_in(handed.entry.body, "to")
    who = facts.people.get(taker, taker)
    place = trip.facts.index(handed)
    before = [one for one in trip.facts[:place] if _is_look_by(one, taker)]
    since = [one for one in trip.facts[place:] if _is_look_by(one, taker)]
    if any(one.original.kind == "check_completed" for one in since):
        whole = [one for one in since if one.original.kind == "check_completed"][-1]
        yield who, f"yes, looked at {facts.when(whole.entry.event_time)}"
    elif since:
        part = facts.when(since[-1].entry.event_time)
        yield who, f"in part, at {part}: look at the rest before you drive"
    else:
        yield who, f"No look by {who} is recorded yet: {wording.BEFORE_YOU_DRIVE}"
        if before:
            yield "Earlier", f"{facts.when(before[-1].entry.event_time)}, before this hand-over"
    yield "Looked together", wording.together_text(handed.entry.body.get("looked_together"))


def _is_look_by(fact: InForce, person: str) -> bool:
    return fact.original.kind in LOOKS and fact.entry.by == person
