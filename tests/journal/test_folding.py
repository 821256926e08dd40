"""Which entries are in force: corrections, competing ones, withdrawals, and what was known when."""

from dataclasses import replace
from datetime import timedelta

from tests.builders import START, entry_made, odometer_read, withdrawn
from triplog.journal.entries import Entry
from triplog.journal.folding import in_force


def _reading(odometer: str, seq: int, follows: Entry | None = None, **more: str) -> Entry:
    """A reading made `seq` minutes after the start, perhaps correcting another."""
    draft = odometer_read(odometer, follows=follows.hash if follows else None)
    return entry_made(draft, seq=seq, minutes=seq, **more)


def _taken_back(entry: Entry, seq: int) -> Entry:
    return entry_made(withdrawn(entry), seq=seq, minutes=seq)


def _odometers(*entries: Entry, known_at: int | None = None) -> list[object]:
    known = None if known_at is None else START + timedelta(minutes=known_at)
    return [one.entry.body["odometer"] for one in in_force(entries, known)]


FIRST = _reading("24131 mi", 1)
SECOND = _reading("24113 mi", 2)


def test_entries_nobody_followed_stand_as_made() -> None:
    standing = in_force([FIRST, SECOND])
    assert [one.entry for one in standing] == [FIRST, SECOND]
    assert all(one.original is one.entry and one.replaced == () for one in standing)


def test_a_correction_holds_instead_and_what_it_replaced_stays_beside() -> None:
    correction = _reading("24131.5 mi", 3, FIRST)
    (one,) = in_force([FIRST, correction])
    assert (one.entry, one.original, one.replaced) == (correction, FIRST, (FIRST,))


def test_a_correction_of_a_correction_holds() -> None:
    correction = _reading("24131.5 mi", 3, FIRST)
    again = _reading("24131.6 mi", 4, correction)
    (one,) = in_force([FIRST, correction, again])
    assert (one.entry, one.original, one.replaced) == (again, FIRST, (FIRST, correction))


def test_of_competing_corrections_the_later_entered_wins_and_both_are_shown() -> None:
    here = _reading("24131.5 mi", 3, FIRST)
    elsewhere = _reading("24132 mi", 4, FIRST, device="e" * 16)
    for order in ([FIRST, here, elsewhere], [elsewhere, here, FIRST]):
        (one,) = in_force(order)
        assert one.entry is elsewhere
        assert one.replaced == (FIRST, here)


def test_corrections_entered_in_the_same_moment_are_told_apart_by_their_device() -> None:
    here = _reading("24131.5 mi", 3, FIRST)
    elsewhere = _reading("24132 mi", 3, FIRST, device="e" * 16)
    assert _odometers(FIRST, here, elsewhere) == _odometers(elsewhere, FIRST, here) == ["24132 mi"]


def test_a_withdrawn_entry_holds_no_more() -> None:
    assert _odometers(FIRST, SECOND, _taken_back(SECOND, 3)) == ["24131 mi"]


def test_withdrawing_a_withdrawal_brings_the_entry_back() -> None:
    withdrawal = _taken_back(SECOND, 3)
    assert _odometers(FIRST, SECOND, withdrawal, _taken_back(withdrawal, 4)) == [
        "24131 mi",
        "24113 mi",
    ]


def test_withdrawing_a_correction_brings_back_what_it_replaced() -> None:
    correction = _reading("24131.5 mi", 3, FIRST)
    withdrawal = _taken_back(correction, 4)
    (one,) = in_force([FIRST, correction, withdrawal])
    assert one.entry is FIRST
    assert one.replaced == (correction,)


def test_withdrawing_a_corrected_entry_takes_its_correction_with_it() -> None:
    correction = _reading("24131.5 mi", 3, FIRST)
    assert _odometers(FIRST, correction, _taken_back(FIRST, 4)) == []


def test_what_was_entered_later_was_not_known_before() -> None:
    correction = _reading("24131.5 mi", 3, FIRST)
    withdrawal = _taken_back(FIRST, 5)
    entries = (FIRST, correction, withdrawal)
    assert _odometers(*entries, known_at=0) == []
    assert _odometers(*entries, known_at=1) == ["24131 mi"]
    assert _odometers(*entries, known_at=3) == ["24131.5 mi"]
    assert _odometers(*entries, known_at=5) == []


def test_facts_come_in_the_order_of_their_events_however_late_they_were_entered() -> None:
    late = entry_made(
        replace(odometer_read("24100 mi"), event_time=START - timedelta(hours=1)), seq=3, minutes=90
    )
    assert _odometers(FIRST, SECOND, late) == ["24100 mi", "24131 mi", "24113 mi"]


def test_events_of_one_moment_keep_the_order_they_were_entered_in() -> None:
    entries = [
        entry_made(odometer_read(f"{seq} mi", event_time=START), seq=seq, minutes=seq)
        for seq in range(1, 5)
    ]
    assert _odometers(*reversed(entries)) == ["1 mi", "2 mi", "3 mi", "4 mi"]
