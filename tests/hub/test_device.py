"""A device brings its journal to a hub that is really served: once, whatever is lost on the way.

All of it is our design; no source.
"""

import json
import shutil
import stat
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.dossier.scene import Office
from tests.hub.scene import HubScene, hub_scene, lines_of
from tests.hub.served import Relay, Served, device, relay_to, served
from triplog.desk import hub_batches
from triplog.desk.desk import Desk, open_desk
from triplog.desk.hub_line import HubAway, NotLetIn, TurnedAway, reached_at
from triplog.desk.hub_pairing import SETTING, end_pairing, pair, pairing_of
from triplog.desk.hub_push import push
from triplog.desk.hub_status import status_of
from triplog.desk.keeping import back_up, restore
from triplog.desk.refused import Refused
from triplog.hub.carriers import unpair
from triplog.journal.checkpoint import key_of, signed_of
from triplog.journal.cosignature import cosigned_at
from triplog.journal.device_key import did_sign
from triplog.journal.entries import Entry
from triplog.journal.store import Store


@pytest.fixture
def hub_served(hub: HubScene) -> Iterator[Served]:
    """The hub of this test, served."""
    with served(hub) as one:
        yield one


@pytest.fixture
def relay(hub_served: Served) -> Iterator[Relay]:
    """What stands between."""
    with relay_to(hub_served) as one:
        yield one


@pytest.fixture
def truck(tmp_path: Path, hub_served: Served, relay: Relay) -> Office:
    """A device that is paired, through the relay."""
    made = device(tmp_path / "truck")
    hub_served.paired(made, "truck-1", address=relay.address)
    return made


def of_kind(store: Store, kind: str) -> list[Entry]:
    return list(store.entries("kind = ? AND device = ?", (kind, store.device)))


def go_on(truck: Office, minutes: float = 10) -> None:
    """Something more that a driver records: a check, so much later."""
    truck.checked(truck.trip("T-1"), minutes=minutes)


def is_whole(hub: HubScene, store: Store) -> bool:
    return hub.held(store.device) == lines_of(store)


def test_pairing_is_recorded_and_its_secret_is_the_owners_alone(
    truck: Office, tmp_path: Path
) -> None:
    path = truck.desk.home / SETTING
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    found = pairing_of(truck.desk)
    assert found is not None
    (entry,) = of_kind(truck.desk.store, "hub_paired")
    assert entry.body == {
        "carrier": "carrier-1",
        "key": found.key,
        "office": found.office,
        "opened": ["*"],
    }
    assert truck.desk.store.openings(entry.hash) == {"address": found.reached.address}
    back_up(truck.desk, tmp_path / "copy")
    for file in (truck.desk.store.path, tmp_path / "copy"):
        assert found.secret.encode() not in file.read_bytes()
    truck.desk.home.joinpath(SETTING).write_text("{")
    with pytest.raises(Refused, match="pair this journal anew"):
        pairing_of(truck.desk)


def test_a_journal_arrives_byte_for_byte_and_comes_back_signed(
    hub: HubScene, truck: Office
) -> None:
    store = truck.desk.store
    found = push(truck.desk)
    assert found.is_whole
    assert is_whole(hub, store)
    (entry,) = of_kind(store, "countersignature_taken")
    note = signed_of(str(entry.body["signed_note"]))
    key = key_of(str(entry.body["key"]))
    assert note.is_signed_by(*key, did_sign)
    assert cosigned_at(note, *key, did_sign) is not None
    assert found.signed == note.checkpoint.size
    assert (found.own.held.seq, found.own.held.hash) == store.head(store.device)  # type: ignore[union-attr]


def test_nothing_new_is_one_round_trip_under_two_kilobytes(truck: Office, relay: Relay) -> None:
    push(truck.desk)
    relay.up = relay.down = relay.requests = 0
    count = len(lines_of(truck.desk.store))
    found = push(truck.desk)
    assert found.own.sent == 0
    assert relay.requests == 1
    assert 0 < relay.up + relay.down < 2000
    assert len(lines_of(truck.desk.store)) == count


def test_an_answer_lost_on_the_way_doubles_nothing(
    hub: HubScene, truck: Office, relay: Relay
) -> None:
    for _ in range(3):
        relay.lose = 1
        with pytest.raises(HubAway):
            push(truck.desk)
    assert push(truck.desk).is_whole
    assert is_whole(hub, truck.desk.store)
    go_on(truck)
    relay.lose = 1
    with pytest.raises(HubAway):
        push(truck.desk)
    assert is_whole(hub, truck.desk.store), "it was taken, and only the answer was lost"
    assert push(truck.desk).is_whole
    assert is_whole(hub, truck.desk.store)


