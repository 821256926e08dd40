"""The roadside sheet: the answers an officer looks for."""

from datetime import timedelta
from pathlib import Path

import pytest

from tests.dossier.scene import STRAP, Office, office
from triplog.desk.checking import Found, Line, record_check
from triplog.desk.delivering import deliver
from triplog.desk.exempting import exempt_impracticable
from triplog.desk.gear import add_gear, set_standing
from triplog.desk.planning import use_file
from triplog.desk.road import stopped_draft
from triplog.desk.setting_up import record_carrier
from triplog.desk.trips import rules_change
from triplog.journal.things import Standing

BOTH_PAPERS = pytest.mark.parametrize("paper", ["letter", "a4"])


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    return office(tmp_path / "home")


# What it is and what it weighs


def test_the_masses_are_added_in_the_carriers_unit_with_the_other_beside(yard: Office) -> None:
    trip = yard.loaded(4, 0)
    # 3000 + 3100 + 3200 + 3300 lb; 12,600 x 0.45359237 kg = 5,715.26 kg, shown no lighter.
    assert yard.sheet(trip).figures["Articles of cargo, mass in all"] == "4: 12,600 lb (5,716 kg)"


def test_a_carrier_that_reads_si_sees_kilograms_first(tmp_path: Path) -> None:
    yard = office(tmp_path / "home", units="si")
    trip = yard.departed(yard.loaded(1, 2))
    sheet = yard.sheet(trip)
    assert sheet.figures["Articles of cargo, mass in all"] == "1: 1,361 kg (3,000 lb)"
    first = sheet.table("Tie-down")[0]
    # 3335 lb = 1,512.7 kg: what was marked stays as marked, what counts is rounded down.
    assert first["Rating (WLL)"] == "3335 lb marked"
    assert first["Counts as"] == "1,512 kg"


def test_masses_given_in_both_systems_are_added_exactly(yard: Office) -> None:
    trip = yard.with_article(yard.opened(), mass="1 t", length="5 ft")
    trip = yard.with_article(trip, mass="0.45359237 kg", length="5 ft")
    figure = yard.sheet(trip).figures["Articles of cargo, mass in all"]
    # 1000 kg = 2,204.62 lb, one pound more, and both rounded up.
    assert figure == "2: 2,206 lb (1,001 kg)"


def test_an_unknown_mass_is_said_beside_the_sum_of_the_others(yard: Office) -> None:
    trip = yard.with_article(yard.opened(), what="crate", mass="900 lb")
    trip = yard.with_article(trip, what="a crate nobody weighed")
    sheet = yard.sheet(trip)
    figure = sheet.figures["Articles of cargo, mass in all"]
    assert figure == "2: 900 lb (409 kg), 1 mass unknown"
    assert sheet.table("Article")[1] == {
        "Article": "B",
        "What it is": "a crate nobody weighed",
        "Mass": "unknown",
        "Length": "unknown",
        "Blocked forward by": "unknown",
    }


def test_no_mass_known_is_not_nought(yard: Office) -> None:
    trip = yard.with_article(yard.opened(), what="crate")
    figure = yard.sheet(trip).figures["Articles of cargo, mass in all"]
    assert figure == "1: mass unknown"


def test_what_has_been_delivered_is_not_counted_as_on_board(yard: Office) -> None:
    trip = yard.departed(yard.loaded(2, 4))
    left = deliver(yard.desk, trip, ["A"], stopped=True).trip
    assert yard.sheet(left).figures["Articles of cargo, mass in all"].startswith("1: 3,100 lb")
    yard.clock.forward(minutes=30)
    empty = deliver(yard.desk, left, ["B"], stopped=True).trip
    sheet = yard.sheet(empty)
    assert sheet.figures["Articles of cargo, mass in all"] == "none left, all delivered"
    assert sheet.table("Article")[0]["What it is"] == "pallet of bagged lime, delivered"


# Tie-downs, ratings, anchor points


def test_each_rating_says_whether_it_is_marked_or_a_default_or_unknown(yard: Office) -> None:
    trip = yard.with_article(yard.opened(), what="crate", mass="3000 lb", length="5 ft")
    trip = yard.with_strap(trip, "S-1", **{"from": "L1", "to": "R1"})
    trip = yard.with_strap(trip, "U-1", **{"from": "L2", "to": "R2"})
    trip = yard.with_strap(trip, "W-1", **{"from": "L3", "to": "R3"})
    sheet = yard.sheet(yard.judged(trip))
    rows = sheet.table("Tie-down")
    # 49 CFR 393.108(b), table of synthetic webbing: 2 in counts 2,000 lb; no row for 1 in.
    assert [row["Rating (WLL)"] for row in rows] == [
        "3335 lb marked",
        "2,000 lb default",
        "unknown",
    ]
    assert [row["Counts as"] for row in rows] == ["3,335 lb", "2,000 lb", "cannot tell"]
    assert sheet.figures["Tie-downs, by rating"] == "3: 1 marked, 1 default, 1 unknown"


