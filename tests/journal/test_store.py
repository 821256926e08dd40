"""The journal in its file: what it takes, what it refuses, what it keeps."""

import hashlib
import json
import sqlite3
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from sqlmodel import Session, func, select

from tests.builders import (
    START,
    TRIP,
    Journal,
    StandingClock,
    begun,
    bulk_rows,
    bulk_store,
    depart,
    duty_changed,
    gear_recorded,
    gear_standing_set,
    new_journal,
    odometer_read,
    person_recorded,
    plan_recorded,
    reopened,
    tables_of,
    trip_opened,
    withdrawn,
)
from triplog.journal.copies import copy_store, restore_store
from triplog.journal.derived import ReadingRow
from triplog.journal.entries import commitment, entry_bytes
from triplog.journal.repeats import AlreadyRecorded, AskedAgain
from triplog.journal.store import open_store


def _count(journal: Journal) -> int:
    (count,) = journal.store.raw.execute("SELECT count(*) FROM entry").fetchone()
    return int(count)


def test_each_entry_names_the_hash_before_it_in_its_chain_and_in_its_trip(
    on_the_road: Journal,
) -> None:
    on_the_road.record(trip_opened("other", label="T-2"))
    on_the_road.record(odometer_read())
    entries = list(on_the_road.store.entries())
    assert [one.seq for one in entries] == list(range(len(entries)))
    assert [one.prev for one in entries] == [None, *(one.hash for one in entries[:-1])]
    of_trip = [one for one in entries if one.trip == TRIP]
    assert [one.trip_prev for one in of_trip] == [None, *(one.hash for one in of_trip[:-1])]
    assert entries[0].trip_prev is None
    assert on_the_road.store.heads() == {on_the_road.store.device: (5, entries[-1].hash)}
    assert on_the_road.store.trip_heads(TRIP) == {on_the_road.store.device: entries[-1].hash}
    assert on_the_road.store.check() == []


def test_the_stored_hash_is_that_of_the_stored_bytes(on_the_road: Journal) -> None:
    rows = on_the_road.store.raw.execute("SELECT hash, data FROM entry").fetchall()
    assert all(stored == hashlib.sha256(data).hexdigest() for stored, data in rows)


@pytest.mark.parametrize(
    ("statement", "sentence"),
    [
        ("UPDATE entry SET kind = 'departed' WHERE seq = 1", "never changed"),
        ("UPDATE entry SET seq = seq + 1", "never changed"),
        ("DELETE FROM entry WHERE seq = 1", "never removed"),
        ("DELETE FROM entry", "never removed"),
        ("UPDATE opening SET value = 'another yard'", "never changed"),
        (
            "INSERT OR REPLACE INTO entry SELECT device, 1, hash, idem, kind, trip, thing,"
            " entry_time, data FROM entry WHERE seq = 1",
            "recorded once",
        ),
        (
            "INSERT INTO entry SELECT device, 9, 'h' || substr(hash, 2), 'new', kind, trip, thing,"
            " entry_time, data FROM entry WHERE seq = 1",
            "goes on the end",
        ),
        (
            "INSERT INTO entry SELECT 'another device', 1, 'h' || substr(hash, 2), 'new', kind,"
            " trip, thing, entry_time, data FROM entry WHERE seq = 1",
            "goes on the end",
        ),
        (
            "INSERT OR REPLACE INTO entry SELECT device, 4, hash, 'new', kind, trip, thing,"
            " entry_time, data FROM entry WHERE seq = 1",
            "recorded once",
        ),
        (
            "INSERT OR REPLACE INTO entry SELECT device, 4, 'h' || substr(hash, 2), idem, kind,"
            " trip, thing, entry_time, data FROM entry WHERE seq = 1",
            "recorded once",
        ),
        (
            "INSERT OR REPLACE INTO opening SELECT entry, field, salt, 'x' FROM opening",
            "recorded once",
        ),
    ],
    ids=[
        "change",
        "renumber",
        "remove one",
        "remove all",
        "change an opening",
        "replace",
        "gap",
        "start above 0",
        "replace by the same hash at the end",
        "replace by the same key at the end",
        "replace an opening",
    ],
)
def test_a_recorded_entry_cannot_be_changed_through_the_database(
    on_the_road: Journal, statement: str, sentence: str
) -> None:
    raw = on_the_road.store.raw
    raw.execute("PRAGMA recursive_triggers = OFF")
    before = raw.execute("SELECT * FROM entry ORDER BY seq").fetchall()
    with pytest.raises(sqlite3.IntegrityError, match=sentence):
        raw.execute(statement)
    assert raw.execute("SELECT * FROM entry ORDER BY seq").fetchall() == before


