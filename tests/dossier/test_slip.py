"""The hand-over slip: whoever has only its text knows the five things, and it is one page.

The five are common practice, no source: when the last look was, by whom and what was found; which
straps have been moving; anything odd; the counters since; and whether one has looked oneself.
The limits named are those of 49 CFR 392.9(b)(3).
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any, Literal

import pytest

from exports.pdf_sheet import write_pdf
from scheduler.progress import DutyStatus
from tests.desk.seat import Seat
from tests.desk.seat import take_seat as _take
from triplog.desk.checking import LOOKS, Found, Line, record_check
from triplog.desk.departing import depart
from triplog.desk.exempting import exempt_sealed
from triplog.desk.finding_things import person_named
from triplog.desk.handing_over import hand_over, slip
from triplog.desk.people import add_person
from triplog.desk.planning import change_plan, remove_tie_down
from triplog.desk.replacing import Order, replace_gear
from triplog.desk.road import change_duty, report_event
from triplog.dossier.slip import slip_document, slip_lines
from triplog.wording.slip import unmet_text

Sit = Callable[[str], Seat]


@pytest.fixture
def sit(tmp_path: Path) -> Any:
    taken: list[Seat] = []

    def in_scene(scene: str) -> Seat:
        seat = _take(scene, tmp_path)
        taken.append(seat)
        add_person(seat.desk, label="relief", roles=["drives"], name=None)
        return seat

    yield in_scene
    for seat in taken:
        seat.desk.store.close()


def look(seat: Seat, *lines: Line, odometer: str | None = None, note: str | None = None) -> None:
    """A look at the two tie-downs; those without a line are not looked at."""
    record_check(
        seat.desk,
        seat.trip,
        lines=list(lines),
        looked_at=LOOKS,
        stopped=True,
        odometer=odometer,
        note=note,
    )


def fine(*names: str) -> list[Line]:
    return [Line(tie_down=one, found=Found.FINE) for one in names]


def slack(name: str, notches: int | None = None) -> Line:
    return Line(tie_down=name, found=Found.SLACK, notches=notches)


def happened(seat: Seat, what: str, *tie_downs: str) -> None:
    report_event(
        seat.desk,
        seat.trip,
        what,
        stopped=True,
        tie_downs=list(tie_downs),
        moved=None,
        at=None,
        note=None,
        place=None,
    )


def drive(seat: Seat, driver: str = "owner", *, minutes: float) -> None:
    change_duty(
        seat.desk,
        seat.trip,
        DutyStatus.DRIVING,
        driver=person_named(seat.desk, driver).id,
        at=None,
        place=None,
        reason=None,
    )
    seat.later(minutes)


def over(seat: Seat, **more: Any) -> None:
    said: dict[str, Any] = {"to": "relief", "giver": "owner", "looked_together": None}
    hand_over(seat.desk, seat.trip, stopped=True, **(said | more))


def read(seat: Seat) -> dict[int, str]:
    """The slip as somebody reads it who has nothing but its text: the answers by their number."""
    text = "\n".join(slip_lines(slip(seat.desk, seat.trip, seat.clock.read()), 100))
    answers: dict[int, str] = {0: text}
    for number in range(1, 6):
        part = text.split(f"\n{number}. ", 1)[1].split("\n\n", 1)[0]
        answers[number] = " ".join(part.split())
    return answers


def test_the_five_things_are_read_from_the_text_alone(sit: Sit) -> None:
    seat = sit("a first check made")
    drive(seat, minutes=40)
    look(seat, slack("T2", 2), *fine("T1"), odometer="24170", note="dunnage split at the front")
    seat.later(5)
    drive(seat, minutes=30)
    over(seat, odometer="24195", open_points="T2 wants watching", looked_together=False)
    seat.later(10)
    told = read(seat)
    assert "First of all: a check is due now. Look at every tie-down and the load" in told[0]
    assert "crated pump 5200 lb; 2 tie-downs in all" in " ".join(told[0].split())
    assert "08:40, 45 min ago, by owner, 24170 mi" in told[1]
    assert "2 of 2 tie-downs: T2 slack, tightened; 1 other not slack" in told[1]
    assert "T2 (S-2) slack at 1 of 2 looks, tightened by 2 notches; from L3 to R3" in told[2]
    assert "T1" not in told[2]
    assert "T2 wants watching" in told[3]
    assert "dunnage split at the front" in told[3]
    assert "25.0 mi and 30 min of driving, since the last look at every tie-down" in told[4]
    assert "check after a change of duty status" in told[4]
    assert "law, 49 CFR 392.9(b)(3)(i);" in told[4]
    assert "the next is due within 150 mi or 3 h of driving, whichever comes first" in told[4]
    assert "No look by relief is recorded yet: look before you drive" in told[5]
    assert "Looked together no" in told[5]


def test_the_relief_drivers_own_check_changes_the_fifth_answer(sit: Sit) -> None:
    seat = sit("a first check made")
    over(seat)
    seat.later(5)
    seat.desk.by = person_named(seat.desk, "relief").id
    look(seat, *fine("T1"))
    assert "relief in part, at 08:05, just now: look at the rest" in read(seat)[5]
    seat.later(5)
    look(seat, *fine("T1", "T2"))
    told = read(seat)
    assert "relief yes, looked at 08:10, just now" in told[5]
    assert "by relief" in told[1]
    assert "No look" not in told[0]
    assert "First of all" not in told[0]
    assert "Next by odometer 24,306 mi" in told[4]
    assert "or sooner 3 h 00 min left, about 11:10 if driven on now" in told[4]
    assert "law, 49 CFR 392.9(b)(3)(iii); law, 49 CFR 392.9(b)(3)(ii)" in told[4]


def test_a_look_before_the_hand_over_or_by_another_is_no_look_of_ones_own(sit: Sit) -> None:
    seat = sit("a first check made")
    owner, relief = seat.desk.by, person_named(seat.desk, "relief").id
    seat.desk.by = relief
    look(seat, *fine("T1", "T2"))
    seat.later(5)
    seat.desk.by = owner
    over(seat)
    seat.later(5)
    look(seat, *fine("T1", "T2"))
    told = read(seat)[5]
    assert "No look by relief is recorded yet" in told
    assert "Earlier 08:00, 10 min ago, before this hand-over" in told


def test_straps_that_keep_going_slack_stand_first(sit: Sit) -> None:
    seat = sit("a first check made")
    look(seat, slack("T1", 1), slack("T2"))
    seat.later(5)
    look(seat, slack("T2", 3), *fine("T1"))
    seat.later(5)
    look(seat, Line(tie_down="T1", found=Found.FINE))
    told = read(seat)[2]
    assert "T2 (S-2) keeps going slack: find out why; slack at 2 of 3 looks" in told
    assert "T1 (S-1) slack at 1 of 4 looks, tightened by 1 notch" in told
    assert told.index("T2") < told.index("T1")


def test_a_tie_down_that_went_off_the_plan_is_told_after_those_on_it(sit: Sit) -> None:
    seat = sit("a first check made")
    look(seat, slack("T1", 2), slack("T2", 1))
    seat.later(5)
    look(seat, slack("T1", 2), *fine("T2"))
    change_plan(seat.desk, seat.trip, remove_tie_down("T1"))
    told = read(seat)[2]
    assert "T1 no longer on the plan; slack at 2 of 3 looks" in told
    assert told.index("T2 (S-2)") < told.index("T1 no longer")
    assert "none found slack" not in told


def test_a_part_look_is_called_one_and_the_last_whole_look_stands_beside_it(sit: Sit) -> None:
    seat = sit("a first check made")
    seat.later(5)
    look(seat, *fine("T1"))
    told = read(seat)[1]
    assert "a part look, 08:05" in told
    assert "not looked at: T2" in told
    assert "All of them 07:55" in told


def test_what_happened_stays_until_a_whole_look_and_a_broken_strap_for_good(sit: Sit) -> None:
    seat = sit("a first check made")
    happened(seat, "kerb")
    happened(seat, "broken strap", "T2")
    seat.later(5)
    told = read(seat)[3]
    assert "kerb; no look at every tie-down since" in told
    assert "broken strap, T2; no look at every tie-down since" in told
    assert "plan it anew before rolling" in told
    replace_gear(
        seat.desk,
        seat.trip,
        "T2",
        "S-3",
        order=Order.NEW_ON_FIRST,
        stopped=True,
        cause="cut on an edge",
        kept=None,
    )
    look(seat, *fine("T1", "T2"))
    told = read(seat)[3]
    assert "kerb" not in told
    assert "plan it anew" not in told
    assert "broken strap, T2" in told
    assert "T2: S-3 in place of S-2 at 08:05, cut on an edge" in told


def test_damage_found_is_told_until_the_gear_is_replaced(sit: Sit) -> None:
    seat = sit("a first check made")
    look(seat, Line(tie_down="T2", found=Found.DAMAGED), *fine("T1"))
    assert "Damaged T2, found at 08:00; no replacement is recorded" in read(seat)[3]


def test_an_exempt_load_says_so_and_counts_nothing(sit: Sit) -> None:
    seat = sit("a first check made")
    exempt_sealed(
        seat.desk,
        seat.trip,
        seal="4711",
        ordered_by="the shipper",
        ordered_at=seat.clock.wall,
        driver_has_key=False,
    )
    told = read(seat)
    assert "Exempt sealed and ordered not to open, seal 4711" in told[3]
    assert "exempt: sealed and ordered not to open" in told[4]
    assert "the load must not shift or fall all the same" in told[4]


def test_nothing_is_called_well_where_nobody_has_looked(sit: Sit) -> None:
    told = read(sit("a trip stopped"))
    assert "none since departure at 07:20, 35 min ago" in told[1]
    assert "nobody has looked since departure, so nobody knows" in told[2]
    assert "nothing odd is recorded" in told[3]
    assert "since departure" in told[4]
    assert "no hand-over is recorded: look before you drive" in told[5]


@pytest.mark.parametrize("scene", ["a trip planned", "a trip closed"])
def test_a_trip_that_is_not_under_way_has_its_slip_too(scene: str, sit: Sit) -> None:
    assert "none runs, the trip is" in read(sit(scene))[4]


def a_bad_day(seat: Seat) -> None:
    long = "and on and on, as people write who have waited for an hour in the rain " * 6
    look(seat, slack("T1", 1), slack("T2", 2), note=long)
    for what in ("kerb", "hard braking", "wind", "rough road"):
        seat.later(5)
        happened(seat, what)
    happened(seat, "broken strap", "T2")
    look(seat, slack("T2", 1), note=long)
    drive(seat, minutes=30)
    over(seat, open_points=long, place="Millbrook", odometer="24190")


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_bad_day_is_still_one_page(
    paper: Literal["letter", "a4"], sit: Sit, tmp_path: Path
) -> None:
    seat = sit("a first check made")
    a_bad_day(seat)
    document = slip_document(slip(seat.desk, seat.trip, seat.clock.read()))
    assert write_pdf(document, paper, tmp_path / "slip.pdf", seat.clock.wall) == 1


def test_what_does_not_fit_is_counted_and_said_where_it_stands(sit: Sit) -> None:
    seat = sit("a first check made")
    a_bad_day(seat)
    told = read(seat)
    assert "more: `triplog trip show T-1`" in told[3]
    assert "49 CFR 392.9(b)(3)(i)" in told[4]


def away(sit: Sit, *, through: tuple[str, ...] = (), carried_before: bool | None = None) -> Seat:
    """A trip that has just departed and stands ten minutes later."""
    seat = sit("a trip planned")
    depart(
        seat.desk,
        seat.trip,
        driver=seat.desk.by,
        odometer="24130",
        top_speed=None,
        next_stop=None,
        reason="no one else was there",
        through=through,
        carried_before=carried_before,
    )
    seat.later(10)
    over(seat)
    return seat


def test_what_the_departure_left_unmet_is_one_line_with_its_reason(sit: Sit) -> None:
    told = read(away(sit, carried_before=False))[3]
    assert "Left with not met: second look; reason: no one else was there" in told


def test_many_findings_are_named_by_their_first_titles_and_a_count() -> None:
    words = unmet_text(["a-a", "b-b", "c-c", "d-d", "d-d"], ["e-e"])
    assert words == "not met: a a, b b, c c and 1 more; not known: e e"


def test_where_no_distance_is_printed_the_slip_still_says_what_is_asked(sit: Sit) -> None:
    """GOV.UK, Securing loads on HGVs and goods vehicles, driver responsibilities."""
    told = read(away(sit, through=("GB",)))[4]
    assert "All the way check regularly; code of practice, GOV.UK, Securing loads" in told
    assert "by odometer" not in told
