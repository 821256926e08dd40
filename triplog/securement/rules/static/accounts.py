"""What stands behind one value of the estimate, worked out where somebody asks for it.

Nothing here goes into a finding: the forces take as long again as the four values, the headings
beside them longer, and most who judge a plan ask for neither.
"""

import math
from dataclasses import dataclass

from triplog.securement.equilibrium.account import Account, account
from triplog.securement.equilibrium.scene import Refusal, Scene
from triplog.securement.equilibrium.withstands import withstands_each
from triplog.securement.rules.static.assumed import static_figure
from triplog.securement.rules.static.estimates import HEADINGS
from triplog.securement.rules.static.in_order import Judged


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """A heading some degrees to the left (negative: right) of the one asked, and its value."""

    to_the_left_deg: int
    g: float


def accounted(one: Judged) -> Account | None:
    """The forces at the value of the scene that withstands least; None where there is none."""
    found = [account(scene, HEADINGS[one.direction]) for scene in one.estimate.scenes]
    several = [each for each in found if each is not None]
    return min(several, key=lambda each: each.g, default=None)


def least_beside(one: Judged) -> Beside | None:
    """The least withstood a little off the direction, where it is notably less than in it."""
    if one.told is None:
        return None
    most = round(static_figure("off-heading"))
    offsets = [offset for offset in range(-most, most + 1) if offset]
    heading = HEADINGS[one.direction]
    headings = tuple(heading + math.radians(offset) for offset in offsets)
    values = [_values(scene, headings) for scene in one.estimate.scenes]
    least = min(
        (
            Beside(to_the_left_deg=offset, g=min(each))
            for offset, each in zip(offsets, zip(*values, strict=True), strict=True)
        ),
        key=lambda beside: beside.g,
        default=None,
    )
    if least is None or least.g > one.told.withstands_g - static_figure("off-heading-less"):
        return None
    return least


def _values(scene: Scene, headings: tuple[float, ...]) -> tuple[float, ...]:
    told = withstands_each(scene, headings)
    return () if isinstance(told, Refusal) else tuple(one.withstands_g for one in told)
