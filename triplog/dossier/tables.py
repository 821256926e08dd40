"""The CSV tables of an export: for each its file name, its columns with units, and its query.

Every time stands in UTC with its Z, and the local offset in minutes beside; every figure has its
unit in the column name. A value `as_given`, `as_marked` or `as_judged` is text with its own unit.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TextIO

from exports.csv_sheet import Cell, CsvColumn, write_csv


@dataclass(frozen=True, slots=True, kw_only=True)
class CsvTable:
    """A table of the export. `of_trip` is the condition on the rows that concern one trip."""

    name: str
    columns: tuple[CsvColumn, ...]
    select: str
    order: str
    of_trip: str = "trip = :trip"

    def query(self, *, one_trip: bool) -> str:
        """The SQL. With `one_trip` its parameters are `trip`, the trip's id, and the JSON lists
        `beside`, hashes of entries that are not the trip's, and `things`, ids of what took part.
        """
        where = f" WHERE {self.of_trip}" if one_trip else ""
        return f"{self.select}{where} ORDER BY {self.order}"


def write_table(
    columns: Sequence[CsvColumn],
    rows: Iterable[Sequence[Cell]],
    out: TextIO,
    *,
    invented: bool,
) -> None:
    """Write a table; where what it tells is invented, a last column says so in each row."""
    if invented:
        columns, rows = (*columns, _INVENTED), ((*row, "yes") for row in rows)
    write_csv(columns, rows, out)


def _text(*names: str) -> tuple[CsvColumn, ...]:
    return tuple(CsvColumn(name=name) for name in names)


def _count(name: str) -> CsvColumn:
    return CsvColumn(name=name, kind="count")


def _figure(name: str, unit: str) -> CsvColumn:
    return CsvColumn(name=name, kind="figure", unit=unit)


_INVENTED = CsvColumn(name="invented")
_TIMES = (
    *_text("event_time_utc"),
    _figure("event_offset", "min"),
    *_text("entry_time_utc"),
)
_TIMES_AND_DOUBT = (*_TIMES, *_text("time_doubt"))
"""Of what may have been recorded with a time that cannot be right: such a row counts nowhere."""
_TIME_FIELDS = "event_time, event_offset_min, entry_time"
_REPLACES = (
    "(SELECT CAST(e.data AS TEXT) ->> '$.follows' FROM entry AS e WHERE e.hash = {row}.entry)"
)
"""The hash of the entry which the row's own entry corrects, if it is a correction."""

