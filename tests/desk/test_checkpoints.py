"""Signed heads: made when something leaves, only of a log that follows the last, and checked."""

import json
import shutil
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from exports.verify import Outside, Report, as_text, verify
from tests.builders import new_journal
from tests.desk.exported import exported, member, under_way
from tests.dossier.scene import Office, office
from tests.specimens import builder
from triplog.desk.checkpoints import change_key, recorded_key
from triplog.desk.desk import Desk, open_desk
from triplog.desk.trips import withdraw_trip
from triplog.journal.checkpoint import Signed, key_of, signed_of
from triplog.journal.copies import copy_store
from triplog.journal.device_key import KEY_NAME, did_sign
from triplog.journal.entries import Entry
from triplog.journal.store_file import STORE_NAME
from triplog.journal.trip import Trip


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    return office(tmp_path / "home")


@pytest.fixture
def trip(yard: Office) -> Trip:
    return under_way(yard)


def entries(desk: Desk, kind: str) -> list[Entry]:
    return sorted(desk.store.entries("kind = ?", (kind,)), key=lambda entry: entry.seq)


def bundle_of(yard: Office, folder: Path, trip: Trip | None) -> Path:
    return exported(yard, folder, trip, "bundle").files[0]


def second_place(desk: Desk) -> Path:
    return (desk.heads or desk.home) / f"{desk.store.device}.checkpoint"


def last_checkpoint(trip: Trip) -> Signed | None:
    fact = trip.last("checkpoint_signed")
    return None if fact is None else signed_of(str(fact.entry.body["signed_note"]))


def codes(report: Report) -> set[str]:
    return {problem.code for problem in report.problems}


# The key


def test_a_key_is_made_at_set_up_that_only_its_owner_may_read(yard: Office) -> None:
    (entry,) = entries(yard.desk, "key_recorded")
    name, _ = key_of(str(entry.body["key"]))
    assert name == f"triplog-log/{yard.desk.store.device}"
    assert entry.body["why"] == "set up"
    assert stat.S_IMODE((yard.desk.home / KEY_NAME).stat().st_mode) == 0o600


