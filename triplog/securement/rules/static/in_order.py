"""The findings of the static estimate: each load, each direction, beside the law.

What is asked is 49 CFR 393.102(a)(1), set against ratings instead of breaking strength: stricter
than that law, and told so. What is not known counts nothing; the verdict stands where it meets all
the same, or where nothing that is open could mend it.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from triplog.securement.equilibrium.withstands import Withstood
from triplog.securement.figures import Acceleration, acceleration
from triplog.securement.finding import (
    Basis,
    Finding,
    Input,
    Missing,
    Range,
    Scope,
    Step,
    Value,
    Verdict,
)
from triplog.securement.model import Direction, Plan
from triplog.securement.quantity import (
    Amount,
    Dimension,
    amount_of_si,
    amount_worked_out,
    exact_text,
    rounded,
    weight_n,
)
from triplog.securement.rules.leg_forces import tension_inputs
from triplog.securement.rules.masses import MASS_BASIS
from triplog.securement.rules.static.assumed import CITATION, RULE_SET
from triplog.securement.rules.static.by_hand import by_hand
from triplog.securement.rules.static.estimates import HEADINGS, Estimate, estimates
from triplog.securement.rules.static.stops import open_stops, stops_apart

G_DECIMALS = 9
_REFUSED, _GIVES_WAY, _APART = "static-refused-", "static-", "static-stop-apart-"
_GIVING_BLOCK = {"block": "static-block-", "stop": "static-over-"}
_BY_HAND = {"slide": "note.static-by-hand-slide", "tip": "note.static-by-hand-tip"}
_LATERAL = {Direction.LEFT: "lateral", Direction.RIGHT: "lateral"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One load in one direction; `told` None: no estimate. `g` None: nothing limits it."""

    estimate: Estimate
    direction: Direction
    criterion: Acceleration
    told: Withstood | None
    g: Fraction | None
    verdict: Verdict
    unknown: tuple[Missing, ...]


def static_findings(plan: Plan, each: Iterable[Judged]) -> tuple[Finding, ...]:
    """Four findings per load; `each` is what `judged` says of the plan."""
    return tuple(_finding(one, plan) for one in each)


def judged(plan: Plan) -> Iterator[Judged]:
    """Every load in every direction, judged."""
    for estimate in estimates(plan):
        for direction in Direction:
            yield _judged(estimate, direction, plan)


def _judged(estimate: Estimate, direction: Direction, plan: Plan) -> Judged:
    criterion = acceleration("breaking strength", _LATERAL.get(direction, str(direction)))
    told = estimate.values.get(direction)
    unknown = _unknown(estimate, direction, plan)
    verdict, g = Verdict.CANNOT_TELL, None
    if told is not None:
        g = _exact(told)
        if g is None or g >= criterion.g:
            verdict, unknown = Verdict.MEETS, ()
        elif not unknown or _short_at_best(estimate, direction, unknown, criterion):
            verdict, unknown = Verdict.DOES_NOT_MEET, ()
    return Judged(
        estimate=estimate,
        direction=direction,
        criterion=criterion,
        told=told,
        g=g,
        verdict=verdict,
        unknown=unknown,
    )


def _exact(told: Withstood) -> Fraction | None:
    """To a billionth, which is more than an estimate knows; None: nothing limits it."""
    if math.isinf(told.withstands_g):
        return None
    return rounded(Fraction(told.withstands_g), G_DECIMALS, "nearest")


def _unknown(estimate: Estimate, direction: Direction, plan: Plan) -> tuple[Missing, ...]:
    if estimate.refused:
        about = estimate.refused_about
        return tuple(Missing(field="static estimate", about=one) for one in about)
    of_ties = tuple(one for tie in estimate.ties for one in tie.missing)
    of_stops = () if estimate.load.missing else open_stops(estimate.load, direction, plan)
    missing = (*estimate.load.missing, *estimate.friction_missing, *of_ties, *of_stops)
    return tuple(dict.fromkeys(missing))


def _short_at_best(
    estimate: Estimate,
    direction: Direction,
    unknown: tuple[Missing, ...],
    criterion: Acceleration,
) -> bool:
    """Whether only friction is open, and the most it can be would not do."""
    best = estimate.at_best.get(direction)
    if best is None or set(unknown) - set(estimate.friction_missing):
        return False
    g = _exact(best)
    return g is not None and g < criterion.g


