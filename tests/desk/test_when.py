"""When something happened, as people say it."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.builders import OFFSET_MIN, StandingClock
from triplog.desk.refused import Refused
from triplog.desk.when import moment
from triplog.journal.entries import to_milliseconds

NOW = StandingClock().read()
"""07:00 on a Monday where the trucks stand."""


@pytest.mark.parametrize(
    ("said", "ago"),
    [
        ("06:31", timedelta(minutes=29)),
        ("6:31", timedelta(minutes=29)),
        ("07:00", timedelta(0)),
        ("07:02", timedelta(0)),
        ("07:03", timedelta(hours=23, minutes=57)),
        ("2026-03-01 07:00", timedelta(days=1)),
        ("2026-03-01T07:00", timedelta(days=1)),
        ("20 min ago", timedelta(minutes=20)),
        ("2 h ago", timedelta(hours=2)),
        ("1 hour ago", timedelta(hours=1)),
        ("2026-03-02T12:30:00Z", timedelta(minutes=30)),
        ("2026-03-02T06:30:00-06:00", timedelta(minutes=30)),
    ],
)
def test_a_moment_is_read_as_it_is_meant(said: str, ago: timedelta) -> None:
    assert moment(said, NOW) == NOW.wall - ago


@pytest.mark.parametrize(
    "said",
    ["", "noon", "25:00", "07:60", "2026-02-30 07:00", "2026-03-02", "ago", "min ago", "-5 min ago",
     "9" * 40 + " h ago", "0001-01-01T00:00:00+23:59", "٠٧:٠٠"],
)  # fmt: skip
def test_what_is_no_time_is_refused_with_what_would_be_one(said: str) -> None:
    with pytest.raises(Refused, match="Write for example 10:31"):
        moment(said, NOW)


@pytest.mark.parametrize("said", ["2026-03-02 07:03", "2026-03-02T14:00:00Z", "2030-01-01 00:00"])
def test_what_has_not_come_yet_is_refused(said: str) -> None:
    with pytest.raises(Refused, match="has not come yet"):
        moment(said, NOW)


def test_a_date_years_ago_is_taken_for_a_slip() -> None:
    with pytest.raises(Refused, match="more than a year ago"):
        moment("2006-03-02 07:00", NOW)


def test_nothing_said_is_now() -> None:
    assert moment(None, NOW) is None


@given(st.integers(0, 59), st.integers(0, 23))
def test_a_time_of_day_is_the_last_one_there_was(minute: int, hour: int) -> None:
    said = moment(f"{hour:02d}:{minute:02d}", NOW)
    assert said is not None
    assert said <= NOW.wall
    assert NOW.wall - said < timedelta(days=1)
    local = said + timedelta(minutes=OFFSET_MIN)
    slack = said == NOW.wall
    assert slack or (local.hour, local.minute) == (hour, minute)


@given(st.timedeltas(timedelta(0), timedelta(days=365)))
def test_a_moment_with_its_offset_comes_back_to_the_millisecond(ago: timedelta) -> None:
    when = NOW.wall - ago
    assert moment(when.isoformat(), NOW) == to_milliseconds(when)
