"""A bundle of a million entries checked, and what a head, a proof and a signature cost apart."""

import hashlib
import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from statistics import median

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from exports.bundle import Part, write_bundle
from exports.verify import (
    Outside,
    ed25519_holds,
    root_of_inclusion,
    roots_of_consistency,
    verify,
)
from tests.benchmarks.measure import Figure, by_turns, run_python, seconds
from tests.builders import bulk_store
from triplog.journal.checkpoint import Checkpoint, key_text, signed
from triplog.journal.store import Store
from triplog.journal.stored_tree import StoredTree
from triplog.journal.tree import leaf_hash

MANY, FEWER, FEW = 1_000_000, 100_000, 1_000
TURNS = 3
"""Of a million entries: more would take longer than all the rest."""
CALLS = 40
"""A proof among a million entries has twenty hashes; twice as many SHA-256 calls are its floor."""
REPEATS = 500
HEADS = 50
LINES_A_SIGNATURE = 5_000
SECRET = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))
PUBLIC = SECRET.public_key().public_bytes_raw()
MADE_AT = "2026-05-04T18:00:00.000Z"
MEASURED = """
import sys
from pathlib import Path
from exports.verify import main
assert main([sys.argv[1], "--public-key", sys.argv[2]]) == 0
print(int(Path("/proc/self/status").read_text().split("VmHWM:")[1].split()[0]) * 1024)
"""


def figures(place: Path) -> list[Figure]:
    """The whole check at a million entries, its memory, and what is met once for each proof."""
    many = bulk_store(place / "many" / "triplog.sqlite3", MANY)
    few = bulk_store(place / "few" / "triplog.sqlite3", FEW)
    tree, few_tree = _grown(many), _grown(few)
    bundle = _bundle(place / "bundle", many, tree, MANY)
    fewer = _bundle(place / "fewer", many, tree, FEWER)
    key = key_text(f"triplog-log/{many.device}", PUBLIC)
    found = [
        _checked(bundle, key),
        _memory(bundle, fewer, key),
        by_turns(
            f"checkpoint after {MANY:,} entries, to {FEW:,}",
            lambda: [_head(tree) for _ in range(HEADS)],
            lambda: [_head(few_tree) for _ in range(HEADS)],
            limit=2,
        ),
        *_proofs(many, tree),
        _signature(bundle),
    ]
    for store in (many, few):
        store.close()
    for name in ("many", "few", "bundle", "fewer"):
        shutil.rmtree(place / name)
    return found


def _grown(store: Store) -> StoredTree:
    tree = StoredTree(store, store.device)
    store.raw.execute("BEGIN IMMEDIATE")
    tree.grow()
    store.raw.execute("COMMIT")
    return tree


def _head(tree: StoredTree) -> str:
    """A head as a command makes one: the tree takes in what is new, and the key signs."""
    tree.grow()
    head = tree.checkpoint()
    return _note(head)


def _note(head: Checkpoint) -> str:
    return signed(head, head.origin, PUBLIC, SECRET.sign(head.text.encode())).text


def _bundle(folder: Path, store: Store, tree: StoredTree, count: int) -> Path:
    """A store bundle of the first `count` entries, with one checkpoint over them."""
    query = "SELECT data FROM entry WHERE seq < ? ORDER BY seq"
    last = store.raw.execute("SELECT hash FROM entry WHERE seq = ?", (count - 1,)).fetchone()[0]
    head = {"seq": count - 1, "hash": last, "entries": count}
    card: dict[str, object] = {
        "format": "triplog-bundle/1",
        "scope": "store",
        "trip": None,
        "heads": {store.device: head},
        "beside": [],
        "made_at": MADE_AT,
        "invented": False,
    }

    def lines() -> Iterator[bytes]:
        for (data,) in store.raw.execute(query, (count,)):
            yield data + b"\n"

    parts = [
        Part(path="entries.jsonl", data=lines()),
        Part(path="bundle.json", data=json.dumps(card).encode()),
        Part(path="checkpoint.txt", data=_note(tree.checkpoint(count)).encode()),
    ]
    write_bundle(folder, parts, {}, MADE_AT, as_zip=False)
    return folder


def _checked(bundle: Path, key: str) -> Figure:
    """The whole check against reading and hashing each line; every line is written again in it."""

    def ours() -> None:
        report = verify(bundle, Outside(keys=(key,)))
        assert report.matches
        assert report.counts["entries"] == MANY
        assert report.counts["signatures"] == 1

    taken = [(seconds(lambda: _bare(bundle, MANY)), seconds(ours)) for _ in range(TURNS)]
    return Figure(
        name=f"bundle of {MANY:,} entries checked, strictly",
        ours=median(one for _, one in taken) * 1000,
        floor=median(bare for bare, _ in taken) * 1000,
        unit="ms",
        limit=2,
    )


def _bare(bundle: Path, count: int) -> None:
    with (bundle / "data" / "entries.jsonl").open("rb") as lines:
        for _, line in zip(range(count), lines, strict=False):
            json.loads(line)
            hashlib.sha256(line).digest()


def _memory(bundle: Path, fewer: Path, key: str) -> Figure:
    """The most memory a process ever held, at a million entries over that at a tenth."""
    peak, less = (
        int(run_python(["-c", MEASURED, str(each), key]).split()[-1]) / (1 << 20)
        for each in (bundle, fewer)
    )
    return Figure(
        name=f"memory of the check, {MANY:,} entries to {FEWER:,}",
        ours=peak,
        floor=less,
        unit="MiB",
        limit=1.2,
    )


def _proofs(store: Store, tree: StoredTree) -> list[Figure]:
    """One proof of each sort against so many bare calls of SHA-256."""
    seq, old = 654_321, 777_777
    inclusion, consistency = tree.inclusion(seq, MANY), tree.consistency(old, MANY)
    root, old_root = tree.checkpoint(MANY).root, tree.checkpoint(old).root
    query = "SELECT data FROM entry WHERE seq = ?"
    leaf = leaf_hash(store.raw.execute(query, (seq,)).fetchone()[0])

    def included() -> None:
        for _ in range(REPEATS):
            assert root_of_inclusion(seq, MANY, leaf, inclusion) == root

    def consistent() -> None:
        for _ in range(REPEATS):
            assert roots_of_consistency(old, MANY, old_root, consistency) == (old_root, root)

    return [
        by_turns(f"{name} proof checked, to {CALLS} SHA-256 calls", act, _hashes, limit=5)
        for name, act in (("inclusion", included), ("consistency", consistent))
    ]


def _hashes() -> None:
    data = bytes(65)
    for _ in range(REPEATS * CALLS):
        hashlib.sha256(data).digest()


def _signature(bundle: Path) -> Figure:
    """One signature against so many entries read and hashed."""
    text = b"as long as a checkpoint is, about ninety bytes of text with a root and a size in it"
    raw = SECRET.sign(text)

    def ours() -> None:
        assert ed25519_holds(PUBLIC, text, raw)

    return by_turns(
        f"a signature checked, to {LINES_A_SIGNATURE:,} entries read",
        ours,
        lambda: _bare(bundle, LINES_A_SIGNATURE),
        limit=1,
    )
