"""How many tie-downs each article needs at least: 49 CFR 393.110, article by article."""

from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.figures import figure
from triplog.securement.finding import (
    Basis,
    Count,
    Finding,
    Input,
    Missing,
    Range,
    Scope,
    Step,
    Verdict,
)
from triplog.securement.model import Article, Direction, Plan, TieDown, Vehicle
from triplog.securement.quantity import Dimension, Quantity
from triplog.securement.rating import counts_as_tie_down
from triplog.securement.rules.masses import MASS_BASIS
from triplog.securement.rules.us_393.commodity import commodity_inputs, general_scope
from triplog.securement.rules.us_393.scope import RULE_SET, citation

_NOT_BLOCKED = frozenset({"nothing", "none", "no", "not blocked"})
_NOT_SAID = frozenset({"", "?", "unknown", "yes"})
_FRONT_STRUCTURE = frozenset(
    {"front structure", "front end structure", "headboard", "headerboard", "bulkhead"}
)
TIE_DOWN = "tie-down"


def blocked(article: Article, direction: Direction) -> bool | None:
    """Whether anything named stops the article that way; None where nobody said by what."""
    block = article.blocked.get(direction)
    if block is None or block.by.strip().lower() in _NOT_SAID:
        return None
    return block.by.strip().lower() not in _NOT_BLOCKED


def by_front_structure(article: Article) -> bool:
    """Whether it is the vehicle's front structure that blocks the article forward."""
    block = article.blocked.get(Direction.FORWARD)
    return block is not None and block.by.strip().lower() in _FRONT_STRUCTURE


def blocked_forward(article: Article, vehicle: Vehicle) -> bool | None:
    """Whether the article is blocked forward; not by a front structure the vehicle lacks."""
    if by_front_structure(article) and vehicle.front_structure == "none":
        return False
    return blocked(article, Direction.FORWARD)


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """The least and the most tie-downs 393.110 may ask for; `high` None: no upper end known."""

    low: int
    high: int | None


def tie_downs_needed(
    length: Quantity | None,
    mass: Quantity | None,
    blocked_forward: bool | None,
    *,
    other_reading: bool = False,
) -> Need:
    """The number 393.110(b) and (c) ask for, over everything that is not known.

    Feet and pounds are compared with the printed feet and pounds, metres and kilograms with the
    printed metric figures; `other_reading` compares with the other column instead.
    """
    if blocked_forward is None:
        either = [
            tie_downs_needed(length, mass, answer, other_reading=other_reading)
            for answer in (True, False)
        ]
        highs = [need.high for need in either if need.high is not None]
        return Need(
            low=min(need.low for need in either),
            high=max(highs) if len(highs) == len(either) else None,
        )
    if length is None:
        shortest = _count("count-blocked")
        if not blocked_forward:
            heavy = mass is not None and not _within("count-light-mass-max", mass, other_reading)
            shortest = _count("count-short-heavy" if heavy else "count-short-light")
        return Need(low=shortest, high=None)
    if blocked_forward:
        every_m = _figure_si("count-blocked-length", length, other_reading)
        pieces = max(1, _whole_or_fraction(length.si / every_m))
        return Need(low=pieces * _count("count-blocked"), high=pieces * _count("count-blocked"))
    return _unblocked(length, mass, other_reading)


def _unblocked(length: Quantity, mass: Quantity | None, other_reading: bool) -> Need:
    if _within("count-short-length-max", length, other_reading):
        light, heavy = _count("count-short-light"), _count("count-short-heavy")
        if mass is None:
            return Need(low=light, high=heavy)
        number = light if _within("count-light-mass-max", mass, other_reading) else heavy
        return Need(low=number, high=number)
    if _within("count-middle-length-max", length, other_reading):
        return Need(low=_count("count-middle"), high=_count("count-middle"))
    further = _further_pieces(length, other_reading)
    number = _count("count-long-first") + further * _count("count-further")
    return Need(low=number, high=number)


def _further_pieces(length: Quantity, other_reading: bool) -> int:
    beyond_m = length.si - _figure_si("count-middle-length-max", length, other_reading)
    return _whole_or_fraction(beyond_m / _figure_si("count-further-length", length, other_reading))


