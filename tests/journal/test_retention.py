"""How long what is kept: the table against its sources, whole months, the longest wins."""

from datetime import date

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from triplog.journal.retention import (
    TABLE_FILE,
    About,
    Force,
    HowSure,
    RetentionTableBroken,
    all_periods,
    keep_until,
    longest,
    parse_table,
    periods_for,
)

ROW = "x,what,trip,6,end of trip,law,49 CFR,395.8(k),2017,read,"
HEAD = "id,what,about,months,counted_from,force,source,clause,edition,how_sure,note"


@pytest.mark.parametrize(
    ("period", "months", "sure"),
    [
        # 49 CFR 395.8(k): six months, records of duty status and supporting documents alike (the
        # agency's answers on supporting documents, question 3).
        ("us-duty-records", 6, HowSure.READ),
        ("us-supporting-documents", 6, HowSure.READ),
        # 49 CFR 390.15(b): three years after the date of each accident.
        ("us-accident-register", 36, HowSure.READ),
        # 49 CFR 396.11: three months; 396.21: fourteen; 396.3(c): one year. By summaries.
        ("us-inspection-report", 3, HowSure.SECOND_HAND),
        ("us-periodic-inspection", 14, HowSure.SECOND_HAND),
        ("us-maintenance", 12, HowSure.SECOND_HAND),
        # 49 USC 14706(e), as 41 CFR 101-40.709 tells its forerunner: 9 months and 2 years.
        ("us-cargo-claims", 9 + 24, HowSure.SECOND_HAND),
        # 49 CFR part 379 appendix A: a year. From memory.
        ("us-bills-of-lading", 12, HowSure.MEMORY),
    ],
)
def test_a_period_is_that_of_its_source(period: str, months: int, sure: HowSure) -> None:
    (found,) = [one for one in all_periods() if one.id == period]
    assert (found.months, found.how_sure) == (months, sure)


def test_the_law_stands_first_and_what_is_only_our_judgement_says_so() -> None:
    order = [one.force for one in all_periods()]
    assert order == sorted(order, key=list(Force).index)
    assert {one.how_sure for one in all_periods() if one.force is Force.OWN} == {HowSure.OWN}


@given(st.dates(date(1900, 1, 1), date(2200, 1, 1)), st.integers(1, 1200))
def test_months_are_counted_as_a_general_library_counts_them(day: date, months: int) -> None:
    # dateutil's relativedelta: the same day of the month, or its last.
    assert keep_until(day, months) == day + relativedelta(months=months)


def test_a_trip_is_kept_three_years_and_longer_where_the_company_says() -> None:
    day = date(2026, 2, 28)
    until = longest((day, one) for one in periods_for(About.TRIP, {}))
    assert (until.day, until.period.id) == (date(2029, 2, 28), "us-injury-claims")
    own = longest((day, one) for one in periods_for(About.TRIP, {"trip": 60}))
    assert (own.day, own.period.force) == (date(2031, 2, 28), Force.COMPANY)
    assert longest((day, one) for one in periods_for(About.TRIP, {"gear": 60})) == until


@given(
    st.lists(
        st.tuples(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.sampled_from(all_periods())),
        min_size=1,
    )
)
def test_nothing_counted_ends_after_the_longest(counted: list[tuple[date, object]]) -> None:
    until = longest(counted)  # type: ignore[arg-type]
    ends = [keep_until(day, period.months) for day, period in counted]  # type: ignore[attr-defined]
    assert until.day == max(ends)


@pytest.mark.parametrize(
    ("row", "column"),
    [
        (ROW.replace(",6,", ",six,"), "months"),
        (ROW.replace(",6,", ",0,"), "months"),
        (ROW.replace(",6,", ",1201,"), "months"),
        (ROW.replace("trip", "boat", 1), "about"),
        (ROW.replace("law", "custom"), "force"),
        (ROW.replace("read", "sure"), "how_sure"),
        (ROW.replace("395.8(k)", ""), "clause"),
        (ROW.replace("49 CFR", ""), "source"),
        (f"{ROW}\n{ROW}", "id"),
        (f"{ROW},more", "a row needs"),
        ("x,what", "a row needs"),
    ],
)
def test_a_table_that_cannot_be_used_names_line_and_column(row: str, column: str) -> None:
    with pytest.raises(RetentionTableBroken, match=rf"{TABLE_FILE}, line \d.*{column}"):
        parse_table(f"{HEAD}\n{row}\n")


def test_a_table_without_a_row_cannot_be_used() -> None:
    with pytest.raises(RetentionTableBroken, match="no period in it"):
        parse_table(f"{HEAD}\n")
