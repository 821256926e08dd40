"""NMEA 0183: check values, RMC sentences, and what is left out with a reason."""

from datetime import UTC, datetime, timedelta

import pytest

from scheduler.feeds.nmea import NmeaReader, check_value, read_nmea
from scheduler.feeds.readings import FeedRefused, Fix
from tests.scheduler.feeds.made import START, rmc, sentence

REMEMBERED = "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A"


def read(*lines: str, near: datetime = START) -> tuple[list[Fix], list[str]]:
    """The fixes of some lines, and what was said about them."""
    reader = NmeaReader(near=near)
    fixes = list(reader.read(lines))
    return fixes, [str(one) for one in reader.report()]


@pytest.mark.parametrize(
    ("line", "source"),
    [
        (
            "$GPGGA,092204.999,4250.5589,S,14718.5084,E,1,04,24.4,19.7,M,,,,0000*1F",
            "published example of a GGA sentence with its check value",
        ),
        (
            "$GPGGA,015808.00,2726.53758,S,15126.05255,E,1,08,1.0,365.1,M,39.5,M,,*79",
            "published example of a GGA sentence with its check value",
        ),
        (REMEMBERED, "from memory"),
    ],
)
def test_the_check_value_is_the_xor_of_what_is_between(line: str, source: str) -> None:
    """NMEA 0183, check sum: XOR of all characters between `$` and `*`."""
    body, value = line[1:].split("*")
    assert check_value(body) == value, source


def test_an_rmc_sentence_gives_place_time_and_speed() -> None:
    """The sentence is from memory; 1 knot is 1,852 m an hour exactly."""
    fixes, said = read(REMEMBERED, near=datetime(1994, 6, 1, tzinfo=UTC))
    assert said == []
    assert fixes[0].at == datetime(1994, 3, 23, 12, 35, 19, tzinfo=UTC)
    assert fixes[0].lat_deg == pytest.approx(48 + 7.038 / 60)
    assert fixes[0].lon_deg == pytest.approx(11 + 31 / 60)
    assert fixes[0].speed_m_per_s == pytest.approx(22.4 * 1852 / 3600)


def test_south_and_west_are_negative() -> None:
    fixes, _ = read(sentence("GNRMC,130000,A,2726.5,S,15126.0,W,0.0,0.0,020326,,"))
    assert (fixes[0].lat_deg, fixes[0].lon_deg) == (-(27 + 26.5 / 60), -(151 + 26 / 60))


def test_only_status_a_is_used_and_the_rest_is_counted() -> None:
    fixes, said = read(rmc(START, 0.0), rmc(START + timedelta(seconds=1), 0.1, status="V"))
    assert len(fixes) == 1
    assert said == ["1 sentences without a valid fix (status V); left out"]


def test_a_wrong_check_value_is_told_with_the_right_one() -> None:
    fixes, said = read(REMEMBERED.replace("*6A", "*6B"), REMEMBERED.replace("*6A", ""))
    assert fixes == []
    assert said == [
        "row 1: the check value is 6B, worked out 6A; left out",
        "row 2: the sentence has no check value; left out",
    ]


@pytest.mark.parametrize(
    ("body", "why"),
    [
        ("GPRMC,130000,A,0000.0,N", "5 fields"),
        ("GPRMC,250000,A,0000.0,N,00000.0,E,0,0,020326,,", "no date and time"),
        ("GPRMC,130000,A,0000.0,N,00000.0,E,0,0,310226,,", "no date and time"),
        ("GPRMC,130000,A,9100.0,N,00000.0,E,0,0,020326,,", "no place on Earth"),
        ("GPRMC,130000,A,0061.0,N,00000.0,E,0,0,020326,,", "no place on Earth"),
        ("GPRMC,130000,A,,,,,0,0,020326,,", "no place on Earth"),
    ],
)
def test_a_sentence_that_cannot_be_is_left_out_with_the_reason(body: str, why: str) -> None:
    fixes, said = read(sentence(body))
    assert fixes == []
    assert why in said[0]


def test_a_receiver_1024_weeks_behind_is_counted_forward_and_that_is_said() -> None:
    """The week number of GPS has ten bits and turns over after 1,024 weeks (common practice)."""
    behind = START - timedelta(weeks=1024)
    fixes, said = read(rmc(behind, 0.0))
    assert fixes[0].at == START
    assert said == [
        "the receiver's dates are 1,024 weeks behind, as old receivers are; they were counted"
        " forward"
    ]


def test_a_date_that_no_whole_turn_brings_close_is_taken_as_it_stands() -> None:
    old = START - timedelta(weeks=700)
    fixes, said = read(rmc(old, 0.0))
    assert (fixes[0].at, said) == (old, [])


def test_thousands_of_broken_lines_are_told_a_few_hundred_times_and_then_counted() -> None:
    _, said = read(*["$GPRMC,1*00"] * 5000)
    assert len(said) == 201
    assert said[-1] == "4800 further lines are not understood"


def test_a_log_with_stamps_before_the_sentences_and_other_sentences_is_read() -> None:
    rows = [f"07:00:00 {rmc(START, 0.0)}", sentence("GPGSV,1,1,00"), rmc(START, 0.1)]
    log = read_nmea(["\r\n".join(rows).encode()], "log", START)
    assert (len(log.fixes), log.noted) == (2, ())


@pytest.mark.parametrize("written", [b"\x00\xff\x10" * 4000, b"hello\n", b"$GPGGA,1*00\n"])
def test_a_file_without_rmc_is_refused(written: bytes) -> None:
    with pytest.raises(FeedRefused, match="no RMC sentence"):
        read_nmea([written], "log", START)
