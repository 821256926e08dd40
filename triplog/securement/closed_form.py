"""The closed formulas of lashing mechanics, one function each: numbers in, a number out, no plan.

Symbols of EN 12195-1:2010: `c` acceleration over g, `c_z` the same straight down, `mu` friction,
`f_s` safety factor of friction lashing, `f_mu` what is left of friction beside direct lashing, `k`
force of both legs of a lashing over the top over that of the tensioner's. `angle` is from the deck
plane (alpha), `bearing` the angle, seen from above, between the lashing's pull and the line of the
movement (beta). The sliding forms are those of the form sheets of the German insurers' handbook of
load securing (4.1.6), which works from DIN EN 12195-1:2011-06; the forms against tipping are worked
out from statics and named after the section that holds them: their print was not read.
"""

import math

# A number of lashings that is whole but for the noise of the sum is not rounded up.
_WHOLE_WITHIN = 1e-9


def weight_force_n(mass_kg: float, gravity_m_s2: float) -> float:
    """Weight of a mass in newtons; EN 12195-1 takes 9.81 m/s²."""
    return mass_kg * gravity_m_s2


def inertia_force_n(weight_n: float, c: float) -> float:
    """Force that pushes the load on: c G."""
    return c * weight_n


def friction_force_n(weight_n: float, mu: float, c_z: float = 1.0) -> float:
    """Friction under the load: mu c_z G."""
    return mu * c_z * weight_n


def top_over_sliding_n(
    tension_n: float, mu: float, angle_rad: float, f_s: float, k: float = 2.0
) -> float:
    """What one lashing over the top adds to friction: k mu F_T sin(alpha) / f_s.

    EN 12195-1:2010 5.4.2. One leg alone is the same with its share of F_T for `k`.
    """
    return k * mu * tension_n * math.sin(angle_rad) / f_s


def count_needed(missing: float, each: float) -> int | None:
    """How many of `each` make up for what is missing; 0 where nothing is, None where none helps."""
    if missing <= 0:
        return 0
    if each <= 0:
        return None
    return math.ceil(missing / each - _WHOLE_WITHIN)


def direct_sliding_n(
    force_n: float, mu: float, angle_rad: float, bearing_rad: float, f_mu: float
) -> float:
    """What one direct lashing holds: F (cos(alpha) cos(beta) + f_mu mu sin(alpha)).

    EN 12195-1:2010 5.5.3.1; only for a lashing that pulls against the movement.
    """
    along = math.cos(angle_rad) * math.cos(bearing_rad)
    return force_n * (along + f_mu * mu * math.sin(angle_rad))


def direct_sliding_at_best_n(force_n: float, mu: float, f_mu: float) -> float:
    """The most a direct lashing can hold at any angle: F √(1 + (f_mu mu)²)."""
    return force_n * math.hypot(1.0, f_mu * mu)


def overturning_moment_nm(weight_n: float, c: float, height_m: float) -> float:
    """Moment that tips the load: c G d, with d the height of its centre of gravity."""
    return inertia_force_n(weight_n, c) * height_m


def standing_moment_nm(weight_n: float, arm_m: float, c_z: float = 1.0) -> float:
    """Moment of its own weight against tipping: c_z G b, b from edge to centre of gravity."""
    return c_z * weight_n * arm_m


def top_over_tipping_nm(tension_n: float, angle_rad: float, arm_m: float, f_s: float) -> float:
    """What one leg over the top adds against tipping: F_T sin(alpha) w / f_s.

    `arm_m` is the leg's way from the tipping edge: the width of the load for the far leg of a
    crosswise lashing, none for the near one. EN 12195-1:2010 5.4.3.1.
    """
    return tension_n * math.sin(angle_rad) * arm_m / f_s


def direct_tipping_nm(
    force_n: float, angle_rad: float, bearing_rad: float, height_m: float, arm_m: float
) -> float:
    """What one direct lashing holds against tipping: F (cos(alpha) cos(beta) s + sin(alpha) p).

    s is the height of its attachment, p its way from the tipping edge, towards the load positive.
    EN 12195-1:2010 5.5.3.2.
    """
    along = math.cos(angle_rad) * math.cos(bearing_rad)
    return force_n * (along * height_m + math.sin(angle_rad) * arm_m)


def wall_force_n(payload_n: float, share: float, at_most_n: float | None) -> float:
    """What a wall built to EN 12642 holds: a share of the payload's weight, at most the cap."""
    force_n = share * payload_n
    return force_n if at_most_n is None else min(force_n, at_most_n)


def inclination_rad(c: float, mu: float, c_z: float = 1.0) -> float:
    """Tilt of a platform that asks the same of the lashings: sin t - mu cos t = c - mu c_z.

    For tipping, b/d stands for `mu`. With tan q = mu the left side is sin(t - q) / cos q. Worked
    out from statics: the standard's own formula was not read. Needs c - mu c_z to be at most
    √(1 + mu²); else ValueError: no tilt asks as much.
    """
    friction_angle = math.atan(mu)
    sine = (c - mu * c_z) * math.cos(friction_angle)
    if sine > 1:
        raise ValueError(f"no tilt asks as much as {c} g with friction {mu}; give less than that")
    return friction_angle + math.asin(max(-1.0, sine))
