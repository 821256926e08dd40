"""What a device brings: taken byte for byte, checked, and the same however often it comes."""

import zlib
from dataclasses import replace
from pathlib import Path

import pytest

from tests.dossier.scene import Office, office
from tests.hub.scene import HubScene, batch_of, lines_of, openings_of
from triplog.hub.carriers import hub_key
from triplog.journal.batch import Batch, Place, pack_batch
from triplog.journal.checkpoint import key_of, signed_of
from triplog.journal.cosignature import cosigned_at
from triplog.journal.device_key import did_sign, read_key


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    """A device with a trip under way."""
    made = office(tmp_path / "device")
    made.departed(made.judged(made.loaded(2, 3)))
    return made


def test_a_log_arrives_byte_for_byte_and_is_countersigned(hub: HubScene, yard: Office) -> None:
    store = yard.desk.store
    one = hub.pair(store, "truck-1")
    answer = hub.push(one, batch_of(store, openings=openings_of(store)))
    assert answer.outcome == "taken"
    assert hub.held(store.device) == lines_of(store)
    assert answer.head is not None
    assert (answer.head.seq, answer.head.hash) == store.head(store.device)
    assert answer.signed_note is not None
    note = signed_of(answer.signed_note)
    assert note.is_signed_by(*key_of(one.key), did_sign)
    assert cosigned_at(note, *key_of(one.key), did_sign) == int(hub.clock.wall.timestamp())


def test_the_same_again_in_any_cut_changes_nothing(hub: HubScene, yard: Office) -> None:
    store = yard.desk.store
    one = hub.pair(store, "truck-1")
    count = len(lines_of(store))
    for begin, end in ((0, 5), (0, 5), (2, 9), (0, 3), (9, count), (0, count), (4, 6)):
        answer = hub.push(one, batch_of(store, begin, end))
        assert answer.outcome in ("taken", "behind")
    assert hub.held(store.device) == lines_of(store)


def test_what_comes_too_early_is_resumed_from_what_is_held(hub: HubScene, yard: Office) -> None:
    store = yard.desk.store
    one = hub.pair(store, "truck-1")
    hub.push(one, batch_of(store, 0, 4))
    answer = hub.push(one, batch_of(store, 9))
    assert answer.outcome == "resume"
    assert answer.head is not None and answer.head.seq == 3
    assert [place.seq for place in answer.earlier] == [3, 2, 1, 0]


def test_a_copy_that_went_another_way_is_kept_as_evidence(
    hub: HubScene, yard: Office, tmp_path: Path
) -> None:
    store = yard.desk.store
    one = hub.pair(store, "truck-1")
    hub.push(one, batch_of(store))
    other = office(tmp_path / "other").desk.store
    strange = [
        line.replace(other.device.encode(), store.device.encode()) for line in lines_of(other)
    ]
    del strange[1:]
    answer = hub.push(
        one, Batch(device=store.device, after=None, sent_ms=0, entries=tuple(strange))
    )
    assert answer.outcome == "forked"
    assert hub.held(store.device) == lines_of(store)
    again = hub.push(one, Batch(device=store.device, after=None, sent_ms=0, entries=tuple(strange)))
    assert again.outcome == "forked"
    kinds = [b"fork_found" in line for line in hub.held(hub.carrier.witness)]
    assert sum(kinds) == 1


@pytest.mark.parametrize(
    ("spoil", "word"),
    [
        (lambda b: replace(b, entries=(b.entries[0], b.entries[2])), "does not come after"),
        (lambda b: replace(b, entries=(b.entries[0].replace(b"typed", b"tYped"),)), "field"),
        (lambda b: replace(b, after=Place(0, "0" * 64)), None),
    ],
)
def test_what_does_not_hold_together_is_refused(
    hub: HubScene, yard: Office, spoil: object, word: str | None
) -> None:
    store = yard.desk.store
    one = hub.pair(store, "truck-1")
    status, body = hub.send(one, pack_batch(spoil(batch_of(store))))  # type: ignore[operator]
    if word is None:
        assert status == 200
    else:
        assert status == 422
        assert word in body.decode()
    assert hub.held(store.device) == []


def test_a_bomb_is_refused(hub: HubScene, yard: Office) -> None:
    one = hub.pair(yard.desk.store, "truck-1")
    status, body = hub.send(one, zlib.compress(b"\0" * (64 << 20)))
    assert status == 422
    assert b"more than" in body


def test_nobody_comes_in_with_another_secret(hub: HubScene, yard: Office) -> None:
    one = hub.pair(yard.desk.store, "truck-1")
    status, _ = hub.send(replace(one, secret=one.secret[:-1] + "!"), b"")
    assert status == 401


def test_each_carrier_is_signed_for_with_a_key_of_its_own(hub: HubScene) -> None:
    """C2SP tlog-cosignature, *Ed25519 signed message*: distinct keys for distinct cosigners."""
    ours, theirs = hub_key(hub.home, "c1", "w1"), hub_key(hub.home, "c2", "w1")
    assert ours.private.public_key() != theirs.private.public_key()
    again = hub_key(hub.home, "c1", "w2")
    assert again.private.public_key() == ours.private.public_key(), "one carrier's stays"
    kept = read_key(hub.home, "w1")
    assert kept is not None
    assert kept.private.public_key() != ours.private.public_key(), "the hub's own signs nothing"
