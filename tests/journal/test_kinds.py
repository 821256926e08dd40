"""What an entry of each kind may hold."""

from dataclasses import replace

import pytest

from tests.builders import TRIP, entry_made, odometer_read, trip_opened, withdrawn
from triplog.journal.entries import Draft
from triplog.journal.kinds import KINDS, assert_fits_kind, assert_follows, thing_of


def _least(name: str) -> Draft:
    """A draft of a kind with nothing but what it must have."""
    kind = KINDS[name]
    return Draft(
        kind=name,
        trip=TRIP if kind.of_trip else None,
        body=dict.fromkeys(kind.required, "x"),
        by="somebody",
        follows="0" * 64 if name == "entry_withdrawn" else None,
    )


@pytest.mark.parametrize("name", KINDS)
def test_a_draft_with_just_the_required_fields_fits(name: str) -> None:
    assert assert_fits_kind(_least(name)) is KINDS[name]


@pytest.mark.parametrize("name", [name for name, kind in KINDS.items() if kind.required])
def test_a_draft_without_a_required_field_does_not_fit(name: str) -> None:
    draft = _least(name)
    draft.body.popitem()
    with pytest.raises(AssertionError, match="lacks"):
        assert_fits_kind(draft)


@pytest.mark.parametrize("name", KINDS)
def test_a_field_the_kind_does_not_know_does_not_fit(name: str) -> None:
    draft = _least(name)
    with pytest.raises(AssertionError, match="no field"):
        assert_fits_kind(replace(draft, body=draft.body | {"unheard_of": 1}))
    with pytest.raises(AssertionError, match="no private field"):
        assert_fits_kind(replace(draft, private={"unheard_of": "x"}))


@pytest.mark.parametrize("name", [name for name, kind in KINDS.items() if kind.of_trip])
def test_a_kind_of_a_trip_needs_its_trip(name: str) -> None:
    with pytest.raises(AssertionError, match="belongs to a trip"):
        assert_fits_kind(replace(_least(name), trip=None))


def test_only_a_correction_carries_the_reason_of_a_correction() -> None:
    reason = {"correction_reason": "two digits were swapped"}
    plain = replace(odometer_read(), private=reason)
    with pytest.raises(AssertionError, match="no private field"):
        assert_fits_kind(plain)
    assert_fits_kind(replace(plain, follows="0" * 64))


def test_a_withdrawal_names_the_entry_it_takes_back() -> None:
    with pytest.raises(AssertionError, match="names its entry"):
        assert_fits_kind(replace(_least("entry_withdrawn"), follows=None))


def test_an_entry_is_followed_only_by_its_own_kind_or_a_withdrawal_of_its_own_trip() -> None:
    entry = entry_made(odometer_read())
    assert_follows(odometer_read(follows=entry.hash), entry)
    assert_follows(withdrawn(entry), entry)
    with pytest.raises(AssertionError, match="trip_opened follows odometer_read"):
        assert_follows(trip_opened(), entry)
    with pytest.raises(AssertionError, match="one trip"):
        assert_follows(odometer_read(trip="another"), entry)


def test_no_field_is_both_open_and_private() -> None:
    for kind in KINDS.values():
        assert not (kind.required | kind.optional) & kind.private - {"reason"}, kind.name
        assert not kind.required & kind.optional, kind.name


def test_the_thing_an_entry_is_about_is_read_from_its_body() -> None:
    assert thing_of("gear_standing_set", {"gear": "g1", "standing": "unfit"}) == "g1"
    assert thing_of("odometer_read", {"odometer": "1 mi"}) is None
    assert thing_of("a kind of a later program", {"gear": "g1"}) is None
