"""Handing over: tables, trail, sheet, calendar and bundle of one trip or of the whole store.

The export's own entry, with the heads as known then, is part of what is exported. Entry and files
are one: the files are written under temporary names while the entry waits in its transaction, and
get their names when it is durable. Until then the journal takes no other entry.
"""

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from exports.pdf_sheet import Paper
from triplog.desk.checkpoints import keep_head, record_key, sign_head
from triplog.desk.desk import Desk, present
from triplog.desk.export_forms import Making, calendar_of, write_form
from triplog.desk.incident import incidents
from triplog.desk.refused import Refused
from triplog.desk.scope import Scope, scope_of
from triplog.desk.setting_up import paper_of
from triplog.desk.staging import give_names, staged, told_in_words
from triplog.desk.withholding import NOTHING_ASKED, Left, Wish, left_out, withholding
from triplog.journal.checkpoint import Checkpoint
from triplog.journal.entries import Draft, Entry
from triplog.journal.store_file import sync_folder
from triplog.journal.trip import Trip

FORMS = (
    "csv",
    "json",
    "lines",
    "sheet",
    "plan",
    "checks",
    "slip",
    "calendar",
    "incident",
    "bundle",
)
_OF_ONE_TRIP = ("sheet", "plan", "checks", "slip", "calendar", "incident")
_WRITTEN_AS = {
    "csv": "csv",
    "json": "trail.json",
    "lines": "entries.jsonl",
    "sheet": "sheet.pdf",
    "plan": "plan.pdf",
    "checks": "checks.pdf",
    "slip": "slip.pdf",
    "calendar": "checks.ics",
    "incident": "incident",
    "bundle": "bundle.zip",
}
_LABEL_CHARACTERS_MAX = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """What was written.

    `seal` is the hash that stands for the bundle, None without one; `head` the head of the log that
    was signed with it, None where it was withheld. `withheld`: how many values of
    each private field were left out, and why.
    """

    entry: Entry
    files: tuple[Path, ...]
    seal: str | None
    head: Checkpoint | None
    withheld: Mapping[str, int]
    withheld_why: str


def export(
    desk: Desk,
    folder: Path,
    forms: tuple[str, ...],
    trip: Trip | None,
    *,
    paper: Paper | None = None,
    wish: Wish = NOTHING_ASKED,
    as_folder: bool = False,
) -> Exported:
    """Write the forms asked for into a folder, all of them or none, and record it.

    A calendar is left out while no check has a time that can be told. Raises Refused for an
    unknown form, a file that is there already, and a folder that cannot be written; then nothing
    is recorded or left behind. `wish`: what is left out of every form.
    `as_folder`: the bundle as a folder instead of a zip.
    """
    _refuse_forms(forms, trip)
    with staged(folder) as stage:
        with desk.writing() as writing:
            reading = writing.reading if trip is None else desk.now_on(trip, writing.reading)
            calendar = None if trip is None else calendar_of(desk, trip, writing.reading)
            planned = _planned(
                folder, forms, trip, has_calendar=calendar is not None, as_folder=as_folder
            )
            record_key(desk, writing)
            scope = scope_of(desk, trip, also=(desk.by,))
            left = left_out(scope, wish)
            entry = desk.append(writing, _draft(desk, planned, scope, left))
            made = sign_head(desk, writing, "exported", None if trip is None else trip.id)
            making = Making(
                scope=scope_of(desk, None if trip is None else desk.trip(trip.id)),
                entry=entry,
                paper=paper or paper_of(desk),
                reading=reading,
                calendar=calendar,
                signed=made.signed,
                left=left,
            )
            with told_in_words(folder), withholding(desk.store, left.sparing(entry)):
                seal = None
                for form, name in planned.items():
                    seal = write_form(making, form, stage / name) or seal
                _sync(stage)
        keep_head(desk, made)
        give_names(stage, folder, planned.values())
    files = tuple(folder / name for name in planned.values())
    head = None if made.signed is None else made.signed.checkpoint
    return Exported(
        entry=entry,
        files=files,
        seal=seal,
        head=head,
        withheld=left.counts,
        withheld_why=left.why,
    )


def _refuse_forms(forms: tuple[str, ...], trip: Trip | None) -> None:
    unknown = [form for form in forms if form not in FORMS]
    if unknown or not forms:
        raise Refused(f"forms are {', '.join(FORMS)}; found {', '.join(unknown) or 'none'}")
    if trip is None and not set(forms) - set(_OF_ONE_TRIP):
        raise Refused("sheets and a calendar are those of one trip; say which with --trip")


def _planned(
    folder: Path, forms: tuple[str, ...], trip: Trip | None, *, has_calendar: bool, as_folder: bool
) -> dict[str, str]:
    """The name of the file of each form that can be written; refused where one is there already."""
    if trip is not None and "incident" in forms and not incidents(trip) and len(forms) == 1:
        raise Refused(f"trip {trip.label} has no incident; `triplog incident` reports one")
    there = {"calendar": has_calendar, "incident": trip is not None and bool(incidents(trip))}
    left_out = (
        _OF_ONE_TRIP if trip is None else [form for form, is_there in there.items() if not is_there]
    )
    label = _label(trip)
    written_as = _WRITTEN_AS | ({"bundle": "bundle"} if as_folder else {})
    planned = {form: f"{label}-{written_as[form]}" for form in forms if form not in left_out}
    if not planned:
        raise Refused(
            "no check has a time that can be told, so there is nothing to put into a calendar;"
            " `triplog due` shows what is due"
        )
    taken = [folder / name for name in planned.values() if os.path.lexists(folder / name)]
    if taken:
        raise Refused(f"{taken[0]} is there already; name another folder with --to")
    return planned


def _label(trip: Trip | None) -> str:
    """What the names of the files begin with."""
    if trip is None:
        return "store"
    return f"trip-{re.sub(r'[^A-Za-z0-9.-]+', '-', trip.label)[:_LABEL_CHARACTERS_MAX]}"


def _sync(stage: Path) -> None:
    """Make what was written durable before the journal says that it was."""
    for path in stage.rglob("*"):
        if path.is_dir():
            sync_folder(path)
        else:
            with path.open("r+b") as written:
                os.fsync(written.fileno())


def _draft(desk: Desk, planned: dict[str, str], scope: Scope, left: Left) -> Draft:
    trip = scope.trip
    heads = (
        {device: head for device, (_, head) in desk.store.heads().items()}
        if trip is None
        else desk.store.trip_heads(trip.id)
    )
    return desk.draft(
        "exported",
        present(
            what=_label(trip),
            form=list(planned),
            files=list(planned.values()),
            trip_heads=heads,
            withheld=left.counts or None,
            beside=None if trip is None else scope.beside_digest,
        )
        | {"trip_of": None if trip is None else trip.id},
        trip=None if trip is None else trip.id,
        private={"reason": left.why if left.counts else None},
    )
