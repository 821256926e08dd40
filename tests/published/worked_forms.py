"""Closed formulas that published examples are worked by and no rule of the program asks.

They stand on those of `closed_form`, with its symbols: counts of alike lashings, a direct lashing's
force, loops and springs as wholes, what is left of a tension round a corner.
"""

import math

from triplog.securement.closed_form import (
    count_needed,
    direct_sliding_n,
    overturning_moment_nm,
    standing_moment_nm,
    top_over_sliding_n,
    top_over_tipping_nm,
)


def blocking_needed_n(weight_n: float, mu: float, c: float, c_z: float = 1.0) -> float:
    """What a block must hold where nothing else does: (c - mu c_z) G, never below zero."""
    return max(0.0, (c - mu * c_z) * weight_n)


def top_over_sliding_count(
    *,
    weight_n: float,
    mu: float,
    c: float,
    tension_n: float,
    angle_rad: float,
    f_s: float,
    k: float = 2.0,
    c_z: float = 1.0,
    blocking_n: float = 0.0,
) -> int | None:
    """Lashings over the top needed: ((c - mu c_z) G - BC) f_s / (k mu F_T sin(alpha)), rounded up.

    None where no number would do: no friction, no tension, or legs that lie flat. EN 12195-1:2010
    5.4.2.
    """
    missing_n = blocking_needed_n(weight_n, mu, c, c_z) - blocking_n
    return count_needed(missing_n, top_over_sliding_n(tension_n, mu, angle_rad, f_s, k))


def direct_force_needed_n(
    *,
    weight_n: float,
    mu: float,
    c: float,
    number: int,
    angle_rad: float,
    bearing_rad: float,
    f_mu: float,
    c_z: float = 1.0,
) -> float:
    """Force in each of `number` equal direct lashings: G (c - f_mu mu c_z) over what one N holds.

    Never below zero; EN 12195-1:2010 5.5.3.1.
    """
    missing_n = blocking_needed_n(weight_n, f_mu * mu, c, c_z)
    return missing_n / (number * direct_sliding_n(1.0, mu, angle_rad, bearing_rad, f_mu))


def loop_sliding_n(
    force_n: float, mu: float, angles_rad: tuple[float, float], f_mu: float
) -> float:
    """What a loop back to one side holds sideways: both legs, square to the load, added.

    `force_n` is that of a leg: the strap's or its anchor point's, whichever is less. EN
    12195-1:2010 5.5.4.2.
    """
    return sum(direct_sliding_n(force_n, mu, angle, 0.0, f_mu) for angle in angles_rad)


def spring_sliding_n(
    force_n: float, mu: float, angle_rad: float, bearing_rad: float, f_mu: float
) -> float:
    """What a lashing round a face holds lengthwise: two legs alike. EN 12195-1:2010 5.5.5.2."""
    return 2 * direct_sliding_n(force_n, mu, angle_rad, bearing_rad, f_mu)


def top_over_tipping_one_sided_nm(
    *,
    tension_n: float,
    angle_rad: float,
    width_m: float,
    height_m: float,
    far_share: float,
    f_s: float = 1.0,
) -> float:
    """The same where the far leg holds only a share r: F (r w sin(alpha) - (1 - r) h cos(alpha)).

    Nothing at tan(alpha) = (1 - r) h / (r w), below that it helps to tip. The form with k of EN
    12195-1:2003; a university paper of 2007 reports that it can turn negative.
    """
    upright = far_share * width_m * math.sin(angle_rad)
    flat = (1 - far_share) * height_m * math.cos(angle_rad)
    return tension_n * (upright - flat) / f_s


def top_over_tipping_count(
    *,
    weight_n: float,
    c: float,
    height_m: float,
    edge_m: float,
    tension_n: float,
    angle_rad: float,
    arm_m: float,
    f_s: float,
    c_z: float = 1.0,
) -> int | None:
    """Lashings over the top needed in one row: f_s G (c d - c_z b) / (F_T sin(alpha) w), up.

    `edge_m` is b. None where no number would do. EN 12195-1:2010 5.4.3.1.
    """
    missing_nm = overturning_moment_nm(weight_n, c, height_m)
    missing_nm -= standing_moment_nm(weight_n, edge_m, c_z)
    return count_needed(missing_nm, top_over_tipping_nm(tension_n, angle_rad, arm_m, f_s))


def corner_share(mu_corner: float, turn_rad: float) -> float:
    """What is left of a tension round a corner: exp(-mu angle), after Euler and Eytelwein."""
    return math.exp(-mu_corner * turn_rad)
