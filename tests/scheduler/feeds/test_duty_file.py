"""The duty-record output file. Every file here is our own, with values worked out, not published;
rules are those of 49 CFR 395, subpart B, appendix A.
"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from scheduler.feeds.duty_file import MILE_MM, duty_file
from scheduler.feeds.duty_lines import event_check_value, file_check_value, line_check_value
from scheduler.feeds.readings import FeedRefused
from tests.scheduler.feeds import made
from tests.scheduler.feeds.made import WORKING_DAY, engine, event


def noted(data: bytes) -> list[str]:
    """What the reader says about a file."""
    return [str(one) for one in duty_file(data).noted]


def utc(hour: int, minute: int, day: int = 2, month: int = 3) -> datetime:
    """A moment of March 2026."""
    return datetime(2026, month, day, hour, minute, tzinfo=UTC)


def test_check_values_by_hand() -> None:
    """4.4.5.1 to .3; worked out, not published.

    No characters sum to 0, so the line of a co-driver there is none of is 96. "AB" sums to
    17 + 18 = 35 = 0x23; rotated left by three 0x19; 0x19 XOR 0x96 = 0x8F. Two lines of 96 sum to
    0x012C; each byte rotated 0x0861; XOR 0x969C = 0x9EFD.
    """
    assert line_check_value(",,,") == "96"
    assert line_check_value("A,B") == "8F"
    assert line_check_value("0001,1,1,1,4,112525,060000,0,0.0,35.22,-101.83,0,1,1,0,0,83") == "B4"
    assert event_check_value("0") == "C3"
    assert event_check_value("AB") == f"{0x19 ^ 0xC3:02X}"
    assert file_check_value([]) == "969C"
    assert file_check_value([0x96, 0x96]) == "9EFD"


def test_a_working_day_gives_duty_and_miles_in_order_of_time() -> None:
    found = duty_file(made.duty_file(*WORKING_DAY))
    assert [(one.at, str(one.status)) for one in found.duty] == [
        (utc(14, 0), "driving"),
        (utc(15, 0), "on duty"),
        (utc(15, 15), "driving"),
        (utc(17, 25), "off duty"),
    ]
    assert [(one.at, one.odometer_mm // MILE_MM) for one in found.readings] == [
        (utc(13, 30), 24130),
        (utc(14, 0), 24130),
        (utc(15, 0), 24182),
        (utc(15, 15), 24182),
        (utc(16, 15), 24233),
        (utc(17, 25), 24282),
        (utc(17, 30), 24282),
    ]
    assert found.noted == ()
    assert found.aside == ()
    assert found.units == ("12",)
    assert found.written_at == utc(23, 30)


def test_whole_miles_stand_for_an_interval_and_a_sum_of_two_for_twice_that() -> None:
    found = duty_file(made.duty_file(*WORKING_DAY))
    switched_on, on_the_way = found.readings[0], found.readings[2]
    assert switched_on.most_mm - switched_on.least_mm == MILE_MM * 3 // 2
    assert on_the_way.most_mm - on_the_way.least_mm == MILE_MM * 3


def test_accumulated_miles_begin_again_when_the_engine_is_switched_on() -> None:
    found = duty_file(
        made.duty_file(
            [event("2", "030226,150000", miles="10"), event("1", "030226,090000", miles="50")],
            [engine("4", "030226,140000", "24200"), engine("3", "030226,080000", "24100")],
        )
    )
    miles = [one.odometer_mm // MILE_MM for one in found.readings]
    assert miles == [24100, 24150, 24200, 24210]


def test_superseded_events_are_kept_and_do_not_count() -> None:
    found = duty_file(
        made.duty_file(
            [
                event("3", "030226,090500", code="4", origin="2"),
                event("2", "030226,090000", code="1", status="2"),
                event("1", "030226,080000", status="4"),
            ]
        )
    )
    assert [(one.at, one.made_by) for one in found.duty] == [(utc(15, 5), "by the driver")]
    assert [(one.what, one.why) for one in found.aside if "miles" not in one.what] == [
        ("off duty", "superseded: changed later"),
        ("driving", "a change that was asked for and rejected"),
    ]


def test_unidentified_driving_is_kept_and_is_nobodys_duty() -> None:
    found = duty_file(
        made.duty_file(*WORKING_DAY, nobody=[made.unidentified("0001", "030226,063000", "3")])
    )
    assert len(found.duty) == 4
    assert [(one.at, one.what, one.why) for one in found.aside] == [
        (utc(12, 30), "driving", "unidentified driving: nobody's")
    ]


def test_personal_use_has_blank_miles_and_is_bridged() -> None:
    found = duty_file(
        made.duty_file(
            [
                event("4", "030226,200000", kind="3", code="0", miles=""),
                event("3", "030226,190000", kind="3", code="1", miles=""),
                event("2", "030226,190000", code="1", miles=""),
            ],
            [engine("5", "030226,201000", "24300"), engine("1", "030226,070000", "24100")],
        )
    )
    assert [one.odometer_mm // MILE_MM for one in found.readings] == [24100, 24300]
    assert [one.what for one in found.aside] == [
        "personal use or yard move ends",
        "personal use begins",
    ]


def test_mixed_line_ends_are_taken_and_told() -> None:
    data = made.duty_file(*WORKING_DAY)
    mixed = data.replace(b"\r\n", b"\n", 3).replace(b"\r\n", b"\r", 4)
    assert len(duty_file(mixed).duty) == 4
    assert "the line ends are mixed (3 × LF, 4 × CR" in noted(mixed)[0]


@pytest.mark.parametrize("end", ["\r", "\n", "\r\n"])
def test_each_kind_of_line_end_alone_is_nothing_to_tell(end: str) -> None:
    assert noted(made.duty_file(*WORKING_DAY, end=end)) == []


@pytest.mark.parametrize(
    "title", ["CMV List:", "User List:", "Unidentified Driver Profile Records:"]
)
def test_a_missing_segment_is_told_and_the_rest_is_read(title: str) -> None:
    data = made.duty_file(*WORKING_DAY, leave_out=[title])
    assert len(duty_file(data).duty) == 4
    assert f"the segment “{title[:-1]}” is missing" in noted(data)


def test_a_file_cut_off_is_told() -> None:
    said = noted(made.duty_file(*WORKING_DAY)[:-30])
    assert "the file has no end line; it may be cut off" in said


def test_a_wrong_check_value_is_told_and_the_line_is_read_all_the_same() -> None:
    changed = made.duty_file(*WORKING_DAY).replace(b",080000,0,", b",080000,1,", 1)
    assert len(duty_file(changed).duty) == 4
    said = noted(changed)
    assert any("the line's check value is" in one for one in said)
    assert any("the event's check value is" in one for one in said)


def test_digits_in_another_order_are_not_noticed_by_a_check_value() -> None:
    """A sum forgets the order: these values find typing slips and are no protection."""
    assert line_check_value("1,104") == line_check_value("1,401")


def test_a_line_of_other_fields_is_told_and_not_read() -> None:
    data = made.duty_file(["0001,1,1,1,3,030226,080000,0,55"], WORKING_DAY[1])
    assert duty_file(data).duty == ()
    assert any("8 fields where 17 were expected; not read" in one for one in noted(data))


def test_miles_below_an_earlier_reading_are_put_aside() -> None:
    found = duty_file(
        made.duty_file(
            [], [engine("2", "030226,090000", "14200"), engine("1", "030226,080000", "24100")]
        )
    )
    assert [one.odometer_mm // MILE_MM for one in found.readings] == [24100]
    assert [one.why for one in found.aside] == ["below an earlier one"]


def test_miles_of_each_power_unit_stand_by_themselves() -> None:
    found = duty_file(
        made.duty_file(
            [],
            [engine("2", "030226,090000", "800", unit="14"), engine("1", "030226,080000", "24100")],
            units=("12", "14"),
        )
    )
    assert [(one.unit, one.odometer_mm // MILE_MM) for one in found.readings] == [
        ("12", 24100),
        ("14", 800),
    ]


ACROSS = made.duty_file(
    [event("2", "030826,100000", code="4"), event("1", "030726,100000")], written="030826,120000"
)
"""The clocks of the United States went forward on 8 March 2026 at two (15 U.S.C. 260a)."""


def test_times_on_the_other_side_of_a_clock_change_are_put_aside_with_the_reason() -> None:
    found = duty_file(ACROSS)
    assert [one.at for one in found.duty] == [utc(16, 0, day=8)]
    driving = [one for one in found.aside if one.what == "driving"]
    assert [one.at for one in driving] == [utc(16, 0, day=7)]
    assert "it may be an hour off" in driving[0].why


def test_with_the_home_terminals_zone_both_sides_of_a_clock_change_are_read() -> None:
    found = duty_file(ACROSS, zone=ZoneInfo("America/Chicago"))
    assert [one.at for one in found.duty] == [utc(16, 0, day=7), utc(15, 0, day=8)]


@pytest.mark.parametrize(
    ("at", "why"), [("110126,013000", "came twice"), ("030826,023000", "never came")]
)
def test_an_hour_that_came_twice_or_never_is_put_aside(at: str, why: str) -> None:
    found = duty_file(made.duty_file([event("1", at)]), zone=ZoneInfo("America/Chicago"))
    assert found.duty == ()
    assert why in found.aside[0].why


def test_leading_zeros_lost_in_a_spreadsheet_are_no_matter() -> None:
    found = duty_file(made.duty_file([event("1", "30226,80000")]))
    assert [one.at for one in found.duty] == [utc(14, 0)]


def test_a_file_that_does_not_say_its_offset_asks_for_the_zone() -> None:
    data = made.duty_file(*WORKING_DAY, leave_out=[made.HEADER])
    with pytest.raises(FeedRefused, match="--zone"):
        duty_file(data)
    assert len(duty_file(data, zone=ZoneInfo("America/Chicago")).duty) == 4


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"\x00\x01", "no text"),
        (b"", "none of the title lines"),
        (b"hello, world\n1,2,3\n", "none of the title lines"),
        (b"\xff\xfe\x80" * 100, "none of the title lines"),
        (b"\n" * 300_000, "300,001 lines"),
    ],
)
def test_what_is_no_duty_record_file_is_refused(data: bytes, sentence: str) -> None:
    with pytest.raises(FeedRefused, match=sentence):
        duty_file(data)
