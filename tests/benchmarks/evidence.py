"""The checker on a million entries, and heads and proofs over as many.

The floor of the checker is a loop that parses each line and hashes it: nobody checks a log with
less. An entry here has 840 bytes, as the middle one of the demo's day has.
"""

import hashlib
import json
import random
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from exports import verify as checker
from exports.bundle import Part, write_bundle
from exports.verify import canonical_bytes, root_of_inclusion, roots_of_consistency, verify
from tests.benchmarks.measure import Figure, by_turns, run_python
from tests.builders import START, bulk_store
from triplog.journal import tree
from triplog.journal.checkpoint import Checkpoint, key_text, log_name, signed
from triplog.journal.entries import time_text
from triplog.journal.stored_tree import StoredTree

MANY, FEWER = 1_000_000, 1_000
HASHES = 40
MIB = 1024 * 1024
MEMORY_LIMIT_MIB = 60
DEVICE = "k7"
MEASURED_CHECK = """
import sys
from exports.verify import verify
assert verify(sys.argv[1]).matches
status = open("/proc/self/status").read()
print(int(status.split("VmHWM:")[1].split()[0]) * 1024)
"""


def figures(place: Path) -> list[Figure]:
    """The whole check, a head after many entries, and what a single proof costs."""
    bag = bulk_bundle(place / "bundle", MANY)
    lines = bag / "data/entries.jsonl"

    def bare() -> None:
        with lines.open("rb") as source:
            for line in source:
                json.loads(line)
                hashlib.sha256(line).hexdigest()

    return [
        by_turns(f"{MANY:,} entries checked, each written again", _checked(bag), bare, limit=4),
        _memory(bag),
        _head_after_many(place),
        *_proofs(),
    ]


def _checked(bag: Path) -> Callable[[], None]:
    def act() -> None:
        report = verify(bag)
        assert report.matches, report.problems
        assert report.counts["signatures"] == 1

    return act


def _memory(bag: Path) -> Figure:
    """The checker's peak memory over a million entries."""
    peak = int(run_python(["-c", MEASURED_CHECK, str(bag)]))
    return Figure(
        name=f"memory of checking {MANY:,} entries",
        ours=peak / MIB,
        floor=1.0,
        unit="MiB",
        limit=MEMORY_LIMIT_MIB,
    )


def _head_after_many(place: Path) -> Figure:
    """A head over ten new entries, the tree below them kept, after many and after a few."""

    def signing(count: int) -> Callable[[], None]:
        store = bulk_store(place / str(count) / "triplog.sqlite3", count)
        store.raw.execute("BEGIN IMMEDIATE")
        StoredTree(store, store.device).grow()

        def act() -> None:
            for size in range(count - 10, count):
                StoredTree(store, store.device).checkpoint(size)

        return act

    return by_turns(
        f"10 heads after {MANY:,} entries, to {FEWER:,}", signing(MANY), signing(FEWER), limit=2
    )


