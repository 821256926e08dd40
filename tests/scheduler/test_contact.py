"""When a log is next brought to the hub: pauses that double, by lot. Our design; no source."""

import pytest

from scheduler.contact import CONTACT_MS, contact_ms, pause_ms

ALMOST_ONE = 1 - 2**-53


@pytest.mark.parametrize(
    ("failures", "longest_s"),
    [(1, 30), (2, 60), (3, 120), (7, 1920), (8, 3600), (9, 3600), (10_000, 3600)],
)
def test_a_pause_doubles_up_to_an_hour_and_at_least_half_of_it_is_waited(
    failures: int, longest_s: int
) -> None:
    assert pause_ms(failures, 0.0) == longest_s * 500
    assert longest_s * 999 < pause_ms(failures, ALMOST_ONE) <= longest_s * 1000
    assert pause_ms(failures, 0.5) == longest_s * 750


def test_all_goes_well_and_it_is_heard_within_a_quarter_of_an_hour() -> None:
    assert contact_ms(0.0) == CONTACT_MS == 15 * 60_000
    assert 12 * 60_000 <= contact_ms(ALMOST_ONE) < contact_ms(0.5) < CONTACT_MS