def test_a_key_others_could_read_is_closed_to_them(yard: Office, trip: Trip) -> None:
    path = yard.desk.home / KEY_NAME
    path.chmod(0o644)
    exported(yard, yard.desk.home / "out", trip, "bundle")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_lost_key_is_replaced_and_the_loss_recorded(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    first = recorded_key(yard.desk, yard.desk.store.device)
    (yard.desk.home / KEY_NAME).unlink()
    bundle = bundle_of(yard, tmp_path / "out", trip)
    entry = entries(yard.desk, "key_recorded")[-1]
    assert (entry.body["why"], entry.body["before"]) == ("lost", first)
    report = verify(bundle)
    assert report.problems == ()
    assert report.counts["signatures"] == 3  # by the old key at departure, by the new one twice


def test_a_key_from_elsewhere_is_recorded_as_changed(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    other = office(tmp_path / "other")
    shutil.copy(other.desk.home / KEY_NAME, yard.desk.home / KEY_NAME)
    assert verify(bundle_of(yard, tmp_path / "out", trip)).problems == ()
    assert entries(yard.desk, "key_recorded")[-1].body["why"] == "changed"


def test_a_key_can_be_changed_and_the_old_one_signs_last(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    yard.clock.forward(minutes=1)
    entry = change_key(yard.desk, "after the laptop was away")
    (before, after) = (key_of(str(entry.body[name])) for name in ("before", "key"))
    head = signed_of(str(entries(yard.desk, "checkpoint_signed")[-1].body["signed_note"]))
    assert head.is_signed_by(*before, did_sign)
    assert not head.is_signed_by(*after, did_sign)
    assert verify(bundle_of(yard, tmp_path / "out", trip)).problems == ()


def test_a_journal_from_before_there_were_keys_gets_one_that_says_so(tmp_path: Path) -> None:
    journal = new_journal(tmp_path / STORE_NAME)
    journal.close()
    desk = open_desk(tmp_path, journal.clock)
    assert entries(desk, "key_recorded") == []
    bundle = bundle_of(Office(desk=desk, clock=journal.clock), tmp_path / "out", None)
    (entry,) = entries(desk, "key_recorded")
    assert entry.body["why"] == "first"
    assert verify(bundle).problems == ()
    desk.store.close()


@pytest.mark.parametrize("data", [b"", b"no key at all", bytes(5000)])
def test_a_file_that_is_no_key_is_put_aside_and_a_new_one_made(
    yard: Office, trip: Trip, tmp_path: Path, data: bytes
) -> None:
    path = yard.desk.home / KEY_NAME
    path.write_bytes(data)
    assert verify(bundle_of(yard, tmp_path / "out", trip)).problems == ()
    assert entries(yard.desk, "key_recorded")[-1].body["why"] == "lost"
    assert path.with_name(f"{KEY_NAME}.unreadable").read_bytes() == data


def test_a_second_place_that_cannot_be_written_stops_nothing_and_is_told(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    (tmp_path / "heads").write_text("a file where a folder should be")
    yard.desk.heads = tmp_path / "heads"
    assert verify(bundle_of(yard, tmp_path / "out", trip)).problems == ()
    assert str(yard.desk.head_trouble).startswith("! the signed head cannot be kept in")
    assert "What was recorded stands" in str(yard.desk.head_trouble)


# The head


def test_departing_signs_a_head_over_all_that_was_known_then(yard: Office) -> None:
    under_way(yard)
    departed = entries(yard.desk, "departed")[-1]
    (entry,) = entries(yard.desk, "checkpoint_signed")
    signed = last_checkpoint(yard.trip("T-1"))
    assert signed is not None
    assert entry.seq == signed.checkpoint.size == departed.seq + 1
    assert entry.body["why"] == "departed"
    assert second_place(yard.desk).read_text() == signed.text
    assert signed.is_signed_by(*key_of(str(recorded_key(yard.desk, entry.device))), did_sign)


def test_a_trip_that_never_left_has_none(yard: Office) -> None:
    planned = yard.judged(yard.loaded(2, 4))
    withdraw_trip(yard.desk, planned, reason="the load was cancelled")
    assert last_checkpoint(yard.trip(planned.label)) is None


def gone_back(yard: Office, folder: Path, act: Callable[[], object]) -> Office:
    """The yard with a copy of its journal from before `act` put back in its place."""
    copy = folder / "copy.sqlite3"
    copy_store(yard.desk.store, copy)
    act()
    yard.desk.store.close()
    shutil.copy(copy, yard.desk.home / STORE_NAME)
    yard.desk = open_desk(yard.desk.home, yard.clock)
    return yard


def test_an_old_copy_put_back_signs_nothing_and_says_so(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    gone_back(yard, tmp_path, lambda: exported(yard, tmp_path / "first", trip, "bundle"))
    held = signed_of(second_place(yard.desk).read_text()).checkpoint
    bundle = bundle_of(yard, tmp_path / "second", yard.trip("T-1"))
    entry = entries(yard.desk, "checkpoint_withheld")[-1]
    assert (entry.body["held_size"], entry.body["held_root"]) == (held.size, held.root.hex())
    assert signed_of(second_place(yard.desk).read_text()).checkpoint == held
    with pytest.raises(KeyError):
        member(bundle, "checkpoint.txt")
    assert "checkpoint-withheld" in {note.code for note in verify(bundle).notes}


def test_a_copy_that_went_another_way_signs_nothing_even_when_it_is_longer(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    gone_back(yard, tmp_path, lambda: exported(yard, tmp_path / "first", trip, "bundle"))
    held = signed_of(second_place(yard.desk).read_text()).checkpoint
    for number in range(4):
        exported(yard, tmp_path / f"again-{number}", yard.trip("T-1"), "lines")
    last = entries(yard.desk, "checkpoint_withheld")[-1]
    assert last.seq > held.size
    assert len(entries(yard.desk, "checkpoint_withheld")) == 4


def test_a_second_place_that_cannot_be_read_is_as_if_it_were_empty(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    second_place(yard.desk).write_bytes(b"\xff\x00 no checkpoint")
    assert verify(bundle_of(yard, tmp_path / "out", trip)).problems == ()


# What leaves


def test_a_trip_is_shown_to_be_under_the_signed_head_without_the_others(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    bundle = bundle_of(yard, tmp_path / "out", trip)
    lines = member(bundle, "entries.jsonl").splitlines()
    report = verify(bundle)
    assert report.problems == ()
    assert report.counts["proven"] == len(lines) - 1  # all but the checkpoint's own entry
    assert report.counts["checkpoints"] == 2  # at departure and with the bundle
    assert f"signed     3 heads of the log, with its own key; {len(lines) - 1} entries lead" in (
        as_text(report)
    )
    assert not any(note.code == "head-not-comparable" for note in report.notes)


def test_a_whole_store_gives_its_heads_itself(yard: Office, tmp_path: Path) -> None:
    under_way(yard)
    bundle = bundle_of(yard, tmp_path / "out", None)
    assert member(bundle, "proofs.jsonl") == b""
    report = verify(bundle)
    assert report.problems == ()
    assert report.counts["signatures"] == 3  # two entries, and the bundle's own note


@pytest.mark.parametrize("whole_store", [True, False])
def test_a_head_and_a_code_held_outside_are_compared_with_a_later_bundle(
    yard: Office, trip: Trip, tmp_path: Path, whole_store: bool
) -> None:
    at_departure = last_checkpoint(yard.trip("T-1"))
    assert at_departure is not None
    bundle = bundle_of(yard, tmp_path / "out", None if whole_store else trip)
    code = at_departure.checkpoint.code
    report = verify(bundle, Outside(checkpoints=(at_departure.text,), codes=(code.lower(),)))
    assert report.problems == ()
    assert report.counts["outside_heads_compared"] == 2
    assert any("not changed since that head left" in limit for limit in report.limits)


def test_a_code_of_nothing_in_here_is_named(yard: Office, trip: Trip, tmp_path: Path) -> None:
    report = verify(bundle_of(yard, tmp_path / "out", trip), Outside(codes=("ABCDE" * 4,)))
    assert codes(report) == {"outside-head-missing"}


# Attacks. The bundle is made anew around what was altered: only signature and tree can show it.


def rewritten(bundle: Path, target: Path, alter: Callable[[list[dict[str, Any]]], None]) -> Path:
    """The bundle made anew by somebody without the key: entries altered, every hash worked out."""
    lines = [json.loads(line) for line in member(bundle, "entries.jsonl").splitlines()]
    new_of = {builder.entry_hash(line): line for line in lines}
    alter(lines)
    renamed: dict[str, str] = {}
    for old, line in new_of.items():
        text = _renamed(json.dumps(line), renamed)
        line.clear()
        line.update(json.loads(text))
        renamed[old] = builder.entry_hash(line)
    card, openings = (
        _renamed(member(bundle, name).decode(), renamed)
        for name in ("bundle.json", "openings.jsonl")
    )
    return builder.bag(
        target,
        [builder.canonical(line) for line in lines],
        json.loads(card),
        [json.loads(line) for line in openings.splitlines()],
        more={name: member(bundle, name) for name in ("checkpoint.txt", "proofs.jsonl")},
    )


def _renamed(text: str, renamed: dict[str, str]) -> str:
    for before, after in renamed.items():
        text = text.replace(before, after)
    return text


def as_it_is(_: list[dict[str, Any]]) -> None:
    """Nothing is altered: the bundle made anew is the one that was."""


def another_reading(lines: list[dict[str, Any]]) -> None:
    departed = next(line for line in lines if line["kind"] == "departed")
    departed["body"]["odometer"] = "99999 mi"


@pytest.mark.parametrize(
    ("whole_store", "code"), [(True, "checkpoint-differs"), (False, "proof-wrong")]
)
def test_an_altered_entry_with_every_hash_worked_out_anew_is_seen_by_the_signed_head(
    yard: Office, trip: Trip, tmp_path: Path, whole_store: bool, code: str
) -> None:
    bundle = bundle_of(yard, tmp_path / "out", None if whole_store else trip)
    untouched = rewritten(bundle, tmp_path / "untouched", as_it_is)
    assert verify(untouched).problems == ()
    report = verify(rewritten(bundle, tmp_path / "altered", another_reading))
    assert code in codes(report)


@pytest.mark.parametrize("whole_store", [True, False])
def test_a_forged_checkpoint_is_named(
    yard: Office, trip: Trip, tmp_path: Path, whole_store: bool
) -> None:
    bundle = bundle_of(yard, tmp_path / "out", None if whole_store else trip)
    note = member(bundle, "checkpoint.txt").decode()
    lines = member(bundle, "entries.jsonl").splitlines()
    openings = [json.loads(line) for line in member(bundle, "openings.jsonl").splitlines()]
    card = json.loads(member(bundle, "bundle.json"))
    size = note.split("\n")[1]
    for number, (change, code) in enumerate(
        [
            (note.replace(f"\n{size}\n", f"\n{int(size) - 1}\n"), "checkpoint-forged"),
            (note.replace("\u2014 triplog-log/", "\u2014 triplog-lag/"), "checkpoint-unsigned"),
            (note.split("\n\n")[0] + "\n\n", "checkpoint-malformed"),
            ("nothing", "checkpoint-malformed"),
        ]
    ):
        made = builder.bag(
            tmp_path / f"forged-{number}",
            lines,
            card,
            openings,
            more={
                "checkpoint.txt": change.encode(),
                "proofs.jsonl": member(bundle, "proofs.jsonl"),
            },
        )
        assert code in codes(verify(made))


def test_a_fork_shows_against_a_head_held_after_it_and_not_against_one_from_before(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    """What may be promised: up to the head that left, and no further."""
    before = last_checkpoint(yard.trip("T-1"))
    copy = tmp_path / "copy"
    copy.mkdir()
    copy_store(yard.desk.store, copy / STORE_NAME)
    shutil.copy(yard.desk.home / KEY_NAME, copy / KEY_NAME)
    exported(yard, tmp_path / "first", trip, "bundle")
    after = last_checkpoint(yard.trip("T-1"))
    assert before is not None
    assert after is not None
    desk = open_desk(copy, yard.clock)  # a second place of its own: nothing warns it
    other = Office(desk=desk, clock=yard.clock)
    for number in range(3):
        bundle = bundle_of(other, tmp_path / f"other-{number}", other.trip("T-1"))
    desk.store.close()
    assert verify(bundle, Outside(checkpoints=(before.text,))).problems == ()
    found = verify(bundle, Outside(checkpoints=(after.text,)))
    assert "outside-head-differs" in codes(found)