def _whole_or_fraction(pieces: Fraction) -> int:
    """Each whole piece and any fraction of one."""
    return -(-pieces.numerator // pieces.denominator)


def _within(figure_id: str, given: Quantity, other_reading: bool) -> bool:
    return given.si <= _figure_si(figure_id, given, other_reading)


def _figure_si(figure_id: str, given: Quantity, other_reading: bool) -> Fraction:
    us = given.is_us is not other_reading
    return figure(figure_id).amount(given.dimension, us=us).si


def _count(figure_id: str) -> int:
    return int(figure(figure_id).value_us)


def count_findings(plan: Plan) -> tuple[Finding, ...]:
    """393.110, one finding per article; a tie-down over several articles counts for each."""
    return tuple(_count_finding(article, plan) for article in plan.articles)


def _count_finding(article: Article, plan: Plan) -> Finding:
    holding = plan.tie_downs_on(article.id)
    counted = tuple(one for one in holding if counts_as_tie_down(one, plan))
    forward = blocked_forward(article, plan.vehicle)
    need = tie_downs_needed(article.length, article.mass, forward)
    have = len(counted)
    if article.contained and not holding:
        return _finding(article, plan, Verdict.DOES_NOT_APPLY, need, have, (_CONTAINED,))
    if need.high is not None and have >= need.high:
        verdict = Verdict.MEETS
    elif have < need.low:
        verdict = Verdict.DOES_NOT_MEET
    else:
        verdict = Verdict.CANNOT_TELL
    steps = (
        *_required_steps(article, forward, need),
        *_provided_steps(holding, counted),
        *_other_reading(article, forward, need),
    )
    if verdict is Verdict.DOES_NOT_MEET:
        steps = (*steps, Step(id="note.special-purpose"))
    return _finding(article, plan, verdict, need, have, steps)


_CONTAINED = Step(id="note.contained")


def _finding(
    article: Article,
    plan: Plan,
    verdict: Verdict,
    need: Need,
    have: int,
    steps: tuple[Step, ...],
) -> Finding:
    settled = need.high == need.low
    required = {Verdict.MEETS: need.high, Verdict.DOES_NOT_MEET: need.low}.get(
        verdict, need.low if settled else None
    )
    applies = verdict is not Verdict.DOES_NOT_APPLY
    return Finding(
        rule="us-393.110-count",
        rule_set=RULE_SET,
        about=(article.id,),
        verdict=verdict,
        scope=general_scope((article,), plan) if applies else Scope.YARDSTICK,
        citation=citation("393.110"),
        required=_tie_downs(required) if applies and required is not None else None,
        provided=_tie_downs(have) if applies else None,
        margin=_tie_downs(have - required) if applies and required is not None else None,
        inputs=_inputs(article),
        steps=steps,
        unknown=() if settled or not applies else _unknown(article, plan.vehicle),
        range=_range(need, have) if applies and not settled else None,
        mend=_mend(need, have) if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _tie_downs(number: int) -> Count:
    return Count(value=number, unit=TIE_DOWN)


def _range(need: Need, have: int) -> Range:
    """What is provided is known here; it is the need that has two ends, so `decides` says them."""
    values = {"low": _tie_downs(need.low)}
    if need.high is not None:
        values["high"] = _tie_downs(need.high)
    step_id = "decides.count" if need.high is not None else "decides.count-open"
    decides = Step(id=step_id, values=values)
    return Range(worst=_tie_downs(have), best=_tie_downs(have), decides=decides)


def _mend(need: Need, have: int) -> Step:
    short = need.low - have
    step_id = "mend.count" if need.high == need.low else "mend.count-at-least"
    return Step(id=step_id, values={"short": _tie_downs(short)})


def _unknown(article: Article, vehicle: Vehicle) -> tuple[Missing, ...]:
    facts = (
        ("length", article.length),
        ("blocked.forward", blocked_forward(article, vehicle)),
        ("mass", article.mass),
    )
    return tuple(Missing(field=field, about=article.id) for field, value in facts if value is None)


def _inputs(article: Article) -> tuple[Input, ...]:
    block = article.blocked.get(Direction.FORWARD)
    stated = (("length", article.length), ("blocked.forward", block.by if block else None))
    return (
        *(
            Input(
                name=name,
                about=article.id,
                value=value,
                basis=Basis.UNKNOWN if value is None else Basis.STATED,
            )
            for name, value in stated
        ),
        Input(
            name="mass",
            about=article.id,
            value=article.mass,
            basis=MASS_BASIS[article.mass_basis] if article.mass else Basis.UNKNOWN,
        ),
        *commodity_inputs(article),
    )


def _required_steps(article: Article, forward: bool | None, need: Need) -> tuple[Step, ...]:
    length = article.length
    if length is None or forward is None:
        return (Step(id="required.count-open"),)
    block = article.blocked.get(Direction.FORWARD)
    every = figure("count-blocked-length").amount(Dimension.LENGTH, us=length.is_us)
    if forward:
        assert block is not None
        values = {"length": length, "by": block.by, "every": every}
        return (Step(id="required.count-blocked", values=values), _columns(length))
    short = figure("count-short-length-max").amount(Dimension.LENGTH, us=length.is_us)
    middle = figure("count-middle-length-max").amount(Dimension.LENGTH, us=length.is_us)
    if length.si > middle.si:
        values = {
            "length": length,
            "middle": middle,
            "further": _further_pieces(length, False),
            "every": figure("count-further-length").amount(Dimension.LENGTH, us=length.is_us),
        }
        return (Step(id="required.count-long", values=values), _columns(length))
    if length.si > short.si:
        values = {"length": length, "short": short, "middle": middle}
        return (Step(id="required.count-middle", values=values), _columns(length))
    mass = article.mass
    if mass is None:
        return (Step(id="required.count-short", values={"length": length, "short": short}),)
    line = figure("count-light-mass-max").amount(Dimension.MASS, us=mass.is_us)
    light = need.high == _count("count-short-light")
    step_id = "required.count-short-light" if light else "required.count-short-heavy"
    values = {"length": length, "short": short, "mass": mass, "line": line}
    return (Step(id=step_id, values=values), _columns(length))


def _columns(length: Quantity) -> Step:
    return Step(id="note.feet-column" if length.is_us else "note.metre-column")


def _provided_steps(holding: tuple[TieDown, ...], counted: tuple[TieDown, ...]) -> tuple[Step, ...]:
    names = ", ".join(tie_down.id for tie_down in counted)
    first = (
        Step(id="provided.count", values={"tie_downs": names})
        if counted
        else Step(id="provided.none")
    )
    left_out = ", ".join(one.id for one in holding if one not in counted)
    if not left_out:
        return (first,)
    return (first, Step(id="other.not-counted", values={"tie_downs": left_out}))


def _other_reading(article: Article, forward: bool | None, need: Need) -> tuple[Step, ...]:
    """The law prints two unit systems that differ a little; the other one, where it matters."""
    other = tie_downs_needed(article.length, article.mass, forward, other_reading=True)
    if other == need or other.high is None or article.length is None:
        return ()
    step_id = "note.other-metric" if article.length.is_us else "note.other-feet"
    return (Step(id=step_id, values={"number": _tie_downs(other.high)}),)
