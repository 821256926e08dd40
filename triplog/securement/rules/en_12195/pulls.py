"""A lashing as it acts in one direction of movement: which way its legs pull, and how far."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from triplog.securement.geometry import Box, Leg, Route, Vector
from triplog.securement.model import Direction

LENGTHWISE = frozenset({Direction.FORWARD, Direction.REARWARD})
TOWARDS: dict[Direction, tuple[float, float]] = {
    Direction.FORWARD: (1.0, 0.0),
    Direction.REARWARD: (-1.0, 0.0),
    Direction.LEFT: (0.0, 1.0),
    Direction.RIGHT: (0.0, -1.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """One leg: its angle to the deck, its bearing, and its part against the movement, from -1 to 1.

    `at` is where it pulls at the article, `pull` its unit vector.
    """

    angle_rad: float
    bearing_rad: float
    against: float
    at: Vector
    pull: Vector

    def arm_m(self, box: Box, direction: Direction) -> float:
        """How far it lies from the edge the article tips over, towards the article positive."""
        along, across = TOWARDS[direction]
        edge = max(along * box.low[0], along * box.high[0]) + max(
            across * box.low[1], across * box.high[1]
        )
        return edge - (along * self.at[0] + across * self.at[1])

    def height_m(self, box: Box) -> float:
        """How high above the article's base it pulls."""
        return self.at[2] - box.low[2]


def pulls_of(route: Route | None) -> Mapping[Direction, tuple[Pull, ...]]:
    """The legs of a route by direction of movement; none where it is not known."""
    legs = () if route is None else route.legs
    return {direction: tuple(_pull(leg, direction) for leg in legs) for direction in TOWARDS}


def _pull(leg: Leg, direction: Direction) -> Pull:
    along, across = TOWARDS[direction]
    x, y, _ = leg.pull
    against = -(along * x + across * y)
    beside = along * y - across * x
    return Pull(
        angle_rad=leg.angle_rad,
        bearing_rad=math.atan2(abs(beside), against),
        against=against,
        at=leg.cargo_at,
        pull=leg.pull,
    )
