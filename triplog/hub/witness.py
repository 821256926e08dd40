"""What the hub says of what it received: an entry in the carrier's own log, and a signature."""

from collections.abc import Sequence

from triplog.hub import own_log
from triplog.hub.carriers import Carrier
from triplog.hub.chain import Chain
from triplog.hub.database import Open
from triplog.journal.checkpoint import Signed
from triplog.journal.cosignature import cosignature
from triplog.journal.device_key import DeviceKey
from triplog.journal.entries import ClockReading, Entry


def bear_witness(
    connection: Open,
    carrier: Carrier,
    chain: Chain,
    new: Sequence[Entry],
    sender: str,
    ahead_ms: int,
    key: DeviceKey,
    reading: ClockReading,
) -> str | None:
    """Say in the carrier's own log what was received; the last signed head with our signature."""
    if all(one.kind == "countersignature_taken" for one in new) or chain.head is None:
        return None
    note = None
    if chain.signed is not None:
        note = _countersigned(chain.signed, key, int(reading.wall.timestamp()))
    body: dict[str, object] = {
        "of": chain.device,
        "seq": chain.head.seq,
        "hash": chain.head.hash,
        "new": len(new),
        "brought_by": sender,
        "clock_ahead_ms": ahead_ms,
    }
    if note is not None:
        body["signed_note"] = note
    if chain.key_changed:
        body["key_changed"] = True
    draft = own_log.by_itself("head_received", body)
    told = own_log.as_told(reading, carrier.invented)
    own_log.append(connection, carrier.id, carrier.witness, draft, told)
    return note


def _countersigned(found: Signed, key: DeviceKey, at_s: int) -> str:
    """The head with the hub's plain signature, and the one that holds its time."""
    public = key.private.public_key().public_bytes_raw()
    plain = key.sign(found.checkpoint).signatures
    timed = cosignature(found, key.name, public, at_s, key.private.sign)
    both = Signed(checkpoint=found.checkpoint, signatures=(*found.signatures, *plain, timed))
    return both.text
