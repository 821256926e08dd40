"""An entry's canonical bytes, its times, and its way there and back.

RFC 8785 (JSON Canonicalization Scheme), sections 3.2.1 to 3.2.4: no white space, members sorted,
the shortest escapes. RFC 3339, section 5.6: the form of a time.
"""

import hashlib
import json
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.builders import (
    DEVICE,
    DRIVER,
    START,
    TRIP,
    StandingClock,
    entry_made,
    odometer_read,
    trip_opened,
)
from triplog.journal.entries import (
    Draft,
    EntryBroken,
    NotInSet,
    canonical,
    commitment,
    entry_bytes,
    entry_of,
    time_of,
    time_text,
    to_milliseconds,
)

keys = st.from_regex(r"[a-z0-9][a-z0-9_.:\- ]{0,8}", fullmatch=True)
texts = st.text(st.characters(exclude_categories=["Cs"]))
values = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | texts,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(keys, inner, max_size=4),
    max_leaves=12,
)
zones = st.sampled_from([UTC, timezone(timedelta(hours=-6)), timezone(timedelta(minutes=345))])
moments = st.builds(
    lambda microseconds, zone: (START + timedelta(microseconds=microseconds)).astimezone(zone),
    st.integers(-(10**15), 10**15),
    zones,
)


@given(values)
def test_an_entry_is_written_in_the_bytes_the_library_for_canonical_json_gives(
    value: object,
) -> None:
    """RFC 8785 by a writer that is not ours, whatever the body and whoever types."""
    draft = Draft(kind="any", body={"value": value}, by=str(value))
    data = entry_made(draft).data
    assert canonical(json.loads(data)) == data


@given(values)
def test_canonical_bytes_are_compact_sorted_json_that_reads_back_to_the_value(
    value: object,
) -> None:
    """RFC 8785, 3.2.1 and 3.2.3; for the restricted set Python's own writer gives the same."""
    data = canonical(value)
    assert json.loads(data) == value
    assert (
        data
        == json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
    )


@pytest.mark.parametrize(
    "value",
    [1.5, {"a": 0.1}, 2**53, {1: "a"}, {"Upper": 1}, {"": 1}, {"ä": 1}, {"a\n": 1}, {1, 2}, b"a"],
    ids=repr,
)
def test_a_value_outside_the_restricted_set_has_no_canonical_bytes(value: object) -> None:
    with pytest.raises(NotInSet):
        canonical(value)


def test_a_time_is_written_in_utc_with_three_decimals_and_z() -> None:
    """RFC 3339, 5.6, with the offset folded into UTC."""
    in_the_yard = datetime(2026, 3, 2, 7, 0, 0, 5_900, tzinfo=timezone(timedelta(hours=-6)))
    assert time_text(in_the_yard) == "2026-03-02T13:00:00.005Z"


def test_a_time_without_its_offset_is_no_journal_time() -> None:
    with pytest.raises(AssertionError, match="aware"):
        time_text(START.replace(tzinfo=None))


@given(moments)
def test_a_time_reads_back_to_the_millisecond(moment: datetime) -> None:
    assert time_of(time_text(moment)) == to_milliseconds(moment)


@pytest.mark.parametrize(
    "text",
    [
        "2026-03-02T13:00:00Z",
        "2026-03-02T13:00:00.5Z",
        "2026-03-02T13:00:00.000000Z",
        "2026-03-02T13:00:00.000+00:00",
        "2026-03-02 13:00:00.000Z",
        "2026-W10-1T13:00:00.000Z",
        "2026-02-30T13:00:00.000Z",
        "",
    ],
)
def test_a_time_in_another_form_is_refused(text: str) -> None:
    with pytest.raises(ValueError):
        time_of(text)


def test_an_entry_reads_back_what_was_drafted() -> None:
    clock = StandingClock()
    draft = Draft(
        kind="odometer_read",
        trip=TRIP,
        body={"odometer": "24131.5 mi"},
        by=DRIVER,
        via="page",
        private={"note": "at the weigh house"},
        event_time=START - timedelta(hours=2),
        event_offset_min=-300,
        follows="f" * 64,
    )
    data = entry_bytes(
        draft,
        device=DEVICE,
        seq=7,
        prev="a" * 64,
        trip_prev="b" * 64,
        version=1,
        reading=clock.read(),
        commitments={"note": "c" * 64},
        idem="key-1",
    )
    entry = entry_of(data)
    assert (entry.device, entry.seq, entry.prev, entry.trip_prev) == (
        DEVICE,
        7,
        "a" * 64,
        "b" * 64,
    )
    assert (entry.kind, entry.v, entry.body, entry.via, entry.by, entry.trip) == (
        draft.kind,
        1,
        draft.body,
        "page",
        DRIVER,
        TRIP,
    )
    assert entry.private == {"note": "c" * 64}
    assert (entry.follows, entry.idem) == ("f" * 64, "key-1")
    assert (entry.event_time, entry.event_offset_min) == (draft.event_time, -300)
    assert (entry.entry_time, entry.clock_source) == (clock.wall, "machine")
    assert (entry.boot_id, entry.boot_ms) == (clock.boot_id, clock.boot_ms)
    assert entry.entered_late_by == timedelta(hours=2)
    assert entry.data == data
    assert entry.hash == hashlib.sha256(data).hexdigest()


def test_an_event_without_its_own_time_happened_when_it_was_entered() -> None:
    entry = entry_made(odometer_read(), minutes=3)
    assert entry.event_time == entry.entry_time == START + timedelta(minutes=3)
    assert entry.entered_late_by == timedelta(0)


def test_the_bytes_hold_a_private_value_only_as_its_commitment() -> None:
    assert b"upper yard" not in entry_made(trip_opened()).data


def test_a_commitment_is_the_digest_of_salt_field_and_value() -> None:
    """SHA-256 over the RFC 8785 bytes of a list of three texts."""
    bare = hashlib.sha256(b'["00ff","name","A. Driver"]').hexdigest()
    assert commitment("00ff", "name", "A. Driver") == bare
    assert commitment("00fe", "name", "A. Driver") != bare
    assert commitment("00ff", "note", "A. Driver") != bare


_WHOLE = entry_made(odometer_read()).data


@pytest.mark.parametrize(
    "data",
    [
        _WHOLE[:-1],
        _WHOLE.replace(b'"kind":', b'"kin":'),
        _WHOLE.replace(b".000Z", b"Z"),
        b"[]",
        b"null",
        b"\xff\xfe",
    ],
    ids=["cut short", "field missing", "time in another form", "a list", "null", "no text"],
)
def test_bytes_that_are_no_entry_are_named_as_such(data: bytes) -> None:
    with pytest.raises(EntryBroken, match="no journal entry"):
        entry_of(data)


def test_an_entry_can_be_kept_in_a_set_and_is_found_by_its_bytes() -> None:
    entry = entry_made(odometer_read())
    assert entry_of(entry.data) in {entry}
    assert entry_made(odometer_read(), seq=1) not in {entry}
