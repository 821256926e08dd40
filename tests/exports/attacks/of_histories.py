"""The log written otherwise, by people who have less or more of what it was written with."""

from functools import partial
from pathlib import Path

from tests.exports.attacks.attack import REWRITTEN, Attack, Made
from tests.exports.attacks.signed_day import (
    AT_CHECK,
    AT_DEPARTURE,
    DEVICE,
    ENTRIES,
    KEY,
    OTHER_KEY,
    bag,
    beside,
    head,
    held,
    leaves,
    proofs,
    public,
    signed_day,
)
from tests.journal.test_tree import lookup_over
from tests.specimens import builder
from tests.specimens.builder import TRIP, Log, canonical, entry_hash
from triplog.journal.checkpoint import Checkpoint, log_name, signed
from triplog.journal.tree import inclusion_proof, root

_DIFFERS = frozenset({"outside-head-differs"})
_MISSING = frozenset({"outside-head-missing"})
_CUT = frozenset({"tail-cut"})
_UNCONNECTED = frozenset({"outside-head-unconnected"})
_FITS = frozenset[str]()


def _notes(log: Log) -> list[str]:
    return [
        entry["body"]["signed_note"]
        for entry in log.entries
        if entry["kind"] == "checkpoint_signed"
    ]


def _written_otherwise(home: Path, lines: list[bytes], *, trip: bool) -> Path:
    """The day's bundle with other lines, and nothing else put right but the lists of files."""
    day = signed_day()
    others = beside(day)
    card = day.card(TRIP, others) if trip else day.card()
    more = {"checkpoint.txt": head(day).text.encode()}
    if trip:
        more["proofs.jsonl"] = proofs(day)
    return builder.bag(home / "bundle", lines, card, day.openings, more)


def _lines(*, trip: bool) -> list[bytes]:
    day = signed_day()
    return day.lines(TRIP, beside(day)) if trip else day.lines()


def entry_edited(home: Path, *, trip: bool) -> Attack:
    lines = [line.replace(b"120,345 mi", b"120,245 mi") for line in _lines(trip=trip)]
    return Attack(
        path=_written_otherwise(home, lines, trip=trip),
        alone=frozenset({"entry-altered", "proof-wrong" if trip else "checkpoint-differs"}),
    )


def entry_deleted(home: Path, *, trip: bool) -> Attack:
    lines = [line for line in _lines(trip=trip) if b'"odometer_read"' not in line]
    return Attack(
        path=_written_otherwise(home, lines, trip=trip), alone=frozenset({"entry-removed"})
    )


def entry_inserted(home: Path, *, trip: bool) -> Attack:
    lines = _lines(trip=trip)
    lines.insert(7, lines[6].replace(b"120,395 mi", b"120,396 mi"))
    return Attack(
        path=_written_otherwise(home, lines, trip=trip), alone=frozenset({"entry-doubled"})
    )


def entries_in_another_order(home: Path, *, trip: bool) -> Attack:
    lines = _lines(trip=trip)
    lines[3], lines[4] = lines[4], lines[3]
    return Attack(
        path=_written_otherwise(home, lines, trip=trip), alone=frozenset({"entries-reordered"})
    )


def tail_cut_below_the_signed_head(home: Path, *, trip: bool) -> Attack:
    """bundle.json is put right; the signed head, without the key, cannot be."""
    day = signed_day()
    note, all_proofs = head(day).text, proofs(day)
    del day.entries[AT_CHECK - 1 :]
    day.openings = [
        one for one in day.openings if one["entry"] in {entry_hash(e) for e in day.entries}
    ]
    return Attack(
        path=bag(
            home / "bundle",
            day,
            trip=trip,
            note=note,
            more={"proofs.jsonl": all_proofs if trip else b""},
        ),
        alone=frozenset({"proof-wrong" if trip else "tail-cut"}),
    )


def trip_tail_cut_and_everything_about_it_put_right(home: Path) -> Attack:
    """Of the trip's last entries nothing is left but that the bundle's own entry is not there."""
    day = signed_day()
    note, kept_proofs = head(day).text, proofs(day, left_out=range(AT_CHECK - 1, ENTRIES))
    last = entry_hash(day.entries[-1])
    del day.entries[AT_CHECK - 1 :]
    day.openings = [
        one for one in day.openings if one["entry"] in {entry_hash(e) for e in day.entries}
    ]
    return Attack(
        path=bag(home / "bundle", day, trip=True, note=note, more={"proofs.jsonl": kept_proofs}),
        alone=frozenset({"export-missing"}),
        outside={("--trip-head", last): _MISSING},
    )


def _held(home: Path, day: Log) -> dict[tuple[str, ...], frozenset[str]]:
    """What somebody may have kept of the true day's last head, in each form, and what it finds."""
    whole = head(day)
    return {
        held(home, whole): _DIFFERS,
        ("--code", whole.checkpoint.code): _MISSING,
        ("--code", head(day, AT_DEPARTURE).checkpoint.code.lower()): _MISSING,
        ("--trip-head", entry_hash(day.entries[-1])): _MISSING,
    }


