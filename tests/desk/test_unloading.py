"""The order of unloading on a trip: recorded, judged after each stop, drawn, on the plan sheet."""

from collections.abc import Callable
from pathlib import Path

import pytest

from exports.document import Heading, Picture
from tests.builders import OFFSET_MIN
from tests.desk.seat import Seat, with_a_pallet
from triplog.desk.delivering import deliver
from triplog.desk.refused import Refused
from triplog.desk.unloading import (
    PICTURE,
    plan_unloading,
    stop_typed,
    unloading_of,
    write_unloading_picture,
)
from triplog.dossier.plan_sheet import plan_sheet
from triplog.journal.entries import Entry
from triplog.securement.unloading import Side

Sit = Callable[[str], Seat]
PALLET = {
    "width": "4 ft",
    "height": "4 ft",
    "at": ["11 ft", "centre"],
    "blocked": {"forward": "A"},
    "stands_unaided": True,
}


def planned(seat: Seat, *stops: str) -> Entry:
    return plan_unloading(
        seat.desk,
        seat.trip,
        tuple(stop_typed(one, number) for number, one in enumerate(stops, 1)),
        note=None,
    )


def two(sit: Sit, scene: str = "a trip planned") -> Seat:
    """A crated pump, and a pallet tight behind it."""
    return with_a_pallet(sit(scene), **PALLET)


def test_the_stops_are_recorded_as_typed(sit: Sit) -> None:
    seat = two(sit)
    entry = planned(seat, "A:right", "B")
    assert entry.body["stops"] == [{"articles": ["A"], "side": "right"}, {"articles": ["B"]}]
    assert seat.trip.plan is not None
    assert entry.body["revision"] == seat.trip.plan.entry.hash


def test_what_is_left_after_a_stop_is_judged_as_it_is_tied_now(sit: Sit) -> None:
    """49 CFR 393.110(c): what nothing blocks forward needs more once its brace is gone."""
    seat = two(sit)
    planned(seat, "A:right", "B:rear")
    found = unloading_of(seat.trip)
    first, last = found.left_open
    assert first
    assert last is None
    assert not found.is_settled
    seat.later(3)
    planned(seat, "B:rear", "A:right")
    assert unloading_of(seat.trip).is_settled


def test_an_article_without_a_stop_is_named(sit: Sit) -> None:
    seat = two(sit)
    planned(seat, "B")
    found = unloading_of(seat.trip)
    assert found.on_no_stop == ("A",)
    assert not found.is_settled


def test_what_has_been_delivered_is_no_longer_in_the_order_and_stops_keep_their_numbers(
    sit: Sit,
) -> None:
    seat = two(sit, "a trip stopped")
    planned(seat, "B:rear", "A:right")
    deliver(seat.desk, seat.trip, ["B"], stopped=True)
    (step,) = unloading_of(seat.trip).steps
    assert (step.number, step.articles, step.side) == (2, ("A",), Side.RIGHT)


@pytest.mark.parametrize("stop", ["A:over there", "Z", ":left", ""])
def test_what_is_no_stop_is_refused(stop: str, sit: Sit) -> None:
    seat = two(sit)
    before = seat.count()
    with pytest.raises(Refused):
        planned(seat, stop)
    assert seat.count() == before


def test_without_an_order_it_says_how_to_plan_one(sit: Sit) -> None:
    with pytest.raises(Refused, match="--stop"):
        unloading_of(two(sit).trip)


def test_no_order_is_planned_while_driving(sit: Sit) -> None:
    with pytest.raises(Refused, match="driving"):
        planned(sit("a trip rolling"), "A")


def test_the_picture_shows_the_stops_and_tells_them_in_words(sit: Sit, tmp_path: Path) -> None:
    seat = two(sit)
    planned(seat, "A:right", "B:rear")
    path = write_unloading_picture(unloading_of(seat.trip), tmp_path / "pictures")
    drawn = path.read_text("utf-8")
    assert path.name == f"{PICTURE}.svg"
    assert ">1</text>" in drawn
    assert ">2</text>" in drawn
    assert "B loses its brace forward, A: block or tie it before rolling" in drawn
    with pytest.raises(Refused, match="there already"):
        write_unloading_picture(unloading_of(seat.trip), tmp_path / "pictures")


def test_the_plan_sheet_has_the_picture_and_the_words_for_the_loader(sit: Sit) -> None:
    seat = two(sit)
    now = seat.desk.now().wall
    before = plan_sheet(seat.trip, now, OFFSET_MIN, invented=False)
    planned(seat, "A:right", "B:rear")
    after = plan_sheet(seat.trip, now, OFFSET_MIN, invented=False)
    pictures = [
        len([one for one in sheet.blocks if isinstance(one, Picture)]) for sheet in (before, after)
    ]
    assert pictures[1] == pictures[0] + 1
    headings = [one.text for one in after.blocks if isinstance(one, Heading)]
    assert "stop 1: A, from the right" in headings
