"""Gear, vehicles and people as their cards stand."""

from dataclasses import replace

from tests.builders import (
    entry_made,
    gear_inspected,
    gear_recorded,
    gear_standing_set,
    hold,
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


def test_an_inspection_takes_out_of_use_and_never_brings_back_or_softens() -> None:
    looks = [
        entry_made(gear_inspected("g1", answer), seq=seq, minutes=seq)
        for seq, answer in enumerate(
            ("nothing found", "set aside", "nothing found", "unfit", "set aside"), start=1
        )
    ]
    standings = []
    for count in range(1, 6):
        thing = thing_from("g1", [CARD, *looks[:count]])
        assert thing is not None
        standings.append(thing.standing.value)
    assert standings == ["in stock", "set aside", "set aside", "unfit", "unfit"]


def test_the_card_shows_the_damage_of_the_last_look_until_it_is_recorded_anew() -> None:
    look = entry_made(gear_inspected("g1", "set aside", kind="cut"), seq=1, minutes=1)
    again = entry_made(gear_recorded("g1", "S-1"), seq=2, minutes=2)
    seen, anew = thing_from("g1", [CARD, look]), thing_from("g1", [CARD, look, again])
    taken_back = thing_from("g1", [CARD, look, entry_made(withdrawn(look), seq=2, minutes=2)])
    assert seen is not None and anew is not None and taken_back is not None
    assert seen.item["damage"] == [{"kind": "cut"}]
    assert "damage" not in anew.item
    assert (taken_back.standing, "damage" in taken_back.item) == (Standing.IN_STOCK, False)


def test_a_hold_stands_until_it_is_lifted() -> None:
    placed = entry_made(hold("g1", "hold_placed"), seq=1, minutes=1)
    lifted = entry_made(hold("g1", "hold_lifted"), seq=2, minutes=2)
    held, free = thing_from("g1", [CARD, placed]), thing_from("g1", [CARD, placed, lifted])
    assert held is not None and free is not None
    assert held.hold is not None and held.hold.entry is placed
    assert held.standing is Standing.IN_STOCK
    assert free.hold is None


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