def test_the_mode_is_the_one_that_survives_a_power_cut(journal: Journal) -> None:
    """SQLite's own numbers: synchronous 3 is EXTRA, secure_delete 1 is ON."""
    raw = journal.store.raw
    asked = ("journal_mode", "synchronous", "secure_delete", "foreign_keys")
    found = [raw.execute(f"PRAGMA {name}").fetchone()[0] for name in asked]
    assert found == ["delete", 3, 1, 1]


def test_a_key_given_twice_records_once(on_the_road: Journal) -> None:
    first = on_the_road.record(odometer_read(idem="tap-7"))
    count = _count(on_the_road)
    with pytest.raises(AlreadyRecorded) as raised:
        on_the_road.record(odometer_read("24999 mi", idem="tap-7"), minutes=600)
    assert raised.value.entry == first
    assert _count(on_the_road) == count


@pytest.mark.parametrize(("minutes", "asked"), [(0, True), (2, True), (2.001, False), (3, False)])
def test_the_same_from_the_same_person_is_asked_about_for_two_minutes(
    on_the_road: Journal, minutes: float, asked: bool
) -> None:
    first = on_the_road.record(odometer_read(note="by the gate"))
    again = odometer_read(note="by the gate")
    if asked:
        with pytest.raises(AskedAgain) as raised:
            on_the_road.record(again, minutes=minutes, repeat_asked=True)
        assert raised.value.entry == first
        assert on_the_road.store.heads()[on_the_road.store.device][1] == first.hash
    else:
        assert on_the_road.record(again, minutes=minutes, repeat_asked=True).seq == first.seq + 1


def test_something_else_is_not_asked_about(on_the_road: Journal) -> None:
    on_the_road.record(odometer_read(note="by the gate"))
    same = odometer_read(note="by the gate")
    for other in (
        odometer_read("24132 mi", note="by the gate"),
        odometer_read(note="by the mill"),
        odometer_read(),
        replace(same, by="somebody else"),
        replace(same, event_time=START - timedelta(hours=1)),
        duty_changed("on duty"),
        same,  # and whoever does not want to be asked is not
    ):
        on_the_road.record(other, minutes=0.1, repeat_asked=other is not same)


def test_what_is_refused_within_a_transaction_leaves_nothing_of_it(on_the_road: Journal) -> None:
    on_the_road.record(odometer_read(idem="tap-1"))
    entries, rows = _count(on_the_road), on_the_road.rows()
    with pytest.raises(AlreadyRecorded):
        on_the_road.record(duty_changed("on duty"), odometer_read(idem="tap-1"))
    assert (_count(on_the_road), on_the_road.rows()) == (entries, rows)
    on_the_road.record(odometer_read("24140 mi"))
    assert on_the_road.rows() == on_the_road.rebuilt_rows()


def test_reading_the_tables_within_a_transaction_does_not_end_it(on_the_road: Journal) -> None:
    count = _count(on_the_road)
    reading = on_the_road.clock.forward(minutes=1)
    with (
        pytest.raises(AlreadyRecorded),
        on_the_road.store.writing(reading, on_the_road.tables) as writing,
    ):
        writing.append(odometer_read(idem="tap-1"))
        with Session(bind=on_the_road.tables.connection) as session:
            assert session.exec(select(func.count()).select_from(ReadingRow)).one() == 2
        writing.append(odometer_read(idem="tap-1"))
    assert _count(on_the_road) == count


def test_private_values_are_opened_by_their_salt_and_only_there(on_the_road: Journal) -> None:
    opened = next(on_the_road.store.entries("kind = 'trip_opened'"))
    assert on_the_road.store.openings(opened.hash) == trip_opened().private
    rows = list(on_the_road.store.opening_rows("trip = ?", (TRIP,)))
    assert {(entry, name) for entry, name, _, _ in rows} == {
        (opened.hash, "origin"),
        (opened.hash, "destination"),
    }
    for _, name, salt, value in rows:
        assert len(salt) == 32  # 128 bits in hexadecimal
        assert opened.private[name] == commitment(salt, name, value)


def test_the_same_value_never_gives_the_same_commitment_twice(journal: Journal) -> None:
    one = journal.record(trip_opened("trip-one"))
    other = journal.record(trip_opened("trip-two"))
    assert one.private["origin"] != other.private["origin"]


def test_a_destroyed_opening_is_gone_from_the_file_and_the_chain_still_holds(
    on_the_road: Journal,
) -> None:
    raw, path = on_the_road.store.raw, on_the_road.store.path
    assert b"the orchard behind the mill" in path.read_bytes()
    raw.execute("DELETE FROM opening WHERE field = 'destination'")
    assert b"the orchard behind the mill" not in path.read_bytes()
    assert on_the_road.store.check() == []