def _finding(one: Judged, plan: Plan) -> Finding:
    load, settled = one.estimate.load, one.verdict is not Verdict.CANNOT_TELL
    masses = [article.mass for article in load.articles if article.mass is not None]
    given = masses[0].unit if masses else "kg"
    unit = "kg" if given == "g" else given
    known = len(masses) == len(load.articles)
    weight = sum((weight_n(mass) for mass in masses), Fraction(0))

    def share(g: Fraction) -> Amount:
        return amount_of_si(g * weight, unit, Dimension.FORCE)

    required = share(one.criterion.g) if known else None
    provided = share(one.g) if settled and known and one.g is not None else None
    margin = None
    if required is not None and provided is not None:
        margin = amount_of_si(provided.si - required.si, unit, Dimension.FORCE)
    mass = amount_of_si(sum((m.si for m in masses), Fraction(0)), unit, Dimension.MASS)
    asked: dict[str, Value] = {"g": exact_text(one.criterion.g)}
    open_range = None
    if not settled and one.g is not None and required is not None:
        decides = Step(id="decides.several")
        open_range = Range(worst=share(one.g), best=None, decides=decides)
    return Finding(
        rule=f"static-{one.direction}",
        rule_set=RULE_SET,
        about=load.ids,
        verdict=one.verdict,
        scope=Scope.ESTIMATE,
        citation=CITATION,
        required=required,
        provided=provided,
        margin=margin,
        inputs=_inputs(one.estimate, plan),
        steps=(
            Step(id="required.static", values={**asked, "mass": mass})
            if known
            else Step(id="required.static-unknown", values=asked),
            *(_provided(one) if settled else ()),
            *_notes(one, plan),
        ),
        unknown=one.unknown,
        range=open_range,
        mend=Step(
            id="mend.static",
            values={"short": amount_of_si(-margin.si, unit, Dimension.FORCE)},
        )
        if margin is not None and one.verdict is Verdict.DOES_NOT_MEET
        else None,
    )


def _inputs(estimate: Estimate, plan: Plan) -> tuple[Input, ...]:
    assumed = estimate.assumed
    told = plan.assumptions
    numbers = {
        "friction_divided_by": (assumed.friction_divided_by, told.friction_divided_by),
        "vertical_factor": (assumed.vertical_factor, told.vertical_factor),
        "gravity_m_s2": (assumed.gravity_m_s2, told.gravity_m_s2),
        "face_friction": (assumed.face_friction, told.face_friction),
    }
    weighed = [
        Input(
            name="mass",
            about=article.id,
            value=article.mass,
            basis=MASS_BASIS[article.mass_basis] if article.mass else Basis.UNKNOWN,
        )
        for article in estimate.load.articles
    ]
    return (
        *weighed,
        *(friction.input for friction in estimate.friction),
        *tension_inputs(estimate.load.tie_downs),
        *(
            Input(
                name=name,
                about="plan",
                value=f"{number:g}",
                basis=Basis.DEFAULT_TABLE if said is None else Basis.STATED,
            )
            for name, (number, said) in numbers.items()
        ),
    )


def _provided(one: Judged) -> tuple[Step, ...]:
    told = one.told
    assert told is not None
    if one.g is None:
        return (Step(id="provided.static-no-limit"),)
    where = told.lowest
    if told.mode == "tip":
        facing = next(bind.id for bind in told.binds if bind.kind == "edge")
        where = str(edge_direction(float(facing)))
    values: dict[str, Value] = {"g": _shown(told.withstands_g), "where": where}
    return (Step(id=f"provided.{_GIVES_WAY}{told.mode}", values=values),)


def edge_direction(degrees: float) -> Direction:
    """The direction nearest to the heading an edge faces."""
    ways = {
        0: Direction.FORWARD,
        1: Direction.LEFT,
        2: Direction.REARWARD,
        3: Direction.RIGHT,
    }
    return ways[round(degrees / 90.0) % 4]


def _shown(g: float) -> str:
    """Three decimals, never more than it is."""
    if math.isinf(g):
        return "no limit"
    return exact_text(rounded(Fraction(max(g, 0.0)), 3, "down"))


