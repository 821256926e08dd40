"""The devices of a carrier as the office sees them: what has arrived of each, and what is odd."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from triplog.hub.carriers import Carrier
from triplog.hub.database import Open
from triplog.wording.due import Say

ODD_CLOCK_MS = 120_000
SILENT = timedelta(hours=24)
"""Our own figures: a clock two minutes off, and a day without a word, are put on the list."""


class Odd(StrEnum):
    """What is odd about a device, the gravest first; and what workers could not do."""

    FORKED = "device with another history"
    AHEAD = "device that has more from the office than the hub"
    BEHIND = "device that is an old copy"
    UNTOLD = "message that nobody took"
    CLOCK = "device whose clock differs"
    SILENT = "device not heard of"
    PUT_ASIDE = "set aside: no list can be made of it"


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A device; `seq` the last entry that arrived, None: none; `pending`: the office's entries
    that it has not taken in yet. `is_ahead`: it has some that are not here.
    """

    id: str
    label: str
    is_office: bool
    seq: int | None
    paired_at: datetime
    unpaired_at: datetime | None
    seen_at: datetime | None
    clock_ahead_ms: int | None
    is_behind: bool
    is_forked: bool
    pending: int
    is_ahead: bool

    def odd(self, now: datetime) -> list[Odd]:
        """What is odd about it; nothing of one that is not paired any more but another history."""
        found = [Odd.FORKED] if self.is_forked else []
        if self.unpaired_at is not None:
            return found
        if self.is_ahead:
            found.append(Odd.AHEAD)
        if self.is_behind:
            found.append(Odd.BEHIND)
        if self.clock_ahead_ms is not None and abs(self.clock_ahead_ms) > ODD_CLOCK_MS:
            found.append(Odd.CLOCK)
        if now - (self.seen_at or self.paired_at) > SILENT:
            found.append(Odd.SILENT)
        return found


def devices_of(connection: Open, carrier: Carrier) -> list[Device]:
    """Every device that is or was paired, by label."""
    rows = connection.execute(
        "SELECT device.id, device.label, is_office, chain.seq, paired_at, unpaired_at, seen_at,"
        " clock_ahead_ms, is_behind, EXISTS (SELECT FROM fork_evidence AS f"
        " WHERE f.carrier = device.carrier AND f.device = device.id),"
        " CASE WHEN unpaired_at IS NULL THEN (SELECT sum(o.seq - coalesce(contact.seq, -1))"
        " FROM chain AS o LEFT JOIN device AS od ON od.id = o.device LEFT JOIN contact"
        " ON contact.chain = o.device AND contact.device = device.id"
        " WHERE o.device <> device.id AND (o.device = ANY(%s) OR od.is_office)) ELSE 0 END,"
        " EXISTS (SELECT FROM contact WHERE contact.device = device.id AND contact.chain = %s"
        " AND contact.is_other)"
        " FROM device LEFT JOIN chain ON chain.device = device.id ORDER BY label, device.id",
        (list(carrier.offices), carrier.office),
    )
    return [
        Device(
            id=row[0],
            label=row[1],
            is_office=row[2],
            seq=None if row[3] is None or row[3] < 0 else row[3],
            paired_at=row[4],
            unpaired_at=row[5],
            seen_at=row[6],
            clock_ahead_ms=row[7],
            is_behind=row[8],
            is_forked=row[9],
            pending=int(row[10] or 0),
            is_ahead=row[11],
        )
        for row in rows
    ]


def odd_text(one: Device, odd: Odd, now: datetime, say: Say) -> str:
    """What is odd, in a sentence that says what to do."""
    match odd:
        case Odd.AHEAD:
            return say(
                "Was a back-up of the hub put back? Until whoever runs it types"
                " triplog hub put-back, holds placed here may reach no truck."
            )
        case Odd.FORKED:
            return say("A copy of it went its own way; what that wrote is kept. Ask who has it.")
        case Odd.BEHIND:
            return say("It has lost entries that are here. Restore it, and pair it anew.")
        case Odd.CLOCK:
            minutes = abs(one.clock_ahead_ms or 0) // 60_000
            ahead = (one.clock_ahead_ms or 0) > 0
            told = (
                say("Its clock is {minutes} min ahead of the hub's.")
                if ahead
                else say("Its clock is {minutes} min behind the hub's.")
            )
            return told.format(minutes=minutes)
        case _:
            hours = int((now - (one.seen_at or one.paired_at)).total_seconds() // 3600)
            return say("Not heard of for {hours} h.").format(hours=hours)
