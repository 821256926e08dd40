"""Where a tie-down could run, and what could be put there.

Only over the top, between two anchor points opposite each other that hold nothing yet: a direct
tie-down needs an attachment on the article, which only a person who sees it can name.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from triplog.securement.geometry import Route, articles_pierced, route_of
from triplog.securement.model import (
    WEBBING,
    Anchor,
    EdgeProtection,
    Gear,
    GearKind,
    Path,
    Plan,
    TieDown,
)
from triplog.securement.quantity import Quantity
from triplog.securement.rules.groups import groups_of

# Two anchor points a foot apart along the deck still make a strap that runs straight across.
_OPPOSITE_MAX_M = Fraction(305, 1000)
_CONTACTS = 2
_OVER_THE_TOP = WEBBING | {GearKind.CHAIN, GearKind.WIRE_ROPE, GearKind.CORDAGE}


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """Two opposite anchor points and the articles a tie-down between them would hold."""

    holds: tuple[str, ...]
    start: str
    end: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """Pieces of gear that are alike in everything but their id."""

    pieces: tuple[Gear, ...]

    @property
    def gear(self) -> Gear:
        """One of them."""
        return self.pieces[0]


def stations_of(plan: Plan) -> tuple[Station, ...]:
    """Every station of every group of articles, from the front of the deck backwards."""
    used = {end for one in plan.tie_downs for end in (one.from_anchor, one.to)}
    free = sorted(
        (one for one in plan.anchors if one.at is not None and one.id not in used),
        key=lambda one: (_back_m(one), one.id),
    )
    pairs = [
        (left, right)
        for left in free
        if _left_m(left) > 0
        for right in free
        if _left_m(right) < 0 and abs(_back_m(left) - _back_m(right)) <= _OPPOSITE_MAX_M
    ]
    return tuple(
        station
        for group in groups_of(plan)
        for left, right in pairs
        if _fits(station := Station(holds=group.ids, start=left.id, end=right.id), plan)
    )


def kinds_of(gear: Iterable[Gear]) -> tuple[Kind, ...]:
    """The gear that can go over the top, alike pieces together, in the order given."""
    alike: dict[Gear, list[Gear]] = {}
    for one in gear:
        if one.kind in _OVER_THE_TOP and not one.damage:
            alike.setdefault(replace(one, id=""), []).append(one)
    return tuple(Kind(pieces=tuple(pieces)) for pieces in alike.values())


def with_tie_downs(
    plan: Plan, chosen: Iterable[tuple[Station, Gear]], tension: Quantity | None
) -> Plan:
    """The plan with a tie-down more for each station chosen.

    Taken for granted, and to be done so: a protector at both edges, no knot, tensioned to what the
    label says (STF), else to `tension`.
    """
    taken = {one.id for one in plan.tie_downs}
    free = (f"N{number}" for number in range(1, 10_000) if f"N{number}" not in taken)
    chosen = tuple(chosen)
    known = {one.id for one in plan.gear}
    tie_downs = tuple(
        TieDown(
            id=next(free),
            holds=station.holds,
            path=Path.OVER,
            gear=gear.id,
            from_anchor=station.start,
            to=station.end,
            tension=gear.stf or tension,
            tension_basis="assumed" if gear.stf is None else "hand force label",
            edge_protection=EdgeProtection(needed=_CONTACTS, fitted=_CONTACTS),
            knots=False,
            lay="crosswise",
        )
        for station, gear in chosen
    )
    return replace(
        plan,
        gear=(*plan.gear, *(gear for _, gear in chosen if gear.id not in known)),
        tie_downs=(*plan.tie_downs, *tie_downs),
    )


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
