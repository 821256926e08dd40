"""Where one more tie-down could run over the top: between two opposite anchor points left free.

A direct tie-down needs an attachment on the article, which only a person who sees it can name.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.geometry import Route, articles_pierced, route_of
from triplog.securement.model import Anchor, Path, Plan, TieDown
from triplog.securement.rules.groups import groups_of

# Two anchor points a foot apart along the deck still make a strap that runs straight across.
_OPPOSITE_MAX_M = Fraction(305, 1000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """Two opposite anchor points and the articles a tie-down between them would hold."""

    holds: tuple[str, ...]
    start: str
    end: str


def stations_of(plan: Plan) -> tuple[Station, ...]:
    """Every station of every group of articles, from the front of the deck backwards."""
    return tuple(one for group in groups_of(plan) for one in stations_for(group.ids, plan))


def stations_for(holds: tuple[str, ...], plan: Plan) -> tuple[Station, ...]:
    """Every station of some articles, from the front of the deck backwards."""
    used = {end for one in plan.tie_downs for end in (one.from_anchor, one.to)}
    free = sorted(
        (one for one in plan.anchors if one.at is not None and one.id not in used),
        key=lambda one: (_back_m(one), one.id),
    )
    return tuple(
        station
        for left in free
        if _left_m(left) > 0
        for right in free
        if _left_m(right) < 0 and abs(_back_m(left) - _back_m(right)) <= _OPPOSITE_MAX_M
        if _fits(station := Station(holds=holds, start=left.id, end=right.id), plan)
    )


def new_tie_down_ids(plan: Plan) -> Iterator[str]:
    """Ids that no tie-down of the plan has: N1, N2 and on."""
    taken = {one.id for one in plan.tie_downs}
    return (f"N{number}" for number in range(1, 10_000) if f"N{number}" not in taken)


def _fits(station: Station, plan: Plan) -> bool:
    """Whether a tie-down there bears on the articles; yes as long as their places are not known."""
    tie_down = TieDown(
        id="station",
        holds=station.holds,
        path=Path.OVER,
        from_anchor=station.start,
        to=station.end,
    )
    route = route_of(tie_down, plan)
    if isinstance(route, Route):
        return not articles_pierced(route, plan)
    return route.why == "not known"


def _back_m(anchor: Anchor) -> Fraction:
    assert anchor.at is not None
    return anchor.at.from_front_m


def _left_m(anchor: Anchor) -> Fraction:
    assert anchor.at is not None
    return anchor.at.left_m
