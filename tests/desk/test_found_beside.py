"""What was found beside the tie-downs: recorded item by item, told on, and not forgotten.

What is looked at on the lap, edges, hooks, dunnage, cargo, tail, tarp, doors among it: common
practice, no source; tailgate, doors, tarps and the like are held too by 49 CFR 392.9(a)(2). That
cargo which has moved asks for a new plan, and what is not put right is told on: our reading.
"""

from collections.abc import Callable

import pytest

from tests.desk.seat import Seat
from triplog.desk.checking import (
    LOOKS,
    Checked,
    Fault,
    Found,
    ItemFound,
    Line,
    record_check,
    tie_downs_of,
)
from triplog.desk.handing_over import slip
from triplog.desk.mending import correct
from triplog.desk.refused import Refused
from triplog.desk.road import unrevised
from triplog.dossier.slip import slip_lines
from triplog.dossier.trip_sheet import trip_sheet
from triplog.wording.entries import gist

Sit = Callable[[str], Seat]


def check(seat: Seat, *items: ItemFound, looked_at: tuple[str, ...] = LOOKS) -> Checked:
    """All tie-downs fine, and what was found beside them."""
    lines = [Line(tie_down=name, found=Found.FINE) for name in tie_downs_of(seat.trip)]
    return record_check(
        seat.desk, seat.trip, lines=lines, looked_at=looked_at, items=items, stopped=True
    )


def found(item: str, fault: Fault, *, put_right: bool = False) -> ItemFound:
    return ItemFound(item=item, fault=fault, put_right=put_right)


@pytest.mark.parametrize("item", LOOKS)
def test_each_item_takes_what_was_found_and_was_looked_at_then(sit: Sit, item: str) -> None:
    seat = sit("a trip stopped")
    checked = check(seat, found(item, Fault.LOOSE), looked_at=())
    looks = checked.entry.body["looks"]
    assert isinstance(looks, list)
    assert [one for one in looks if one["looked_at"]] == [
        {"item": item, "looked_at": True, "found": "loose", "put_right": False}
    ]
    assert checked.complete


def test_where_nothing_is_found_nothing_is_said_of_it(sit: Sit) -> None:
    looks = check(sit("a trip stopped")).entry.body["looks"]
    assert looks == [{"item": item, "looked_at": True} for item in LOOKS]


def test_cargo_that_moved_asks_for_a_new_plan_and_a_moved_tarp_does_not(sit: Sit) -> None:
    seat = sit("a trip stopped")
    assert not check(seat, found("tarps", Fault.MOVED)).calls_for_new_plan
    assert unrevised(seat.trip) == ()
    seat.later(3)
    checked = check(seat, found("cargo", Fault.MOVED, put_right=True))
    assert checked.calls_for_new_plan
    assert unrevised(seat.trip) == (checked.entry.hash,)


def test_an_item_told_twice_or_not_on_the_lap_is_refused(sit: Sit) -> None:
    seat = sit("a trip stopped")
    with pytest.raises(Refused, match="named twice"):
        check(seat, found("tarps", Fault.LOOSE), found("tarps", Fault.OPEN))
    with pytest.raises(Refused, match="spare wheel is none of"):
        check(seat, found("spare wheel", Fault.LOOSE))


def slip_of(seat: Seat) -> str:
    lines = slip_lines(slip(seat.desk, seat.trip, seat.clock.read()), 100)
    return " ".join(" ".join(lines).split())


def test_what_was_not_put_right_stays_odd_until_somebody_finds_it_fine(sit: Sit) -> None:
    seat = sit("a trip stopped")
    check(
        seat, found("doors and tailgate", Fault.OPEN), found("tails", Fault.LOOSE, put_right=True)
    )
    told = "doors and tailgate open, not said to be put right"
    assert slip_of(seat).count(told) == 2, "in the last look, and as something odd"
    assert slip_of(seat).count("tails loose, put right") == 1
    seat.later(5)
    check(seat, looked_at=("cargo",))
    assert slip_of(seat).count(told) == 1, "nobody has looked at it since"
    seat.later(5)
    check(seat)
    assert slip_of(seat).count(told) == 0


def test_the_trip_sheet_and_the_list_of_entries_tell_it(sit: Sit) -> None:
    seat = sit("a trip stopped")
    checked = check(seat, found("edge protection", Fault.MISSING))
    told = "edge protection missing, not said to be put right"
    sheet = trip_sheet(seat.trip, {}, {}, seat.desk.now().wall, 0, invented=False)
    assert told in str(sheet)
    assert told in gist(checked.entry)


def test_the_tables_have_a_row_for_each_item(sit: Sit) -> None:
    seat = sit("a trip stopped")
    check(seat, found("edge protection", Fault.DAMAGED, put_right=True), looked_at=("cargo",))
    rows = seat.desk.store.raw.execute(
        "SELECT item, looked_at, found, put_right FROM check_look ORDER BY item"
    ).fetchall()
    told = {item: tuple(rest) for item, *rest in rows}
    assert told.keys() == set(LOOKS)
    assert told["edge protection"] == (1, "damaged", 1)
    assert told["cargo"] == (1, None, None)
    assert told["tarps"] == (0, None, None)


@pytest.mark.parametrize(
    ("said", "recorded"),
    [
        ("loose, put right", {"looked_at": True, "found": "loose", "put_right": True}),
        ("fine", {"looked_at": True}),
        ("not looked at", {"looked_at": False}),
    ],
)
def test_what_was_found_is_corrected_by_a_new_entry_and_the_rest_stays(
    sit: Sit, said: str, recorded: dict[str, object]
) -> None:
    seat = sit("a trip stopped")
    checked = check(seat, found("tarps", Fault.DAMAGED))
    seat.later(3)
    mended = correct(
        seat.desk, checked.entry.hash[:12], changes={"tarps": said}, at=None, reason="misread"
    )
    looks = mended.body["looks"]
    assert isinstance(looks, list)
    assert {"item": "tarps", **recorded} in looks
    assert len(looks) == len(LOOKS)
    assert mended.body["lines"] == checked.entry.body["lines"]
    with pytest.raises(Refused, match="says nothing that can be found"):
        correct(seat.desk, mended.hash[:12], changes={"tarps": "torn"}, at=None, reason="misread")
