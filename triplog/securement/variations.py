"""What if something small were different: a plan changed in one thing and nothing else.

Each variation takes a plan and gives the changed one, or None where it does not apply: there is
nothing it could change, or it is so already.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from triplog.securement.figure_tables import Row
from triplog.securement.geometry import SAME_POINT_M, Route, route_of
from triplog.securement.model import (
    Article,
    Gear,
    GearKind,
    Path,
    Plan,
    Position,
    TieDown,
)
from triplog.securement.quantity import Dimension, parse
from triplog.securement.rules.en_12195.en_figures import EVERY_SURFACE, NOT_CLEAN, friction_row
from triplog.securement.stations import Station, new_tie_down_ids, stations_for

Name = Literal["wet", "mat", "one-more", "slack", "gone", "angle"]
NAMES: tuple[Name, ...] = ("wet", "mat", "one-more", "slack", "gone", "angle")

_DECK = "deck"
_SURFACES: Mapping[Name, str] = {"wet": NOT_CLEAN, "mat": "anti-slip rubber"}
_SAME_ANGLE_RAD = 1e-3
_NO_FORCE = parse("0 N", Dimension.FORCE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Variation:
    """One thing changed. `about`: the articles or tie-downs it was changed for.

    `beyond_deck`: anchor points that would lie beyond the edge of the deck.
    """

    name: Name
    about: tuple[str, ...]
    plan: Plan
    beyond_deck: tuple[str, ...] = ()


def variations_of(plan: Plan, names: Iterable[Name], angle_deg: float) -> tuple[Variation, ...]:
    """Those of the names that apply, in the order of `NAMES`; slack, gone... once for each."""
    asked = set(names)
    every: dict[Name, tuple[Variation | None, ...]] = {
        "wet": (_varied("wet", plan, wet_deck(plan)),),
        "mat": (_varied("mat", plan, on_mats(plan)),),
        "one-more": tuple(
            _found("one-more", (article,), one_more(plan, article)) for article in _lasts(plan)
        ),
        "slack": tuple(_found("slack", (one.id,), slack(plan, one.id)) for one in plan.tie_downs),
        "gone": tuple(_found("gone", (one.id,), without(plan, one.id)) for one in plan.tie_downs),
        "angle": (_turned(plan, angle_deg),),
    }
    return tuple(one for name in NAMES if name in asked for one in every[name] if one is not None)


def wet_deck(plan: Plan) -> Plan | None:
    """The deck wet: surfaces by their wet value, a stated friction by no more than the CTU cap.

    A mat's own friction stays: the CTU Code gives a mat one value, wet and dry.
    """
    return _with_articles(plan, _wet)


def on_mats(plan: Plan) -> Plan | None:
    """An undamaged mat under each article on the deck, by the CTU Code's value for such mats."""
    value = _friction("mat")
    taken = {one.id for one in plan.gear}
    under = {
        one.id: Gear(
            id=_free(f"mat-{one.id}", taken),
            kind=GearKind.FRICTION_MAT,
            friction=value,
            damage=(),
        )
        for one in plan.articles
        if one.on == _DECK and one.mat is None and (one.friction is None or one.friction < value)
    }
    laid = replace(plan, gear=(*plan.gear, *under.values()))
    return _with_articles(
        laid,
        lambda one: replace(one, mat=under[one.id].id, friction=None) if one.id in under else one,
    )


def friction_figure(name: Name) -> Row:
    """The CTU Code's row that "wet" (the cap of a deck not clean) or "mat" goes by."""
    row = friction_row(_SURFACES[name], EVERY_SURFACE)
    assert row is not None
    return row