def test_a_default_is_shown_as_its_table_prints_it(tmp_path: Path) -> None:
    yard = office(tmp_path / "home", units="si")
    trip = yard.with_article(yard.opened(), what="crate", mass="1400 kg", length="1.5 m")
    trip = yard.judged(yard.with_strap(trip, "U-1", **{"from": "L1", "to": "R1"}))
    # 49 CFR 393.108(b), table of synthetic webbing: 2 in is 910 kg in its own column.
    assert yard.sheet(trip).table("Tie-down")[0]["Rating (WLL)"] == "910 kg default"


def test_a_weak_anchor_point_shows_beside_what_the_tie_down_counts(yard: Office) -> None:
    trip = yard.judged(yard.loaded(1, 3))
    rows = yard.sheet(trip).table("Tie-down")
    assert rows[0]["Anchor points"] == "L1, R1: 5000 lb each"
    assert rows[2]["Anchor points"] == "L3: 1500 lb, R3: 5000 lb"
    assert rows[2]["Counts as"] == "1,500 lb"


def test_an_anchor_point_nobody_named_or_rated_is_said(yard: Office) -> None:
    plan = b"""{"format": "triplog-plan/1",
        "anchor": [{"id": "X", "at": ["1 ft", "centre"]}, {"id": "Y", "at": ["2 ft", "centre"]}],
        "article": [{"id": "A"}],
        "tie_down": [{"id": "T1", "holds": ["A"]}, {"id": "T2", "holds": ["A"], "from": "X"},
                     {"id": "T3", "holds": ["A"], "from": "X", "to": "Y"},
                     {"id": "T4", "holds": ["A"], "path": "direct", "from": "X",
                      "to": "the tow eye"}]}"""
    trip = yard.judged(yard.plan(yard.opened(), use_file(plan, "plan.json")))
    sheet = yard.sheet(trip)
    assert [row["Anchor points"] for row in sheet.table("Tie-down")] == [
        "an end not recorded, an end not recorded",
        "X: unknown, an end not recorded",
        "X: unknown, Y: unknown",
        "X: unknown, the tow eye",
    ]
    assert {row["Gear"] for row in sheet.table("Tie-down")} == {"unknown"}
    assert sheet.figures["Vehicle"] == "not recorded"


def test_damaged_gear_counts_nothing(yard: Office) -> None:
    add_gear(yard.desk, label="D-1", item=STRAP | {"wll": "3335 lb", "damage": [{"kind": "cut"}]})
    set_standing(yard.desk, "D-1", Standing.IN_STOCK, reason="needed today")
    trip = yard.with_article(yard.opened(), what="crate", mass="3000 lb", length="5 ft")
    trip = yard.judged(yard.with_strap(trip, "D-1", **{"from": "L1", "to": "R1"}))
    assert yard.sheet(trip).table("Tie-down")[0]["Counts as"] == "nothing"


# Findings


def test_verdicts_stand_side_by_side_with_what_there_is_for_what_is_needed(yard: Office) -> None:
    trip = yard.with_article(yard.opened(), what="crate", mass="8400 lb", length="12 ft",
                    blocked={"forward": "nothing"})  # fmt: skip
    for place in (1, 2, 3):
        ends = {"from": f"L{place}", "to": f"R{place}"}
        trip = yard.with_strap(trip, f"S-{place}", knots=False, **ends)
    sheet = yard.sheet(yard.judged(trip))
    (row,) = sheet.table("Findings")
    # 49 CFR 393.110(c): two for the first 10 ft and one for the rest. 393.106(d): half of 8,400 lb.
    # The house rule, the whole of it: common practice, no source.
    assert row == {
        "Findings": "A",
        "number of tie-downs, 49 CFR 393.110": "meets: 3 for 3",
        "aggregate working load limit, 49 CFR 393.106(d)": "meets: 8,170 for 4,200 lb",
        "combined rating, house rule, common practice, not law": (
            "does not meet: 8,170 for 8,400 lb"
        ),
    }
    (short,) = [one for one in sheet.table("Verdict") if one["Verdict"] == "does not meet"]
    assert (short["Finding"], short["What there is"]) == ("combined rating, house rule", "as above")