def _proofs() -> list[Figure]:
    """One proof checked over a million entries, against so many bare hashes; a signature beside."""
    chance = random.Random(6962)
    made: dict[tuple[int, int], bytes] = {}

    def lookup(level: int, index: int) -> bytes:
        return made.setdefault((level, index), chance.randbytes(32))

    last = MANY - 1
    inclusion = tree.inclusion_proof(last // 3, MANY, lookup)
    leaf = lookup(0, last // 3)
    old = MANY // 3
    consistency = tree.consistency_proof(old, MANY, lookup)
    node = bytes(65)
    key = Ed25519PrivateKey.from_private_bytes(chance.randbytes(32))
    public, signature = key.public_key().public_bytes_raw(), key.sign(node)

    def hashes() -> None:
        for _ in range(100 * HASHES):
            hashlib.sha256(node).digest()

    def many(act: Callable[[], object], times: int = 100) -> Callable[[], None]:
        def acts() -> None:
            for _ in range(times):
                act()

        return acts

    checks: dict[str, tuple[Callable[[], None], float]] = {
        "100 inclusion proofs": (
            many(lambda: root_of_inclusion(last // 3, MANY, leaf, inclusion)), 5
        ),
        "100 consistency proofs": (
            many(lambda: roots_of_consistency(old, MANY, leaf, consistency)), 5
        ),
        "1 signature": (many(lambda: checker.ed25519_holds(public, node, signature), 1), 5),
    }  # fmt: skip
    return [
        by_turns(f"{name}, to 100 x {HASHES} hashes", act, hashes, limit=limit)
        for name, (act, limit) in checks.items()
    ]


def bulk_bundle(target: Path, count: int) -> Path:
    """A store bundle of so many entries of one device, its head signed."""
    key = Ed25519PrivateKey.from_private_bytes(bytes(32))
    public = key.public_key().public_bytes_raw()
    name = log_name(DEVICE)
    over, last = checker.Tree(), ""

    def lines() -> Iterator[bytes]:
        nonlocal last
        for data in _entries(count, key_text(name, public)):
            over.add(hashlib.sha256(b"\x00" + data).digest())
            last = hashlib.sha256(data).hexdigest()
            yield data + b"\n"

    def card() -> Iterator[bytes]:
        head = {"seq": count - 1, "hash": last, "entries": count}
        yield canonical_bytes(
            {
                "format": checker.BUNDLE_FORMAT,
                "scope": "store",
                "trip": None,
                "made_at": _made_at(count),
                "withheld": {"note": count},
                "heads": {DEVICE: head},
                "beside": [],
                "invented": True,
            }
        )

    def note() -> Iterator[bytes]:
        head = Checkpoint(origin=name, size=count, root=over.root())
        yield signed(head, name, public, key.sign(head.text.encode())).text.encode()

    parts = [
        Part(path="entries.jsonl", data=lines()),
        Part(path="bundle.json", data=card()),
        Part(path="checkpoint.txt", data=note()),
    ]
    write_bundle(target, parts, {"External-Description": "invented"}, _made_at(count), as_zip=False)
    return target


def _kind(seq: int, count: int) -> str:
    """The first is the key, the last the one about the bundle."""
    ends = {0: "key_recorded", count - 1: "exported"}
    return ends.get(seq, "check_completed")


def _made_at(count: int) -> str:
    return time_text(START + timedelta(seconds=count - 1))


def _entries(count: int, key: str) -> Iterator[bytes]:
    """A log of checks, two hundred a trip."""
    prev: str | None = None
    of_trip: str | None = None
    lines = [{"tie_down": f"T{number}", "found": "fine"} for number in range(1, 6)]
    for seq in range(count):
        if seq % 200 == 0:
            of_trip = None
        body: dict[str, object] = {
            "closes": [],
            "lines": lines,
            "looks": [],
            "odometer": f"{24_000 + seq} mi",
        }
        if seq == count - 1:
            body |= {"withheld": {"note": count}}
        moment = time_text(START + timedelta(seconds=seq))
        data = canonical_bytes(
            {"body": {"key": key, "why": "set up"} if seq == 0 else body, "by": "p1",
             "clock": {"boot_id": "first start", "boot_ms": 60_000 + 1000 * seq, "source": "demo"},
             "device": DEVICE, "entry_time": moment, "event_offset_min": -300,
             "event_time": moment, "follows": None, "idem": f"bulk-{seq:09}",
             "kind": _kind(seq, count), "prev": prev,
             "private": {"note": hashlib.sha256(b"%d" % seq).hexdigest()}, "seq": seq,
             "trip": f"bulk{seq // 200:012}" if seq else None, "trip_prev": of_trip, "v": 1,
             "via": "typed"}
        )  # fmt: skip
        prev = hashlib.sha256(data).hexdigest()
        of_trip = prev if seq else None
        yield data
