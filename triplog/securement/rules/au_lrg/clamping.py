"""Friction under the weight and the clamping of tie-downs over the top."""

from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.finding import Basis, Input, Missing, Step, Value
from triplog.securement.model import Article, Path, Plan, TieDown
from triplog.securement.quantity import Amount, Dimension, amount_of_si, decimal_text, weight_n
from triplog.securement.rules.au_lrg.tension import pre_tension
from triplog.securement.rules.au_lrg.way import Way, line, summed
from triplog.securement.rules.downward import NOTHING, UNLIMITED, Ends, upright_share
from triplog.securement.rules.groups import Group

_DECIMALS = 4


def clamping(group: Group, plan: Plan) -> Way:
    """What the tie-downs over the top press down with: pre-tension by the angle of their legs."""
    parts = [_clamp(one, group, plan) for one in group.tie_downs if one.path in (Path.OVER, None)]
    return summed(parts)


def friction(group: Group, plan: Plan, pressed: Way) -> Way:
    """Friction under the weight and the clamping; the least friction of the group's articles."""
    coefficients = [_friction(article, plan) for article in group.articles]
    bests = [one.ends.best for one in coefficients if one.ends.best is not None]
    mu = Ends(worst=min(one.ends.worst for one in coefficients), best=min(bests, default=None))
    masses = [article.mass for article in group.articles]
    weight = sum((weight_n(mass) for mass in masses if mass is not None), Fraction(0))
    best = None
    if mu.best == 0:
        best = Fraction(0)
    elif mu.best is not None and pressed.force.best is not None and None not in masses:
        best = mu.best * (weight + pressed.force.best)
    force = Ends(worst=mu.worst * (weight + max(pressed.force.worst, -weight)), best=best)
    open_mu = () if mu.settled else tuple(m for one in coefficients for m in one.missing)
    values: dict[str, Value] = {"friction": decimal_text(mu.worst, 2, "down")}
    return Way(
        force=force,
        steps=(*pressed.steps, line("friction", force, group, values)),
        inputs=(*(one.input for one in coefficients), *pressed.inputs),
        missing=(*open_mu, *(() if mu.best == 0 else pressed.missing)),
    )


def _clamp(tie_down: TieDown, group: Group, plan: Plan) -> Way:
    pulled = pre_tension(tie_down, plan)
    upright = upright_share(tie_down, plan)
    times, tension = upright.share, pulled.ends
    if tension.best == 0:
        return Way(force=NOTHING)
    path: tuple[Missing, ...] = ()
    if tie_down.path is None:
        path = (Missing(field="path", about=tie_down.id),)
        times = Ends(worst=min(times.worst, Fraction(0)), best=times.best)
    best = None
    if times.best is not None and times.best <= 0:
        best = Fraction(0)
    elif times.best is not None and tension.best is not None:
        best = times.best * tension.best
    force = Ends(worst=times.worst * tension.worst, best=best)
    return Way(
        force=force,
        steps=(_clamp_line(tie_down.id, tension, times, force, group),),
        inputs=(pulled.input,),
        missing=(*path, *pulled.missing, *upright.missing),
    )


def _clamp_line(name: str, tension: Ends, times: Ends, force: Ends, group: Group) -> Step:
    def shown(force_n: Fraction) -> Amount:
        return amount_of_si(force_n, group.unit, Dimension.FORCE)

    values: dict[str, Value] = {"tie_down": name, "worst": shown(force.worst)}
    if tension.settled and times.settled:
        values |= {
            "tension": shown(tension.worst),
            "times": decimal_text(times.worst, _DECIMALS, "down"),
        }
        return Step(id="other.au-clamp", values=values)
    if force.best is None:
        return Step(id="other.au-clamp-open", values=values)
    return Step(id="other.au-clamp-between", values=values | {"best": shown(force.best)})


@dataclass(frozen=True, slots=True, kw_only=True)
class _Friction:
    ends: Ends
    input: Input
    missing: tuple[Missing, ...]


def _friction(article: Article, plan: Plan) -> _Friction:
    """As told of the article, or marked on the mat under it; no table of surfaces was read."""
    mat = plan.gear_item(article.mat)
    marked = mat.friction if mat is not None else None
    value = article.friction if article.friction is not None else marked
    told = value is not None
    ends = UNLIMITED if value is None else Ends(worst=Fraction(value), best=Fraction(value))
    return _Friction(
        ends=ends,
        input=Input(
            name="friction",
            about=article.id,
            value=str(value) if told else None,
            basis=Basis.STATED if told else Basis.UNKNOWN,
        ),
        missing=() if told else (Missing(field="friction", about=article.id),),
    )
