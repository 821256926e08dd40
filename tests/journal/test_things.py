"""Gear, vehicles and people as their cards stand."""

from dataclasses import replace

from tests.builders import (
    entry_made,
    gear_recorded,
    gear_standing_set,
    person_recorded,
    withdrawn,
)
from triplog.journal.things import Standing, thing_from

CARD = entry_made(gear_recorded("g1", "S-1"))


def test_gear_is_in_stock_until_it_is_set_aside() -> None:
    thing = thing_from("g1", [CARD])
    assert thing is not None
    assert (thing.label, thing.item["wll"]) == ("S-1", "3335 lb")
    assert (thing.standing, thing.standing_fact) == (Standing.IN_STOCK, None)


def test_the_last_standing_set_holds() -> None:
    aside = entry_made(gear_standing_set("g1", "set aside"), seq=1, minutes=1)
    unfit = entry_made(gear_standing_set("g1", "unfit"), seq=2, minutes=2)
    thing = thing_from("g1", [CARD, aside, unfit])
    assert thing is not None
    assert thing.standing is Standing.UNFIT
    assert thing.standing_fact is not None
    assert thing.standing_fact.entry is unfit
    back = thing_from("g1", [CARD, aside, unfit, entry_made(withdrawn(unfit), seq=3, minutes=3)])
    assert back is not None
    assert back.standing is Standing.SET_ASIDE


def test_a_corrected_card_shows_the_correction() -> None:
    other = replace(gear_recorded("g1", "S-1", wll="2500 lb"), follows=CARD.hash)
    thing = thing_from("g1", [CARD, entry_made(other, seq=1, minutes=1)])
    assert thing is not None
    assert thing.item["wll"] == "2500 lb"


def test_a_card_taken_back_leaves_nothing() -> None:
    assert thing_from("g1", [CARD, entry_made(withdrawn(CARD), seq=1, minutes=1)]) is None


def test_a_person_is_known_by_label_and_role() -> None:
    thing = thing_from("p1", [entry_made(person_recorded("p1", "driver"))])
    assert thing is not None
    assert (thing.label, thing.body["roles"]) == ("driver", ["driver"])
    assert "own name" not in str(thing.body)
