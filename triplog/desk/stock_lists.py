"""A list of gear that somebody keeps: read, told row by row, and taken into stock."""

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path

from triplog.desk.desk import Desk, present
from triplog.desk.finding_things import labels_taken
from triplog.desk.gear import damage_text
from triplog.desk.refused import Refused
from triplog.desk.staging import staged, told_in_words
from triplog.journal.derived import GearRow
from triplog.journal.entries import Body, Entry
from triplog.journal.store import Writing, new_id
from triplog.securement.stock.lines import ListRefused, text_of_list
from triplog.securement.stock.lists import StockList, read_stock_list
from triplog.securement.stock.rows import Listed
from triplog.securement.stock.words import KINDS, WordRefused


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadList:
    """A list as it was read; nothing of it is recorded yet."""

    name: str
    digest: str
    rows: StockList

    @property
    def pieces(self) -> int:
        """How many pieces of gear the rows understood tell of."""
        return sum(len(row.labels) for row in self.rows.understood)


def read_list(
    desk: Desk,
    data: bytes,
    name: str,
    *,
    kind: str | None = None,
    encoding: str | None = None,
    comma_decimals: bool = False,
) -> ReadList:
    """Read a list against the stock there is; Refused where it cannot be read as a list at all.

    `kind`: of the rows that name none.
    """
    try:
        rows = read_stock_list(
            text_of_list(data, encoding),
            kind=None if kind is None else KINDS.read(kind),
            comma_decimals=comma_decimals,
            taken=labels_taken(desk, GearRow),
        )
    except (ListRefused, WordRefused) as problem:
        raise Refused(f"{name}: {problem}") from problem
    return ReadList(name=name, digest=hashlib.sha256(data).hexdigest(), rows=rows)


def take_into_stock(
    desk: Desk, listed: ReadList, *, understood_only: bool, rest: Path | None = None
) -> Entry:
    """Record the list and its gear, all in one transaction; the list's own entry.

    `rest`: a new file for the rows not understood, to be mended and read again. Refused while rows
    are not understood, unless `understood_only`, and where no row is understood.
    """
    refused = len(listed.rows.not_understood)
    if refused and not understood_only:
        raise Refused(
            f"{refused} of {refused + len(listed.rows.understood)} rows of {listed.name} are not"
            " understood; mend them, or record the others alone with --understood-only"
        )
    if rest is not None and not understood_only:
        raise Refused("--rest goes with --understood-only: the other rows would be left behind")
    if rest is not None and rest.exists():
        raise Refused(f"{rest} is there already; name another file")
    if not listed.rows.understood:
        raise Refused(f"no row of {listed.name} is understood")
    with desk.writing() as writing:
        entry = desk.append(
            writing,
            replace(
                desk.draft(
                    "stock_list_read",
                    {
                        "digest": listed.digest,
                        "rows": len(listed.rows.understood),
                        "not_understood": refused,
                    },
                    private={"name": listed.name},
                ),
                via="imported",
            ),
        )
        for row in listed.rows.understood:
            for label in row.labels:
                _take(desk, writing, row, label)
        if rest is not None and refused:
            with staged(rest.parent) as stage, told_in_words(rest.parent):
                made = stage / rest.name
                made.write_bytes(listed.rows.mending_text().encode("utf-8", "surrogateescape"))
                made.rename(rest)
    return entry


def _take(desk: Desk, writing: Writing, row: Listed, label: str) -> None:
    """Record one piece, and where the list says it stands."""
    thing = new_id()
    body: Body = {
        "id": thing,
        "label": label,
        "item": row.item,
        **present(inspect_by=row.inspect_by),
    }
    card = desk.draft("gear_recorded", body, private={"note": row.note})
    writing.append(replace(card, via="imported"))
    standing = row.standing
    if row.item.get("damage") and standing in (None, "in stock"):
        standing = "set aside"
    if standing in (None, "in stock"):
        return
    reason = damage_text(row.item) or "as the list says"
    aside = desk.draft(
        "gear_standing_set", {"gear": thing, "standing": standing}, private={"reason": reason}
    )
    writing.append(replace(aside, via="imported"))