def test_a_trip_through_two_countries_shows_both_rules_beside_each_other(yard: Office) -> None:
    trip = yard.with_article(yard.opened(), what="crate", mass="8400 lb", length="10 ft",
                    blocked={"forward": "nothing"})  # fmt: skip
    for place in (1, 2):
        ends = {"from": f"L{place}", "to": f"R{place}"}
        trip = yard.with_strap(trip, f"S-{place}", knots=False, **ends)
    trip = yard.plan(trip, rules_change(["us-393", "ca-nsc10"]))
    (row,) = yard.sheet(yard.judged(trip)).table("Findings")
    # 49 CFR 393.110(b): two up to 10 ft; NSC Standard 10 s.22: 10 ft are over 3.04 m. Sums by us.
    assert row["number of tie-downs, 49 CFR 393.110"] == "meets: 2 for 2"
    (canada,) = (text for title, text in row.items() if title.startswith("number of tie-downs in"))
    assert canada == "does not meet: 2 for 3"
    assert any(title.startswith("aggregate working load limit in Canada") for title in row)


def test_what_is_not_known_is_named_and_alike_findings_share_a_row(yard: Office) -> None:
    trip = yard.with_article(yard.opened(), what="crate", mass="3000 lb", length="5 ft")
    for place, gear in ((1, "W-1"), (2, "W-2")):
        trip = yard.with_strap(trip, gear, **{"from": f"L{place}", "to": f"R{place}"})
    rows = yard.sheet(yard.judged(trip)).table("Verdict")
    rating = next(row for row in rows if row["Finding"].startswith("rating of the tie-down"))
    assert rating["Verdict"] == "cannot tell"
    assert rating["About"] == "T1, T2"
    assert rating["What there is"].startswith("not known: ")
    assert "W-1" in rating["What there is"]
    assert "W-2" in rating["What there is"]
    verdicts = [row["Verdict"] for row in rows]
    assert verdicts == sorted(verdicts, key=["does not meet", "cannot tell"].index)


def test_a_rule_that_is_no_law_for_the_vehicle_says_so(yard: Office) -> None:
    plan = b"""{"format": "triplog-plan/1",
        "vehicle": {"name": "pickup", "gross_mass": "8000 lb", "use": "other"},
        "article": [{"id": "A", "commodity": "general", "mass": "900 lb", "length": "4 ft"}]}"""
    trip = yard.judged(yard.plan(yard.opened(), use_file(plan, "plan.json")))
    (row,) = yard.sheet(trip).table("Findings")
    assert "number of tie-downs, 49 CFR 393.110, a yardstick, not law here" in row


def test_a_plan_that_was_changed_since_is_not_shown_as_judged(yard: Office) -> None:
    trip = yard.with_article(yard.judged(yard.loaded(1, 2)), what="one more", mass="100 lb")
    sheet = yard.sheet(trip)
    assert "The plan in force has not been judged." in sheet.words
    assert sheet.table("Findings") == []
    assert {row["Counts as"] for row in sheet.table("Tie-down")} == {"not judged"}


# Last look, next check


def test_before_departure_nothing_is_looked_at_or_due(yard: Office) -> None:
    figures = yard.sheet(yard.loaded(1, 2)).figures
    assert figures["Driver"] == "none yet, not departed"
    assert figures["Last look"] == "none yet, not departed"
    assert figures["Next check"] == "none runs, the trip is planned"


def test_the_next_check_is_told_by_odometer_and_by_time(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2))
    sheet = yard.sheet(trip)
    # 49 CFR 392.9(b)(2): within the first 50 miles; at 65 mph no sooner than 46 min after 07:18.
    assert sheet.figures["Last look"] == "none since departure"
    assert sheet.figures["Next check"] == "at odometer 24,180 mi or about 08:04 if driving goes on"
    assert sheet.table("State") == [
        {
            "State": "nothing due",
            "Check": "first check, within 50 mi of setting out with this load",
            "By odometer, about": "24,180 mi, 08:04",
            "Rule": "49 CFR 392.9(b)(2)",
        },
        {
            "State": "nothing due",
            "Check": "at the latest every 150 mi",
            "By odometer, about": "24,280 mi, 09:36",
            "Rule": "49 CFR 392.9(b)(3)(iii)",
        },
        {
            "State": "nothing due",
            "Check": "at the latest every 3 h of driving",
            "By odometer, about": "10:18",
            "Rule": "49 CFR 392.9(b)(3)(ii)",
        },
    ]


def test_the_last_look_says_when_at_what_reading_and_what_was_found(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 4))
    trip = yard.checked(trip, odometer="24150 mi", T3=Found.SLACK).trip
    figures = yard.sheet(trip).figures
    assert figures["Last look"] == "07:54, 24150 mi: T3 slack, tightened; 3 others not slack"
    # Stopped: no time can be told, so what is left of the driving time is.
    assert figures["Next check"] == "at odometer 24,300 mi or after 3 h 00 min of driving"


def test_a_look_without_a_find_and_without_a_reading_says_just_that(yard: Office) -> None:
    trip = yard.checked(yard.departed(yard.loaded(1, 2), odometer=None)).trip
    figures = yard.sheet(trip).figures
    assert figures["Last look"] == "07:48, odometer not read: 2 tie-downs looked at, none slack"


