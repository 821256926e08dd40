"""The distance along fixes, held against geodesics on the ellipsoid worked out by another hand."""

from datetime import timedelta

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from scheduler.feeds.readings import Fix
from scheduler.feeds.way import EARTH_RADIUS_M, Way, distance_m
from tests.scheduler.feeds.made import START

LAT = st.floats(-89, 89)
LON = st.floats(-180, 180)


def fix(
    place: int, lat_deg: float, lon_deg: float, *, s: float = 0, speed: float | None = None
) -> Fix:
    """A fix so many seconds after the start."""
    at = START + timedelta(seconds=s)
    return Fix(row=place, at=at, lat_deg=lat_deg, lon_deg=lon_deg, speed_m_per_s=speed)


def way_of(*fixes: Fix) -> Way:
    """The way along fixes."""
    way = Way()
    way.add(fixes)
    way.end()
    return way


@given(LAT, LON, LAT, LON)
def test_a_great_circle_is_within_six_thousandths_of_the_geodesic(
    lat_1: float, lon_1: float, lat_2: float, lon_2: float
) -> None:
    """WGS 84 geodesics after C. Karney, J. Geodesy 87 (2013) 43-55, as GeographicLib has them."""
    geodesic_m = Geodesic.WGS84.Inverse(lat_1, lon_1, lat_2, lon_2)["s12"]
    ours_m = distance_m(fix(1, lat_1, lon_1), fix(2, lat_2, lon_2))
    assert ours_m == pytest.approx(geodesic_m, rel=0.006, abs=0.01)


def test_a_quarter_of_the_meridian_on_the_sphere_of_the_mean_radius() -> None:
    """GRS 80 mean radius R1 = 6,371,008.7714 m (H. Moritz, Geodetic Reference System 1980)."""
    assert pytest.approx(6_371_008.7714, abs=0.1) == EARTH_RADIUS_M
    assert distance_m(fix(1, 0, 0), fix(2, 90, 0)) == pytest.approx(EARTH_RADIUS_M * 3.14159265 / 2)


def test_a_straight_drive_is_the_sum_of_its_steps() -> None:
    way = way_of(*(fix(n, 0, n * 0.001, s=10 * n) for n in range(101)))
    assert way.along_m == pytest.approx(100 * 111.195, rel=1e-4)
    assert (way.gaps, way.jumps, way.out_of_order) == ([], 0, 0)


def test_a_parked_receiver_that_wanders_drives_nowhere() -> None:
    wander = [(0.00008, 0.0), (0.0, 0.00009), (-0.00007, 0.0), (0.0, -0.00008)]
    way = way_of(*(fix(n, *wander[n % 4], s=n) for n in range(3600)))
    assert way.along_m == 0


def test_a_receiver_that_says_it_stands_drives_nowhere_however_far_it_wanders() -> None:
    way = way_of(*(fix(n, 0, 0.001 * (n % 2), s=10 * n, speed=0.1) for n in range(60)))
    assert way.along_m == 0


def test_across_a_gap_only_the_straight_line_is_counted_and_the_gap_is_told() -> None:
    way = way_of(fix(1, 0, 0), fix(2, 0, 0.001, s=10), fix(3, 0, 0.101, s=1210))
    assert way.along_m == pytest.approx(0.101 * 111_195, rel=1e-4)
    assert [(one.begin, one.end) for one in way.gaps] == [
        (START + timedelta(seconds=10), START + timedelta(seconds=1210))
    ]
    assert way.gaps[0].straight_m == pytest.approx(0.1 * 111_195, rel=1e-4)


def test_a_jump_no_vehicle_makes_is_left_out() -> None:
    way = way_of(fix(1, 0, 0), fix(2, 10, 10, s=1), fix(3, 0, 0.001, s=10))
    assert way.along_m == pytest.approx(111.195, rel=1e-4)
    assert way.jumps == 1


def test_a_first_fix_far_off_is_given_up_after_five_that_agree() -> None:
    way = way_of(fix(0, 10, 10), *(fix(n, 0, n * 0.001, s=10 * n) for n in range(1, 12)))
    assert way.jumps == 5
    assert way.along_m == pytest.approx(6 * 111.195, rel=1e-4)


def test_samples_stand_at_the_ends_and_every_five_minutes() -> None:
    way = way_of(*(fix(n, 0, n * 0.001, s=10 * n) for n in range(62)))
    seconds = [(one.at - START).total_seconds() for one in way.samples]
    assert seconds == [0, 300, 600, 610]


@given(st.lists(st.tuples(st.integers(0, 3600), LAT, LON), max_size=60))
def test_a_way_never_grows_shorter_and_gives_each_sample_once(
    points: list[tuple[int, float, float]],
) -> None:
    way = way_of(*(fix(n, lat, lon, s=s) for n, (s, lat, lon) in enumerate(points)))
    along = [one.along_m for one in way.samples]
    times = [one.at for one in way.samples]
    assert along == sorted(along)
    assert times == sorted(set(times))
