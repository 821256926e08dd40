"""What a tie-down presses down with: the upright part of the tension in each of its legs.

The angles come from the route over the deck. Where the route is not known a leg presses down with
anything from nothing to its whole tension.
"""

from dataclasses import dataclass
from fractions import Fraction
from itertools import permutations

from triplog.securement.finding import Missing
from triplog.securement.geometry import Leg, Route, route_of
from triplog.securement.model import Path, Plan, TieDown
from triplog.securement.quantity import rounded

_BILLIONTH = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """A force in newtons, or a share, at both ends; `best` None: nothing known limits it."""

    worst: Fraction
    best: Fraction | None

    def times(self, force_n: Fraction) -> "Ends":
        """A force as many times as this share, at both ends."""
        best = None if self.best is None else self.best * force_n
        return Ends(worst=self.worst * force_n, best=best)

    @property
    def settled(self) -> bool:
        """Whether both ends are the same."""
        return self.worst == self.best


NOTHING = Ends(worst=Fraction(0), best=Fraction(0))
UNLIMITED = Ends(worst=Fraction(0), best=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Upright:
    """How many times its tension a tie-down presses down with; `missing` is what leaves it open."""

    share: Ends
    missing: tuple[Missing, ...]


def upright_share(tie_down: TieDown, plan: Plan) -> Upright:
    """The sum of the sines of its legs, the leg away from the tensioner reduced.

    A far side share not told is 1: both legs at the tension. Which leg has the tensioner is
    looked at both ways unless the plan tells the side. A leg that runs up presses nothing down.
    """
    far = Fraction(1)
    if tie_down.far_side_share is not None and tie_down.tensioner_side != "both":
        far = Fraction(tie_down.far_side_share)
    route = route_of(tie_down, plan)
    if not isinstance(route, Route):
        legs = 1 if tie_down.path is Path.DIRECT else 2
        missing = (Missing(field="angle of the legs", about=tie_down.id), *route.missing)
        most = Fraction(1) if legs == 1 else 1 + far
        return Upright(share=Ends(worst=Fraction(0), best=most), missing=missing)
    orders = [legs for legs in permutations(route.legs) if _fits(legs[0], tie_down, len(legs))]
    sums = [sum_of_sines(legs, far) for legs in orders or [route.legs]]
    share = Ends(worst=min(sums), best=max(sums))
    side = Missing(field="tensioner_side", about=tie_down.id)
    return Upright(share=share, missing=() if share.settled else (side,))


def sum_of_sines(legs: tuple[Leg, ...], far: Fraction) -> Fraction:
    """The first leg's sine and the others' reduced ones; exact to a billionth."""
    first, *others = (sine(leg) for leg in legs)
    return first + far * sum(others, Fraction(0))


def sine(leg: Leg) -> Fraction:
    """The sine of a leg's angle to the deck, to a billionth; below zero where it runs up."""
    return rounded(Fraction(-leg.pull[2]), _BILLIONTH, "nearest")


def _fits(first: Leg, tie_down: TieDown, legs: int) -> bool:
    """Whether the leg can be the one with the tensioner."""
    if legs == 1 or tie_down.tensioner_side not in ("left", "right"):
        return True
    left_m = first.anchor_at[1]
    return left_m == 0 or (left_m > 0) is (tie_down.tensioner_side == "left")


def total(parts: list[Ends]) -> Ends:
    """The sum of forces at both ends."""
    bests = [part.best for part in parts]
    known = [best for best in bests if best is not None]
    return Ends(
        worst=sum((part.worst for part in parts), Fraction(0)),
        best=sum(known, Fraction(0)) if len(known) == len(bests) else None,
    )
