"""The plain limit by a general-purpose linear program (scipy's HiGHS), set up on its own.

Nothing of the package under test but its records is used: own wrenches, every edge of every cone
written out, forces in kilonewtons.
"""

import math
from collections.abc import Callable, Mapping

import numpy as np
import numpy.typing as npt
from scipy.optimize import linprog

from triplog.securement.equilibrium.scene import Point, Scene, Strap

Column = npt.NDArray[np.float64]
KN = 1e-3
PRECISE = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}


def plain_limit_g(
    scene: Scene, heading_rad: float, cone_sides: int = 32, *, at_rest: bool = False
) -> float:
    """The most g; NaN: nothing balances; infinite: no limit.

    `at_rest`: tie-downs at what they retain at most, and 0 g required; 0 or NaN comes back.
    """
    return plain_limit_solver(scene, cone_sides, at_rest=at_rest)(heading_rad)


def plain_limit_solver(
    scene: Scene, cone_sides: int, *, at_rest: bool = False, precise: bool = True
) -> Callable[[float], float]:
    """All but the heading made ready, so that each further call is one `linprog`."""
    numbers = {body.id: number for number, body in enumerate(scene.bodies)}
    rows = 6 * len(numbers)
    columns = [np.zeros(rows), *_patches(scene, numbers, cone_sides, rows)]
    least = (0.0, 0.0) if at_rest else (None, None)
    bounds: list[tuple[float | None, float | None]] = [least, *[(0.0, None)] * (len(columns) - 1)]
    load = np.zeros(rows)
    for body in scene.bodies:
        down = (0.0, 0.0, body.weight_n * body.vertical_factor * KN)
        load += _column({numbers[body.id]: [(down, body.cog_m)]}, rows)
    limits = {anchor.id: anchor.limit_n * KN for anchor in scene.anchors}
    uses: list[tuple[str, int, float]] = []
    for strap in scene.straps:
        entries = _strap(strap, numbers, rows)
        if strap.fixed_n is not None:
            load -= strap.fixed_n * KN * entries
        else:
            most = strap.retained_n if at_rest else strap.limit_n
            assert most is not None
            bounds.append((0.0, most * KN))
            columns.append(entries)
        for leg in strap.legs:
            if leg.anchor is not None and strap.fixed_n is not None:
                limits[leg.anchor] -= leg.share * strap.fixed_n * KN
            elif leg.anchor is not None:
                uses.append((leg.anchor, len(columns) - 1, leg.share))
    for block in scene.blocks:
        x, y, z = np.array(block.normal) / math.hypot(*block.normal)
        for point in block.points_m:
            columns.append(_column({numbers[block.body]: [((x, y, z), point)]}, rows))
            share = None if block.limit_n is None else block.limit_n * KN / len(block.points_m)
            bounds.append((0.0, share))
    shared = np.zeros((len(limits), len(columns)))
    for anchor, column, share in uses:
        shared[list(limits).index(anchor), column] += share
    goal = np.zeros(len(columns))
    goal[0] = -1.0
    matrix = np.column_stack(columns)
    options = PRECISE if precise else {}
    sums = (shared, list(limits.values())) if limits else (None, None)

    def solve(heading_rad: float) -> float:
        matrix[:, 0] = _inertia(scene, heading_rad, numbers)
        found = linprog(goal, *sums, matrix, load, bounds=bounds, method="highs", options=options)
        if found.status in (2, 3):
            return math.nan if found.status == 2 else math.inf
        assert found.status == 0, found.message
        return float(found.x[0])

    return solve


def _column(parts: Mapping[int, list[tuple[Point, Point]]], rows: int) -> Column:
    column = np.zeros(rows)
    for body, forces in parts.items():
        for force, at in forces:
            column[6 * body : 6 * body + 3] += force
            column[6 * body + 3 : 6 * body + 6] += np.cross(at, force)
    return column


def _inertia(scene: Scene, heading_rad: float, numbers: Mapping[str, int]) -> Column:
    way = (math.cos(heading_rad), math.sin(heading_rad), 0.0)
    column = np.zeros(6 * len(numbers))
    for body in scene.bodies:
        weight = body.weight_n * KN
        force = (weight * way[0], weight * way[1], 0.0)
        column += _column({numbers[body.id]: [(force, body.cog_m)]}, 6 * len(numbers))
    return column


def _patches(scene: Scene, numbers: Mapping[str, int], cone_sides: int, rows: int) -> list[Column]:
    up = np.array((0.0, 0.0, 1.0))
    patches = [
        (numbers[body.id], None if body.on is None else numbers[body.on], up,
         np.array((1.0, 0.0, 0.0)), body.base_m, body.friction)
        for body in scene.bodies
    ]  # fmt: skip
    for face in scene.faces:
        one, two = (numbers[body] for body in face.between)
        normal = np.array(face.normal) / math.hypot(*face.normal)
        patches.append((two, one, normal, up, face.points_m, face.friction))
    columns = []
    for body, against, normal, along, points, friction in patches:
        across = np.cross(normal, along)
        for point in points:
            for side in range(cone_sides):
                turn = math.tau * side / cone_sides
                x, y, z = normal + friction * (math.cos(turn) * along + math.sin(turn) * across)
                parts = {body: [((x, y, z), point)]}
                if against is not None:
                    parts[against] = [((-x, -y, -z), point)]
                columns.append(_column(parts, rows))
    return columns


def _strap(strap: Strap, numbers: Mapping[str, int], rows: int) -> Column:
    column = np.zeros(rows)
    for leg in strap.legs:
        way = np.array(leg.anchor_m) - np.array(leg.cargo_m)
        x, y, z = leg.share * way / np.linalg.norm(way)
        column += _column({numbers[leg.body]: [((x, y, z), leg.cargo_m)]}, rows)
    held = list({leg.body: leg for leg in strap.legs}.values())
    if len(held) == 2:
        one, two = held
        way = np.array(two.cargo_m) - np.array(one.cargo_m)
        x, y, z = min(one.share, two.share) * way / np.linalg.norm(way)
        parts = {
            numbers[one.body]: [((x, y, z), one.cargo_m)],
            numbers[two.body]: [((-x, -y, -z), two.cargo_m)],
        }
        column += _column(parts, rows)
    return column