def one_more(plan: Plan, article_id: str) -> Plan | None:
    """One more tie-down like the last on an article; its gear alike.

    Over the top between the nearest free opposite anchor points; where there are none, and on any
    other path, from the same anchor points as the last.
    """
    held_by = plan.tie_downs_on(article_id)
    if not held_by:
        return None
    last = held_by[-1]
    more = replace(last, id=next(new_tie_down_ids(plan)))
    gear = plan.gear_item(last.gear)
    added: tuple[Gear, ...] = ()
    if gear is not None:
        gear = replace(gear, id=_free(f"{gear.id}-more", {one.id for one in plan.gear}))
        more, added = replace(more, gear=gear.id), (gear,)
    stations = stations_for(last.holds, plan) if last.path is Path.OVER else ()
    if stations:
        station = min(stations, key=lambda one: _apart_m(one, last, plan))
        more = replace(more, from_anchor=station.start, to=station.end, touches=None)
    return replace(plan, gear=(*plan.gear, *added), tie_downs=(*plan.tie_downs, more))


def slack(plan: Plan, tie_down_id: str) -> Plan | None:
    """A tie-down with no tension left in it."""

    def slackened(one: TieDown) -> TieDown:
        kept = None if one.retained is None else _NO_FORCE
        if one.id != tie_down_id or (one.tension is not None and not one.tension.si):
            return one
        return replace(one, tension=_NO_FORCE, tension_basis="measured", retained=kept)

    tie_downs = tuple(slackened(one) for one in plan.tie_downs)
    return None if tie_downs == plan.tie_downs else replace(plan, tie_downs=tie_downs)


def without(plan: Plan, tie_down_id: str) -> Plan | None:
    """A tie-down gone; its gear and anchor points stay where they are."""
    tie_downs = tuple(one for one in plan.tie_downs if one.id != tie_down_id)
    return None if tie_downs == plan.tie_downs else replace(plan, tie_downs=tie_downs)


def at_angle(plan: Plan, angle_deg: float) -> Plan | None:
    """Anchor points moved across so that tie-downs over the top leave the deck at an angle.

    A tie-down stays as it is where its route is not known, an anchor point of it also holds one
    that stays, or no place of its anchor points gives the angle.
    """
    moved = _moves(plan, math.radians(angle_deg))
    if not moved:
        return None
    return _with_anchors(plan, {end: at for ends in moved.values() for end, at in ends.items()})


def _varied(name: Name, before: Plan, after: Plan | None) -> Variation | None:
    """With the articles that differ."""
    if after is None:
        return None
    pairs = zip(before.articles, after.articles, strict=True)
    return Variation(name=name, about=tuple(a.id for b, a in pairs if a != b), plan=after)


def _found(name: Name, about: tuple[str, ...], after: Plan | None) -> Variation | None:
    return None if after is None else Variation(name=name, about=about, plan=after)


def _turned(plan: Plan, angle_deg: float) -> Variation | None:
    after = at_angle(plan, angle_deg)
    if after is None:
        return None
    moved = {a.id for b, a in zip(plan.anchors, after.anchors, strict=True) if a != b}
    width = plan.vehicle.deck_width
    return Variation(
        name="angle",
        about=tuple(one.id for one in plan.tie_downs if one.from_anchor in moved),
        plan=after,
        beyond_deck=tuple(
            one.id
            for one in after.anchors
            if one.id in moved
            and one.at is not None
            and width is not None
            and abs(one.at.left_m) > width.si / 2
        ),
    )


def _wet(article: Article) -> Article:
    if article.on != _DECK or article.wet or (article.friction is None and article.mat is not None):
        return article
    if article.friction is not None:
        return replace(article, friction=min(article.friction, _friction("wet")))
    return article if article.surfaces is None else replace(article, wet=True)


def _friction(name: Name) -> Decimal:
    return Decimal(friction_figure(name).cells["dry"])


def _lasts(plan: Plan) -> dict[str, TieDown]:
    """The last tie-down of each article; of articles with the same last one the first."""
    lasts: dict[str, TieDown] = {}
    for article in plan.articles:
        held_by = plan.tie_downs_on(article.id)
        if held_by and held_by[-1] not in lasts.values():
            lasts[article.id] = held_by[-1]
    return lasts


