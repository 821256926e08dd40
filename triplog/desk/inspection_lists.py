"""A filled-in inspection list read back: told row by row, and recorded as inspections."""

import hashlib
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import cast

from triplog.desk.desk import Desk
from triplog.desk.finding_things import gear_named
from triplog.desk.inspecting import look_draft
from triplog.desk.looking import gear
from triplog.desk.refused import Refused
from triplog.desk.staging import staged, told_in_words
from triplog.desk.when import local_day, local_text, moment
from triplog.journal.entries import Body, Draft, Entry
from triplog.journal.things import Standing
from triplog.securement.inspection import Look, LookAnswer
from triplog.securement.stock.inspected import FilledList, Looked, read_filled_list, refused_row
from triplog.securement.stock.lines import ListRefused, text_of_list
from triplog.securement.stock.rows import NotUnderstood

_OUT = frozenset({LookAnswer.SET_ASIDE, LookAnswer.UNFIT})
_ASIDE = "set aside on the inspection list"


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """A row that can be recorded: what the look comes to, and the drafts that record it."""

    row: Looked
    look: Look
    drafts: tuple[Draft, ...]

    @property
    def is_out(self) -> bool:
        """Whether the piece goes out of use by this row."""
        return self.look.answer in _OUT or len(self.drafts) > 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadInspections:
    """A list as it was read back; nothing of it is recorded yet.

    `before` are the labels of rows that another reading of the list, mended since, has recorded.
    """

    name: str
    digest: str
    rows: FilledList
    answered: tuple[Answered, ...]
    before: tuple[str, ...]

    @property
    def not_understood(self) -> tuple[NotUnderstood, ...]:
        """The rows that are not recorded, each with what to write."""
        return self.rows.not_understood


def read_inspections(
    desk: Desk, data: bytes, name: str, *, encoding: str | None = None
) -> ReadInspections:
    """Read a list back against the gear there is; Refused where it is no inspection list."""
    kinds = {cast(str, row["label"]): cast(str, row["kind"]) for row in gear(desk)}
    try:
        rows = read_filled_list(text_of_list(data, encoding), kinds)
    except ListRefused as problem:
        raise Refused(f"{name}: {problem}") from problem
    before = [row for row in rows.looked if _recorded_before(desk, row)]
    answers = [_answer(desk, row) for row in rows.looked if row not in before]
    refused = [one for one in answers if isinstance(one, NotUnderstood)]
    together = sorted((*rows.not_understood, *refused), key=lambda one: one.first_line)
    return ReadInspections(
        name=name,
        digest=hashlib.sha256(data).hexdigest(),
        rows=replace(rows, not_understood=tuple(together)),
        answered=tuple(one for one in answers if isinstance(one, Answered)),
        before=tuple(row.label for row in before),
    )


def record_inspections(desk: Desk, read: ReadInspections, *, rest: Path | None = None) -> Entry:
    """Record every row somebody looked at, in one transaction; the list's own entry.

    `rest`: a new file for the rows not understood, to be mended and read again; without it they
    keep the whole list out. Refused for a list that was read before, and one nobody filled in.
    """
    refused = len(read.not_understood)
    if refused and rest is None:
        raise Refused(
            f"{refused} of {refused + len(read.answered)} rows filled in are not understood; mend"
            " them, or record the others and keep these in a file with --rest"
        )
    if rest is not None and rest.exists():
        raise Refused(f"{rest} is there already; name another file")
    _refuse_read_before(desk, read)
    if not read.answered:
        if read.before:
            raise Refused(f"every row filled in on {read.name} was recorded before")
        raise Refused(f"no row of {read.name} says that somebody looked at a piece")
    with desk.writing() as writing:
        own = desk.draft(
            "inspection_list_read",
            {
                "digest": read.digest,
                "rows": len(read.answered),
                "not_looked_at": len(read.rows.untouched),
                "not_understood": refused,
            },
            private={"name": read.name},
        )
        entry = desk.append(writing, replace(own, via="imported"), may_repeat=True)
        for one in read.answered:
            for draft in one.drafts:
                writing.append(replace(draft, via="imported"))
        if rest is not None and refused:
            with staged(rest.parent) as stage, told_in_words(rest.parent):
                made = stage / rest.name
                made.write_bytes(read.rows.mending_text().encode("utf-8", "surrogateescape"))
                made.rename(rest)
    return entry


def _refuse_read_before(desk: Desk, read: ReadInspections) -> None:
    for entry in desk.store.entries("kind = ?", ("inspection_list_read",)):
        if entry.body["digest"] == read.digest:
            raise Refused(
                f"{read.name} was read already, entry {entry.hash[:8]}; what was looked at again"
                " stands on a list of its own"
            )


def _recorded_before(desk: Desk, row: Looked) -> bool:
    """Whether a list has told the same of the piece for the same day."""
    thing = gear_named(desk, row.label)
    return any(
        entry.kind == "gear_inspected"
        and entry.via == "imported"
        and entry.body["damage"] == row.damage
        and local_text(entry.event_time, entry)[:10] == row.on
        for entry in desk.store.thing_entries(thing.id)
    )


def _answer(desk: Desk, row: Looked) -> Answered | NotUnderstood:
    """What a row records, or why it cannot be recorded."""
    thing = gear_named(desk, row.label)
    note = f"looked at by {row.by} on {row.on}, from an inspection list"
    try:
        at = _moment(desk, row)
        draft, look = look_draft(desk, thing, damage=row.damage, note=note, at=at)
    except Refused as problem:
        return refused_row(row, str(problem), "it so that it can be recorded")
    if row.stays and look.answer in _OUT:
        return refused_row(
            row,
            f"stays is written, and what was found is {look.answer}: no list keeps that in use",
            "aside; where label or maker allow the damage, `triplog gear inspect --allowed`",
        )
    drafts = [draft]
    if row.stays is False and look.answer not in _OUT and thing.standing is Standing.IN_STOCK:
        body: Body = {"gear": thing.id, "standing": str(Standing.SET_ASIDE)}
        drafts.append(desk.draft("gear_standing_set", body, private={"reason": _ASIDE}, at=at))
    return Answered(row=row, look=look, drafts=tuple(drafts))


def _moment(desk: Desk, row: Looked) -> datetime | None:
    """Noon of the day that was written, for the list has no hour; now, where that is today."""
    reading = desk.now()
    return None if row.on == local_day(reading) else moment(f"{row.on} 12:00", reading)
