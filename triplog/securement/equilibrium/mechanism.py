"""How a body gives way, read from the velocities of the collapse; and what holds it until then."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from triplog.securement.equilibrium.assembly import Assembly
from triplog.securement.equilibrium.closed import Edge
from triplog.securement.equilibrium.simplex import Solved

Mode = Literal["slide", "tip", "yaw", "lift"]

NOTABLE = 0.25
"""A turning counts when it makes this share of the movement of the centre of gravity (common
practice, no source; tried on worked cases only)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Binding:
    """A part that is full, or where it gives way.

    `strap` at its limit; `pretension` of a strap that the movement does not tension; `anchor`
    shared and full; `block` full; `stop` tipped over; `edge` tipped over (id: the degrees it
    faces); `face` slid on (id: the body on it).
    """

    kind: Literal["strap", "pretension", "anchor", "block", "stop", "edge", "face"]
    id: str


SMALL = 1e-12


def mode_of(assembly: Assembly, solved: Solved) -> Mode:
    """Slide, tip, yaw or lift, by the body that moves most."""
    if not solved.pressed:
        return "lift"
    return max(_turnings(assembly, solved, body) for body in range(len(assembly.masses)))[1]


def _turnings(assembly: Assembly, solved: Solved, body: int) -> tuple[float, Mode]:
    """How much of a body's movement is turning, and which."""
    _, _, _, roll, pitch, yaw = solved.velocities[6 * body : 6 * body + 6]
    base = [point for patch in assembly.patches if patch.body == body for point in patch.points_m]
    cog = assembly.masses[body].cog_m
    height = cog[2] - min(point[2] for point in base)
    half = max(math.dist(point[:2], cog[:2]) for point in base)
    rates = _cog_rate(assembly, solved, body)
    whole = max(rates, SMALL)
    tipping = math.hypot(roll, pitch) * height / assembly.size_m / whole
    yawing = abs(yaw) * half / assembly.size_m / whole
    if max(tipping, yawing) < NOTABLE:
        return (0.0, "slide")
    return (tipping, "tip") if tipping >= yawing else (yawing, "yaw")


def _cog_rate(assembly: Assembly, solved: Solved, body: int) -> float:
    """The level speed of a body's centre of gravity."""
    along, across, _, roll, pitch, yaw = solved.velocities[6 * body : 6 * body + 6]
    cog, about, size = assembly.masses[body].cog_m, assembly.about_m, assembly.size_m
    x, y, z = ((cog[axis] - about[axis]) / size for axis in range(3))
    return math.hypot(along + pitch * z - yaw * y, across + yaw * x - roll * z)


def lowest_moving(assembly: Assembly, solved: Solved) -> str:
    """The first body, from below or along the row, that takes part in the movement."""
    rates = [_cog_rate(assembly, solved, body) for body in range(len(assembly.masses))]
    return next(
        mass.id
        for mass, rate in zip(assembly.masses, rates, strict=True)
        if rate >= NOTABLE * max(rates)
    )


def edge_of(assembly: Assembly, solved: Solved, edges: Sequence[Edge]) -> Edge:
    """The edge of the base that a tipping body turns over."""
    body = max(range(len(assembly.masses)), key=lambda one: _turnings(assembly, solved, one)[0])
    _, _, _, roll, pitch, _ = solved.velocities[6 * body : 6 * body + 6]
    return max(edges, key=lambda edge: pitch * edge.facing[0] - roll * edge.facing[1])