def test_a_look_at_some_tie_downs_is_no_check(yard: Office) -> None:
    trip = yard.checked(yard.departed(yard.loaded(1, 3)), odometer="24150 mi").trip
    yard.clock.forward(minutes=20)
    lines = [Line(tie_down="T1", found=Found.FINE), Line(tie_down="T2", found=Found.DAMAGED)]
    trip = record_check(yard.desk, trip, lines=lines, looked_at=(), stopped=True).trip
    figures = yard.sheet(trip).figures
    assert figures["Last look"] == (
        "08:11, odometer not read: T2 damaged; 1 other not slack; not looked at: T3"
    )
    assert figures["Last completed check"] == ("07:51, 24150 mi: 3 tie-downs looked at, none slack")


def test_a_late_check_and_a_check_of_another_day_say_so(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2))
    trip = yard.checked(trip, minutes=100, odometer="24200 mi").trip
    yard.clock.forward(minutes=24 * 60)
    assert yard.sheet(trip).figures["Last look"] == (
        "2026-03-02 08:58, 24200 mi: 2 tie-downs looked at, none slack; made late by 20.0 mi"
    )


def test_what_is_due_now_stands_first(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2))
    yard.clock.forward(minutes=60)
    sheet = yard.sheet(trip)
    assert (
        sheet.figures["Next check"]
        == "due, by estimate: first check, within 50 mi of setting out with this load"
    )
    assert sheet.table("State")[0]["State"] == "due, by estimate"


def test_without_odometer_and_top_speed_the_sheet_cannot_tell(yard: Office) -> None:
    plan = b"""{"format": "triplog-plan/1", "vehicle": {"name": "another truck"},
        "article": [{"id": "A"}]}"""
    trip = yard.plan(yard.opened(), use_file(plan, "plan.json"))
    trip = yard.departed(trip, odometer=None)
    sheet = yard.sheet(trip)
    # What can be told is told: the driving time of 49 CFR 392.9(b)(3)(ii).
    assert sheet.figures["Next check"] == "about 10:12 if driving goes on"
    yard.clock.forward(minutes=170)
    sheet = yard.sheet(trip)
    first = sheet.table("State")[0]
    assert sheet.figures["Next check"].startswith("cannot tell: check every 150 mi")
    assert (first["State"], first["By odometer, about"]) == ("cannot tell", "not known")


def test_exempt_checks_are_shown_as_exempt_with_their_grounds(yard: Office) -> None:
    trip = yard.departed(yard.loaded(1, 2))
    for stop in stopped_draft(yard.desk, trip, at=None):
        yard.desk.record(stop)
    trip = yard.trip(trip.label)
    exempt_impracticable(yard.desk, trip, reason="behind a welded grid", loaded_by="the shipper")
    sheet = yard.sheet(yard.trip("T-1"))
    # 49 CFR 392.9(b)(4).
    assert sheet.figures["Next check"] == "exempt: inspection impracticable"
    assert {row["State"] for row in sheet.table("State")} == {"exempt"}
    by = {row["By odometer, about"] for row in sheet.table("State")}
    assert by == {"inspection impracticable"}


# Who, where, when


def test_driver_vehicle_carrier_and_places_are_there(yard: Office) -> None:
    sheet = yard.sheet(yard.departed(yard.loaded(1, 2)))
    figures = sheet.figures
    assert [figures[name] for name in ("Driver", "Vehicle", "Carrier", "From", "To")] == [
        "driver",
        "flatbed",
        "the test carrier",
        "the yard",
        "the orchard behind the mill",
    ]
    assert sheet.document.title == "Roadside sheet, trip T-1"
    made = "made 2026-03-02 07:18 UTC-06:00; plan revision 4; the trip is rolling"
    assert sheet.document.subtitle == made


def test_the_day_on_the_sheet_is_the_drivers_day(yard: Office) -> None:
    trip = yard.loaded(1, 2)
    yard.clock.forward(minutes=17 * 60)
    # 00:18 UTC on the third is still the evening of the second where the truck stands.
    assert yard.clock.wall.day == 3
    assert "made 2026-03-02 18:" not in yard.sheet(trip).document.subtitle
    assert "2026-03-03 00:" in yard.sheet(trip).document.subtitle
    yard.clock.wall -= timedelta(hours=1)
    assert "2026-03-02 23:" in yard.sheet(trip).document.subtitle


def test_blanks_are_said_to_be_not_recorded(yard: Office) -> None:
    record_carrier(yard.desk, name="  ")
    figures = yard.sheet(yard.opened(origin=" ")).figures
    assert [figures[name] for name in ("Carrier", "From", "To")] == ["not recorded"] * 3
