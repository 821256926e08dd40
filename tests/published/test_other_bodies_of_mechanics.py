"""Printed sums of other bodies, as checks of our mechanics functions and never as a rule of law.

Source: IMO CSS Code Annex 13 (ships): f = mu sin a + cos a, forces, moments. MIL-STD-209K appendix
C: shares by lever arms. US Army TM 55-2350-252-14 and TM 10-3930-673-10: chains by their direction
shares. NAVEDTRA 14081. Load Restraint Guides of Australia: run over length.
IMO Timber Deck Code (2011) Annex B. Insurers' handbook of load securing 6.4.6.1: steel bows.
"""

import math

import pytest

from triplog.securement.closed_form import (
    count_needed,
    direct_sliding_n,
    friction_force_n,
    inertia_force_n,
    overturning_moment_nm,
    standing_moment_nm,
    top_over_sliding_n,
    weight_force_n,
)

DIAGONAL = math.radians(45)


def test_the_ship_s_factor_of_a_lashing_at_40_degrees() -> None:
    """CSS Code Annex 13, example 1: 0.96 at 40° and 0.3; *consistent*, 412 cut from 412.87.

    Each lashing of 90 kN is taken at 90 / 1.5 = 60 kN.
    """
    each_kn = 90 / 1.5
    assert each_kn == 60
    f = direct_sliding_n(1.0, 0.3, math.radians(40), 0.0, f_mu=1.0)
    assert f == pytest.approx(0.96, abs=0.005)
    held_kn = friction_force_n(weight_force_n(62, 9.81), 0.3) + 4 * each_kn * round(f, 2)
    assert math.floor(held_kn) == 412
    assert held_kn > 384


def test_the_ship_s_forces() -> None:
    """CSS Code Annex 13, examples 1 and 2: F = a k m + wind + sea; 0.8 of 346 kN."""
    printed_kn = [(2.9, 0.89, 16, 8, 184), (6.3, 0.89, 24, 12, 384), (6.2, 0.89, 0, 0, 342)]
    for a_m_s2, factor, wind, sea, kn in printed_kn:
        assert round(inertia_force_n(62, a_m_s2 * factor) + wind + sea) == kn
    assert inertia_force_n(346, 0.8) == pytest.approx(276.8)


def test_the_ship_s_lashing_is_taken_at_its_rating_over_a_factor() -> None:
    """CSS Code Annex 13, example 2: MSL 108 kN over 1.35, CS 80 kN; example 1: 90 over 1.5, 60."""
    for msl_kn, factor, cs_kn in ((108, 1.35, 80), (90, 1.5, 60)):
        upright = top_over_sliding_n(msl_kn, 1.0, math.pi / 2, factor, k=1.0)
        assert upright == pytest.approx(cs_kn)


def test_the_forces_on_a_stow_of_timber_on_deck() -> None:
    """Timber Deck Code 2011, Annex B, B.1.1: 6.5 × 0.81 × 1.00 to 5.3 m/s²; 192 and 160 kN.

    Wind and sea of 1 kN/m² on a stow 80 m long and 2.4 m high. *consistent*: that the sea is taken
    to 2 m only was inferred. Our sum has no wind or sea in it; they stand for a pressure.
    """
    assert round(inertia_force_n(1.0, 6.5 * 0.81 * 1.00), 1) == 5.3
    pressure_kn_m2 = 1.0
    for height_m, printed_kn in ((2.4, 192), (2.0, 160)):
        assert pressure_kn_m2 * 80 * height_m == pytest.approx(printed_kn)


@pytest.mark.parametrize(("rod_mm", "printed_dan"), [(22.5, 5062.5), (24, 5760)])
def test_a_thumb_rule_for_a_plain_steel_bow_stays_within_the_steel(
    rod_mm: float, printed_dan: float
) -> None:
    """Insurers' handbook of load securing 6.4.6.1: ten times the square of the rod, in daN.

    No rule of ours takes it: an anchor point counts what is told of it or marked on it. Two legs of
    the bow carry it at 64 N/mm² of steel, whatever the rod: worked out by us, a fraction of what
    plain steel yields at. The source's own 2.4 mm in the second example is a slip for 2.4 cm.
    """
    assert 10 * rod_mm**2 == pytest.approx(printed_dan)
    steel_mm2 = 2 * math.pi * rod_mm**2 / 4
    assert printed_dan * 10 / steel_mm2 == pytest.approx(200 / math.pi, abs=0.01)


