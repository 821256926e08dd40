"""After an incident: facts as far as known, a hold in the same transaction, later facts, pieces."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from tests.builders import OFFSET_MIN
from tests.desk.seat import Seat
from tests.pictures import canvas, jpeg
from triplog.desk.desk import NOBODY
from triplog.desk.due_now import due_now
from triplog.desk.gear import usable_gear
from triplog.desk.holding import holds_over, lift_trip_hold
from triplog.desk.incident import Facts, add_facts, keep_piece, read_fact, report
from triplog.desk.incident_report import incident_facts
from triplog.desk.mending import correct
from triplog.desk.people import add_person
from triplog.desk.photos import add_photos, take_in
from triplog.desk.refused import Refused
from triplog.desk.road import unrevised
from triplog.dossier.incident_lists import picture_rows, piece_rows, register_rows, told_rows
from triplog.wording.incident import PICTURES, PIECES, QUESTIONS, REGISTER, UNKNOWN
from triplog.wording.photos import SHOWN

Sit = Callable[[str], Seat]
NOTHING = dict.fromkeys(QUESTIONS)


def facts(place: str | None = None, **answers: bool | int) -> Facts:
    return Facts(answers={**NOTHING, **answers}, place=place)


def reported(seat: Seat, told: Facts | None = None, *, minutes_ago: int | None = None) -> None:
    at = None if minutes_ago is None else seat.clock.wall - timedelta(minutes=minutes_ago)
    report(seat.desk, seat.trip, told or facts(), at=at, stopped=True)
    seat.later(1)


def register(seat: Seat) -> dict[str, str]:
    return dict(register_rows(seat.trip, incident_facts(seat.desk, seat.trip)))


def test_with_nothing_known_it_is_recorded_and_everything_is_unknown(sit: Sit) -> None:
    seat = sit("a trip stopped")
    before = seat.count()
    made = report(seat.desk, seat.trip, facts(), at=None, stopped=True)
    assert (made.entry.body, seat.opened(made.entry), made.moved) == ({}, {}, False)
    assert seat.count() == before + 2
    (placed,) = made.holds
    assert placed.body == {"incident": made.entry.hash}
    assert placed.entry_time == made.entry.entry_time
    assert [fact.original for fact in seat.trip.holds] == [placed]
    fields = register(seat)
    assert list(fields) == [title for _, title in REGISTER]
    assert fields["Number of injuries"] == fields["Number of fatalities"] == UNKNOWN
    assert fields["Date"].startswith(UNKNOWN)
    assert fields[REGISTER[1][1]] == fields[REGISTER[5][1]] == UNKNOWN
    assert fields["Driver's name"].endswith("the only driver on board by the log")


def test_the_six_fields_are_those_of_49_cfr_390_15_b_1() -> None:
    # 49 CFR 390.15(b)(1)(i) to (vi), read in the edition of 2007 and in one after the amendment of
    # 17 May 2018: date; city or town and state; driver name; injuries; fatalities; release of
    # hazardous materials other than fuel spilled from the tanks.
    assert [name for name, _ in REGISTER] == [
        "date",
        "place",
        "driver",
        "injured",
        "killed",
        "hazardous_release",
    ]


def test_the_facts_told_last_fill_the_register(sit: Sit) -> None:
    seat = sit("a trip stopped")
    reported(seat, facts("Fern Hollow, Ohio", injured=1, killed=0), minutes_ago=3)
    assert register(seat)["Date"] == "2026-03-02 07:52, entered 3 min later"
    add_person(seat.desk, label="relief", roles=["drives"], name="the relief's own name")
    later = Facts(answers={**NOTHING, "injured": 2, "hazardous_release": False}, driver="relief")
    add_facts(seat.desk, seat.trip, later, at=None)
    fields = register(seat)
    assert (fields["Number of injuries"], fields["Number of fatalities"]) == ("2", "0")
    assert fields["Driver's name"] == "the relief's own name (relief)"
    assert fields[REGISTER[1][1]] == "Fern Hollow, Ohio"
    assert fields[REGISTER[5][1]] == "no"


def test_what_was_told_wrongly_is_corrected_and_both_stay(sit: Sit) -> None:
    seat = sit("a trip stopped")
    reported(seat, facts(injured=1, load_moved=True))
    first = seat.last("incident_reported")
    changes = {"injured": "unknown", "killed": "0", "place": "near Fern Hollow"}
    made = correct(seat.desk, first.hash, changes=changes, at=None, reason="misheard")
    assert made.body == {"load_moved": True, "killed": 0}
    assert register(seat)["Number of injuries"] == UNKNOWN
    assert register(seat)[REGISTER[1][1]] == "near Fern Hollow"
    seat.later(1)
    at = seat.clock.wall - timedelta(minutes=5)
    correct(seat.desk, made.hash, changes={}, at=at, reason="by the camera's clock")
    assert UNKNOWN not in register(seat)["Date"]
    with pytest.raises(Refused, match="yes, no or unknown"):
        last = seat.last("incident_reported")
        correct(seat.desk, last.hash, changes={"towed": "maybe"}, at=None, reason="x")


def test_gear_named_is_kept_as_evidence_and_planned_no_more(sit: Sit) -> None:
    seat = sit("a trip stopped")
    made = report(seat.desk, seat.trip, facts(), at=None, stopped=True, gear=["S-2"])
    on_trip, on_gear = made.holds
    assert (on_trip.trip, on_gear.trip) == (seat.trip.id, None)
    assert on_gear.body["incident"] == made.entry.hash
    with pytest.raises(Refused, match="incident on trip T-1"):
        usable_gear(seat.desk, "S-2")
    with pytest.raises(Refused, match="no gear is called"):
        report(seat.desk, seat.trip, facts(), at=None, stopped=True, gear=["S-99"])


def test_a_load_that_moved_asks_for_a_check_and_a_new_plan(sit: Sit) -> None:
    seat = sit("a first check made")
    assert not unrevised(seat.trip)
    reported(seat, facts(load_fell=True))
    assert seat.last("event_reported").body == {"what": "load moved"}
    assert unrevised(seat.trip)
    (trip,) = due_now(seat.desk.home, seat.clock).trips
    assert any(check.is_due for check in trip.due)


def test_whoever_drives_says_first_that_it_stands_and_the_office_need_not(sit: Sit) -> None:
    seat = sit("a trip rolling")
    with pytest.raises(Refused, match="duty status is driving"):
        report(seat.desk, seat.trip, facts(), at=None, stopped=False)
    assert not seat.entries("incident_reported")
    driver = seat.desk.by
    seat.desk.by = NOBODY
    with pytest.raises(Refused, match="duty status is driving"):
        report(seat.desk, seat.trip, facts(), at=None, stopped=False)
    seat.desk.by = driver
    office = add_person(seat.desk, label="office", roles=["office"], name=None)
    seat.desk.by = str(office.body["id"])
    reported(seat)
    assert str(seat.trip.state) == "rolling"
    seat.desk.by = driver
    report(seat.desk, seat.trip, facts(damage=True), at=None, stopped=True)
    assert str(seat.trip.state) == "stopped"


@pytest.mark.parametrize("scene", ["a trip planned", "a trip closed"])
def test_it_may_happen_at_the_yard_before_or_after_the_road(sit: Sit, scene: str) -> None:
    seat = sit(scene)
    reported(seat, facts(load_fell=True, injured=1))
    assert seat.trip.holds
    assert not seat.entries("event_reported")


def test_lifting_its_hold_is_all_that_frees_the_trip(sit: Sit) -> None:
    seat = sit("a trip stopped")
    reported(seat)
    correct(seat.desk, seat.last("incident_reported").hash, changes={"killed": "0"}, at=None,
            reason="known now")  # fmt: skip
    entries = seat.desk.store.trip_entries(seat.trip.id)
    assert holds_over(seat.desk, entries)
    lift_trip_hold(seat.desk, seat.trip, hold=None, reason="the matter is closed")
    assert not holds_over(seat.desk, entries)


def test_later_facts_need_an_incident_and_something_to_tell(sit: Sit) -> None:
    seat = sit("a trip stopped")
    with pytest.raises(Refused, match="has no incident"):
        add_facts(seat.desk, seat.trip, facts(injured=1), at=None)
    reported(seat)
    with pytest.raises(Refused, match="say what is known now"):
        add_facts(seat.desk, seat.trip, facts(), at=None)
    with pytest.raises(Refused, match="--told is one of"):
        add_facts(seat.desk, seat.trip, Facts(answers=NOTHING, told=("a friend",)), at=None)
    with pytest.raises(Refused, match="contradict"):
        told = Facts(answers={**NOTHING, "police_called": False}, told=("police",))
        add_facts(seat.desk, seat.trip, told, at=None)


def test_who_was_told_stands_with_its_time_or_with_none(sit: Sit) -> None:
    seat = sit("a trip stopped")
    reported(seat)
    at = seat.clock.wall - timedelta(minutes=2)
    made = add_facts(seat.desk, seat.trip, Facts(answers=NOTHING, told=("police",)), at=at)
    assert made.body["police_called"] is True
    add_facts(seat.desk, seat.trip, Facts(answers=NOTHING, told=("office",)), at=None)
    rows = told_rows(seat.trip, incident_facts(seat.desk, seat.trip))
    assert [(who, "time not told" in when) for who, when, _ in rows] == [
        ("police", False),
        ("office", True),
    ]


def test_each_piece_stands_with_where_it_is_and_who_has_it(sit: Sit) -> None:
    seat = sit("a trip stopped")
    reported(seat)
    keep_piece(seat.desk, seat.trip, "strap", tie_down="T2", gear="S-2", place="office safe")
    keep_piece(seat.desk, seat.trip, "tag or label", state="not found")
    strap, tag, *others = piece_rows(seat.trip, incident_facts(seat.desk, seat.trip))
    assert strap[:4] == ("strap", "kept", "T2, S-2", "office safe")
    assert strap[4].startswith("owner, 2026-03-02")
    assert tag[:3] == ("tag or label", "not found", "not told")
    assert {row[0] for row in others} == set(PIECES) - {"strap", "tag or label"}
    assert {row[1] for row in others} == {"nothing recorded"}
    assert seat.opened(seat.entries("piece_kept")[0]) == {"place": "office safe"}
    for bad in ({"piece": "wheel"}, {"piece": "strap", "state": "lost"},
                {"piece": "strap", "tie_down": "T9"}):  # fmt: skip
        with pytest.raises(Refused):
            keep_piece(seat.desk, seat.trip, **bad)


def test_each_picture_has_a_word_that_a_photo_can_be_given() -> None:
    assert {word for word, _ in PICTURES} <= set(SHOWN)


def test_the_pictures_to_take_are_all_there_and_none_is_ticked_at_first(sit: Sit) -> None:
    seat = sit("a trip stopped")
    reported(seat)
    rows = picture_rows(seat.trip)
    assert [row[0] for row in rows] == [word for word, _ in PICTURES]
    assert {row[1] for row in rows} == {"not yet"}


@pytest.mark.parametrize("typed", ["-1", "1.5", "many", "1000", "²", ""])
def test_a_number_of_people_that_is_none_is_refused(typed: str) -> None:
    with pytest.raises(Refused, match="no number of people"):
        read_fact("injured", typed)


def test_a_fact_is_read_as_yes_no_or_unknown() -> None:
    assert [read_fact("towed", word) for word in ("Yes", "no", "unknown")] == [True, False, None]
    assert [read_fact("killed", word) for word in ("0", "12", "Unknown")] == [0, 12, None]
    assert OFFSET_MIN == -360, "the times of these tests are local at six hours behind UTC"


def test_a_photo_taken_in_since_ticks_its_picture_and_an_earlier_one_does_not(
    sit: Sit, tmp_path: Path
) -> None:
    seat = sit("a trip stopped")
    _photograph(seat, tmp_path / "before.jpg", "rear", mark=1)
    seat.later(1)
    reported(seat)
    _photograph(seat, tmp_path / "after.jpg", "front", mark=2)
    ticked = {word: taken for word, taken, _ in picture_rows(seat.trip)}
    assert (ticked["front"], ticked["rear"]) == ("1", "not yet")


def _photograph(seat: Seat, file: Path, shows: str, *, mark: int) -> None:
    file.write_bytes(jpeg(canvas(mark=mark)))
    add_photos(
        seat.desk,
        seat.trip,
        take_in([file]),
        shows=[shows],
        tie_downs=[],
        gear=[],
        stopped=True,
        note=None,
        place=None,
    )
