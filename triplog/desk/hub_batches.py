"""Batches of a chain on their way to a hub, as large as may travel at once."""

import json
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace

from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.journal.batch import (
    BYTES_MAX,
    ENTRIES_MAX,
    OPENING_BYTES_MAX,
    Batch,
    Opened,
    Place,
    fits,
    pack_batch,
)
from triplog.journal.entries import hash_of

ALL_FIELDS = "*"


def place_of(desk: Desk, device: str, seq: int) -> Place | None:
    """The entry of that number as it stands here; None: there is none."""
    row = desk.store.raw.execute(
        "SELECT hash FROM entry WHERE device = ? AND seq = ?", (device, seq)
    ).fetchone()
    return None if row is None else Place(seq, row[0])


def last_place(desk: Desk, device: str) -> Place | None:
    """The end of a chain as it stands here."""
    head = desk.store.head(device)
    return None if head is None else Place(*head)


def packed_after(desk: Desk, empty: Batch, opened: tuple[str, ...]) -> tuple[Place | None, bytes]:
    """The next batch of a chain after a place, packed; and where it ends.

    `empty`: the batch without entries; `opened`: the private fields that travel. Raises Refused
    where one entry is too large to travel at all.
    """
    lines = _lines(desk, empty)
    while True:
        end = empty.after
        if lines:
            end = Place((-1 if end is None else end.seq) + len(lines), hash_of(lines[-1]))
        openings = tuple(_openings(desk, empty, end, opened))
        size = sum(map(len, lines)) + sum(map(_room, openings))
        packed = pack_batch(replace(empty, entries=tuple(lines), openings=openings))
        if fits(len(lines), size, len(packed)) and len(openings) <= 4 * ENTRIES_MAX:
            return end, packed
        if len(lines) <= 1:
            at = 0 if empty.after is None else empty.after.seq + 1
            raise Refused(f"entry {at} of device {empty.device} is too large to travel to a hub")
        del lines[len(lines) // 2 :]


def _lines(desk: Desk, empty: Batch) -> list[bytes]:
    """As many entries after the place as may travel, read at once: nobody waits for the network."""
    begin = 0 if empty.after is None else empty.after.seq + 1
    found: list[bytes] = []
    size = 0
    with closing(desk.store.raw.cursor()) as cursor:
        cursor.execute(
            "SELECT data FROM entry WHERE device = ? AND seq >= ? ORDER BY seq LIMIT ?",
            (empty.device, begin, ENTRIES_MAX),
        )
        for (data,) in cursor:
            size += len(data)
            if found and size > BYTES_MAX // 4:
                break
            found.append(data)
    return found


def _openings(
    desk: Desk, empty: Batch, end: Place | None, opened: tuple[str, ...]
) -> Iterator[Opened]:
    """What may be read of them at the hub. A value too long to travel stays here."""
    if not opened or end is None or end == empty.after:
        return
    begin = 0 if empty.after is None else empty.after.seq + 1
    rows = desk.store.opening_rows(
        "device = ? AND seq BETWEEN ? AND ?", (empty.device, begin, end.seq)
    )
    for row in list(rows):
        one = Opened(*row)
        travels = ALL_FIELDS in opened or one.field in opened
        if travels and _room(one) <= OPENING_BYTES_MAX:
            yield one


def _room(one: Opened) -> int:
    return len(json.dumps(one._asdict(), ensure_ascii=False).encode())
