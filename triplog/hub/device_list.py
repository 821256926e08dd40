"""The devices of a carrier as a list: what has arrived of each, and what is odd about it."""

from triplog.hub.carriers import Carrier
from triplog.hub.database import Database
from triplog.hub.office.devices import Device, devices_of, odd_text
from triplog.journal.entries import Clock


def device_rows(database: Database, carrier: Carrier, clock: Clock) -> list[dict[str, object]]:
    """One row for each device that is or was paired, by label."""
    now = clock.read().wall
    with database.work("office", carrier.id) as connection:
        found = devices_of(connection, carrier)

    def row(one: Device) -> dict[str, object]:
        odd = [odd_text(one, each, now, str) for each in one.odd(now)]
        seen = one.seen_at
        return {
            "label": one.label,
            "device": one.id,
            "for": "office" if one.is_office else "cab",
            "up_to_entry": "" if one.seq is None else one.seq,
            "heard_min_ago": "" if seen is None else int((now - seen).total_seconds() // 60),
            "odd": " ".join(["Not paired any more."] * (one.unpaired_at is not None) + odd),
        }

    return [row(one) for one in found]
