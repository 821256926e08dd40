"""The closed formulas: their edges, and values worked out once by the written formula.

The `computed` tables are regression values, worked out by us; the published checks are under
`tests/published/`.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.published.tables import rows_of
from tests.published.worked_forms import (
    blocking_needed_n,
    loop_sliding_n,
    spring_sliding_n,
    top_over_sliding_count,
    top_over_tipping_count,
    top_over_tipping_one_sided_nm,
)
from triplog.securement.closed_form import (
    count_needed,
    direct_sliding_at_best_n,
    direct_sliding_n,
    direct_tipping_nm,
    inclination_rad,
    overturning_moment_nm,
    standing_moment_nm,
    top_over_sliding_n,
    top_over_tipping_nm,
    wall_force_n,
)

G_M_S2 = 9.81
ACCELERATION = {"fwd": (0.8, 1.25), "side": (0.5, 1.1), "rear": (0.5, 1.1)}

angles = st.floats(min_value=0.01, max_value=math.pi / 2)
mus = st.floats(min_value=0.01, max_value=1.0)
forces = st.floats(min_value=1.0, max_value=1e5)


@pytest.mark.parametrize(
    "row", rows_of("en_topover_sliding_computed"), ids=lambda row: "-".join(row.values())
)
def test_mass_held_by_one_lashing_over_the_top(row: dict[str, str]) -> None:
    """Regression: 2 mu STF sin(alpha) / (f_s (c - mu) g); empty where friction alone will do."""
    c, f_s = ACCELERATION[row["direction"]]
    mu, stf_n = float(row["mu"]), float(row["STF_daN"]) * 10
    missing = blocking_needed_n(G_M_S2, mu, c)
    if not row["kg_per_lashing"]:
        assert missing == 0
        return
    held_n = top_over_sliding_n(stf_n, mu, math.radians(float(row["alpha_deg"])), f_s)
    assert held_n / missing == pytest.approx(float(row["kg_per_lashing"]), abs=0.051)


@pytest.mark.parametrize(
    "row", rows_of("en_direct_sliding_computed"), ids=lambda row: "-".join(row.values())
)
def test_mass_held_by_a_direct_pair(row: dict[str, str]) -> None:
    """Regression: 2 LC (cos a cos b + 0.75 mu sin a) / ((c - 0.75 mu) g), LC 1000 daN."""
    c, _ = ACCELERATION[row["direction"]]
    mu = float(row["mu"])
    angle, bearing = (
        math.radians(float(row[name])) for name in ("alpha_deg", "beta_from_direction_deg")
    )
    held_n = 2 * direct_sliding_n(10_000, mu, angle, bearing, 0.75)
    mass_kg = held_n / blocking_needed_n(G_M_S2, 0.75 * mu, c)
    assert mass_kg == pytest.approx(float(row["kg_per_pair_LC1000"]), abs=0.051)


@pytest.mark.parametrize(
    "row", rows_of("en_inclination_computed"), ids=lambda row: "-".join(row.values())
)
def test_tilt_that_asks_the_same(row: dict[str, str]) -> None:
    """Regression; without friction it is arcsin c, 53.13° for 0.8."""
    tilt = math.degrees(inclination_rad(float(row["c"]), float(row["mu_or_b_over_d"])))
    assert tilt == pytest.approx(float(row["tilt_deg"]), abs=0.0051)


def test_no_tilt_asks_more_than_the_weight_can_push() -> None:
    with pytest.raises(ValueError, match="no tilt asks as much"):
        inclination_rad(1.2, 0.1)


@given(c=st.floats(min_value=0.1, max_value=0.9), mu=st.floats(min_value=0.0, max_value=0.9))
def test_the_tilt_fulfils_its_own_equation(c: float, mu: float) -> None:
    tilt = inclination_rad(c, mu)
    assert math.sin(tilt) - mu * math.cos(tilt) == pytest.approx(c - mu, abs=1e-9)


def test_a_whole_number_is_not_rounded_up_by_the_last_digit() -> None:
    assert (0.1 + 0.2) / 0.1 > 3
    assert count_needed(0.1 + 0.2, 0.1) == 3
    assert count_needed(3.00001, 1.0) == 4


@pytest.mark.parametrize(("mu", "angle_rad"), [(0.0, 1.0), (0.3, 0.0), (0.3, -0.2)])
def test_without_friction_or_angle_no_number_of_lashings_will_do(
    mu: float, angle_rad: float
) -> None:
    count = top_over_sliding_count(
        weight_n=1e4, mu=mu, c=0.8, tension_n=3500, angle_rad=angle_rad, f_s=1.25
    )
    assert count is None


def test_where_friction_is_enough_nothing_is_asked() -> None:
    count = top_over_sliding_count(
        weight_n=1e4, mu=0.6, c=0.5, tension_n=3500, angle_rad=1.0, f_s=1.1
    )
    assert count == 0
    assert blocking_needed_n(1e4, 0.6, 0.5) == 0


def test_a_block_takes_its_share_first_and_not_divided_by_f_s() -> None:
    """Regression: (0.5 × 10,000 − 1,700) / (2 × 0.3 × 3,500 / 1.25) = 1.96, so 2."""
    count = top_over_sliding_count(
        weight_n=1e4, mu=0.3, c=0.8, tension_n=3500, angle_rad=math.pi / 2, f_s=1.25,
        blocking_n=1700,
    )  # fmt: skip
    assert count == 2


@given(force=forces, mu=mus, angle=angles)
def test_a_direct_lashing_never_holds_more_than_its_best(
    force: float, mu: float, angle: float
) -> None:
    best_n = direct_sliding_at_best_n(force, mu, 0.75)
    assert direct_sliding_n(force, mu, angle, 0.0, 0.75) <= best_n * (1 + 1e-12)
    at_best = direct_sliding_n(force, mu, math.atan(0.75 * mu), 0.0, 0.75)
    assert at_best == pytest.approx(best_n)


@given(force=forces, mu=mus, angle=angles)
def test_a_loop_is_two_direct_legs_square_to_the_load_and_a_spring_two_alike(
    force: float, mu: float, angle: float
) -> None:
    one_leg = direct_sliding_n(force, mu, angle, 0.0, 0.75)
    assert loop_sliding_n(force, mu, (angle, angle), 0.75) == pytest.approx(2 * one_leg)
    slanted = direct_sliding_n(force, mu, angle, 0.4, 0.75)
    assert spring_sliding_n(force, mu, angle, 0.4, 0.75) == pytest.approx(2 * slanted)


def test_one_row_over_the_top_against_tipping() -> None:
    """Regression: 1.1 × 10,000 × (0.6 × 1.5 − 0.5) / (3,500 × sin 60° × 1.0) = 1.45, so 2."""
    count = top_over_tipping_count(
        weight_n=1e4, c=0.6, height_m=1.5, edge_m=0.5, tension_n=3500,
        angle_rad=math.radians(60), arm_m=1.0, f_s=1.1,
    )  # fmt: skip
    assert count == 2
    missing = overturning_moment_nm(1e4, 0.6, 1.5) - standing_moment_nm(1e4, 0.5)
    each = top_over_tipping_nm(3500, math.radians(60), 1.0, 1.1)
    assert missing / each == pytest.approx(1.4516, abs=5e-5)


def test_a_flat_lashing_against_tipping_never_does() -> None:
    count = top_over_tipping_count(
        weight_n=1e4, c=0.6, height_m=1.5, edge_m=0.5, tension_n=3500, angle_rad=0.0, arm_m=1.0,
        f_s=1.1,
    )  # fmt: skip
    assert count is None


@given(angle=angles)
def test_with_both_legs_alike_the_one_sided_form_is_the_plain_one(angle: float) -> None:
    plain = top_over_tipping_nm(3500, angle, 2.0, 1.1)
    both = top_over_tipping_one_sided_nm(
        tension_n=3500, angle_rad=angle, width_m=2.0, height_m=1.8, far_share=1.0, f_s=1.1
    )
    assert both == pytest.approx(plain)


def test_the_one_sided_form_is_nothing_at_its_own_angle_and_turns_against_below() -> None:
    """tan(alpha) = (1 - r) h / (r w); a university paper of 2007 reports the defect."""
    zero_rad = math.atan(0.5 * 1.8 / (0.5 * 2.0))

    def moment(angle_rad: float) -> float:
        return top_over_tipping_one_sided_nm(
            tension_n=3500, angle_rad=angle_rad, width_m=2.0, height_m=1.8, far_share=0.5
        )

    assert moment(zero_rad) == pytest.approx(0.0, abs=1e-9)
    assert moment(zero_rad - 0.1) < 0 < moment(zero_rad + 0.1)


def test_a_direct_lashing_towards_the_edge_helps_to_tip() -> None:
    """Arm beyond the edge: its part down counts against it."""
    assert direct_tipping_nm(1e4, math.radians(60), 0.0, 0.2, -1.0) < 0
    assert direct_tipping_nm(1e4, math.radians(60), 0.0, 0.2, 1.0) > 0


def test_a_cap_holds_only_where_there_is_one() -> None:
    assert wall_force_n(270_000, 0.4, 50_000) == 50_000
    assert wall_force_n(100_000, 0.4, 50_000) == 40_000
    assert wall_force_n(270_000, 0.5, None) == 135_000
