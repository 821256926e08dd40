"""Folding holds whatever is corrected and withdrawn, in whatever order it is read."""

from datetime import timedelta
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from tests.builders import START, entry_made, odometer_read, withdrawn
from triplog.journal.entries import Entry
from triplog.journal.folding import in_force, with_new


@st.composite
def histories(draw: st.DrawFn) -> list[Entry]:
    """Readings, corrections and withdrawals of anything before them, from two devices."""
    entries: list[Entry] = []
    for seq in range(draw(st.integers(1, 12))):
        what = draw(st.sampled_from(["new", "correct", "withdraw"])) if entries else "new"
        before = draw(st.sampled_from(entries)) if entries else None
        if (
            before is None
            or what == "new"
            or (what == "correct" and before.kind != "odometer_read")
        ):
            event_time = START + timedelta(minutes=draw(st.integers(-3, 3)))
            draft = odometer_read(f"{seq} mi", event_time=event_time)
        elif what == "correct":
            draft = odometer_read(f"{seq} mi", follows=before.hash)
        else:
            draft = withdrawn(before)
        minutes = draw(st.integers(0, 6))
        device = draw(st.sampled_from(["d" * 16, "e" * 16]))
        entries.append(entry_made(draft, seq=seq, minutes=minutes, device=device))
    return entries


@given(histories(), st.randoms(use_true_random=False))
def test_the_order_in_which_entries_are_read_makes_no_difference(
    history: list[Entry], random: Random
) -> None:
    shuffled = list(history)
    random.shuffle(shuffled)
    assert in_force(shuffled) == in_force(history)


@given(histories(), st.integers(-1, 7))
def test_what_is_known_at_a_time_is_what_the_entries_made_until_then_give(
    history: list[Entry], minutes: int
) -> None:
    until = START + timedelta(minutes=minutes)
    made = [entry for entry in history if entry.entry_time <= until]
    assert in_force(history, until) == in_force(made)


@given(histories())
def test_an_original_stands_once_or_has_been_withdrawn_and_nothing_else_stands(
    history: list[Entry],
) -> None:
    originals = {one.hash for one in history if one.follows is None}
    taken_back = {one.follows for one in history if one.kind == "entry_withdrawn"}
    standing = [one.original.hash for one in in_force(history)]
    assert len(standing) == len(set(standing))
    assert set(standing) <= originals
    assert originals - set(standing) <= taken_back


@given(histories())
def test_no_correction_of_a_standing_entry_disappears(history: list[Entry]) -> None:
    family = {one.hash: one.hash for one in history if one.follows is None}
    corrections = [one for one in history if one.follows and one.kind == "odometer_read"]
    for one in corrections:
        assert one.follows is not None
        family[one.hash] = family[one.follows]
    for standing in in_force(history):
        shown = {standing.entry.hash, *(one.hash for one in standing.replaced)}
        root = standing.original.hash
        assert shown == {own for own, first in family.items() if first == root}


@given(histories(), st.data())
def test_taking_a_withdrawal_back_restores_what_stood_before_it(
    history: list[Entry], data: st.DataObject
) -> None:
    target = data.draw(st.sampled_from(history))
    withdrawal = entry_made(withdrawn(target), seq=90, minutes=90)
    undone = entry_made(withdrawn(withdrawal), seq=91, minutes=91)
    assert in_force([*history, withdrawal, undone]) == in_force(history)


@given(histories(), st.integers(-3, 9), st.integers(0, 9))
def test_folding_one_more_entry_on_gives_what_folding_all_of_them_gives(
    history: list[Entry], event_minutes: int, entry_minutes: int
) -> None:
    event_time = START + timedelta(minutes=event_minutes)
    new = entry_made(odometer_read("9 mi", event_time=event_time), seq=80, minutes=entry_minutes)
    assert with_new(in_force(history), new) == in_force([*history, new])
