"""The static envelope of a crate with eight tie-downs, against as many calls of HiGHS."""

import math
from collections.abc import Callable
from pathlib import Path

from tests.benchmarks.measure import Figure, by_turns
from tests.securement.equilibrium.oracle import plain_limit_solver
from tests.securement.equilibrium.scenes import box, fixed, leg, limited
from triplog.securement.equilibrium.scene import Scene
from triplog.securement.equilibrium.withstands import polar, withstands_each

HEADINGS = 72
LEGAL = (0.0, math.pi / 2, math.pi, 3 * math.pi / 2)


def crate() -> Scene:
    """Four tie-downs over the top and four direct ones to the corners, each pretensioned."""
    over = [
        fixed(
            f"over {number}",
            4000.0,
            leg((x, 1.2, 1.4), (x, 1.3, 0.0)),
            leg((x, -1.2, 1.4), (x, -1.3, 0.0), share=0.5),
        )
        for number, x in enumerate((-1.5, -0.5, 0.5, 1.5))
    ]
    direct = [
        limited(
            f"direct {number}",
            20000.0,
            leg((x, y, 0.9), (x - math.copysign(1.2, x), 1.3 * y, 0.0)),
            retained_n=1500.0,
        )
        for number, (x, y) in enumerate(((2.0, 1.2), (2.0, -1.2), (-2.0, 1.2), (-2.0, -1.2)))
    ]
    body = box(weight_n=80000.0, size_m=(4.0, 2.4, 1.4), friction=0.3)
    return Scene(bodies=(body,), straps=(*over, *direct))


def figures(_place: Path) -> list[Figure]:
    """A whole envelope at two cones, and the four headings of the rules, filter included."""
    scene = crate()

    def reference(sides: int) -> Callable[[], None]:
        solve = plain_limit_solver(scene, sides, precise=False)

        def act() -> None:
            for number in range(HEADINGS):
                solve(math.tau * number / HEADINGS)

        return act

    return [
        by_turns(
            f"envelope, {HEADINGS} headings, 8 tie-downs, 32 sides",
            lambda: polar(scene, HEADINGS),
            reference(32),
            limit=1 / 8,
        ),
        by_turns(
            f"envelope, {HEADINGS} headings, 8 tie-downs, 16 sides",
            lambda: polar(scene, HEADINGS, cone_sides=16),
            reference(16),
            limit=1 / 20,
        ),
        by_turns(
            "four headings, all three values, 32 sides",
            lambda: withstands_each(scene, LEGAL),
            reference(32),
            limit=1 / 10,
        ),
    ]