def _head_of(day: Log, seq: int) -> tuple[str, str]:
    return ("--head", f"{DEVICE}:{seq}:{entry_hash(day.entries[seq])}")


def rewritten_without_the_key(home: Path, *, trip: bool) -> Attack:
    """All links are put right; the signed heads are those of the true day."""
    day = signed_day()
    forged = signed_day(plan="26'", notes=_notes(day))
    return Attack(
        path=bag(home / "bundle", forged, trip=trip, note=head(day).text),
        alone=frozenset({"proof-wrong" if trip else "checkpoint-differs"}),
    )


def rewritten_without_key_or_heads(home: Path, *, trip: bool) -> Attack:
    """A stranger's log that never heard of keys: whole in itself, and another one."""
    day = signed_day()
    forged = signed_day(plan="26'", recorded=None)
    others = beside(forged)
    lines = forged.lines(TRIP, others) if trip else forged.lines()
    card = forged.card(TRIP, others) if trip else forged.card()
    codes = {arguments: _MISSING for arguments in _held(home, day) if "--code" in arguments}
    return Attack(
        path=builder.bag(home / "bundle", lines, card, forged.openings),
        limit=REWRITTEN,
        outside={**codes, _head_of(day, AT_CHECK - 1): _DIFFERS},
    )


def rewritten_and_signed_with_the_device_s_key(home: Path, *, trip: bool) -> Attack:
    """Whoever holds machine and key writes a log in which nothing is wrong."""
    day = signed_day()
    return Attack(
        path=bag(home / "bundle", signed_day(plan="26'"), trip=trip),
        limit=REWRITTEN,
        outside={
            **_held(home, day),
            held(home, head(day, AT_DEPARTURE)): _DIFFERS,
            _head_of(day, AT_DEPARTURE): _DIFFERS,
            ("--public-key", public(KEY)): _FITS,
        },
    )


def rewritten_and_signed_with_another_key(home: Path, *, trip: bool) -> Attack:
    """The log names the forger's key as its own: to it, the true head is signed by nobody."""
    day = signed_day()
    forged = signed_day(plan="26'", key=OTHER_KEY, recorded=OTHER_KEY)
    whole = held(home, head(day))
    return Attack(
        path=bag(home / "bundle", forged, trip=trip, note=head(forged, key=OTHER_KEY).text),
        limit=REWRITTEN,
        outside={
            **_held(home, day),
            whole: _DIFFERS | {"checkpoint-unsigned"},
            _head_of(day, AT_DEPARTURE): _DIFFERS,
            ("--public-key", public(KEY)): frozenset({"outside-key-differs"}),
            ("--public-key", public(OTHER_KEY)): _FITS,
        },
    )


def rewritten_and_signed_with_a_key_the_log_does_not_name(home: Path, *, trip: bool) -> Attack:
    forged = signed_day(plan="26'", key=OTHER_KEY)
    return Attack(
        path=bag(home / "bundle", forged, trip=trip, note=head(forged, key=OTHER_KEY).text),
        alone=frozenset({"checkpoint-unsigned"}),
    )


def tail_cut_and_signed_anew(home: Path) -> Attack:
    day = signed_day()
    cut = signed_day()
    del cut.entries[AT_CHECK - 1 :]
    cut.openings = cut.openings[:3]
    cut.add("exported")
    return Attack(
        path=bag(home / "bundle", cut),
        limit=REWRITTEN,
        outside={
            held(home, head(day)): _CUT | _UNCONNECTED,
            held(home, head(day, AT_DEPARTURE)): _FITS,
            _head_of(day, AT_CHECK): _CUT,
            ("--code", head(day).checkpoint.code): _MISSING,
        },
    )


def forked_before_a_witnessed_head(home: Path, *, trip: bool) -> Attack:
    """evidence.md 5: the consistency proof fails."""
    return Attack(
        path=bag(home / "bundle", signed_day(plan="26'"), trip=trip),
        limit=REWRITTEN,
        outside={held(home, head(signed_day(), AT_DEPARTURE)): _DIFFERS},
    )


def forked_after_a_witnessed_head(home: Path, *, trip: bool) -> Attack:
    """evidence.md 5: against that head it passes; only a later one shows the fork."""
    day = signed_day()
    return Attack(
        path=bag(home / "bundle", signed_day(later="120,999 mi"), trip=trip),
        limit=REWRITTEN,
        outside={
            held(home, head(day, AT_DEPARTURE)): _FITS,
            ("--code", head(day, AT_DEPARTURE).checkpoint.code): _FITS,
            held(home, head(day, AT_CHECK)): _DIFFERS,
            held(home, head(day)): _DIFFERS,
        },
    )


def old_copy_restored_and_gone_on_with(home: Path, *, trip: bool) -> Attack:
    """The copy of before the check goes on as the same device: shorter than what was witnessed."""
    day, copy = signed_day(), signed_day()
    del copy.entries[AT_CHECK - 1 :]
    copy.openings = copy.openings[:3]
    copy.add("trip_closed", body={"odometer": "120,400 mi"})
    copy.add("exported")
    shorter = _CUT | _UNCONNECTED if not trip else _UNCONNECTED
    return Attack(
        path=bag(home / "bundle", copy, trip=trip),
        limit=REWRITTEN,
        outside={
            held(home, head(day)): shorter,
            ("--code", head(day).checkpoint.code): _MISSING,
            ("--trip-head", entry_hash(day.entries[AT_CHECK - 1])): _MISSING,
        },
    )


