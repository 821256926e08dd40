"""The devices of a carrier as a list: what has arrived of each, and what is odd about it."""

from triplog.hub.carriers import Carrier
from triplog.hub.database import Database
from triplog.journal.entries import Clock

_ODD_CLOCK_MS = 120_000


def device_rows(database: Database, carrier: Carrier, clock: Clock) -> list[dict[str, object]]:
    """One row for each device that is or was paired, by label."""
    now = clock.read().wall
    with database.work("office", carrier.id) as connection:
        rows = connection.execute(
            "SELECT device.id, device.label, is_office, seq, seen_at, clock_ahead_ms,"
            " unpaired_at IS NOT NULL, is_behind, EXISTS (SELECT FROM fork_evidence AS f"
            " WHERE f.device = device.id)"
            " FROM device LEFT JOIN chain ON chain.device = device.id ORDER BY label, device.id"
        ).fetchall()
    return [
        {
            "label": label,
            "device": device,
            "for": "office" if is_office else "cab",
            "up_to_entry": seq if seq is not None and seq >= 0 else "",
            "heard_min_ago": "" if seen_at is None else int((now - seen_at).total_seconds() // 60),
            "odd": "; ".join(_odd(ahead_ms, *odd)),
        }
        for device, label, is_office, seq, seen_at, ahead_ms, *odd in rows
    ]


def _odd(ahead_ms: int | None, is_unpaired: bool, is_behind: bool, is_forked: bool) -> list[str]:
    found = []
    if is_unpaired:
        found.append("not paired any more")
    if is_forked:
        found.append("tells another history too: a copy of it went its own way")
    if is_behind:
        found.append("an old copy: it has lost entries that are here")
    if ahead_ms is not None and abs(ahead_ms) > _ODD_CLOCK_MS:
        minutes = abs(ahead_ms) // 60_000
        found.append(f"its clock is {minutes} min {'ahead' if ahead_ms > 0 else 'behind'}")
    return found
