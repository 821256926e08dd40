"""What the worksheet for a certification needs to know of the journal."""

from collections.abc import Mapping
from datetime import datetime
from typing import cast

from triplog.desk.desk import NOBODY
from triplog.desk.scope import Scope
from triplog.dossier.worksheet import WorksheetFacts
from triplog.journal.checkpoint import Signed
from triplog.journal.entries import Entry
from triplog.version import __version__

_LATE_MIN = 15
_JSON = "CAST(data AS TEXT) ->> "


def worksheet_facts(
    scope: Scope,
    entry: Entry,
    signed: Signed | None,
    withheld: Mapping[str, int],
    now: datetime,
) -> WorksheetFacts:
    """The facts of an export: `entry` is its own, `signed` the head that goes with it."""
    kinds = _grouped(scope, "kind")
    apart = f"(julianday(entry_time) - julianday({_JSON}'$.event_time')) * 1440"
    head = None if signed is None else signed.checkpoint
    return WorksheetFacts(
        what=cast(str, entry.body["what"]),
        program=__version__,
        exporter=_label(scope, entry.by),
        export_hash=entry.hash,
        heads=scope.heads(),
        ways=_grouped(scope, f"{_JSON}'$.via'"),
        clocks=_grouped(scope, f"{_JSON}'$.clock.source'"),
        starts=len(_grouped(scope, f"{_JSON}'$.clock.boot_id'")),
        steps=kinds.get("clock_stepped", 0),
        late=_count(scope, f"{apart} > {_LATE_MIN}"),
        ahead=_count(scope, f"{apart} < -{_LATE_MIN}"),
        given=kinds.get("head_given", 0),
        countersigned=kinds.get("countersignature_taken", 0),
        stamped=kinds.get("time_stamp_taken", 0),
        code=None if head is None else head.code,
        signed_size=None if head is None else head.size,
        withheld=withheld,
        destroyed=_destroyed(scope),
        forks=kinds.get("fork_found", 0),
        now=now,
        offset_min=entry.event_offset_min,
        invented=scope.desk.invented,
    )


def _grouped(scope: Scope, what: str) -> dict[str, int]:
    """How many entries there are of each value of an SQL expression; NULL is not counted."""
    where, values = scope.condition
    rows = scope.desk.store.raw.execute(
        f"SELECT {what} AS one, count(*) FROM entry WHERE {where} GROUP BY one", values
    )
    return {str(one): count for one, count in rows if one is not None}


def _count(scope: Scope, condition: str) -> int:
    where, values = scope.condition
    query = f"SELECT count(*) FROM entry WHERE {where} AND {condition}"
    (count,) = scope.desk.store.raw.execute(query, values).fetchone()
    return int(count)


def _destroyed(scope: Scope) -> int:
    """How many private values entries of the scope say were destroyed."""
    where, values = scope.condition
    (count,) = scope.desk.store.raw.execute(
        f"SELECT coalesce(sum(json_array_length(CAST(data AS TEXT), '$.body.openings')), 0)"
        f" FROM entry WHERE {where} AND kind = 'openings_destroyed'",
        values,
    ).fetchone()
    return int(count)


def _label(scope: Scope, person: str) -> str:
    row = scope.desk.store.raw.execute(
        "SELECT label FROM person WHERE id = ?", (person,)
    ).fetchone()
    return NOBODY if row is None else str(row[0])