ENTRIES = CsvTable(
    name="entries",
    columns=(
        *_text("device"),
        _count("seq"),
        *_text("kind", "trip"),
        *_TIMES,
        *_text("by", "via", "clock_source", "follows", "hash", "body_json"),
    ),
    select=(
        "SELECT device, seq, kind, trip, data ->> '$.event_time',"
        " data ->> '$.event_offset_min', entry_time, data ->> '$.by', data ->> '$.via',"
        " data ->> '$.clock.source', data ->> '$.follows', hash, data -> '$.body'"
        " FROM (SELECT device, seq, kind, trip, entry_time, hash, CAST(data AS TEXT) AS data"
        " FROM entry)"
    ),
    order="device, seq",
    of_trip="(trip = :trip OR hash IN (SELECT value FROM json_each(:beside)))",
)
TABLES: tuple[CsvTable, ...] = (
    ENTRIES,
    CsvTable(
        name="trips",
        columns=(
            *_text("trip", "label", "state", "opened_at_utc", "departed_at_utc", "ended_at_utc"),
            *_text("driver", "vehicle", "revision_at_departure"),
            _count("revision_number_at_departure"),
            *_text("last_revision"),
            _count("last_revision_number"),
            _count("last_findings_not_met"),
            _count("last_findings_not_known"),
            _count("holds"),
            *_text("deleted_at_utc", "deleted_by"),
        ),
        select=(
            "SELECT id, label, state, opened_at, departed_at, ended_at, driver, vehicle,"
            " then_planned.entry, then_planned.number, revision, revision_number, not_met,"
            " not_known, holds, deleted_at, deleted_by FROM trip LEFT JOIN plan_revision"
            " AS then_planned ON then_planned.trip = trip.id AND then_planned.entry ="
            " (SELECT CAST(e.data AS TEXT) ->> '$.body.revision' FROM trip_event AS t JOIN entry"
            " AS e ON e.hash = t.entry WHERE t.trip = trip.id AND t.kind = 'departed')"
        ),
        order="opened_at, id",
        of_trip="id = :trip",
    ),
    CsvTable(
        name="plan_revisions",
        columns=(
            *_text("revision", "trip"),
            _count("number"),
            *_text("cause"),
            *_TIMES,
            *_text("by"),
            _count("articles"),
            _count("tie_downs"),
        ),
        select=(
            f"SELECT entry, trip, number, cause, {_TIME_FIELDS}, by, articles, tie_downs"
            " FROM plan_revision"
        ),
        order="trip, number",
    ),
    CsvTable(
        name="articles",
        columns=(
            *_text("revision", "article", "trip", "what", "commodity", "mass_as_given"),
            *_text("mass_basis"),
            _figure("mass", "kg"),
            *_text("length_as_given"),
            _figure("length", "m"),
        ),
        select=(
            "SELECT revision, id, trip, what, commodity, mass, mass_basis,"
            " iif(mass_kg IS NULL, NULL, printf('%.6f', mass_kg)), length,"
            " iif(length_m IS NULL, NULL, printf('%.6f', length_m)) FROM article"
        ),
        order="trip, revision, id",
    ),
    CsvTable(
        name="tie_downs",
        columns=_text(
            "revision", "tie_down", "trip", "holds", "path", "gear", "from_anchor", "to_anchor"
        ),
        select=(
            "SELECT revision, id, trip, holds, path, gear, from_anchor, to_anchor FROM tie_down"
        ),
        order="trip, revision, id",
    ),
    CsvTable(
        name="findings",
        columns=(
            *_text("judgement"),
            _count("number"),
            *_text("trip", "revision", "rule", "about", "verdict", "scope", "clause"),
            *_text("required_as_judged", "provided_as_judged"),
        ),
        select=(
            "SELECT judgement, number, trip, revision, rule, about, verdict, scope, clause,"
            " required || ' ' || required_unit, provided || ' ' || provided_unit FROM finding"
        ),
        order="trip, judgement, number",
    ),
    CsvTable(
        name="odometer_readings",
        columns=(
            *_text("entry", "trip", "odometer_as_given"),
            _figure("odometer", "mm"),
            *_TIMES_AND_DOUBT,
            *_text("by", "via", "replaces"),
        ),
        select=(
            f"SELECT entry, trip, odometer, odometer_mm, {_TIME_FIELDS}, time_doubt, by, via,"
            f" {_REPLACES.format(row='odometer_reading')} FROM odometer_reading"
        ),
        order="trip, event_time, entry",
    ),
    CsvTable(
        name="duty_changes",
        columns=(
            *_text("entry", "trip", "driver", "status"),
            *_TIMES_AND_DOUBT,
            *_text("by", "replaces"),
        ),
        select=(
            f"SELECT entry, trip, driver, status, {_TIME_FIELDS}, time_doubt, by,"
            f" {_REPLACES.format(row='duty_change')} FROM duty_change"
        ),
        order="trip, event_time, entry",
    ),
    CsvTable(
        name="checks",
        columns=(
            *_text("entry", "trip"),
            _count("all_tie_downs_looked_at"),
            _count("other_looks_made"),
            *_text("odometer_as_given", "closes", "late"),
            *_TIMES_AND_DOUBT,
            *_text("by", "replaces"),
        ),
        select=(
            "SELECT entry, trip, complete, (SELECT count(*) FROM check_look AS l WHERE"
            ' l.trip = check_made.trip AND l."check" = check_made.entry AND l.looked_at = 1),'
            f" odometer, closes, late, {_TIME_FIELDS}, time_doubt, by,"
            f" {_REPLACES.format(row='check_made')} FROM check_made"
        ),
        order="trip, event_time, entry",
    ),
    CsvTable(
        name="check_lines",
        columns=(
            *_text("check", "tie_down", "trip", "found"),
            _count("notches"),
            *_text("moved_as_given"),
        ),
        select='SELECT "check", tie_down, trip, found, notches, moved FROM check_line',
        order='trip, "check", tie_down',
    ),
    CsvTable(
        name="check_looks",
        columns=(
            *_text("check", "item", "trip"),
            _count("looked_at"),
            *_text("found"),
            _count("put_right"),
        ),
        select='SELECT "check", item, trip, looked_at, found, put_right FROM check_look',
        order='trip, "check", item',
    ),
    CsvTable(
        name="prompts",
        columns=(
            *_text("entry", "trip", "due", "rule", "stage", "channel"),
            _count("number"),
            _count("repeated"),
            *_TIMES,
            *_text("outcome"),
        ),
        select=(
            "SELECT entry, trip, due, rule, stage, channel, number, repeated,"
            f" {_TIME_FIELDS}, outcome FROM prompt"
        ),
        order="trip, event_time, entry",
    ),
    CsvTable(
        name="trip_events",
        columns=(
            *_text("entry", "trip", "kind", "what"),
            *_TIMES_AND_DOUBT,
            *_text("by", "replaces"),
        ),
        select=(
            f"SELECT entry, trip, kind, what, {_TIME_FIELDS}, time_doubt, by,"
            f" {_REPLACES.format(row='trip_event')} FROM trip_event"
        ),
        order="trip, event_time, entry",
    ),
    CsvTable(
        name="photos",
        columns=(
            *_text("entry", "trip", "digest", "file"),
            _count("bytes"),
            *_text("media_type"),
            _count("width_px"),
            _count("height_px"),
            *_text("shows", "tie_downs", "gear", "taken_at_as_stated"),
            _figure("taken_offset", "min"),
            *_text("taken_time_source"),
            _figure("taken_before_entry", "s"),
            _figure("taken_offset_assumed", "min"),
            *_text("original_digest", "taken_out"),
            *_TIMES,
            *_text("by"),
        ),
        select=(
            "SELECT entry, trip, digest, file, bytes, media_type, width_px, height_px, shows,"
            " tie_downs, gear, taken_at, taken_offset_min, taken_time_source, difference_s,"
            f" difference_offset_min, original_digest, taken_out, {_TIME_FIELDS}, by FROM photo"
        ),
        order="trip, event_time, entry",
    ),
    CsvTable(
        name="gear",
        columns=(
            *_text("gear", "label", "kind", "standing", "width_as_marked", "size_as_marked"),
            *_text("grade", "length_as_given", "wll_as_marked"),
            _figure("wll", "N"),
            *_text("mass_as_given"),
            _count("is_held"),
            *_text("inspected_at_utc", "inspect_by"),
        ),
        select=(
            "SELECT id, label, kind, standing, width, size, grade, length, wll,"
            " iif(wll_n IS NULL, NULL, printf('%.3f', wll_n)), mass, is_held, inspected_at,"
            " inspect_by FROM gear"
        ),
        order="label, id",
        of_trip="id IN (SELECT value FROM json_each(:things))",
    ),
    CsvTable(
        name="vehicles",
        columns=(
            *_text("vehicle", "label", "gross_mass_as_given", "use", "deck_length_as_given"),
            *_text("deck_width_as_given", "top_speed_as_given"),
            _count("anchors"),
        ),
        select=(
            'SELECT id, label, gross_mass, "use", deck_length, deck_width, top_speed, anchors'
            " FROM vehicle"
        ),
        order="label, id",
        of_trip="id IN (SELECT value FROM json_each(:things))",
    ),
    CsvTable(
        name="anchors",
        columns=_text(
            "vehicle", "anchor", "kind", "from_front_as_given", "across_as_given", "wll_as_given"
        ),
        select="SELECT vehicle, id, kind, from_front, across, wll FROM anchor",
        order="vehicle, id",
        of_trip="vehicle IN (SELECT value FROM json_each(:things))",
    ),
    CsvTable(
        name="people",
        columns=_text("person", "label", "roles"),
        select="SELECT id, label, roles FROM person",
        order="label, id",
        of_trip="id IN (SELECT value FROM json_each(:things))",
    ),
)
