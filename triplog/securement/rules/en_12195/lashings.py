"""The lashings on an article as EN 12195-1 takes them: by friction or directly, with what force.

Over the top a lashing counts with its tension: STF as the label prints it, or what was measured;
never more than half its LC, never more than its anchor points hold. Every other way it counts with
its LC or its anchor point's rating, whichever is less. A tension found at the last look counts
where it is the least.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import chain

from triplog.securement.finding import Basis, Input, Missing, Step, Value
from triplog.securement.geometry import Route, Unrouted, articles_pierced, route_of
from triplog.securement.model import Article, Direction, Gear, Path, Plan, TieDown
from triplog.securement.quantity import Amount, Dimension, amount_worked_out
from triplog.securement.rating import NothingFor, nothing_for
from triplog.securement.rules.en_12195.anchors import End, ends_of
from triplog.securement.rules.en_12195.en_figures import en_figure
from triplog.securement.rules.en_12195.labels import label_notes
from triplog.securement.rules.en_12195.pulls import LENGTHWISE, Pull, pulls_of
from triplog.securement.rules.en_12195.span import ANYTHING, Span, exactly

_NOTHING = {
    NothingFor.DAMAGED: "note.en-set-aside",
    NothingFor.NO_TIE_DOWN: "note.en-no-tie-down",
}
_MEASURED = frozenset({"measured", "hand force label"})
_TENSION_BASIS = {
    "measured": Basis.MEASURED,
    "hand force label": Basis.MARKED,
    "assumed": Basis.ESTIMATED,
}
# A pull square to the movement is not one against it because of the last digits of a sum.
_SQUARE_WITHIN = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Lashing:
    """One tie-down that counts. `by_friction` None: its path is not known.

    `force` is the tension over the top, else what each leg holds; `tipping_force` half its LC, for
    the other of the two ways to take a lashing over the top against tipping sideways. `shares` are
    the legs' forces over the tensioner's, in each way it may be; `route` None: not known, and then
    `pulls`, its legs by direction of movement, are none.
    `refused` names why the closed form does not cover it.
    """

    tie_down: TieDown
    gear: Gear | None
    by_friction: bool | None
    force: Span
    tipping_force: Span
    route: Route | None
    pulls: Mapping[Direction, tuple[Pull, ...]]
    shares: tuple[tuple[float, float], ...]
    missing: tuple[Missing, ...]
    tipping_missing: tuple[Missing, ...]
    inputs: tuple[Input, ...]
    notes: tuple[Step, ...]
    refused: tuple[str, ...]

    @property
    def settled(self) -> bool:
        """Whether it holds the same at both ends of what is not known of it."""
        one_way = len(self.shares) == 1 and self.route is not None
        return one_way and self.force.known and self.tipping_force.known

    def holds_directly(self, direction: Direction) -> bool | None:
        """Whether it counts as a direct lashing against a movement; None where nobody can tell.

        Only what pulls against the movement counts. A loop holds sideways, a lashing round a face
        lengthwise, and only with both legs.
        """
        if self.by_friction:
            return False
        path = self.tie_down.path
        if path is Path.SAME_SIDE and direction in LENGTHWISE:
            return False
        if path is Path.SPRING and direction not in LENGTHWISE:
            return False
        if self.by_friction is None or self.route is None:
            return None
        return all(one.against > _SQUARE_WITHIN for one in self.pulls[direction])

    @property
    def open_side(self) -> tuple[Missing, ...]:
        """The tensioner's side, where it makes a difference and is not known."""
        if len(self.shares) == 1:
            return ()
        return (Missing(field="tensioner_side", about=self.tie_down.id),)

    @property
    def name(self) -> str:
        """The tie-down's id."""
        return self.tie_down.id


