"""How the legs of a tie-down pull on the articles, and with what tension.

Directions come from the route over the articles; where the route is not known each leg may pull any
way. 49 CFR gives no figure for the tension that is lost over an article, so a far leg whose share
is not told holds anything between nothing and the whole tension.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.ends import NOTHING, Ends, least, most
from triplog.securement.finding import Basis, Input, Missing
from triplog.securement.geometry import SAME_POINT_M, Route, articles_pierced, route_of
from triplog.securement.model import Path, Plan, TieDown
from triplog.securement.quantity import rounded

# Decimals kept of a direction: far below what a tape measure gives, and whole where it is whole.
_DIRECTION_DECIMALS = 12
ONE = Fraction(1)
LEG_ANGLE = "angle of the legs"
_TENSION_BASIS = {"measured": Basis.MEASURED, "assumed": Basis.ESTIMATED}


@dataclass(frozen=True, slots=True, kw_only=True)
class LegPull:
    """The unit vector of a leg's pull on an article: forward, left, down; `on_left` its anchor."""

    article: str
    forward: Fraction
    left: Fraction
    down: Fraction
    on_left: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Legs:
    """`number` legs; `pulls` is empty where the route is not known or cannot be rigged.

    `level`: over several articles it runs level, so that only its ends press.
    """

    number: int
    pulls: tuple[LegPull, ...] = ()
    level: bool = True


def legs_of(tie_down: TieDown, plan: Plan) -> Legs:
    """The legs of a tie-down, one for a direct one, else two."""
    number = 1 if tie_down.path is Path.DIRECT else 2
    route = route_of(tie_down, plan)
    if not isinstance(route, Route) or (route.assumed and articles_pierced(route, plan)):
        return Legs(number=number)
    pulls = []
    for leg in route.legs:
        forward, left, up = (
            rounded(Fraction(part), _DIRECTION_DECIMALS, "nearest") for part in leg.pull
        )
        pulls.append(
            LegPull(
                article=leg.article,
                forward=forward,
                left=left,
                down=-up,
                on_left=leg.anchor_at[1] > 0,
            )
        )
    heights = [contact.at[2] for contact in route.contacts]
    level = not heights or max(heights) - min(heights) < SAME_POINT_M
    return Legs(number=number, pulls=tuple(pulls), level=level)


def tension_n(tie_down: TieDown) -> Fraction | None:
    """The tension in newtons: as found at the last look, else as tensioned; None: not known."""
    found = tie_down.retained or tie_down.tension
    return None if found is None else found.si


def tension_inputs(tie_downs: Sequence[TieDown]) -> tuple[Input, ...]:
    """The tensions that are known, with where they come from."""
    return tuple(
        Input(
            name="tension",
            about=one.id,
            value=one.retained or one.tension,
            basis=Basis.MEASURED
            if one.retained
            else _TENSION_BASIS.get(one.tension_basis or "", Basis.STATED),
        )
        for one in tie_downs
        if one.retained or one.tension
    )


def at_tension(
    tie_down: TieDown, tension: Ends, legs: Legs, factors: Sequence[Ends]
) -> tuple[Ends, tuple[Missing, ...]]:
    """The sum over the legs of tension times factor, and what is not known of how it is shared.

    One factor per leg, in the order of the route. The leg beside the tensioner has the whole
    tension, the other its share.
    """
    if len(factors) == 1:
        return tension.times(factors[0]), ()
    shares, missing = _far_shares(tie_down)
    nears = _near_legs(tie_down, legs)
    if not missing and len(nears) > 1 and shares != (ONE,) and factors[0] != factors[1]:
        missing = (Missing(field="tensioner_side", about=tie_down.id),)
    sums = [factors[near] + factors[1 - near].scaled(share) for share in shares for near in nears]
    low, high = least(*(one.low for one in sums)), most(*(one.high for one in sums))
    return tension.times(Ends(low=low, high=high)), missing


def _far_shares(tie_down: TieDown) -> tuple[tuple[Fraction, ...], tuple[Missing, ...]]:
    if tie_down.far_side_share is not None:
        return (Fraction(tie_down.far_side_share),), ()
    if tie_down.tensioner_side == "both":
        return (ONE,), ()
    return (NOTHING, ONE), (Missing(field="far_side_share", about=tie_down.id),)


def _near_legs(tie_down: TieDown, legs: Legs) -> tuple[int, ...]:
    """The legs the tensioner may be on, by its side of the vehicle."""
    sides = [pull.on_left for pull in legs.pulls]
    if len(sides) == 2 and sides[0] != sides[1] and tie_down.tensioner_side in ("left", "right"):
        return (sides.index(tie_down.tensioner_side == "left"),)
    return (0, 1)
