"""Exports out of the hub: the forms there are, written from an extract, recorded in its own log."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from exports.pdf_sheet import Paper
from triplog.desk.exporting import FORMS, Exported, export
from triplog.desk.refused import Refused
from triplog.desk.staging import give_names, staged
from triplog.desk.withholding import NOTHING_ASKED, Wish
from triplog.hub import own_log
from triplog.hub.carriers import Carrier
from triplog.hub.database import Database, Open, Role
from triplog.hub.extract import Asked, extract
from triplog.journal.entries import Clock, Draft, Entry, entry_of, time_text

_LISTED_MAX = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is to be written of an extract. `who`: who asked, in words; `forms` empty: all."""

    forms: tuple[str, ...]
    who: str
    paper: Paper | None = None
    wish: Wish = NOTHING_ASKED
    as_folder: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A hub as an export needs it. `home`: where its key lies."""

    database: Database
    home: Path
    clock: Clock
    role: Role = "office"


def export_from_hub(
    hub: Place, carrier: Carrier, asked: Asked, order: Order, folder: Path
) -> list[Exported]:
    """Write what is asked for into a folder: whole logs as one, trips each by itself.

    Several trips each get a folder of their own. What is written gets its names when the carrier's
    own log says that it was handed out. Raises Refused as `desk.exporting.export` does.
    """
    found = []
    forms = order.forms or FORMS
    with (
        staged(folder) as stage,
        extract(hub.database, hub.role, hub.home, carrier, asked, hub.clock) as desk,
    ):
        for trip_id in asked.trips or (None,):
            trip = None if trip_id is None else desk.trip(trip_id)
            name = "" if len(asked.trips) < 2 or trip_id is None else trip_id
            made = export(
                desk,
                stage / name / "out",
                forms,
                trip,
                paper=order.paper,
                wish=order.wish,
                as_folder=order.as_folder,
            )
            files = [path.name for path in made.files]
            _refuse_there([folder / name / one for one in files])
            record(hub, carrier, exported_again(desk.store.openings(made.entry.hash), made, order))
            (folder / name).mkdir(exist_ok=True)
            give_names(stage / name / "out", folder / name, files)
            found.append(replace(made, files=tuple(folder / name / one for one in files)))
    return found


def exported_again(opened: dict[str, str], made: Exported, order: Order) -> Draft:
    """What the extract's own log says of an export, for the carrier's own log, with who asked."""
    private = {"note": order.who} | ({"reason": opened["reason"]} if "reason" in opened else {})
    return Draft(kind="exported", body=made.entry.body, by="nobody", via="program", private=private)


def record(hub: Place, carrier: Carrier, draft: Draft) -> Entry:
    """Put an entry on the end of the carrier's own log of what was received and handed out."""
    told = own_log.as_told(hub.clock.read(), carrier.invented)
    with hub.database.work("office", carrier.id) as connection:
        return own_log.append(connection, carrier.id, carrier.witness, draft, told)


def asked_for(
    hub: Place,
    carrier: Carrier,
    devices: list[str],
    trips: list[str],
    since: str | None,
    until: str | None,
) -> Asked:
    """What labels and days ask for. Raises Refused for what is not there or cannot be read.

    With `since` it is the trips of that time, each by itself: a log can be checked from its
    beginning only.
    """
    begin, end = _day(since, is_end=False), _day(until, is_end=True)
    with hub.database.work(hub.role, carrier.id) as connection:
        chosen = devices_called(connection, devices)
        named = trips_called(connection, trips)
        if begin is not None and not named:
            named = trips_within(connection, chosen, begin, end)
            if not named:
                raise Refused("of no trip anything was written within that time")
    return Asked(devices=chosen, trips=named, until=end)


def _day(typed: str | None, *, is_end: bool) -> datetime | None:
    """A day or a moment as typed, UTC where it names no zone; `is_end`: the end of a day."""
    if typed is None:
        return None
    try:
        found = datetime.fromisoformat(typed)
    except ValueError:
        raise Refused(
            f"a day is written 2026-03-01, a moment 2026-03-01T14:30Z; found {typed!r}"
        ) from (None)
    if found.tzinfo is None:
        found = found.replace(tzinfo=UTC)
    is_day = len(typed) <= 10
    return found + timedelta(days=1, milliseconds=-1) if is_end and is_day else found


def devices_called(connection: Open, labels: list[str]) -> tuple[str, ...]:
    """The ids of the devices of these labels or ids. Raises Refused for one that is not there."""
    found: list[str] = []
    for label in labels:
        rows = connection.execute(
            "SELECT id FROM device WHERE label = %s OR id = %s ORDER BY id", (label, label)
        ).fetchall()
        if not rows:
            raise Refused(f"no device is called {label!r}; triplog hub devices lists them")
        found += [device for (device,) in rows]
    return tuple(dict.fromkeys(found))


def trips_called(connection: Open, labels: list[str]) -> tuple[str, ...]:
    """The ids of the trips of these labels or ids; Refused where one is not there, or several."""
    opened = list(_opened(connection)) if labels else []
    found = []
    for label in labels:
        meant = [trip for trip, name, _ in opened if label in (trip, name)]
        if not meant:
            raise Refused(f"no trip is called {label!r} in what has arrived")
        if len(meant) > 1:
            named = [f"{trip} ({of})" for trip, name, of in opened if trip in meant]
            told = ", ".join(named[:_LISTED_MAX])
            raise Refused(f"several trips are called {label!r}; say which by its id: {told}")
        found += meant
    return tuple(dict.fromkeys(found))


def trips_within(
    connection: Open, devices: tuple[str, ...], since: datetime | None, until: datetime | None
) -> tuple[str, ...]:
    """The ids of the trips of which something was written in a span, by the devices' own clocks."""
    rows = connection.execute(
        "SELECT trip FROM entry WHERE trip IS NOT NULL AND entry_time >= %s AND entry_time <= %s"
        " AND (cardinality(%s::text[]) = 0 OR device = ANY(%s)) GROUP BY trip"
        " ORDER BY min(entry_time), trip",
        (
            "" if since is None else time_text(since),
            "9999" if until is None else time_text(until),
            list(devices),
            list(devices),
        ),
    )
    return tuple(trip for (trip,) in rows)


def _opened(connection: Open) -> Iterator[tuple[str, str, str]]:
    """Of each trip its id, its label and the device that opened it."""
    rows = connection.execute(
        "SELECT data, coalesce(device.label, entry.device) FROM entry"
        " LEFT JOIN device ON device.id = entry.device WHERE kind = 'trip_opened'"
    )
    for data, of in rows:
        entry = entry_of(bytes(data))
        if entry.trip is not None:
            yield entry.trip, str(entry.body["label"]), of


def _refuse_there(paths: list[Path]) -> None:
    taken = [path for path in paths if path.exists()]
    if taken:
        raise Refused(f"{taken[0]} is there already; name another folder with --to")
