"""Sliding in one direction: friction under the article, what presses it down, pulls or blocks it.

EN 12195-1:2010 5.4.2 (over the top, with or without a block), 5.5.3.1 (direct), 5.5.4.2 (loop,
sideways), 5.5.5.2 (round a face, lengthwise). Beside direct lashings friction counts with f_mu,
as they give before they hold. A block beside direct lashings is in none of these forms.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from triplog.securement.closed_form import (
    count_needed,
    direct_sliding_at_best_n,
    direct_sliding_n,
    friction_force_n,
    inclination_rad,
    inertia_force_n,
    top_over_sliding_n,
    weight_force_n,
)
from triplog.securement.finding import Count, Finding, Missing, Scope, Step, Value
from triplog.securement.model import Direction, Path
from triplog.securement.quantity import Dimension, Quantity, decimal_text
from triplog.securement.rules.en_12195.balance import Asked, Balance, Way, balance_finding
from triplog.securement.rules.en_12195.en_figures import (
    acceleration_of,
    en_figure,
    en_mass,
    friction_lashing_factor,
)
from triplog.securement.rules.en_12195.facts import Facts
from triplog.securement.rules.en_12195.lashings import Lashing, degrees, newtons
from triplog.securement.rules.en_12195.pattern import Pattern, balance_of, pattern_of
from triplog.securement.rules.en_12195.span import Span, exactly, total
from triplog.securement.rules.en_12195.stops import Stop
from triplog.securement.rules.en_12195.sums import Adds, sides_missing, summed

_CLAUSES = {Path.SAME_SIDE: "5.5.4.2", Path.SPRING: "5.5.5.2"}
_ENDS = (False, True)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Slide:
    """One direction of one article: the facts both sides of the balance are made of."""

    facts: Facts
    mass: Quantity
    direction: Direction
    stop: Stop

    @property
    def weight_n(self) -> float:
        return weight_force_n(float(self.mass.si), en_figure("gravity"))

    @property
    def c(self) -> float:
        return acceleration_of(self.direction)

    @property
    def required_n(self) -> float:
        return inertia_force_n(self.weight_n, self.c)


def sliding_finding(
    facts: Facts, mass: Quantity, direction: Direction, stop: Stop, scope: Scope
) -> Finding:
    """The finding of one article in one direction."""
    slide = _Slide(facts=facts, mass=mass, direction=direction, stop=stop)
    asked = Asked(
        rule=f"en-12195-1-slide-{direction}",
        about=facts.article.id,
        dimension=Dimension.FORCE,
        scope=scope,
        inputs=(*facts.inputs, *stop.inputs),
        notes=(*_notes(slide), *stop.notes, *facts.notes),
    )
    return balance_finding(asked, _ways(slide))


def _ways(slide: _Slide) -> tuple[Way, ...]:
    lashings = slide.facts.lashings.counted
    by_friction = [one for one in lashings if one.by_friction is not False]
    directly = [
        one for one in lashings
        if one.by_friction is False and one.holds_directly(slide.direction) is not False
    ]  # fmt: skip
    bare: Way = (_balance(slide, [], [], stopped=True),)
    if not by_friction and not directly:
        return (bare,)
    if not directly:
        return (bare, (_balance(slide, by_friction, [], stopped=True),))
    lashed: Way = (_balance(slide, by_friction, directly, stopped=bool(by_friction)),)
    if by_friction or slide.stop.force.high == 0:
        return (bare, lashed)
    return (bare, lashed, (_balance(slide, [], directly, stopped=True),))


def _balance(
    slide: _Slide, by_friction: Sequence[Lashing], directly: Sequence[Lashing], *, stopped: bool
) -> Balance:
    article, plan = slide.facts.article, slide.facts.plan
    refused = pattern_of(by_friction, directly)
    if directly and stopped and not by_friction:
        refused = (*refused, "note.en-refused-block")
    pattern = (
        Pattern() if refused else balance_of(article, plan, slide.direction, by_friction, directly)
    )
    refused = (*refused, *pattern.refused)
    # What is refused is only an upper bound, so friction then counts in full.
    f_mu = en_figure("f-mu") if directly and not refused else 1.0
    lashings = (*by_friction, *directly)

    def added(*, best: bool) -> list[Adds]:
        return [
            *(_pressing(slide, one, best=best) for one in by_friction),
            *(_pulling(slide, one, f_mu, best=best) for one in directly),
        ]

    worst = added(best=False)
    settled = slide.facts.friction.mu.known and all(one.settled for one in lashings)
    adds = (worst, worst if settled else added(best=True))
    spans = [Span(low=low.value or 0.0, high=high.value) for low, high in zip(*adds, strict=True)]
    friction = slide.facts.friction.mu.times(
        friction_force_n(slide.weight_n, f_mu, en_figure("c-down"))
    )
    stop = slide.stop.force if stopped else Span(low=0.0, high=0.0)
    missing = (
        *slide.facts.friction.missing,
        *(slide.stop.missing if stopped else ()),
        *(each for one in lashings for each in one.missing),
        *sides_missing(lashings, *adds),
    )
    provided = total([friction, stop, *spans])
    lines = [
        (*_friction_lines(slide, f_mu, best=best), *summed(adds[best], newtons),
         *_stop_lines(slide, best=best, stopped=stopped))
        for best in _ENDS
    ]  # fmt: skip
    return Balance(
        clause=_clause(by_friction, directly),
        required=slide.required_n,
        provided=provided,
        asked=_asked(slide),
        lines=lines[False],
        lines_best=lines[True],
        missing=tuple(dict.fromkeys(missing)),
        refused=refused,
        unsure=pattern.missing,
        mend=_mend(slide, provided, adds[True] if by_friction else []),
        decides=_friction_that_decides(
            slide, by_friction, directly, stopped=stopped, low_n=provided.low, missing=missing
        ),
    )


def _friction_that_decides(
    slide: _Slide,
    by_friction: Sequence[Lashing],
    directly: Sequence[Lashing],
    *,
    stopped: bool,
    low_n: float,
    missing: Sequence[Missing],
) -> Step | None:
    """The friction at which both sides are equal, where only friction is not known.

    What is provided rises with friction in a straight line; a second point of it is at 1.
    """
    friction = slide.facts.friction
    if not friction.missing or set(missing) != set(friction.missing) or friction.mu.low >= 1:
        return None
    told = replace(friction, mu=exactly(1.0), missing=())
    rough = replace(slide, facts=replace(slide.facts, friction=told))
    high_n = _balance(rough, by_friction, directly, stopped=stopped).provided.low
    if high_n <= low_n:
        return None
    share = (slide.required_n - low_n) / (high_n - low_n)
    least = friction.mu.low + share * (1 - friction.mu.low)
    values: dict[str, Value] = {"least": decimal_text(Fraction(least), 2, "up")}
    return Step(id="decides.en-friction", values=values)


def _clause(by_friction: Sequence[Lashing], directly: Sequence[Lashing]) -> str:
    if by_friction:
        return "5.4.2"
    if not directly:
        return "5"
    clauses = {_CLAUSES.get(one.tie_down.path or Path.DIRECT, "5.5.3.1") for one in directly}
    return ", ".join(sorted(clauses))


def _pressing(slide: _Slide, lashing: Lashing, *, best: bool) -> Adds:
    """What a lashing over the top adds to friction, at one end of what is not known."""
    mu = slide.facts.friction.mu.high if best else slide.facts.friction.mu.low
    tension_n = lashing.force.high if best else lashing.force.low
    f_s = friction_lashing_factor(slide.direction)
    if mu is None or tension_n is None or lashing.by_friction is None:
        return _open(lashing, best=best)
    if lashing.route is None:
        value = top_over_sliding_n(tension_n, mu, math.pi / 2, f_s, sum(lashing.shares[0]))
        return _open(lashing, best=best) if not best else _upright(lashing, value)
    angles = [pull.angle_rad for pull in lashing.pulls[slide.direction]]
    by_shares = [
        (
            sum(
                top_over_sliding_n(tension_n, mu, angle, f_s, share)
                for share, angle in zip(shares, angles, strict=True)
            ),
            shares,
        )
        for shares in lashing.shares
    ]
    value, shares = max(by_shares) if best else min(by_shares)
    values: dict[str, Value] = {
        "mu": f"{mu:g}",
        "force": newtons(tension_n),
        "legs": legs_text(shares, angles),
        "f_s": f"{f_s:g}",
    }
    return Adds(name=lashing.name, value=value, step="provided.en-over", values=values)


def legs_text(shares: tuple[float, float], angles: Sequence[float]) -> str:
    """The legs of a lashing over the top: "2 × sin 63.4°", or each with its share."""
    shown = [degrees(angle) for angle in angles]
    if shares == (1.0, 1.0) and shown[0] == shown[1]:
        return f"2 × sin {shown[0]}"
    return " + ".join(
        f"sin {angle}" if share == 1 else f"{share:g} × sin {angle}"
        for share, angle in zip(shares, shown, strict=True)
    )


def _open(lashing: Lashing, *, best: bool) -> Adds:
    value = None if best else 0.0
    return Adds(name=lashing.name, value=value, step="provided.en-open", values={})


def _upright(lashing: Lashing, value_n: float) -> Adds:
    return Adds(name=lashing.name, value=value_n, step="provided.en-at-best", values={})


def _pulling(slide: _Slide, lashing: Lashing, f_mu: float, *, best: bool) -> Adds:
    """What a direct lashing, loop or spring holds, at one end of what is not known."""
    mu = slide.facts.friction.mu.high if best else slide.facts.friction.mu.low
    force_n = lashing.force.high if best else lashing.force.low
    if mu is None or force_n is None:
        return _open(lashing, best=best)
    if lashing.route is None:
        legs = 1 if lashing.tie_down.path is Path.DIRECT else 2
        value = legs * direct_sliding_at_best_n(force_n, mu, f_mu)
        return _upright(lashing, value) if best else _open(lashing, best=best)
    pulls = lashing.pulls[slide.direction]
    value = sum(
        direct_sliding_n(force_n, mu, one.angle_rad, one.bearing_rad, f_mu) for one in pulls
    )
    shown = " + ".join(
        f"cos {degrees(one.angle_rad)} × cos {degrees(one.bearing_rad)} + {f_mu:g} × {mu:g} × "
        f"sin {degrees(one.angle_rad)}"
        for one in pulls
    )
    values: dict[str, Value] = {"force": newtons(force_n), "legs": shown}
    return Adds(name=lashing.name, value=value, step="provided.en-direct", values=values)


def _friction_lines(slide: _Slide, f_mu: float, *, best: bool) -> tuple[Step, ...]:
    mu = slide.facts.friction.mu.high if best else slide.facts.friction.mu.low
    if mu is None or (mu == 0 and slide.facts.friction.missing):
        return (Step(id="provided.en-friction-open"),)
    c_z = en_figure("c-down")
    values: dict[str, Value] = {
        "mu": f"{mu:g}",
        "f_mu": f"{f_mu:g}",
        "weight": newtons(slide.weight_n),
        "force": newtons(friction_force_n(slide.weight_n, f_mu * mu, c_z)),
    }
    step_id = "provided.en-friction" if f_mu == 1 else "provided.en-friction-direct"
    return (Step(id=step_id, values=values),)


def _stop_lines(slide: _Slide, *, best: bool, stopped: bool) -> tuple[Step, ...]:
    stop = slide.stop
    if not stop.by:
        return ()
    if not stopped:
        return (Step(id="provided.en-stop-beside", values={"by": stop.by}),)
    force_n = stop.force.high if best else stop.force.low
    if force_n is None or (force_n == 0 and not stop.force.known):
        return (Step(id="provided.en-stop-open", values={"by": stop.by}),)
    return (Step(id="provided.en-stop", values={"by": stop.by, "force": newtons(force_n)}),)


def _asked(slide: _Slide) -> Step:
    return Step(
        id="required.en-slide",
        values={
            "c": f"{slide.c:g}",
            "mass": slide.mass,
            "gravity": f"{en_figure('gravity'):g}",
            "weight": newtons(slide.weight_n),
        },
    )


def _notes(slide: _Slide) -> tuple[Step, ...]:
    """The least number against wandering where friction alone would do; else the tilt to try."""
    mu = slide.facts.friction.mu
    c_z = en_figure("c-down")
    notes = []
    least_number = Count(value=int(en_figure("wander-least")), unit="tie-down")
    pressing = [one for one in slide.facts.lashings.counted if one.by_friction]
    if 0 < len(pressing) < least_number.value:
        notes.append(Step(id="note.en-least", values={"number": least_number}))
    if mu.low * c_z >= slide.c:
        each = float(en_mass("wander-mass-each").si)
        number = max(least_number.value, count_needed(float(slide.mass.si), each) or 0)
        values: dict[str, Value] = {"number": Count(value=number, unit="tie-down")}
        notes.append(Step(id="note.en-wander", values=values))
    elif mu.known:
        tilt = degrees(inclination_rad(slide.c, mu.low, c_z))
        notes.append(Step(id="note.en-tilt", values={"tilt": tilt}))
    return tuple(notes)


def _mend(slide: _Slide, provided: Span, adds: Sequence[Adds]) -> Step | None:
    """As many more like the best lashing over the top as close the gap, or a block."""
    if provided.high is None:
        return None
    short_n = slide.required_n - provided.high
    values: dict[str, Value] = {"short": newtons(short_n)}
    if not adds:
        return Step(id="mend.en-block", values=values)
    most = max(adds, key=lambda one: one.value or 0.0)
    number = count_needed(short_n, most.value or 0.0)
    if number is None:
        return Step(id="mend.en-not-this-way", values=values)
    more: dict[str, Value] = {"number": Count(value=number, unit="tie-down"), "name": most.name}
    return Step(id="mend.en-more", values=values | more)
