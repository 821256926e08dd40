"""The equations of balance of an assembly, in shares of its weight and of its size."""

import math
from collections.abc import Mapping

from triplog.securement.equilibrium.assembly import Assembly, Patch
from triplog.securement.equilibrium.scene import Point
from triplog.securement.equilibrium.simplex import Contact, Program
from triplog.securement.equilibrium.vectors import Wrench, cross, times, unit, wrench


def program_of(assembly: Assembly, cone_sides: int) -> Program:
    """The program of an assembly; six rows a body, then one for each shared anchor.

    The bounded columns are the limited tie-downs in order, then every point of every stop; their
    upper bounds come with each solve, in shares of the whole weight.
    """
    balance = 6 * len(assembly.masses)
    anchors = list(assembly.anchors_n)
    weight = assembly.weight_n
    load = _at_bodies(assembly, [(0.0, 0.0, mass.pressing_n) for mass in assembly.masses])
    load[balance:] = [assembly.anchors_n[anchor] / weight for anchor in anchors]
    held = _column(assembly, assembly.fixed, 1.0 / weight)
    load = [entry - part for entry, part in zip(load, held, strict=True)]
    bounded = []
    for pull in assembly.pulls:
        entries = _column(assembly, pull.on)
        entries[balance:] = [pull.shares.get(anchor, 0.0) for anchor in anchors]
        bounded.append(entries)
    bounded += [
        _column(assembly, {stop.body: wrench(stop.normal, point, assembly.about_m)})
        for stop in assembly.stops
        for point in stop.points_m
    ]
    return Program(
        inertia_x=_at_bodies(assembly, [(mass.weight_n, 0.0, 0.0) for mass in assembly.masses]),
        inertia_y=_at_bodies(assembly, [(0.0, mass.weight_n, 0.0) for mass in assembly.masses]),
        load=load,
        contacts=[contact for patch in assembly.patches for contact in _contacts(assembly, patch)],
        bounded=bounded,
        sums=range(balance, balance + len(anchors)),
        opening=_opening(assembly),
        cone_sides=cone_sides,
    )


def _column(assembly: Assembly, parts: Mapping[int, Wrench], factor: float = 1.0) -> list[float]:
    """Wrenches on bodies as one column, rows of anchors empty."""
    entries = [0.0] * (6 * len(assembly.masses) + len(assembly.anchors_n))
    arm = factor / assembly.size_m
    for body, (x, y, z, about_x, about_y, about_z) in parts.items():
        entries[6 * body : 6 * body + 6] = [
            *(factor * x, factor * y, factor * z),
            *(arm * about_x, arm * about_y, arm * about_z),
        ]
    return entries


def _at_bodies(assembly: Assembly, forces: list[Point]) -> list[float]:
    """A force at each body's centre of gravity, in shares of the whole weight."""
    parts = {
        body: wrench(force, mass.cog_m, assembly.about_m)
        for body, (force, mass) in enumerate(zip(forces, assembly.masses, strict=True))
    }
    return _column(assembly, parts, 1.0 / assembly.weight_n)


def _contacts(assembly: Assembly, patch: Patch) -> list[Contact]:
    """A unit of pressure and what friction allows with it, at each point of a patch."""
    normal = patch.normal
    along = unit(cross((0.0, 1.0, 0.0), normal)) if abs(normal[1]) < 0.9 else (1.0, 0.0, 0.0)
    along = unit(cross(cross(normal, along), normal))
    across = cross(normal, along)

    def column(force: Point, point: Point) -> list[float]:
        parts = {patch.body: wrench(force, point, assembly.about_m)}
        if patch.against is not None:
            parts[patch.against] = wrench(times(-1.0, force), point, assembly.about_m)
        return _column(assembly, parts)

    return [
        Contact(
            normal=column(normal, point),
            first=column(times(patch.friction, along), point),
            second=column(times(patch.friction, across), point),
        )
        for point in patch.points_m
    ]


def _opening(assembly: Assembly) -> tuple[list[float], list[float], list[float]]:
    """Velocities along x, along y, and apart, that together open every contact.

    Bodies rise faster the higher they stand in a stack, and spread along the row they stand in;
    the base rises by more than friction asks of the movement along the deck.
    """
    count = len(assembly.masses)
    spread = {0: (0.0, 0.0, 0.0)}
    for patch in assembly.patches:
        if patch.against is not None:
            x, y, z = spread[patch.against]
            part = 0.4 / count
            normal = patch.normal
            spread[patch.body] = (x + part * normal[0], y + part * normal[1], z + part * normal[2])
    steepest = max(patch.friction for patch in assembly.patches if patch.normal[2] > 0.5)
    fastest = 1.0 + max(math.hypot(x, y) for x, y, _ in spread.values())
    along_x = _column(assembly, dict.fromkeys(range(count), (1.0, 0.0, 0.0, 0.0, 0.0, 0.0)))
    along_y = _column(assembly, dict.fromkeys(range(count), (0.0, 1.0, 0.0, 0.0, 0.0, 0.0)))
    apart = _column(
        assembly,
        {
            body: (x, y, z + 1.1 * steepest * fastest + 0.1, 0.0, 0.0, 0.0)
            for body, (x, y, z) in spread.items()
        },
    )
    return along_x, along_y, apart
