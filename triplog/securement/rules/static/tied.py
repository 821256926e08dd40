"""A tie-down as the estimate takes it: its route, its limit, its tension, and what is not known."""

from dataclasses import dataclass

from triplog.securement.finding import Missing, Step
from triplog.securement.geometry import Route, articles_pierced, route_of
from triplog.securement.model import GearKind, Path, Plan, TieDown
from triplog.securement.rating import (
    PartName,
    PartRating,
    Standing,
    assembly_rating,
    nothing_for,
    uses_us_columns,
)

_STIFF = frozenset({GearKind.CHAIN, GearKind.WIRE_ROPE, GearKind.STEEL_STRAPPING})


@dataclass(frozen=True, slots=True, kw_only=True)
class Tied:
    """`limit_n` is that of its own parts and of the attachment on the article, `anchors_n` that of
    each anchor point of the vehicle it is hooked to.

    `route` None: it counts nothing, and `missing` or `notes` say why. `weakest` is the part that
    is used up first, an anchor point's equal share among them; no tension above it counts.
    """

    tie_down: TieDown
    route: Route | None
    limit_n: float
    anchors_n: dict[str, float]
    weakest: str
    weakest_n: float
    stiff: bool
    missing: tuple[Missing, ...] = ()
    notes: tuple[Step, ...] = ()

    @property
    def presses(self) -> bool:
        """Whether it acts with its tension alone."""
        return self.tie_down.path is Path.OVER

    @property
    def as_tensioned_n(self) -> float:
        """Its tension as given, 0 where it is not."""
        tension = self.tie_down.tension
        return 0.0 if tension is None else self._at_most(float(tension.si))

    @property
    def as_retained_n(self) -> float:
        """Its tension as found at the last look, else as given."""
        found = self.tie_down.retained
        return self.as_tensioned_n if found is None else self._at_most(float(found.si))

    def _at_most(self, tension_n: float) -> float:
        return min(tension_n, self.weakest_n)


def tied(tie_down: TieDown, plan: Plan) -> Tied:
    """What is known of a tie-down."""
    held = tuple(one for one in plan.articles if one.id in tie_down.holds)
    rating = assembly_rating(tie_down, plan, us=uses_us_columns(held))
    gear = plan.gear_item(tie_down.gear)
    own, anchors, missing = [], {}, []
    shares: list[tuple[float, str]] = []
    for part in rating.parts:
        limit_n = _limit_n(part, plan, tie_down)
        if limit_n is not None:
            shares.append((limit_n / part.shared_by, f"{part.part} {part.about}"))
            if part.part is PartName.ANCHOR:
                anchors[part.about] = limit_n
            else:
                own.append(limit_n / part.shared_by)
        elif part.standing is Standing.UNKNOWN:
            missing.append(Missing(field=part.asks, about=part.about))
    route = route_of(tie_down, plan)
    notes: tuple[Step, ...] = ()
    if nothing_for(tie_down, plan) is not None:
        missing, notes = [], (Step(id="note.static-nothing", values={"name": tie_down.id}),)
    elif not isinstance(route, Route) and route.why != "not known":
        missing, notes = [], (Step(id="note.static-no-route", values={"name": tie_down.id}),)
    elif not isinstance(route, Route):
        missing += route.missing
    elif route.assumed and articles_pierced(route, plan):
        missing, notes = [], (Step(id="note.static-pierced", values={"name": tie_down.id}),)
    if tie_down.path is Path.OVER and not notes and (tie_down.tension or tie_down.retained) is None:
        missing.append(Missing(field="tension", about=tie_down.id))
    counts = isinstance(route, Route) and own and not missing and not notes
    return Tied(
        tie_down=tie_down,
        route=route if isinstance(route, Route) and counts else None,
        limit_n=min(own, default=0.0),
        anchors_n=anchors,
        weakest=min(shares, default=(0.0, ""))[1],
        weakest_n=min(shares, default=(0.0, ""))[0],
        stiff=gear is not None and gear.kind in _STIFF,
        missing=tuple(dict.fromkeys(missing)),
        notes=notes,
    )


def _limit_n(part: PartRating, plan: Plan, tie_down: TieDown) -> float | None:
    """What a part holds in all; webbing without a WLL holds what its label's LC says."""
    gear = plan.gear_item(tie_down.gear)
    if part.part is PartName.BODY and gear is not None and gear.wll is None and gear.lc is not None:
        return float(gear.lc.si)
    whole = part.whole or part.amount
    return None if whole is None else float(whole.si)