def cloned_device(home: Path, *, trip: bool) -> Attack:
    """Two machines write as one device: two heads of one size. Each bundle beside the other's."""
    other = bag(home / "other", signed_day(later="120,999 mi"), trip=trip)
    return Attack(
        path=bag(home / "bundle", signed_day(), trip=trip),
        limit=REWRITTEN,
        outside={
            ("--checkpoint", str(home / "bundle/data/checkpoint.txt")): _FITS,
            ("--checkpoint", str(other / "data/checkpoint.txt")): _DIFFERS,
        },
    )


def entries_put_in_behind_the_signed_head(home: Path, *, trip: bool) -> Attack:
    """Without the key: nothing can stand behind the head that goes with the bundle."""
    day = signed_day()
    note, all_proofs = head(day).text, proofs(day)
    last = _head_of(day, ENTRIES - 1)
    day.add("odometer_read", body={"odometer": "130,000 mi"})
    more = {"proofs.jsonl": all_proofs if trip else b""}
    return Attack(
        path=bag(home / "bundle", day, trip=trip, note=note, more=more),
        alone=frozenset({"after-the-head"}),
        outside={last: _FITS},
    )


def checkpoint_of_an_invented_device(home: Path) -> Attack:
    """A forged trip keeps the true signed heads in its entries; another device, invented for that,
    signs the bundle. A head that is only written down says nothing, whoever holds its code.
    """
    day = signed_day()
    forged = signed_day(plan="26'", notes=_notes(day))
    forged.add("key_recorded", device=_INVENTED, trip=None, body={"key": _key_of_the_invented()})
    reached = entry_hash(forged.entries[ENTRIES - 1])
    forged.add("exported", device=_INVENTED, body={"trip_heads": {DEVICE: reached}})
    of_it = [one for one in leaves(forged) if f'"device":"{_INVENTED}"'.encode() in one]
    lookup = lookup_over(of_it)
    made = Checkpoint(origin=log_name(_INVENTED), size=2, root=root(2, lookup))
    raw = OTHER_KEY.public_key().public_bytes_raw()
    note = signed(made, log_name(_INVENTED), raw, OTHER_KEY.sign(made.text.encode()))
    led = b"".join(
        canonical(
            {
                "device": _INVENTED,
                "seq": seq,
                "hashes": [one.hex() for one in inclusion_proof(seq, 2, lookup)],
            }
        )
        + b"\n"
        for seq in range(2)
    )
    return Attack(
        path=bag(home / "bundle", forged, trip=True, note=note.text, more={"proofs.jsonl": led}),
        limit=REWRITTEN,
        outside={
            ("--code", head(day, AT_DEPARTURE).checkpoint.code): _UNCONNECTED,
            held(home, head(day, AT_CHECK)): _UNCONNECTED,
        },
    )


_INVENTED = "dev-9"


def _key_of_the_invented() -> str:
    return public(OTHER_KEY, _INVENTED)


def checkpoint_exchanged_for_an_older_one(home: Path) -> Attack:
    """What came after an earlier head is written otherwise, and that head goes with the bundle."""
    day = signed_day()
    forged = signed_day(later="120,999 mi", notes=_notes(day))
    early = head(day, AT_DEPARTURE)
    led = proofs(day, AT_DEPARTURE)
    return Attack(
        path=bag(home / "bundle", forged, trip=True, note=early.text, more={"proofs.jsonl": led}),
        alone=frozenset({"checkpoint-older", "export-missing", "after-the-head"}),
    )


_OF_BOTH = (
    entries_put_in_behind_the_signed_head,
    entry_edited,
    entry_deleted,
    entry_inserted,
    entries_in_another_order,
    tail_cut_below_the_signed_head,
    rewritten_without_the_key,
    rewritten_without_key_or_heads,
    rewritten_and_signed_with_the_device_s_key,
    rewritten_and_signed_with_another_key,
    rewritten_and_signed_with_a_key_the_log_does_not_name,
    forked_before_a_witnessed_head,
    forked_after_a_witnessed_head,
    old_copy_restored_and_gone_on_with,
    cloned_device,
)
ATTACKS: dict[str, Made] = {
    **{f"{made.__name__}-store": partial(made, trip=False) for made in _OF_BOTH},
    **{f"{made.__name__}-trip": partial(made, trip=True) for made in _OF_BOTH},
    "trip_tail_cut": trip_tail_cut_and_everything_about_it_put_right,
    "tail_cut_and_signed_anew": tail_cut_and_signed_anew,
    "checkpoint_of_an_invented_device": checkpoint_of_an_invented_device,
    "checkpoint_exchanged_for_an_older_one": checkpoint_exchanged_for_an_older_one,
}
