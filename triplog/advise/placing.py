"""What could be put where a tie-down could run (`securement.stations`), and the plan with it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from triplog.securement.model import (
    WEBBING,
    EdgeProtection,
    Gear,
    GearKind,
    Path,
    Plan,
    TieDown,
)
from triplog.securement.quantity import Quantity
from triplog.securement.stations import Station, new_tie_down_ids

_CONTACTS = 2
_OVER_THE_TOP = WEBBING | {GearKind.CHAIN, GearKind.WIRE_ROPE, GearKind.CORDAGE}


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """Pieces of gear that are alike in everything but their id."""

    pieces: tuple[Gear, ...]

    @property
    def gear(self) -> Gear:
        """One of them."""
        return self.pieces[0]


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
    free = new_tie_down_ids(plan)
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
