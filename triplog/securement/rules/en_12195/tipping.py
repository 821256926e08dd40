"""Tipping over an edge in one direction: its own weight, lashings and a block, by their moments.

EN 12195-1:2010 5.4.3.1 (over the top, one row), 5.5.3.2 and 5.5.3.3 (direct, without and with a
block), 5.5.4.3 (loop), 5.5.5.3 (round a face). A lashing over the top presses down with each leg
at its own way from the edge; what its legs pull sideways counts only where it helps to tip.
Sideways it is taken twice, with STF at the lower acceleration and with half its LC at the higher
one, and both must hold: the printed "or" is read in the cautious way, which is our reading.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

from triplog.securement.closed_form import (
    count_needed,
    direct_tipping_nm,
    overturning_moment_nm,
    standing_moment_nm,
    top_over_tipping_nm,
    weight_force_n,
)
from triplog.securement.finding import Count, Finding, Missing, Scope, Step, Value
from triplog.securement.geometry import Box, box_of
from triplog.securement.model import Direction, Path
from triplog.securement.quantity import Amount, Dimension, Quantity, amount_worked_out
from triplog.securement.rules.en_12195.balance import Asked, Balance, Way, balance_finding
from triplog.securement.rules.en_12195.en_figures import (
    acceleration_of,
    en_figure,
    friction_lashing_factor,
)
from triplog.securement.rules.en_12195.facts import Facts
from triplog.securement.rules.en_12195.lashings import Lashing, degrees, newtons
from triplog.securement.rules.en_12195.pattern import pattern_of
from triplog.securement.rules.en_12195.pulls import LENGTHWISE, Pull
from triplog.securement.rules.en_12195.span import NOTHING, Span, total
from triplog.securement.rules.en_12195.stand import Stand
from triplog.securement.rules.en_12195.stops import Stop
from triplog.securement.rules.en_12195.sums import Adds, kilonewton_metres, sides_missing, summed

_CLAUSES = {Path.SAME_SIDE: "5.5.4.3", Path.SPRING: "5.5.5.3"}
_ENDS = (False, True)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tip:
    """One direction of one article: the facts both sides of the balance are made of."""

    facts: Facts
    mass: Quantity
    stand: Stand
    direction: Direction
    stop: Stop
    box: Box | tuple[Missing, ...]

    @property
    def weight_n(self) -> float:
        return weight_force_n(float(self.mass.si), en_figure("gravity"))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """An acceleration, in g, with the force a lashing over the top is taken with."""

    c: float
    half_capacity: bool = False


def tipping_acceleration(direction: Direction) -> float:
    """c for a load that can tip, in g, without lashings over the top."""
    if direction in LENGTHWISE:
        return acceleration_of(direction)
    return en_figure("c-sideways-tip")


def tipping_finding(
    facts: Facts, mass: Quantity, stand: Stand, direction: Direction, stop: Stop, scope: Scope
) -> Finding:
    """The finding of one article in one direction."""
    box = box_of(facts.article, facts.plan)
    tip = _Tip(facts=facts, mass=mass, stand=stand, direction=direction, stop=stop, box=box)
    asked = Asked(
        rule=f"en-12195-1-tip-{direction}",
        about=facts.article.id,
        dimension=Dimension.MOMENT,
        scope=scope,
        inputs=(*facts.inputs, *stop.inputs, *stand.inputs),
        notes=(*_notes(tip), *stop.notes, *stand.notes, *facts.notes_on_tipping),
    )
    return balance_finding(asked, _ways(tip))


def _ways(tip: _Tip) -> tuple[Way, ...]:
    lashings = tip.facts.lashings.counted
    by_friction = [one for one in lashings if one.by_friction is not False]
    directly = [one for one in lashings if _holds(tip, one)]
    c = tipping_acceleration(tip.direction)
    bare: Way = (_balance(tip, _Case(c=c), [], [], stopped=True),)
    if not by_friction and not directly:
        return (bare,)
    if directly:
        return (bare, (_balance(tip, _Case(c=c), by_friction, directly, stopped=True),))
    cases = [_Case(c=c)] if tip.direction in LENGTHWISE else _sideways()
    lashed = tuple(_balance(tip, case, by_friction, [], stopped=False) for case in cases)
    if tip.stop.force.high == 0:
        return (bare, lashed)
    return (bare, lashed, tuple(_balance(tip, one, by_friction, [], stopped=True) for one in cases))


def _sideways() -> list[_Case]:
    return [
        _Case(c=en_figure("c-sideways-tip-stf")),
        _Case(c=en_figure("c-sideways-tip-lc"), half_capacity=True),
    ]


def _holds(tip: _Tip, lashing: Lashing) -> bool:
    """Whether it may count as a direct lashing: it pulls against, and not towards the edge."""
    holds = lashing.by_friction is False and lashing.holds_directly(tip.direction) is not False
    return holds and not _pulls_over(tip, lashing)


def _pulls_over(tip: _Tip, lashing: Lashing) -> bool:
    box = tip.box
    if lashing.route is None or not isinstance(box, Box):
        return False
    return sum(_moment_nm(tip, one, box) for one in lashing.pulls[tip.direction]) <= 0


def _moment_nm(tip: _Tip, pull: Pull, box: Box) -> float:
    return direct_tipping_nm(
        1.0, pull.angle_rad, pull.bearing_rad, pull.height_m(box), pull.arm_m(box, tip.direction)
    )


def _balance(
    tip: _Tip,
    case: _Case,
    by_friction: Sequence[Lashing],
    directly: Sequence[Lashing],
    *,
    stopped: bool,
) -> Balance:
    refused = pattern_of(by_friction, directly)
    if by_friction and not directly and stopped:
        refused = (*refused, "note.en-refused-block-over")
    lashings = (*by_friction, *directly)
    settled = isinstance(tip.box, Box) and all(one.settled for one in lashings)

    def ends_of(adds: Callable[..., Adds], lashing: Lashing) -> tuple[Adds, Adds]:
        worst = adds(lashing, best=False)
        return (worst, worst if settled else adds(lashing, best=True))

    ends = [
        *(_in_order(*ends_of(partial(_pressing, tip, case), one)) for one in by_friction),
        *(ends_of(partial(_pulling, tip), one) for one in directly),
    ]
    adds = [[one[best] for one in ends] for best in _ENDS]
    spans = [Span(low=low.value or 0.0, high=high.value) for low, high in zip(*adds, strict=True)]
    own_nm = standing_moment_nm(tip.weight_n, tip.stand.arm_m(tip.direction), en_figure("c-down"))
    stop = _stop(tip, case) if stopped else NOTHING
    provided = total([Span(low=own_nm, high=own_nm), stop, *spans])
    box = tip.box
    lines = [
        (_own_line(tip, own_nm), *summed(adds[best], kilonewton_metres),
         *_stop_lines(tip, stop, best=best, stopped=stopped))
        for best in _ENDS
    ]  # fmt: skip
    missing = (
        *(_stop_missing(tip) if stopped else ()),
        *(each for one in lashings for each in one.missing),
        *sides_missing(lashings, *adds),
        *(each for one in lashings for each in one.tipping_missing if case.half_capacity),
        *(box if lashings and not isinstance(box, Box) else ()),
    )
    required_nm = overturning_moment_nm(tip.weight_n, case.c, tip.stand.height_m)
    return Balance(
        clause=_clause(by_friction, directly, stopped=tip.stop.force.high != 0),
        required=required_nm,
        provided=provided,
        asked=_asked(tip, case),
        lines=lines[False],
        lines_best=lines[True],
        missing=tuple(dict.fromkeys(missing)),
        refused=refused,
        mend=_mend(tip, required_nm, provided, adds[True] if by_friction else []),
    )


def _in_order(low: Adds, high: Adds) -> tuple[Adds, Adds]:
    """The worse end first: the more tension in a lashing that pulls it over, the less it adds."""
    if low.value is not None and high.value is not None and high.value < low.value:
        return high, low
    return low, high


def _clause(by_friction: Sequence[Lashing], directly: Sequence[Lashing], *, stopped: bool) -> str:
    if by_friction:
        return "5.4.3.1"
    if not directly:
        return "5"
    diagonal = "5.5.3.3" if stopped else "5.5.3.2"
    clauses = {_CLAUSES.get(one.tie_down.path or Path.DIRECT, diagonal) for one in directly}
    return ", ".join(sorted(clauses))


def _stop(tip: _Tip, case: _Case) -> Span:
    """The moment a block adds: at most what it holds and what pushes on it, at its own height."""
    pushed_n = case.c * tip.weight_n
    force = tip.stop.force.capped(Span(low=pushed_n, high=pushed_n))
    up_m = tip.stop.up_m
    low_m = 0.0 if up_m is None else up_m
    high_m = tip.stand.height_m if up_m is None else up_m
    return Span(low=force.low * low_m, high=(force.high or 0.0) * high_m)


def _stop_missing(tip: _Tip) -> tuple[Missing, ...]:
    if tip.stop.force.high == 0:
        return ()
    height = Missing(field=f"blocked.{tip.direction}_up", about=tip.facts.article.id)
    named = tip.stop.by and tip.stop.up_m is None
    return (*tip.stop.missing, *((height,) if named else ()))


def _pressing(tip: _Tip, case: _Case, lashing: Lashing, *, best: bool) -> Adds:
    """What a lashing over the top adds, each leg by its way from the edge."""
    force = lashing.tipping_force if case.half_capacity else lashing.force
    tension_n = force.high if best else force.low
    box = tip.box
    if tension_n is None or lashing.route is None or not isinstance(box, Box):
        return Adds(
            name=lashing.name, value=None if best else 0.0, step="provided.en-open", values={}
        )
    f_s = friction_lashing_factor(tip.direction)
    pulls = lashing.pulls[tip.direction]
    by_shares = [_pressed(tip, box, pulls, shares, tension_n) for shares in lashing.shares]
    held = max(by_shares) if best else min(by_shares)
    values: dict[str, Value] = {"force": newtons(tension_n), "legs": held.legs, "f_s": f"{f_s:g}"}
    if held.flat_nm < 0:
        values["flat"] = kilonewton_metres(-held.flat_nm / f_s)
    return Adds(
        name=lashing.name,
        value=held.moment_nm,
        step="provided.en-tip-uneven" if held.flat_nm < 0 else "provided.en-tip-over",
        values=values,
    )


class _Pressed(NamedTuple):
    """What the legs of one lashing add, in order of it; `flat_nm` is what pulls it over."""

    moment_nm: float
    flat_nm: float
    legs: str


def _pressed(
    tip: _Tip, box: Box, pulls: tuple[Pull, ...], shares: tuple[float, float], tension_n: float
) -> _Pressed:
    """Each leg upright by its way from the edge; their level pull only where it turns against."""
    f_s = friction_lashing_factor(tip.direction)
    legs = [
        (share, one, one.arm_m(box, tip.direction))
        for share, one in zip(shares, pulls, strict=True)
    ]
    upright_nm = sum(
        top_over_tipping_nm(tension_n * share, one.angle_rad, arm_m, f_s)
        for share, one, arm_m in legs
    )
    level_nm = sum(tension_n * share * one.against * one.height_m(box) for share, one, _ in legs)
    # Legs alike cancel but for the last digits of the sum.
    flat_nm = min(0.0, round(level_nm, 6))
    shown = " + ".join(
        f"{'' if share == 1 else f'{share:g} × '}sin {degrees(one.angle_rad)} × {_metres(arm_m)}"
        for share, one, arm_m in legs
    )
    return _Pressed(moment_nm=upright_nm + flat_nm / f_s, flat_nm=flat_nm, legs=shown)


def _pulling(tip: _Tip, lashing: Lashing, *, best: bool) -> Adds:
    """What a direct lashing, loop or spring holds about the edge."""
    force_n = lashing.force.high if best else lashing.force.low
    box = tip.box
    if force_n is None or lashing.route is None or not isinstance(box, Box):
        return Adds(
            name=lashing.name, value=None if best else 0.0, step="provided.en-open", values={}
        )
    pulls = lashing.pulls[tip.direction]
    value = force_n * sum(_moment_nm(tip, one, box) for one in pulls)
    legs = " + ".join(
        f"cos {degrees(one.angle_rad)} × cos {degrees(one.bearing_rad)} × "
        f"{_metres(one.height_m(box))} + sin {degrees(one.angle_rad)} × "
        f"{_metres(one.arm_m(box, tip.direction))}"
        for one in pulls
    )
    values: dict[str, Value] = {"force": newtons(force_n), "legs": legs}
    return Adds(name=lashing.name, value=value, step="provided.en-tip-direct", values=values)


def _metres(value_m: float) -> str:
    return f"{value_m:.2f} m"


def _length(value_m: float) -> Amount:
    return amount_worked_out(value_m, "m", Dimension.LENGTH)


def _asked(tip: _Tip, case: _Case) -> Step:
    values: dict[str, Value] = {
        "c": f"{case.c:g}",
        "mass": tip.mass,
        "gravity": f"{en_figure('gravity'):g}",
        "weight": newtons(tip.weight_n),
        "height": _length(tip.stand.height_m),
    }
    return Step(id="required.en-tip", values=values)


def _own_line(tip: _Tip, own_nm: float) -> Step:
    values: dict[str, Value] = {
        "weight": newtons(tip.weight_n),
        "arm": _length(tip.stand.arm_m(tip.direction)),
        "moment": kilonewton_metres(own_nm),
    }
    return Step(id="provided.en-own", values=values)


def _stop_lines(tip: _Tip, stop: Span, *, best: bool, stopped: bool) -> tuple[Step, ...]:
    if not tip.stop.by:
        return ()
    if not stopped:
        return (Step(id="provided.en-stop-beside", values={"by": tip.stop.by}),)
    moment_nm = (stop.high or 0.0) if best else stop.low
    if not stop.known and not best:
        return (Step(id="provided.en-stop-open", values={"by": tip.stop.by}),)
    values: dict[str, Value] = {"by": tip.stop.by, "moment": kilonewton_metres(moment_nm)}
    return (Step(id="provided.en-stop-tip", values=values),)


def _notes(tip: _Tip) -> tuple[Step, ...]:
    notes = []
    if tip.direction not in LENGTHWISE:
        figures = {"c": "", "c_stf": "-stf", "c_lc": "-lc"}
        values: dict[str, Value] = {
            name: f"{en_figure(f'c-sideways-tip{end}'):g}" for name, end in figures.items()
        }
        notes.append(Step(id="note.en-sideways-tip", values=values))
    over = [
        one.name
        for one in tip.facts.lashings.counted
        if one.by_friction is False and one.holds_directly(tip.direction) and _pulls_over(tip, one)
    ]
    if over:
        notes.append(Step(id="note.en-pulls-over", values={"names": ", ".join(over)}))
    return (*notes, Step(id="note.en-statics"))


def _mend(tip: _Tip, required_nm: float, provided: Span, adds: Sequence[Adds]) -> Step | None:
    """As many more like the best lashing over the top as close the gap, or a block up high."""
    if provided.high is None:
        return None
    short_nm = required_nm - provided.high
    most = max(adds, key=lambda one: one.value or 0.0, default=None)
    number = None if most is None else count_needed(short_nm, most.value or 0.0)
    if most is None or number is None:
        return Step(id="mend.en-prop", values={"height": _length(tip.stand.height_m)})
    values: dict[str, Value] = {
        "number": Count(value=number, unit="tie-down"),
        "name": most.name,
        "height": _length(tip.stand.height_m),
    }
    return Step(id="mend.en-more-tip", values=values)
