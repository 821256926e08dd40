"""What comes off at which stop, worked out by hand on a small deck; common practice, no source."""

import pytest

from triplog.securement.model import Plan
from triplog.securement.plan_read import plan_from_document
from triplog.securement.unloading import (
    OrderRefused,
    Side,
    UnloadingStep,
    UnloadingStop,
    unloading_steps,
)

MIDDLE = ["4 ft", "centre"]
AT = {"length": "4 ft", "width": "4 ft", "height": "4 ft"}


def plan(*, c_on: str = "deck", placed: bool = True) -> Plan:
    """A and B one behind the other in the middle, C beside A on the left, D over the rest.

    T1 holds A, T2 holds A and C, T3 holds B. C does not stand alone; of B nobody knows.
    """
    place_c: dict[str, object] = (
        {"at": ["4 ft", "left 3 ft"]} if c_on == "deck" else {"at": MIDDLE, "on": c_on}
    )
    return plan_from_document(
        {
            "format": "triplog-plan/1",
            "vehicle": {"deck_length": "20 ft", "deck_width": "8 ft"},
            "article": [
                {"id": "A", "at": MIDDLE, "stands_unaided": True, **AT},
                {"id": "B", "at": ["8 ft", "centre"], "blocked": {"forward": "A"}, **AT},
                {
                    "id": "C",
                    "stands_unaided": False,
                    "length": "4 ft",
                    "width": "2 ft",
                    "height": "1 ft",
                    **(place_c if placed else {}),
                },
            ],
            "tie_down": [
                {"id": "T1", "holds": ["A"]},
                {"id": "T2", "holds": ["A", "C"]},
                {"id": "T3", "holds": ["B"]},
            ],
        }
    )


def order(*stops: tuple[str, Side | None]) -> list[UnloadingStop]:
    return [
        UnloadingStop(number=number, articles=tuple(names.split()), side=side)
        for number, (names, side) in enumerate(stops, 1)
    ]


def first(plan: Plan, *stops: tuple[str, Side | None]) -> UnloadingStep:
    return unloading_steps(plan, order(*stops))[0]


def test_a_tie_down_that_also_holds_what_stays_is_not_simply_let_off() -> None:
    step = first(plan(), ("A", None), ("B C", None))
    assert step.let_off == ("T1",)
    assert step.shared == (("T2", ("C",)),)
    assert unloading_steps(plan(), order(("A", None), ("B C", None)))[1].let_off == ("T2", "T3")


def test_what_stays_loses_the_brace_that_comes_off() -> None:
    assert first(plan(), ("A", None)).unbraced == (("B", "forward", "A"),)
    assert first(plan(), ("A B", None)).unbraced == ()


def test_what_does_not_stand_alone_or_nobody_knows_is_held_first() -> None:
    step = first(plan(), ("C", None))
    assert (step.held_first, step.not_alone) == (("C",), ("B",))


@pytest.mark.parametrize(
    ("off", "side", "way"),
    [
        ("A", Side.LEFT, ("C",)),
        ("A", Side.RIGHT, ()),
        ("A", Side.REAR, ("B",)),
        ("A", Side.ABOVE, ()),
        ("B", Side.REAR, ()),
        ("C", Side.RIGHT, ("A",)),
        ("A C", Side.LEFT, ()),
    ],
)
def test_what_stands_between_an_article_and_its_side_is_in_the_way(
    off: str, side: Side, way: tuple[str, ...]
) -> None:
    assert first(plan(), (off, side)).in_the_way == way


def test_the_sides_where_nothing_is_in_the_way_are_named() -> None:
    assert first(plan(), ("A", None)).clear == (Side.RIGHT,)
    assert first(plan(), ("B", None)).clear == (Side.LEFT, Side.RIGHT, Side.REAR)


def test_without_a_place_nobody_can_tell_what_is_in_the_way() -> None:
    step = first(plan(placed=False), ("A", Side.LEFT))
    assert (step.in_the_way, step.clear) == (None, None)


def test_what_stands_on_top_comes_off_first_at_its_stop() -> None:
    assert first(plan(c_on="A"), ("A C", None)).articles == ("C", "A")


@pytest.mark.parametrize(
    ("stops", "why"),
    [
        ((("A", None), ("C", None)), "C stands on A, which comes off at stop 1"),
        ((("A C", None), ("A", None)), "A comes off twice"),
        ((("B B", None),), "B comes off twice"),
        ((("", None),), "stop 1 has no article"),
        ((("Z", None),), "there is no article 'Z'; there is: A, B, C"),
    ],
)
def test_what_is_no_order_is_refused(stops: tuple[tuple[str, Side | None], ...], why: str) -> None:
    with pytest.raises(OrderRefused, match=why):
        unloading_steps(plan(c_on="A"), order(*stops))
