"""What an inspection answers: by width, by country, by what the maker allows."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triplog.securement.inspection import PLACES, LookAnswer, look_at
from triplog.securement.model import Damage, Gear, GearKind
from triplog.securement.quantity import Dimension, Quantity, parse


def _length(text: str) -> Quantity:
    return parse(text, Dimension.LENGTH)


def _strap(width: str | None = "2 in") -> Gear:
    return Gear(
        id="S-1",
        kind=GearKind.RATCHET_STRAP,
        width=None if width is None else _length(width),
    )


def _answer(
    *damage: str,
    gear: Gear | None = None,
    used_in: tuple[str, ...] = (),
    allowed: str | None = None,
) -> LookAnswer:
    found = []
    for one in damage:
        kind, _, size = one.partition(" ")
        found.append(Damage(kind=kind, size=_length(size) if size else None))
    return look_at(
        gear or _strap(),
        tuple(found),
        used_in=used_in,
        allowed=None if allowed is None else _length(allowed),
    ).answer


def test_nothing_found_takes_nothing_out_of_use() -> None:
    assert _answer() is LookAnswer.NOTHING_FOUND


@pytest.mark.parametrize(
    ("damage", "answer"),
    [("cut 11 mm", LookAnswer.UNFIT), ("cut 9 mm", LookAnswer.SET_ASIDE)],
)
def test_two_inch_webbing_above_the_inspectors_line_is_unfit_and_below_it_set_aside(
    damage: str, answer: LookAnswer
) -> None:
    """Out-of-service criteria, webbing by width, as a state training slide shows them: 3/8 in."""
    assert _answer(damage) is answer


def test_exactly_at_the_inspectors_line_is_not_above_it_and_still_set_aside() -> None:
    assert _answer("cut 3/8 in") is LookAnswer.SET_ASIDE


def test_cuts_are_added_up_across_the_width() -> None:
    assert _answer("cut 5 mm", "burn 6 mm") is LookAnswer.UNFIT


@pytest.mark.parametrize("place", ["us", "ca"])
def test_any_cut_sets_webbing_aside_in_the_united_states_and_canada(place: str) -> None:
    """49 CFR 393.104(b); NSC Standard 10 section 20, as a provincial manual tells it."""
    assert _answer("cut 0.1 mm", used_in=(place,)) is LookAnswer.SET_ASIDE


@pytest.mark.parametrize("place", ["eu", "au"])
@pytest.mark.parametrize(
    ("damage", "answer"),
    [
        ("cut 4.9 mm", LookAnswer.WITHIN),
        ("cut 5 mm", LookAnswer.SET_ASIDE),
        ("wear 5.1 mm", LookAnswer.SET_ASIDE),
    ],
)
def test_a_tenth_of_the_width_sets_it_aside_in_europe_and_australia(
    place: str, damage: str, answer: LookAnswer
) -> None:
    """EN 12195-2, withdrawal above 10 % (second-hand); Australia, less than 10 % (second-hand)."""
    assert _answer(damage, gear=_strap("50 mm"), used_in=(place,)) is answer


def test_label_or_maker_may_allow_less_than_the_country_and_never_more() -> None:
    wide = _strap("50 mm")
    assert _answer("cut 2 mm", gear=wide, used_in=("eu",), allowed="1 mm") is LookAnswer.SET_ASIDE
    assert _answer("cut 2 mm", gear=wide, used_in=("eu",), allowed="3 mm") is LookAnswer.WITHIN
    assert _answer("cut 2 mm", gear=wide, allowed="3 mm") is LookAnswer.SET_ASIDE


@pytest.mark.parametrize(
    ("gear", "damage"),
    [
        (_strap("50 mm"), "cut"),
        (_strap(None), "cut 1 mm"),
        (_strap("50 mm"), "knot"),
        (_strap("50 mm"), "stitching 1 mm"),
        (Gear(id="C-1", kind=GearKind.CHAIN), "nick 1 mm"),
    ],
)
def test_damage_not_measured_or_of_another_sort_is_set_aside(gear: Gear, damage: str) -> None:
    assert _answer(damage, gear=gear, used_in=("eu",)) is LookAnswer.SET_ASIDE


def test_webbing_of_a_width_without_a_line_is_never_said_to_be_below_one() -> None:
    """1 in webbing is not in the inspectors' table."""
    look = look_at(
        _strap("1 in"), (Damage(kind="cut", size=_length("1 mm")),), used_in=(), allowed=None
    )
    assert look.inspector_line is None
    assert look.above_inspector_line is None
    assert look.answer is LookAnswer.SET_ASIDE


_WORSE = [LookAnswer.NOTHING_FOUND, LookAnswer.WITHIN, LookAnswer.SET_ASIDE, LookAnswer.UNFIT]


@given(
    smaller=st.integers(1, 400),
    more=st.integers(0, 400),
    places=st.sets(st.sampled_from(PLACES)),
    place=st.sampled_from(PLACES),
)
def test_more_damage_or_one_more_country_never_makes_the_answer_better(
    smaller: int, more: int, places: set[str], place: str
) -> None:
    def answer(tenths: int, used_in: set[str]) -> int:
        damage = Damage(kind="cut", size=_length(f"{tenths}/10 mm"))
        look = look_at(_strap("50 mm"), (damage,), used_in=tuple(sorted(used_in)), allowed=None)
        return _WORSE.index(look.answer)

    assert answer(smaller, places) <= answer(smaller + more, places)
    if places:
        assert answer(smaller, places) <= answer(smaller, places | {place})
