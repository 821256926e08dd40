"""Which edge of which friction cone stops a change of motion.

Prices and changes stand in threes for each contact: along its normal, and along two level axes
times friction. An edge at an angle has the price `normal + cos * first + sin * second`: the edge
of the lowest price is the one against the velocity (first, second), whatever the number of edges.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

NEGLIGIBLE, TOGETHER = 1e-12, 1e-11
"""A step or price that counts as none; a price that may be that far below zero for surer sums."""
SMALLEST_PIVOT = 1e-8
"""A column that changes less is no place to exchange: it would be divided by."""


class Stopped(NamedTuple):
    """The step at which a price vanishes, how fast it fell (below 0), the contact and side."""

    step: float
    pivot: float
    edge: tuple[int, int] | None


def cone(sides: int) -> list[tuple[float, float]]:
    """Cosine and sine of each edge."""
    turn = math.tau / sides
    return [(math.cos(number * turn), math.sin(number * turn)) for number in range(sides)]


def first_stopped(
    edges: Sequence[tuple[float, float]],
    prices: Sequence[float],
    changes: Sequence[float],
    before: Stopped,
) -> Stopped:
    """The first edge whose price vanishes before another's does.

    At each contact the edge of the lowest price at the step found so far is asked, which moves the
    step nearer, until none is below zero there.
    """
    step, pivot, found = before
    sides, turns = len(edges), len(edges) / math.tau
    for at in range(0, len(prices) - 2, 3):
        change_n, change_1, change_2 = changes[at : at + 3]
        price_n, price_1, price_2 = prices[at : at + 3]
        for _ in range(sides):
            if step == math.inf:
                normal, first, second = change_n, change_1, change_2
            else:
                normal = price_n + step * change_n
                first = price_1 + step * change_1
                second = price_2 + step * change_2
            side = round(math.atan2(-second, -first) * turns) % sides
            along, across = edges[side]
            if normal + along * first + across * second >= -NEGLIGIBLE:
                break
            change = change_n + along * change_1 + across * change_2
            if change >= -SMALLEST_PIVOT:
                break
            ratio = max(0.0, price_n + along * price_1 + across * price_2) / -change
            if ratio > step + NEGLIGIBLE or (ratio > step - NEGLIGIBLE and change >= pivot):
                break
            step, pivot, found = ratio, change, (at // 3, side)
    return Stopped(step, pivot, found)


def surest_stopped(
    edges: Sequence[tuple[float, float]],
    prices: Sequence[float],
    changes: Sequence[float],
    first: Stopped,
) -> Stopped:
    """Of the edges that vanish as good as together with the first, the one that falls fastest."""
    reach = first.step + NEGLIGIBLE
    best = first
    sides, turns = len(edges), len(edges) / math.tau
    for at in range(0, len(prices) - 2, 3):
        change_n, change_1, change_2 = changes[at : at + 3]
        price_n, price_1, price_2 = prices[at : at + 3]
        middle = round(math.atan2(-change_2, -change_1) * turns)
        velocity = math.atan2(-price_2 - reach * change_2, -price_1 - reach * change_1)
        for side in {middle, round(velocity * turns)}:
            along, across = edges[side % sides]
            change = change_n + along * change_1 + across * change_2
            if change < best.pivot:
                price = max(0.0, price_n + along * price_1 + across * price_2)
                if price <= TOGETHER - reach * change:
                    best = Stopped(price / -change, change, (at // 3, side % sides))
    return best