def test_the_ship_s_unit_does_not_tip() -> None:
    """CSS Code Annex 13, example 1: 384 × 1.8 = 691 below 2 × 62 × 9.81 = 1216 kNm."""
    tipping = overturning_moment_nm(384, 1.0, 1.8)
    standing = standing_moment_nm(weight_force_n(62, 9.81), 2.0)
    assert (round(tipping), round(standing)) == (691, 1216)


def lever_share(own_m: float, other_m: float) -> float:
    """The share of a force on a support, by the moment about the other one."""
    return standing_moment_nm(1.0, other_m) / (own_m + other_m)


def test_shares_by_lever_arms_about_the_centre_of_gravity() -> None:
    """MIL-STD-209K C.4.1.2 and C.4.1.3: 8,000 of 40,000 lb, 12,000 of 30,000; all four, and at
    the ultimate, 1.5 times as much."""
    s3, s4, l2, l4 = 5.0, 10.0, 15.0, 10.0
    down_lb = inertia_force_n(20_000, 2.0)
    across = (lever_share(s3, s4), lever_share(s4, s3))
    along = (lever_share(l2, l4), lever_share(l4, l2))
    design = sorted(round(down_lb * one * other) for one in across for other in along)
    assert design == [5333, 8000, 10667, 16000]
    ultimate = [round(inertia_force_n(one, 1.5), -1) for one in design]
    assert ultimate == [8000, 12_000, 16_000, 24_000]
    assert inertia_force_n(20_000, 1.5) == 30_000
    assert inertia_force_n(20_000, 1.5) * lever_share(l2, l4) == pytest.approx(12_000)


def test_chains_on_a_tracked_vehicle() -> None:
    """TM 55-2350-252-14 p. A-2: 6.69 forward, 0.96 sideways, sixteen chains; TM 10-3930: 23,450."""
    along = direct_sliding_n(1.0, 0.0, DIAGONAL, DIAGONAL, f_mu=1.0)
    assert along == pytest.approx(0.50)
    assert math.sin(DIAGONAL) == pytest.approx(0.71, abs=0.005)
    forward = inertia_force_n(43_000, 0.7) / (9000 * along)
    sideways = inertia_force_n(43_000, 0.1) / (9000 * along)
    assert (round(forward, 2), round(sideways, 2)) == (6.69, 0.96)
    assert 4 * (count_needed(2 * forward, 4) or 0) == 16
    assert inertia_force_n(33_500, 0.7) == pytest.approx(23_450)


def test_an_older_rule_of_one_and_a_half_times_the_weight() -> None:
    """NAVEDTRA 14081: a tractor of 55,000 lb, 82,500 lb, eight chains of 11,000 lb."""
    needed = inertia_force_n(55_000, 1.5)
    assert (needed, count_needed(needed, 11_000)) == (82_500, 8)


@pytest.mark.parametrize(
    ("run_m", "length_m", "printed"), [(3.4, 3.5, 0.97), (0.3, 3.5, 0.086), (1.5, 2.0, 0.75)]
)
def test_run_over_length(run_m: float, length_m: float, printed: float) -> None:
    """Load Restraint Guide (2025) case study, 15 t loader; Guide 2018 pp. 224-226, steel roller.

    A lashing in one upright plane: its part along the run is cos(alpha) = run / length.
    """
    part = direct_sliding_n(1.0, 0.0, math.acos(run_m / length_m), 0.0, f_mu=1.0)
    assert part == pytest.approx(printed, abs=0.0015)


def test_half_the_mass_sideways_on_two_lashings() -> None:
    """Load Restraint Guide (2025) case study: 7500 kg, 3750 kg each."""
    assert inertia_force_n(15_000, 0.5) == 7500
    assert inertia_force_n(15_000, 0.5) / 2 == 3750
