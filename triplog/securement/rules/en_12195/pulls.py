"""A lashing as it acts in one direction of movement: which way its legs pull, and how far."""

import math
from dataclasses import dataclass

from triplog.securement.geometry import Box, Leg, Vector
from triplog.securement.model import Direction, Path
from triplog.securement.rules.en_12195.lashings import Lashing

LENGTHWISE = frozenset({Direction.FORWARD, Direction.REARWARD})
TOWARDS: dict[Direction, tuple[float, float]] = {
    Direction.FORWARD: (1.0, 0.0),
    Direction.REARWARD: (-1.0, 0.0),
    Direction.LEFT: (0.0, 1.0),
    Direction.RIGHT: (0.0, -1.0),
}
# A pull square to the movement is not one against it because of the last digits of a sum.
_SQUARE_WITHIN = 1e-9


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
        edge = max(
            along * x + across * y
            for x in (box.low[0], box.high[0])
            for y in (box.low[1], box.high[1])
        )
        return edge - (along * self.at[0] + across * self.at[1])

    def height_m(self, box: Box) -> float:
        """How high above the article's base it pulls."""
        return self.at[2] - box.low[2]


def pulls_of(lashing: Lashing, direction: Direction) -> tuple[Pull, ...]:
    """The legs of a lashing whose route is known; none where it is not."""
    legs = () if lashing.route is None else lashing.route.legs
    return tuple(_pull(leg, direction) for leg in legs)


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


def holds_directly(lashing: Lashing, direction: Direction) -> bool | None:
    """Whether it counts as a direct lashing against a movement; None where nobody can tell.

    Only what pulls against the movement counts. A loop holds sideways, a lashing round a face
    lengthwise, and only with both legs.
    """
    if lashing.by_friction:
        return False
    path = lashing.tie_down.path
    if path is Path.SAME_SIDE and direction in LENGTHWISE:
        return False
    if path is Path.SPRING and direction not in LENGTHWISE:
        return False
    if lashing.by_friction is None or lashing.route is None:
        return None
    return all(one.against > _SQUARE_WITHIN for one in pulls_of(lashing, direction))
