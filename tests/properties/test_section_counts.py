"""Counts by kinds of tie-down: what holds for any coil and any tie-downs on it."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from tests.securement.plans import found
from tests.securement.sections import judged, ties
from tests.securement.test_section_120 import COUNT, coil
from triplog.securement.finding import SEVERITY, Finding, Verdict
from triplog.securement.model import Path

TIE_DOWNS = st.fixed_dictionaries(
    {
        "lay": st.sampled_from(["crosswise", "lengthwise", "diagonal", None]),
        "through_eye": st.sampled_from([True, False, None]),
        "path": st.sampled_from([*Path, None]),
    }
)
EYES = st.sampled_from(["vertical", "crosswise", "lengthwise", None])


def counted(eye: str | None, pieces: int, tie_downs: list[dict[str, Any]]) -> Finding:
    facts = {"pieces": pieces} | ({} if eye is None else {"eye": eye})
    return found(judged([coil(facts=facts)], ties(*tie_downs)), COUNT)


@given(EYES, st.integers(1, 3), st.lists(TIE_DOWNS, max_size=5), TIE_DOWNS)
def test_one_more_tie_down_never_makes_the_count_worse(
    eye: str | None, pieces: int, tie_downs: list[dict[str, Any]], more: dict[str, Any]
) -> None:
    before = counted(eye, pieces, tie_downs)
    after = counted(eye, pieces, [*tie_downs, more])
    assert SEVERITY[after.verdict] >= SEVERITY[before.verdict]


@given(EYES, st.integers(1, 3), st.lists(TIE_DOWNS, max_size=5), st.randoms(use_true_random=False))
def test_the_order_of_the_tie_downs_does_not_matter(
    eye: str | None, pieces: int, tie_downs: list[dict[str, Any]], order: Any
) -> None:
    shuffled = [*tie_downs]
    order.shuffle(shuffled)
    before, after = counted(eye, pieces, tie_downs), counted(eye, pieces, shuffled)
    assert (before.verdict, before.required) == (after.verdict, after.required)


@given(
    st.sampled_from(["vertical", "crosswise", "lengthwise"]),
    st.lists(TIE_DOWNS, max_size=4),
    st.data(),
)
def test_a_verdict_stands_whatever_the_facts_not_told_turn_out_to_be(
    eye: str, tie_downs: list[dict[str, Any]], data: st.DataObject
) -> None:
    """Unknown is judged at both ends: telling more settles an open verdict and turns none."""
    before = counted(eye, 1, tie_downs)
    choices: dict[str, list[Any]] = {
        "lay": ["crosswise", "lengthwise", "diagonal"],
        "through_eye": [True, False],
        "path": [*Path],
    }
    told = [
        {
            name: data.draw(st.sampled_from(choices[name])) if value is None else value
            for name, value in one.items()
        }
        for one in tie_downs
    ]
    after = counted(eye, 1, told)
    assert after.verdict is not Verdict.CANNOT_TELL
    if before.verdict is not Verdict.CANNOT_TELL:
        assert after.verdict is before.verdict