def _notes(one: Judged, plan: Plan) -> Iterator[Step]:
    estimate, told = one.estimate, one.told
    if estimate.refused:
        yield Step(
            id=f"note.{_REFUSED}{estimate.refused}",
            values={"names": ", ".join(estimate.refused_about)},
        )
        return
    if told is not None and one.verdict is not Verdict.CANNOT_TELL:
        yield from _value_notes(one, told)
    yield from _apart(one, plan)
    for tie in estimate.ties:
        yield from tie.notes
    assumed = [
        tie.tie_down.id for tie in estimate.ties if tie.route is not None and tie.route.assumed
    ]
    if assumed:
        yield Step(id="note.static-route-assumed", values={"names": ", ".join(assumed)})
    if any(article.cog is None for article in estimate.load.articles):
        yield Step(id="note.static-middle")
    yield Step(
        id="note.static-assumed",
        values={
            "divided": f"{estimate.assumed.friction_divided_by:g}",
            "far": f"{estimate.assumed.far_share:g}",
        },
    )
    yield Step(id="note.static-stricter")


def _apart(one: Judged, plan: Plan) -> Iterator[Step]:
    """The stops that are too far off to count."""
    if one.estimate.load.missing:
        return
    unit = "in" if any(a.mass is not None and a.mass.is_us for a in plan.articles) else "mm"
    for article, metres in stops_apart(one.estimate.load, one.direction, plan).items():
        apart = amount_worked_out(metres, unit, Dimension.LENGTH)
        yield Step(id=f"note.{_APART}{one.direction}", values={"name": article, "apart": apart})


def _value_notes(one: Judged, told: Withstood) -> Iterator[Step]:
    yield Step(
        id="note.static-values",
        values={
            "plain": _shown(told.plain_limit_g),
            "filtered": _shown(told.filtered_g),
            "elastic": _shown(told.elastic_g),
        },
    )
    yield from _by_hand(one, told)
    full = full_parts(one)
    if full:
        yield Step(id="note.static-full", values={"names": ", ".join(full)})
    for note, names in _blocks(told).items():
        yield Step(id=note, values={"names": ", ".join(names)})
    if told.movement_m > 0.0 and told.limited_by == "elastic":
        movement = amount_worked_out(told.movement_m, "mm", Dimension.LENGTH)
        yield Step(id="note.static-movement", values={"movement": movement})
    beside = one.estimate.beside.get(one.direction)
    if beside is not None:
        yield Step(id="note.static-beside", values={"g": _shown(beside.withstands_g)})
    tensioned = one.estimate.as_tensioned.get(one.direction)
    if tensioned is not None:
        yield Step(id="note.static-tensioned", values={"g": _shown(tensioned.withstands_g)})


def _by_hand(one: Judged, told: Withstood) -> Iterator[Step]:
    """The sum for a piece of paper, where there is one."""
    if len(one.estimate.scenes) != 1 or told.mode == "lift":
        return
    way: Literal["slide", "tip"] = "tip" if told.mode == "tip" else "slide"
    sum_of = by_hand(one.estimate.scenes[0], HEADINGS[one.direction], way)
    if sum_of is None:
        return
    masses = [article.mass for article in one.estimate.load.articles if article.mass]
    given = masses[0].unit if masses else "kg"
    unit = "kg" if given == "g" else given
    length = "ft" if unit == "lb" else "m"
    if way == "slide":
        values: dict[str, Value] = {
            "friction": _shown(sum_of.friction),
            "down": amount_worked_out(sum_of.down_n, unit, Dimension.FORCE),
            "against": amount_worked_out(sum_of.against_n, unit, Dimension.FORCE),
        }
    else:
        values = {
            "behind": amount_worked_out(sum_of.behind_m, length, Dimension.LENGTH),
            "up": amount_worked_out(sum_of.up_m, length, Dimension.LENGTH),
            "moment": amount_worked_out(sum_of.moment_nm, "kNm", Dimension.MOMENT),
        }
    yield Step(id=_BY_HAND[way], values={**values, "g": _shown(sum_of.g)})


def full_parts(one: Judged) -> list[str]:
    """The tie-downs that are used up, each with its weakest part; and anchors."""
    if one.told is None:
        return []
    weakest = {tie.tie_down.id: tie.weakest for tie in one.estimate.ties}
    named = []
    for bind in one.told.binds:
        if bind.kind in ("strap", "pretension"):
            named.append(f"{bind.id} ({weakest[bind.id]})")
        elif bind.kind == "anchor":
            named.append(bind.id)
    return list(dict.fromkeys(named))


def _blocks(told: Withstood) -> dict[str, list[str]]:
    """The articles whose blocks are used up, or tipped over, under the note that says so."""
    notes: dict[str, list[str]] = {}
    for bind in told.binds:
        if bind.kind in _GIVING_BLOCK:
            article, direction = bind.id.rsplit(" ", 1)
            note = f"note.{_GIVING_BLOCK[bind.kind]}{direction}"
            notes.setdefault(note, []).append(article)
    return notes
