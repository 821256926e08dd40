"""What a plan says and cannot be believed: judged as if nobody had told it.

An article said to be fully contained, on a body without sides; a friction above any that surfaces
have. Each is named in the findings that ask for it, instead of the plain field.
"""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from triplog.securement.figures import figure
from triplog.securement.finding import Finding, Missing
from triplog.securement.model import Article, Body, Gear, Plan, PlanRefused

# What has neither sides nor stakes to contain an article that stands on it.
_OPEN = frozenset({Body.FLATBED, Body.LOWBOY, Body.POLE_TRAILER})
_NO_WALL = frozenset({None, "none"})
_ASKED_INSTEAD = {"contained": "contained.open-body", "friction": "friction.beyond"}


def friction_most() -> Fraction:
    """The highest friction that is believed."""
    return figure("friction-max", "figures_fit").value_si


def refuse_friction(plan: Plan) -> None:
    """Raises PlanRefused for a friction above any that surfaces have: a slip of the pen."""
    tables: tuple[tuple[str, Sequence[Article | Gear]], ...] = (
        ("article", plan.articles),
        ("gear", plan.gear),
    )
    for table, things in tables:
        for number, one in enumerate(things):
            if _beyond(one.friction):
                raise PlanRefused(
                    f"{table}[{number}].friction",
                    f"{one.friction:f} is more than surfaces ever have (the most here is "
                    f"{float(friction_most()):g}; concrete on sawn wood has 0.7): look at the "
                    "point, or leave it out if it is not known",
                )


def contained_on_an_open_body(plan: Plan) -> tuple[str, ...]:
    """The ids of the articles that the plan says are contained where nothing contains them."""
    walls = plan.vehicle.walls
    walled = not {walls.front, walls.sides, walls.rear} <= _NO_WALL
    if plan.vehicle.body not in _OPEN or walled:
        return ()
    return tuple(one.id for one in plan.articles if one.contained and one.on == "deck")


def believed(plan: Plan) -> Plan:
    """The plan without what cannot be believed; the same plan where there is no such thing."""
    open_to = set(contained_on_an_open_body(plan))
    articles = tuple(_heard(one, contained=one.id not in open_to) for one in plan.articles)
    gear = tuple(_dulled(one) for one in plan.gear)
    if articles == plan.articles and gear == plan.gear:
        return plan
    return replace(plan, articles=articles, gear=gear)


def naming(findings: tuple[Finding, ...], plan: Plan, heard: Plan) -> tuple[Finding, ...]:
    """The findings about `heard` asking for what was told in `plan` in the words for that."""
    if heard is plan:
        return findings
    rough: tuple[Article | Gear, ...] = (*plan.articles, *plan.gear)
    told = {
        *(("contained", one) for one in contained_on_an_open_body(plan)),
        *(("friction", one.id) for one in rough if _beyond(one.friction)),
    }

    def named(one: Missing) -> Missing:
        known = (one.field, one.about) in told
        return replace(one, field=_ASKED_INSTEAD[one.field]) if known else one

    return tuple(
        replace(finding, unknown=tuple(named(one) for one in finding.unknown))
        for finding in findings
    )


def _heard(article: Article, *, contained: bool) -> Article:
    if not contained:
        article = replace(article, contained=None)
    return replace(article, friction=None) if _beyond(article.friction) else article


def _dulled(gear: Gear) -> Gear:
    return replace(gear, friction=None) if _beyond(gear.friction) else gear


def _beyond(friction: Decimal | None) -> bool:
    return friction is not None and Fraction(friction) > friction_most()