@dataclass(frozen=True, slots=True, kw_only=True)
class Lashings:
    """What counts on an article, and a note on each tie-down that counts nothing."""

    counted: tuple[Lashing, ...]
    notes: tuple[Step, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Force:
    span: Span
    missing: tuple[Missing, ...] = ()
    notes: tuple[Step, ...] = ()


def newtons(force_n: float) -> Amount:
    """A force that was worked out, in the unit European labels print."""
    return amount_worked_out(force_n, "daN", Dimension.FORCE)


def lashings_on(article: Article, plan: Plan) -> Lashings:
    """Every tie-down on the article, sorted into what counts and what does not."""
    counted, notes = [], []
    for tie_down in plan.tie_downs_on(article.id):
        reason = _counts_nothing(tie_down, plan)
        if reason is not None:
            notes.append(Step(id=reason, values={"name": tie_down.id}))
            continue
        route = route_of(tie_down, plan)
        if isinstance(route, Unrouted) and route.why != "not known":
            notes.append(Step(id="note.en-no-route", values={"name": tie_down.id}))
            continue
        counted.append(_lashing(tie_down, plan, route))
    return Lashings(counted=tuple(counted), notes=tuple(notes))


def _counts_nothing(tie_down: TieDown, plan: Plan) -> str | None:
    """The note that says why it counts nothing; an LC without an STF rules friction out."""
    reason = nothing_for(tie_down, plan)
    if reason is not None:
        return _NOTHING[reason]
    gear = plan.gear_item(tie_down.gear)
    if tie_down.path is Path.OVER and gear is not None and gear.stf is None and gear.lc is not None:
        return "note.en-no-stf"
    return None


def _lashing(tie_down: TieDown, plan: Plan, route: Route | Unrouted) -> Lashing:
    gear = plan.gear_item(tie_down.gear)
    by_friction = None if tie_down.path is None else tie_down.path is Path.OVER
    ends = ends_of(tie_down, plan)
    own = _tension(tie_down, gear) if by_friction else _capacity(tie_down, gear)
    tipping = _half_capacity(gear, own.span)
    force, tipping_force = own.span, tipping.span
    for end in ends:
        force, tipping_force = force.capped(end.force), tipping_force.capped(end.force)
    known = route if isinstance(route, Route) else None
    return Lashing(
        tie_down=tie_down,
        gear=gear,
        by_friction=by_friction,
        force=force,
        tipping_force=tipping_force,
        route=known,
        pulls=pulls_of(known),
        shares=_shares(tie_down, plan, known),
        missing=(
            *own.missing,
            *(end.missing for end in ends if end.missing is not None),
            *(route.missing if isinstance(route, Unrouted) else ()),
        ),
        tipping_missing=tipping.missing,
        inputs=_inputs(tie_down, gear, ends, known),
        notes=(*own.notes, *_governed(tie_down, own.span, ends)),
        refused=_refused(known, plan, by_friction=by_friction is True),
    )


def _tension(tie_down: TieDown, gear: Gear | None) -> _Force:
    """What stands in the lashing: as measured, else STF; the label has to allow it at all."""
    if gear is None:
        return _Force(span=ANYTHING, missing=(Missing(field="gear", about=tie_down.id),))
    told = None if tie_down.tension is None else float(tie_down.tension.si)
    if gear.stf is None:
        missing = Missing(field="stf", about=gear.id)
        return _Force(span=Span(low=0.0, high=told), missing=(missing,))
    reached = float(gear.stf.si)
    if told is not None:
        measured = tie_down.tension_basis in _MEASURED
        reached = told if measured else min(told, reached)
    if tie_down.retained is not None:
        reached = min(reached, float(tie_down.retained.si))
    return _within(reached, tie_down, gear)


def _within(reached_n: float, tie_down: TieDown, gear: Gear) -> _Force:
    """EN 12195-1:2010 5.4.1: the tension stays between a share of LC and half of it."""
    odd = label_notes(gear)
    if gear.lc is None:
        return _Force(span=exactly(reached_n), notes=odd)
    least_n, most_n = (float(gear.lc.si) * en_figure(f"tension-{end}") for end in ("min", "max"))
    notes = []
    if reached_n < least_n or reached_n > most_n:
        step_id = "note.en-tension-low" if reached_n < least_n else "note.en-tension-high"
        line = newtons(least_n if reached_n < least_n else most_n)
        notes.append(Step(id=step_id, values={"name": tie_down.id, "line": line}))
    return _Force(span=exactly(min(reached_n, most_n)), notes=(*notes, *odd))


def _capacity(tie_down: TieDown, gear: Gear | None) -> _Force:
    if gear is None:
        return _Force(span=ANYTHING, missing=(Missing(field="gear", about=tie_down.id),))
    if gear.lc is None:
        return _Force(span=ANYTHING, missing=(Missing(field="lc", about=gear.id),))
    return _Force(span=exactly(float(gear.lc.si)))


def _half_capacity(gear: Gear | None, tension: Span) -> _Force:
    """Half of LC; where LC is not known at least the tension, as a label's STF is never more."""
    if gear is None or gear.lc is None:
        missing = () if gear is None else (Missing(field="lc", about=gear.id),)
        return _Force(span=Span(low=tension.low, high=None), missing=missing)
    return _Force(span=exactly(float(gear.lc.si) * en_figure("tip-share-of-lc")))


def _shares(tie_down: TieDown, plan: Plan, route: Route | None) -> tuple[tuple[float, float], ...]:
    """The legs' shares, from and to; where the tensioner's side is not known, both ways."""
    if tie_down.far_side_share is not None:
        far = float(tie_down.far_side_share)
    else:
        k = plan.assumptions.transmission_k
        far = (en_figure("k") if k is None else float(k)) - 1
    if far == 1 or tie_down.tensioner_side == "both":
        return ((1.0, 1.0),)
    first, second = (1.0, far), (far, 1.0)
    if tie_down.tensioner_side is None or route is None or len(route.legs) < 2:
        return (first, second)
    first_is_left = route.legs[0].anchor_at[1] > route.legs[1].anchor_at[1]
    return (first,) if first_is_left is (tie_down.tensioner_side == "left") else (second,)


def _refused(route: Route | None, plan: Plan, *, by_friction: bool) -> tuple[str, ...]:
    if route is None:
        return ()
    reasons = []
    if by_friction and any(leg.angle_rad < 0 for leg in route.legs):
        reasons.append("note.en-refused-upward")
    if articles_pierced(route, plan):
        reasons.append("note.en-refused-pierced")
    return tuple(reasons)


def _governed(tie_down: TieDown, own: Span, ends: tuple[End, ...]) -> tuple[Step, ...]:
    """The end that holds less than the lashing itself, if one does."""
    weaker = [
        one for one in ends
        if one.force.high is not None and (own.high is None or one.force.high < own.high)
    ]  # fmt: skip
    if not weaker:
        return ()
    least = min(weaker, key=lambda one: one.force.high or 0.0)
    values: dict[str, Value] = {
        "name": tie_down.id,
        "about": least.about,
        "force": newtons(least.force.high or 0.0),
    }
    return (Step(id="note.en-anchor-governs", values=values),)


def _inputs(
    tie_down: TieDown, gear: Gear | None, ends: tuple[End, ...], route: Route | None
) -> tuple[Input, ...]:
    label = () if gear is None else (("stf", gear.stf), ("lc", gear.lc))
    marked = (
        Input(name=name, about=gear.id, value=value, basis=Basis.MARKED)
        for name, value in label
        if gear is not None and value is not None
    )
    basis = _TENSION_BASIS.get(tie_down.tension_basis or "", Basis.STATED)
    tensions = (
        Input(name=name, about=tie_down.id, value=value, basis=each)
        for name, value, each in (
            ("tension", tie_down.tension, basis),
            ("retained", tie_down.retained, Basis.MEASURED),
        )
        if value is not None
    )
    angles = () if route is None else (
        Input(
            name="angle to the deck",
            about=tie_down.id,
            value=", ".join(degrees(leg.angle_rad) for leg in route.legs),
            basis=Basis.WORKED_OUT,
        ),
    )  # fmt: skip
    side = tie_down.tensioner_side
    sides = () if side is None else (
        Input(name="tensioner_side", about=tie_down.id, value=side, basis=Basis.STATED),
    )  # fmt: skip
    return tuple(chain(marked, tensions, (end.input for end in ends), angles, sides))


def degrees(angle_rad: float) -> str:
    """An angle in degrees, to a tenth."""
    return f"{math.degrees(angle_rad):.1f}°"