def _with_articles(plan: Plan, change: Callable[[Article], Article]) -> Plan | None:
    articles = tuple(change(one) for one in plan.articles)
    return None if articles == plan.articles else replace(plan, articles=articles)


def _with_anchors(plan: Plan, places: Mapping[str, Position]) -> Plan:
    return replace(
        plan,
        anchors=tuple(
            replace(one, at=places[one.id]) if one.id in places else one for one in plan.anchors
        ),
    )


def _free(wanted: str, taken: set[str]) -> str:
    """The id, or the first like it that is not taken."""
    likes = (wanted, *(f"{wanted}-{number}" for number in range(2, len(taken) + 3)))
    return next(one for one in likes if one not in taken)


def _apart_m(station: Station, last: TieDown, plan: Plan) -> Fraction:
    """How far along the deck a station is from the last tie-down; nothing where not known."""
    here, there = plan.anchor(station.start), plan.anchor(last.from_anchor)
    if here is None or there is None or here.at is None or there.at is None:
        return Fraction(0)
    return abs(here.at.from_front_m - there.at.from_front_m)


def _moves(plan: Plan, angle_rad: float) -> dict[str, dict[str, Position]]:
    """By tie-down, the new places of its anchor points; only those that can all be had together."""
    wanted = {one.id: ends for one in plan.tie_downs if (ends := _ends(one, plan, angle_rad))}
    while True:
        kept = {
            name: ends
            for name, ends in wanted.items()
            if all(_agree(anchor, at, plan, wanted) for anchor, at in ends.items())
        }
        if kept == wanted:
            return kept
        wanted = kept


def _agree(
    anchor_id: str, at: Position, plan: Plan, wanted: Mapping[str, Mapping[str, Position]]
) -> bool:
    """Whether every tie-down on an anchor point wants it there."""
    return all(
        wanted.get(one.id, {}).get(anchor_id) == at
        for one in plan.tie_downs
        if anchor_id in (one.from_anchor, one.to)
    )


def _ends(tie_down: TieDown, plan: Plan, angle_rad: float) -> dict[str, Position] | None:
    """Where the anchor points of a tie-down over the top have to lie; None: left as it is."""
    if tie_down.path is not Path.OVER:
        return None
    route = route_of(tie_down, plan)
    if not isinstance(route, Route) or _is_at(route, angle_rad):
        return None
    out = _across(route)
    if out is None:
        return None
    places: dict[str, Position] = {}
    for leg, side in zip(route.legs, (1.0, -1.0), strict=True):
        anchor = plan.anchor(leg.anchor)
        rise_m = leg.cargo_at[2] - leg.anchor_at[2]
        if anchor is None or anchor.at is None or rise_m < SAME_POINT_M:
            return None
        level_m = side * rise_m / math.tan(angle_rad)
        places[anchor.id] = replace(
            anchor.at,
            from_front_m=_metres(-(leg.cargo_at[0] + level_m * out[0])),
            left_m=_metres(leg.cargo_at[1] + level_m * out[1]),
        )
    found = route_of(tie_down, _with_anchors(plan, places))
    return places if isinstance(found, Route) and _is_at(found, angle_rad) else None


def _is_at(route: Route, angle_rad: float) -> bool:
    return all(abs(leg.angle_rad - angle_rad) < _SAME_ANGLE_RAD for leg in route.legs)


def _across(route: Route) -> tuple[float, float] | None:
    """The unit vector, seen from above, from the last anchor point to the first."""
    first, last = route.legs[0].anchor_at, route.legs[-1].anchor_at
    x, y = first[0] - last[0], first[1] - last[1]
    apart_m = math.hypot(x, y)
    return None if apart_m < SAME_POINT_M else (x / apart_m, y / apart_m)


def _metres(value: float) -> Fraction:
    """To a thousandth of a millimetre, so that two tie-downs can agree on a place."""
    return Fraction(round(value, 6))
