"""A head in other hands: given, countersigned by another installation, taken back, and compared."""

import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from exports.verify import Outside, verify
from tests.desk.exported import exported, under_way
from tests.dossier.scene import Office, office
from triplog.desk.checkpoints import recorded_key
from triplog.desk.desk import open_desk
from triplog.desk.refused import Refused
from triplog.desk.witness import countersign, give_head, take_countersigned, where_word
from triplog.journal.checkpoint import Checkpoint, key_of, signed_of
from triplog.journal.copies import copy_store
from triplog.journal.device_key import did_sign
from triplog.journal.store_file import STORE_NAME
from triplog.journal.trip import Trip


@dataclass(slots=True)
class Two:
    """A truck's yard with a trip under way, and the fleet office."""

    yard: Office
    trip: Trip
    fleet: Office
    folder: Path

    def given(self, name: str = "head.txt") -> tuple[Path, Checkpoint]:
        """A head of the yard's log in a file."""
        self.yard.clock.forward(minutes=3)
        path = self.folder / name
        _, head = give_head(
            self.yard.desk, self.trip, "office", to="the office", note=None, file=path
        )
        return path, head

    @property
    def fleet_key(self) -> str:
        """The office's public key."""
        return str(recorded_key(self.fleet.desk, self.fleet.desk.store.device))


@pytest.fixture
def two(tmp_path: Path) -> Two:
    yard = office(tmp_path / "yard")
    return Two(yard, under_way(yard), office(tmp_path / "fleet"), tmp_path)


def test_who_was_given_a_head_is_recorded_and_kept_private(two: Two) -> None:
    path, head = two.given()
    (entry,) = two.yard.desk.store.entries("kind = 'head_given'")
    assert entry.body["where"] == "office"
    assert two.yard.desk.store.openings(entry.hash) == {"receiver": "the office"}
    assert signed_of(path.read_text()).checkpoint == head
    assert two.yard.desk.store.entry(str(entry.body["head"])).body["root"] == head.root.hex()


def test_a_head_goes_nowhere_else(two: Two) -> None:
    assert where_word("Paper") == "paper"
    with pytest.raises(Refused, match="on paper, to the office or in a message"):
        where_word("nowhere")
    path, _ = two.given()
    with pytest.raises(Refused, match="there already"):
        give_head(two.yard.desk, None, "paper", to=None, note=None, file=path)


def test_a_countersigned_head_comes_back_and_a_later_bundle_is_compared_with_it(two: Two) -> None:
    """What makes the log believable: the office's key is not in the truck."""
    path, head = two.given()
    back = two.folder / "both.txt"
    countersign(two.fleet.desk, path, back)
    assert signed_of(back.read_text()).is_signed_by(*key_of(two.fleet_key), did_sign)
    _, taken = take_countersigned(two.yard.desk, back, two.fleet_key)
    assert taken == head
    for whole_store in (True, False):
        out = two.folder / f"out-{whole_store}"
        trip = None if whole_store else two.yard.trip("T-1")
        bundle = exported(two.yard, out, trip, "bundle").files[0]
        alone = verify(bundle)
        assert alone.problems == ()
        assert ("countersigned" in {note.code for note in alone.notes}) == whole_store
        held = verify(bundle, Outside(keys=(two.fleet_key,), checkpoints=(back.read_text(),)))
        assert held.problems == ()
        assert held.counts["outside_heads_compared"] == 1 + whole_store


def test_nobody_countersigns_their_own_log(two: Two) -> None:
    path, _ = two.given()
    with pytest.raises(Refused, match="another installation signs it"):
        countersign(two.yard.desk, path, two.folder / "both.txt")
    with pytest.raises(Refused, match="no head of this log that another installation"):
        own = str(recorded_key(two.yard.desk, two.yard.desk.store.device))
        take_countersigned(two.yard.desk, path, own)


def test_a_head_that_was_not_signed_with_that_key_is_refused(two: Two) -> None:
    path, _ = two.given()
    with pytest.raises(Refused, match="is not signed with the key of"):
        take_countersigned(two.yard.desk, path, two.fleet_key)
    with pytest.raises(Refused, match="key"):
        take_countersigned(two.yard.desk, path, "no key")


def test_an_older_head_of_a_log_is_not_countersigned_after_a_newer_one(two: Two) -> None:
    older, _ = two.given("older.txt")
    newer, _ = two.given("newer.txt")
    countersign(two.fleet.desk, newer, two.folder / "newer-both.txt")
    with pytest.raises(Refused, match="an old copy, or another history"):
        countersign(two.fleet.desk, older, two.folder / "older-both.txt")
    assert not (two.folder / "older-both.txt").exists()


def test_a_head_of_another_history_is_refused_and_said_to_be_worth_keeping(two: Two) -> None:
    copy = two.folder / "copy"
    copy.mkdir()
    copy_store(two.yard.desk.store, copy / STORE_NAME)
    shutil.copy(two.yard.desk.home / "device-key.pem", copy)
    two.given("first.txt")
    path, _ = two.given()
    back = two.folder / "both.txt"
    countersign(two.fleet.desk, path, back)
    desk = open_desk(copy, two.yard.clock)
    with pytest.raises(Refused, match="this journal is not the one it was taken from"):
        take_countersigned(desk, back, two.fleet_key)
    desk.store.close()


@pytest.mark.parametrize("data", [b"", b"\xff\xfe", b"no head\n\n\n", bytes(1 << 20)])
def test_a_file_that_is_no_head_is_said_to_be_none(two: Two, data: bytes) -> None:
    path = two.folder / "odd.txt"
    path.write_bytes(data)
    with pytest.raises(Refused, match="holds no signed head"):
        countersign(two.fleet.desk, path, two.folder / "both.txt")
    with pytest.raises(Refused, match="cannot be read"):
        countersign(two.fleet.desk, two.folder, two.folder / "both.txt")
