"""Why the closed form does not cover a set of lashings, each reason by the id of its sentence.

The form adds friction lashings, or direct lashings that share alike; it knows no yaw.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from triplog.securement.finding import Missing
from triplog.securement.geometry import Box, box_of, centre_of_gravity
from triplog.securement.model import Article, Direction, GearKind, Plan
from triplog.securement.rules.en_12195.en_figures import en_figure
from triplog.securement.rules.en_12195.lashings import Lashing
from triplog.securement.rules.en_12195.pulls import TOWARDS

_STIFF = frozenset({GearKind.CHAIN, GearKind.WIRE_ROPE, GearKind.STEEL_STRAPPING})


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """The reasons against the closed form; `missing` what would have to be known to see one."""

    refused: tuple[str, ...] = ()
    missing: tuple[Missing, ...] = ()


def pattern_of(by_friction: Sequence[Lashing], directly: Sequence[Lashing]) -> tuple[str, ...]:
    """What speaks against adding these lashings up, whatever the movement."""
    together = (*by_friction, *directly)
    reasons = [reason for one in together for reason in one.refused]
    if by_friction and directly:
        reasons.append("note.en-refused-mix")
    stiff = {one.gear.kind in _STIFF for one in together if one.gear is not None}
    if len(stiff) > 1:
        reasons.append("note.en-refused-stiffness")
    if _unlike(directly):
        reasons.append("note.en-refused-unlike")
    return tuple(dict.fromkeys(reasons))


def _unlike(directly: Sequence[Lashing]) -> bool:
    """Whether direct lashings side by side differ in rating or length by more than our line."""
    apart_max = en_figure("pattern-apart-max")
    forces = [one.force.low for one in directly if one.force.known]
    lengths = [one.route.length_m for one in directly if one.route is not None]
    return any(
        values and max(values) - min(values) > apart_max * max(values)
        for values in (forces, lengths)
    )


def balance_of(
    article: Article,
    plan: Plan,
    direction: Direction,
    by_friction: Sequence[Lashing],
    directly: Sequence[Lashing],
) -> Pattern:
    """Whether the lashings hold in line with the centre of gravity: else the load would turn."""
    lashings = by_friction or directly
    if not lashings or any(one.route is None for one in lashings):
        return Pattern()
    box = box_of(article, plan)
    if not isinstance(box, Box):
        return Pattern(missing=box)
    offset_m = _offset_m(article, box, direction, lashings, squeezed=bool(by_friction))
    along, across = TOWARDS[direction]
    size_m = abs(along) * (box.high[1] - box.low[1]) + abs(across) * (box.high[0] - box.low[0])
    if abs(offset_m) > en_figure("pattern-apart-max") * size_m:
        return Pattern(refused=("note.en-refused-beside",))
    return Pattern()


def _offset_m(
    article: Article, box: Box, direction: Direction, lashings: Sequence[Lashing], *, squeezed: bool
) -> float:
    """How far beside the centre of gravity the lashings hold, seen along the movement."""
    along, across = TOWARDS[direction]
    centre = centre_of_gravity(article, box)
    known = all(one.force.known for one in lashings)
    turning = holding = 0.0
    for one in lashings:
        force_n = one.force.low if known else 1.0
        for pull in one.pulls[direction]:
            x, y = pull.at[0] - centre[0], pull.at[1] - centre[1]
            beside_m = along * y - across * x
            if squeezed:
                turning += force_n * math.sin(pull.angle_rad) * beside_m
                holding += force_n * math.sin(pull.angle_rad)
                continue
            before_m = along * x + across * y
            sideways = along * pull.pull[1] - across * pull.pull[0]
            turning += force_n * (before_m * sideways + beside_m * pull.against)
            holding += force_n * pull.against
    return turning / holding if holding > 0 else 0.0
