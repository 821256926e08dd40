"""Hours of drivers: which breaks are a natural stop for a look at the load, and what is not ours.

Source: named in each row of `data/hours_breaks.csv`. triplog is no record of duty status. It counts
driving time for the load, and a break that an hours law asks for is a natural stop for a check;
the limits of a day, a week or a rest are of the driver's own record and give no due check.
"""

import csv
from importlib.resources import files

import pytest

from tests.published.tables import rows_of

ROWS = rows_of("hours_breaks")
# A break within the day after so much driving or work: the stop at which a load can be looked at.
BREAKS = {
    ("AU standard solo", "5.5 h window"),
    ("NZ", "continuous work"),
    ("EU", "driving block"),
    ("AETR", "driving block"),
    ("GB domestic", "driving block"),
    ("US-ref", "driving block"),
}
A_DAY = "a limit of the day; no stop on the way comes of it"
A_REST = "a rest of the night; departure after it asks whether the load was looked at"
A_WEEK = "a limit of days or weeks; it says nothing of a stop"
ANOTHER_WINDOW = "a second window of the same breaks; the first is the shorter"
NO_BREAK = "no break is asked for"
NOT_SCHEDULED = {
    ("CA south of 60", "max driving in a day"): A_DAY,
    ("CA south of 60", "max on-duty before no driving in a day"): A_DAY,
    ("CA south of 60", "reset after 13 h driving or 14 h on duty"): A_REST,
    ("CA south of 60", "elapsed window"): A_DAY,
    ("CA south of 60", "daily off-duty"): A_REST,
    ("CA south of 60", "smallest creditable block"): NO_BREAK,
    ("CA", "mid-shift break after N h driving"): NO_BREAK,
    ("CA", "north of 60: sleeper split total driving cap"): A_REST,
    ("AU standard solo", "8 h window"): ANOTHER_WINDOW,
    ("AU standard solo", "11 h window"): ANOTHER_WINDOW,
    ("AU standard solo", "24 h window"): A_REST,
    ("AU standard solo", "7 days"): A_WEEK,
    ("AU standard solo", "14 days"): A_WEEK,
    ("AU BFM", "24 h window"): A_DAY,
    ("NZ", "work day"): A_REST,
    ("NZ", "cumulative period"): A_WEEK,
    ("EU", "daily driving"): A_DAY,
    ("EU", "weekly / fortnight driving"): A_WEEK,
    ("EU", "daily rest"): A_REST,
    ("EU", "vehicle scope change"): "which vehicles a law holds for, and no time",
    ("AETR", "weekly / fortnight driving"): A_WEEK,
}


def key_of(row: dict[str, str]) -> tuple[str, str]:
    return row["jurisdiction"], row["rule"]


def time_limits() -> set[tuple[str, str]]:
    """Country and number of every limit in time that the scheduler counts."""
    text = (files("scheduler") / "recheck_rules.csv").read_text("utf-8")
    rows = csv.DictReader(text.splitlines())
    return {(row["jurisdiction"], row["limit"]) for row in rows if row["unit"] in ("h", "min")}


def test_every_row_is_a_natural_stop_or_says_why_it_is_none() -> None:
    assert {key_of(row) for row in ROWS} == BREAKS | set(NOT_SCHEDULED)
    assert len(ROWS) == len(BREAKS) + len(NOT_SCHEDULED)


@pytest.mark.parametrize("row", [row for row in ROWS if key_of(row) in NOT_SCHEDULED], ids=key_of)
def test_what_is_the_driver_s_own_record_makes_no_due_check(row: dict[str, str]) -> None:
    country = row["jurisdiction"].partition(" ")[0]
    numbers = row["work_or_drive_limit"].split(" / ")
    assert not [one for one in numbers if (country, one) in time_limits()], row["citation"]


@pytest.mark.parametrize("row", [row for row in ROWS if key_of(row) in BREAKS], ids=key_of)
def test_a_break_is_of_at_most_an_hour_and_within_the_day(row: dict[str, str]) -> None:
    assert float(row["work_or_drive_limit"]) <= 8
    assert float(row["break_required"]) <= 60
    assert "min" in row["break_unit"]