def test_a_follower_is_refused_where_it_does_not_fit_what_it_follows(on_the_road: Journal) -> None:
    reading = on_the_road.record(odometer_read())
    count = _count(on_the_road)
    with pytest.raises(AssertionError, match="plan_recorded follows odometer_read"):
        on_the_road.record(plan_recorded(follows=reading.hash))
    with pytest.raises(LookupError, match="no entry"):
        on_the_road.record(odometer_read(follows="0" * 64))
    assert _count(on_the_road) == count


def test_an_entry_is_found_by_the_start_of_its_hash(on_the_road: Journal) -> None:
    entry = on_the_road.record(odometer_read())
    assert on_the_road.store.entry(entry.hash[:12].upper()) == entry
    with pytest.raises(LookupError, match="no entry 'zz'"):
        on_the_road.store.entry("zz")
    with pytest.raises(LookupError, match="give more"):
        on_the_road.store.entry("")


def test_what_follows_an_entry_about_a_thing_is_about_the_thing(journal: Journal) -> None:
    card = journal.record(gear_recorded("g1", "S-1"))
    aside = journal.record(gear_standing_set("g1", "set aside"))
    back = journal.record(withdrawn(aside))
    assert journal.store.thing_entries("g1") == [card, aside, back]
    assert journal.store.ids("thing") == ["g1"]
    assert journal.store.thing_of(back) == "g1"


def test_a_trip_read_again_holds_what_another_process_wrote(on_the_road: Journal) -> None:
    before = len(on_the_road.store.trip_entries(TRIP))
    other = reopened(on_the_road.store.path)
    other.record(odometer_read())
    other.close()
    assert len(on_the_road.store.trip_entries(TRIP)) == before + 1
    on_the_road.record(odometer_read("24140 mi"))
    assert on_the_road.rows() == on_the_road.rebuilt_rows()


def test_a_store_read_only_takes_nothing(on_the_road: Journal) -> None:
    reading = open_store(on_the_road.store.path, reading_only=True)
    assert not reading.writable
    with pytest.raises(sqlite3.OperationalError, match="readonly"):
        reading.raw.execute("INSERT INTO store_fact VALUES ('a', 'b')")
    reading.close()


def test_a_copy_holds_everything_and_never_replaces_a_file(
    on_the_road: Journal, tmp_path: Path
) -> None:
    target = tmp_path / "copy.sqlite3"
    copy_store(on_the_road.store, target)
    copy = open_store(target)
    assert list(copy.entries()) == list(on_the_road.store.entries())
    copy.close()
    with pytest.raises(FileExistsError, match="name another file"):
        copy_store(on_the_road.store, target)


def test_a_restored_store_goes_on_as_another_device(on_the_road: Journal, tmp_path: Path) -> None:
    backup = tmp_path / "backup.sqlite3"
    copy_store(on_the_road.store, backup)
    heads = on_the_road.store.heads()
    restored = restore_store(backup, tmp_path / "new" / "triplog.sqlite3")
    assert restored.device != on_the_road.store.device
    assert restored.heads() == heads
    journal = Journal(store=restored, tables=tables_of(restored))
    first = journal.record(begun())
    assert (first.device, first.seq, first.prev) == (restored.device, 0, None)
    assert restored.heads() == heads | {restored.device: (0, first.hash)}
    assert restored.devices() == sorted([*heads, restored.device])
    assert restored.check() == []
    journal.close()


def test_the_big_store_of_the_tests_is_made_of_the_bytes_the_program_would_write(
    tmp_path: Path,
) -> None:
    device = "d" * 16
    for row in bulk_rows(device, 205):
        fields = json.loads(row[7])
        made = entry_bytes(
            replace(odometer_read(trip=fields["trip"]), kind=fields["kind"], body=fields["body"]),
            device=device,
            seq=row[1],
            prev=fields["prev"],
            trip_prev=fields["trip_prev"],
            version=1,
            reading=StandingClock().forward(seconds=row[1]),
            commitments={},
            idem=row[3],
        )
        assert made == row[7]
        assert hashlib.sha256(made).hexdigest() == row[2]
    store = bulk_store(tmp_path / "bulk.sqlite3", 205)
    assert store.check() == []
    assert store.ids("trip") == [f"bulk{number:012d}" for number in range(3)]
    assert [len(store.trip_entries(trip)) for trip in store.ids("trip")] == [100, 100, 5]
    store.close()


def test_a_new_journal_is_there_whole_and_nothing_beside_it(tmp_path: Path) -> None:
    journal = new_journal(tmp_path / "home" / "triplog.sqlite3")
    journal.record(person_recorded("p1", "driver"))
    depart(journal)
    journal.close()
    assert [path.name for path in (tmp_path / "home").iterdir()] == ["triplog.sqlite3"]
