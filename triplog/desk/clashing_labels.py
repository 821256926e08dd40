"""Labels that two devices gave to different things: shown, and picked, with the device.

`S-1@k7qm` is the S-1 that was first recorded on the device whose letters begin so. A label that
one thing alone has stays as it is.
"""

from collections import defaultdict
from typing import Literal, TypeAlias

from triplog.journal.store import Store

Table: TypeAlias = Literal["trip", "gear", "vehicle", "person"]
_LETTERS = 4
_MARK = "@"


def shown_labels(store: Store, table: Table, where: str = "1") -> dict[str, str]:
    """What those are shown as that share their label, by id; `where`: a condition on the rows."""
    rows = store.raw.execute(
        f"SELECT id, label FROM {table} WHERE {where} AND EXISTS (SELECT 1 FROM {table} AS other"
        f" WHERE other.label = {table}.label AND other.id <> {table}.id)"
    ).fetchall()
    return {
        thing: shown
        for label in dict.fromkeys(label for _, label in rows)
        for thing, shown in _of_label(store, table, label).items()
    }


def called(store: Store, table: Table, label: str) -> dict[str, str]:
    """The things of that label, or of that label and device: by id, as they are shown."""
    found = _of_label(store, table, label)
    name, mark, start = label.rpartition(_MARK)
    if found or not mark or not start:
        return found
    marks = _marks(store, table, list(_ids(store, table, name)))
    return {
        thing: f"{name}{_MARK}{start}" for thing, mark in marks.items() if mark.startswith(start)
    }


def _of_label(store: Store, table: Table, label: str) -> dict[str, str]:
    ids = _ids(store, table, label)
    if len(ids) < 2:
        return dict.fromkeys(ids, label)
    marks = _marks(store, table, ids)
    letters = _LETTERS
    while len({mark[:letters] for mark in marks.values()}) < len(ids):
        letters += 1
    return {thing: f"{label}{_MARK}{mark[:letters]}" for thing, mark in marks.items()}


def _ids(store: Store, table: Table, label: str) -> list[str]:
    rows = store.raw.execute(f"SELECT id FROM {table} WHERE label = ? ORDER BY id", (label,))
    return [thing for (thing,) in rows]


def _marks(store: Store, table: Table, ids: list[str]) -> dict[str, str]:
    """The device each was first recorded on; of two of one device, the own id behind it."""
    column = "trip" if table == "trip" else "thing"
    devices: dict[str, str] = {}
    for thing in ids:
        row = store.raw.execute(
            f"SELECT device FROM entry WHERE {column} = ? ORDER BY entry_time, seq LIMIT 1",
            (thing,),
        ).fetchone()
        devices[thing] = str(row[0])
    of_device: defaultdict[str, int] = defaultdict(int)
    for device in devices.values():
        of_device[device] += 1
    return {
        thing: device if of_device[device] == 1 else f"{device}-{thing}"
        for thing, device in devices.items()
    }