def test_a_hub_that_goes_away_between_batches_is_resumed_from(
    hub: HubScene, hub_served: Served, truck: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(hub_batches, "ENTRIES_MAX", 7)
    asked = 0

    def is_stopped() -> bool:
        nonlocal asked
        asked += 1
        if asked == 4:
            hub_served.stop()
        return False

    with pytest.raises(HubAway):
        push(truck.desk, is_stopped=is_stopped)
    assert len(hub.held(truck.desk.store.device)) == 14
    status = status_of(truck.desk)
    assert status is not None
    assert status.held is not None and status.held.seq == 13
    hub_served.start()
    found = push(truck.desk)
    assert found.is_whole
    assert is_whole(hub, truck.desk.store)


def test_a_push_stops_between_batches_when_it_is_told_to(
    hub: HubScene, truck: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(hub_batches, "ENTRIES_MAX", 7)
    told = iter([False, False, True])
    push(truck.desk, is_stopped=lambda: next(told))
    assert len(hub.held(truck.desk.store.device)) == 7


def test_a_batch_that_does_not_pack_small_enough_is_halved(
    hub: HubScene, truck: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(hub_batches, "fits", lambda entries, *_: entries <= 9)
    assert push(truck.desk).is_whole
    assert is_whole(hub, truck.desk.store)


def old_copy(truck: Office, folder: Path) -> Desk:
    """The home folder of a device as it is now, put elsewhere."""
    shutil.copytree(truck.desk.home, folder)
    return open_desk(folder, truck.clock)


def test_an_old_copy_is_told_that_it_is_one(hub: HubScene, truck: Office, tmp_path: Path) -> None:
    push(truck.desk)
    old = old_copy(truck, tmp_path / "old")
    go_on(truck)
    push(truck.desk)
    found = push(old)
    assert found.own.outcome == "behind"
    assert found.own.theirs is not None
    assert found.own.theirs.seq == len(lines_of(truck.desk.store)) - 1
    assert is_whole(hub, truck.desk.store)
    status = status_of(old)
    assert status is not None and status.outcome == "behind"
    assert push(truck.desk).is_whole
    old.store.close()


def test_a_copy_that_went_on_is_told_where_the_hub_has_another_history(
    hub: HubScene, truck: Office, tmp_path: Path
) -> None:
    push(truck.desk)
    parted = len(lines_of(truck.desk.store))
    clone = old_copy(truck, tmp_path / "clone")
    go_on(truck)
    go_on(truck)
    push(truck.desk)
    other = Office(desk=clone, clock=truck.clock)
    go_on(other, minutes=25)
    for _ in range(2):
        found = push(clone)
        assert found.own.outcome == "forked"
        assert found.own.theirs is not None and found.own.theirs.seq == parted
        (told,) = of_kind(clone.store, "fork_found")
        assert told.body["of"] == clone.store.device
        assert told.body["seq"] == parted
        assert (
            told.body["held"]
            == clone.store.raw.execute(
                "SELECT hash FROM entry WHERE device = ? AND seq = ?", (clone.store.device, parted)
            ).fetchone()[0]
        )
        assert told.body["other"] == found.own.theirs.hash
    assert is_whole(hub, truck.desk.store)
    clone.store.close()


def test_a_restored_journal_brings_what_the_hub_lacks_of_the_device_before(
    hub: HubScene, hub_served: Served, truck: Office, tmp_path: Path
) -> None:
    former = truck.desk.store.device
    push(truck.desk)
    go_on(truck)
    back_up(truck.desk, tmp_path / "copy")
    restored = restore(tmp_path / "copy", tmp_path / "new", truck.clock, told_heads=[]).desk
    with pytest.raises(Refused, match="no hub"):
        push(restored)
    pair(restored, hub_served.address, hub_served.code("truck-1 anew"), None)
    first = push(restored)
    assert [one.outcome for one in first.former] == ["refused"], "the former one is paired still"
    assert first.own.outcome == "taken"
    assert push(restored, is_asked=False).former == [], "which is tried again when it is asked for"
    unpair(hub.database, hub.carrier, former, hub.clock.read())
    second = push(restored)
    assert [(one.device, one.outcome) for one in second.former] == [(former, "taken")]
    assert hub.held(former) == lines_of(restored.store, former)
    assert is_whole(hub, restored.store)
    assert push(restored).former == []
    with pytest.raises(NotLetIn, match="draw a code"):
        push(truck.desk)
    restored.store.close()


@pytest.mark.parametrize("opened", [(), ("name",), ("*",)])
def test_private_values_travel_as_the_carrier_has_said(
    dsn: str, tmp_path: Path, opened: tuple[str, ...]
) -> None:
    truck = device(tmp_path / "truck")
    with hub_scene(dsn, tmp_path / "hub", truck.clock, opened=opened) as hub, served(hub) as one:
        one.paired(truck, "truck-1")
        push(truck.desk)
        with hub.database.work("worker") as connection:
            rows = connection.execute(
                "SELECT entry, field, salt, convert_from(value, 'UTF8') FROM opening"
                " JOIN entry ON entry.hash = opening.entry WHERE entry.device = %s",
                (truck.desk.store.device,),
            ).fetchall()
    all_of_them = list(truck.desk.store.opening_rows())
    assert len(all_of_them) > len([row for row in all_of_them if row[1] == "name"]) > 0
    wanted = [row for row in all_of_them if row[1] in opened or "*" in opened]
    assert sorted(rows) == sorted(wanted)


def test_a_hub_that_signs_with_another_key_is_told_of_and_not_recorded(
    hub: HubScene, truck: Office
) -> None:
    path = truck.desk.home / SETTING
    told = json.loads(path.read_text())
    other = hub_key_of_another(hub)
    path.write_text(json.dumps({**told, "key": other}))
    found = push(truck.desk)
    assert not found.is_whole
    assert any("not signed with the key" in one for one in found.trouble)
    assert of_kind(truck.desk.store, "countersignature_taken") == []
    assert is_whole(hub, truck.desk.store)


def hub_key_of_another(hub: HubScene) -> str:
    """The key of a hub of the same name and another secret."""
    from triplog.journal.device_key import make_key

    folder = hub.home / "another"
    folder.mkdir()
    return make_key(folder, hub.carrier.witness).text


def test_a_device_that_is_not_paired_any_more_is_told_so(hub: HubScene, truck: Office) -> None:
    push(truck.desk)
    unpair(hub.database, hub.carrier, "truck-1", hub.clock.read())
    with pytest.raises(NotLetIn, match="draw a code"):
        push(truck.desk)
    assert end_pairing(truck.desk).kind == "device_unpaired"
    assert pairing_of(truck.desk) is None
    with pytest.raises(Refused, match="paired with no hub"):
        push(truck.desk)
    with pytest.raises(Refused, match="paired with no hub"):
        end_pairing(truck.desk)


def test_real_and_invented_data_are_not_paired_and_the_code_stays_good(
    hub_served: Served, tmp_path: Path
) -> None:
    truck, code = device(tmp_path / "real"), hub_served.code("truck-2")
    truck.desk.store.set_fact("invented", "yes")
    with pytest.raises(TurnedAway, match=r"are real: draw a code for .* made with --invented"):
        pair(truck.desk, hub_served.address, code, None)
    assert of_kind(truck.desk.store, "hub_paired") == []
    truck.desk.store.set_fact("invented", "no")
    pair(truck.desk, hub_served.address, code, None)


def test_a_code_is_good_once(hub_served: Served, tmp_path: Path) -> None:
    code = hub_served.code("truck-2")
    other = device(tmp_path / "other")
    pair(other.desk, hub_served.address, code, None)
    third = device(tmp_path / "third")
    with pytest.raises(TurnedAway, match="pairs nothing"):
        pair(third.desk, hub_served.address, code, None)
    assert pairing_of(third.desk) is None
    assert of_kind(third.desk.store, "hub_paired") == []


@pytest.mark.parametrize(
    ("address", "pin", "word"),
    [
        ("http://192.168.1.20:8745", None, "https only"),
        ("http://hub.example:8745", None, "https only"),
        ("ftp://127.0.0.1", None, "an address such as"),
        ("https://127.0.0.1:8745/there?x=1", None, "an address such as"),
        ("https://127.0.0.1:99999", None, "an address such as"),
        ("https://127.0.0.1:8745", "abc", "64 hex digits"),
        ("http://127.0.0.1:8745", "0" * 64, "shows no certificate"),
    ],
)
def test_an_address_that_is_none_is_refused(address: str, pin: str | None, word: str) -> None:
    with pytest.raises(Refused, match=word):
        reached_at(address, pin)


def test_a_hub_that_is_paired_anew_is_brought_only_what_it_lacks(
    hub: HubScene, hub_served: Served, truck: Office, relay: Relay
) -> None:
    push(truck.desk)
    (truck.desk.home / SETTING).unlink()
    truck.desk.store.raw.execute("DELETE FROM store_fact WHERE name = 'hub'")
    hub_served.paired(truck, "truck-1", address=relay.address)
    relay.up = 0
    assert push(truck.desk).is_whole
    assert is_whole(hub, truck.desk.store)
    assert relay.up < 5000


def test_two_pushes_at_once_bring_everything_once(
    hub: HubScene, truck: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(hub_batches, "ENTRIES_MAX", 5)
    others = [open_desk(truck.desk.home, truck.clock) for _ in range(3)]
    with ThreadPoolExecutor(len(others)) as at_once:
        found = list(at_once.map(_pushed_somehow, others))
    assert any(found)
    push(truck.desk)
    assert is_whole(hub, truck.desk.store)
    notes = [one.body["signed_note"] for one in of_kind(truck.desk.store, "countersignature_taken")]
    assert len(notes) == len(set(notes)) > 0
    for one in others:
        one.store.close()


def _pushed_somehow(desk: Desk) -> bool:
    """Whether it came to its end; where two get in each other's way one may leave it for later."""
    try:
        return push(desk).is_whole
    except HubAway:
        return False
