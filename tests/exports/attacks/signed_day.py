"""An invented day of one device, with a key, signed heads and proofs, as often as wanted.

Two days made with other arguments are two histories of one device: that is what a forger makes who
has the machine. The keys are invented: 32 times one byte.
"""

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from tests.journal.test_tree import lookup_over
from tests.specimens import builder
from tests.specimens.builder import TRIP, Log, canonical, entry_hash
from triplog.journal.checkpoint import Checkpoint, Signed, key_text, log_name, signed
from triplog.journal.tree import consistency_proof, inclusion_proof, root

DEVICE = "dev-1"
KEY = Ed25519PrivateKey.from_private_bytes(b"\x01" * 32)
OTHER_KEY = Ed25519PrivateKey.from_private_bytes(b"\x02" * 32)
# Entries of the day that are signed heads: over the entries before them.
AT_DEPARTURE, AT_CHECK = 5, 9
ENTRIES = 12


def public(key: Ed25519PrivateKey, device: str = DEVICE) -> str:
    """The public key as a log records it."""
    return key_text(log_name(device), key.public_key().public_bytes_raw())


def leaves(log: Log) -> list[bytes]:
    """The stored bytes of each entry."""
    return [canonical(entry) for entry in log.entries]


def head(log: Log, size: int | None = None, key: Ed25519PrivateKey = KEY) -> Signed:
    """The signed head over the first entries; over all if nothing is said."""
    size = len(log.entries) if size is None else size
    made = Checkpoint(
        origin=log_name(DEVICE), size=size, root=root(size, lookup_over(leaves(log)[:size]))
    )
    raw_public = key.public_key().public_bytes_raw()
    return signed(made, log_name(DEVICE), raw_public, key.sign(made.text.encode()))


def signed_day(
    *,
    driver: str = "driver",
    plan: str = "27'",
    odometer: str = "120,345 mi",
    later: str = "120,395 mi",
    key: Ed25519PrivateKey = KEY,
    recorded: Ed25519PrivateKey | None = KEY,
    notes: Sequence[str] = (),
) -> Log:
    """The day. `recorded` is the key it names (None: none); `notes` go in instead of new heads."""
    log = Log()
    log.add("person_added", trip=None, private={"name": driver})
    why = {} if recorded is None else {"key": public(recorded), "why": "set up"}
    log.add("gear_added" if recorded is None else "key_recorded", trip=None, body=why)
    log.add("trip_opened", private={"place": "the yard", "note": "rain"})
    log.add("plan_recorded", body={"plan": {"length": plan}})
    log.add("departed", body={"odometer": odometer})
    _sign(log, key, recorded, notes[:1])
    log.add("odometer_read", body={"odometer": later})
    log.add("gear_set_aside", trip=None, body={"label": "S-9"})
    last = log.add("check_completed", private={"place": "the lay-by", "note": "one notch"})
    _sign(log, key, recorded, notes[1:2])
    log.add("trip_closed", body={"trip_heads": {DEVICE: last}})
    log.add("exported")
    assert len(log.entries) == ENTRIES
    return log


def _sign(
    log: Log, key: Ed25519PrivateKey, recorded: Ed25519PrivateKey | None, note: Sequence[str]
) -> None:
    if recorded is None:
        log.add("odometer_read")
    else:
        text = note[0] if note else head(log, key=key).text
        log.add("checkpoint_signed", body={"signed_note": text})


def beside(log: Log) -> list[str]:
    return [entry_hash(entry) for entry in log.entries if entry["trip"] is None]


def proofs(log: Log, size: int | None = None, left_out: Iterable[int] = ()) -> bytes:
    """What leads from each entry, and from each earlier head, to the head over `size` entries."""
    size = len(log.entries) if size is None else size
    lookup = lookup_over(leaves(log)[:size])
    kept = [seq for seq in range(size) if seq not in set(left_out)]
    told = [
        {"device": DEVICE, "seq": seq, "hashes": _hex(inclusion_proof(seq, size, lookup))}
        for seq in kept
    ] + [
        {"device": DEVICE, "old": old, "hashes": _hex(consistency_proof(old, size, lookup))}
        for old in (AT_DEPARTURE, AT_CHECK)
        if old <= size
    ]
    return b"".join(canonical(each) + b"\n" for each in told)


def _hex(hashes: Iterable[bytes]) -> list[str]:
    return [each.hex() for each in hashes]


def bag(
    target: Path,
    log: Log,
    *,
    trip: bool = False,
    note: str | None = None,
    more: Mapping[str, bytes] | None = None,
) -> Path:
    """The day as a bundle, with the signed head `note`, or one over all that is there."""
    whole = {
        "checkpoint.txt": (note or head(log).text).encode(),
        "proofs.jsonl": proofs(log) if trip else b"",
    }
    kept = {name: data for name, data in {**whole, **(more or {})}.items() if data}
    if not trip:
        return builder.bag(target, log.lines(), log.card(), log.openings, kept)
    others = beside(log)
    return builder.bag(target, log.lines(TRIP, others), log.card(TRIP, others), log.openings, kept)


def held(folder: Path, signed_head: Signed) -> tuple[str, str]:
    """The arguments of somebody who kept a signed head as a file."""
    path = folder / f"kept-{signed_head.checkpoint.size}.txt"
    path.write_text(signed_head.text)
    return ("--checkpoint", str(path))
