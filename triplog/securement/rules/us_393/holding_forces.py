"""What holds a group against movement one way along the deck: 49 CFR 393.102(a), part by part.

Blocking, with what it is rated. Friction under the weight and under what the legs press, nothing
for an article that can roll. Legs that the movement lengthens, each at most at its limit; a
tie-down over the top only with its tension; legs that the movement slackens, nothing. Sliding only:
tipping is not judged here.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from triplog.securement.ends import NOTHING, Ends, exactly, most
from triplog.securement.finding import Missing, Value
from triplog.securement.model import (
    Article,
    Direction,
    FrontStructure,
    GearKind,
    Path,
    Plan,
    TieDown,
)
from triplog.securement.quantity import weight_n
from triplog.securement.rating import mat_resistance
from triplog.securement.rules.blocking import blocked, blocked_forward, by_front_structure
from triplog.securement.rules.groups import Group
from triplog.securement.rules.leg_forces import (
    LEG_ANGLE,
    ONE,
    Legs,
    at_tension,
    tension_n,
)

# The movement, forward and to the left.
_WAY: dict[Direction, tuple[int, int]] = {
    Direction.FORWARD: (1, 0),
    Direction.REARWARD: (-1, 0),
    Direction.LEFT: (0, 1),
    Direction.RIGHT: (0, -1),
}
# Less than this the movement neither lengthens nor slackens a leg.
_NEUTRAL = Fraction(1, 10**9)


@dataclass(frozen=True, slots=True, kw_only=True)
class Acting:
    """A tie-down against one movement: what each of its legs holds per newton of tension.

    `missing` is what is not known of the friction in it; `lengthened`: below nothing it slackens.
    """

    factors: tuple[Ends, ...]
    missing: tuple[Missing, ...]
    lengthened: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """A tie-down that counts, its legs, the force it is used up at and what is not known of it.

    `acting` is against each movement; nothing where no leg is known.
    """

    tie_down: TieDown
    legs: Legs
    acting: Mapping[Direction, Acting]
    limit: Ends
    of_limit: tuple[Missing, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """One part of what holds, in newtons: `kind` names its line, `about` what it comes from."""

    kind: str
    about: str
    force: Ends
    missing: tuple[Missing, ...] = ()
    values: Mapping[str, Value] = field(default_factory=dict)


def held(
    group: Group, plan: Plan, direction: Direction, pulls: tuple[Pull, ...]
) -> tuple[Held, ...]:
    """Everything that holds a group against moving in a direction; `pulls` of its tie-downs."""
    layers = [one for one in group.articles if one.on != "deck" or _carries(one, plan)]
    if layers:
        return tuple(
            Held(
                kind="held-layers",
                about=one.id,
                force=Ends(low=None, high=None),
                missing=(Missing(field="layers", about=one.id),),
            )
            for one in layers
        )
    return (
        *(_block(article, group, plan, direction) for article in group.articles),
        *(_under(article, plan) for article in group.articles),
        *(_by_tie_down(one, plan, direction) for one in pulls),
    )


def _carries(article: Article, plan: Plan) -> bool:
    return any(other.on == article.id for other in plan.articles)


def _block(article: Article, group: Group, plan: Plan, direction: Direction) -> Held:
    """What blocks one article that way, with its rating; a member of the group blocks nothing."""
    block = article.blocked.get(direction)
    forward = direction is Direction.FORWARD
    stops = blocked_forward(article, plan) if forward else blocked(article, direction, plan)
    values: dict[str, Value] = {"by": block.by if block else ""}
    if stops is False or (block is not None and block.by in group.ids):
        force, missing = exactly(NOTHING), ()
        return Held(kind="held-unblocked", about=article.id, force=force, missing=missing)
    rated_n = None if block is None or block.rated is None else block.rated.si
    if rated_n is None and by_front_structure(article) and forward:
        rated_n = _share_of_front_structure(plan)
    if stops and rated_n is not None:
        return Held(kind="held-block", about=article.id, force=exactly(rated_n), values=values)
    asks = f"blocked.{direction}" + ("_rated" if stops else "")
    return Held(
        kind="held-block" if stops else "held-maybe-blocked",
        about=article.id,
        force=Ends(low=NOTHING, high=None),
        missing=(Missing(field=asks, about=article.id),),
        values=values if stops else {},
    )


def _share_of_front_structure(plan: Plan) -> Fraction | None:
    """What the front structure withstands, divided equally among the articles behind it."""
    structure = plan.vehicle.front_structure
    if not isinstance(structure, FrontStructure) or structure.rated is None:
        return None
    return structure.rated.si / sum(1 for one in plan.articles if by_front_structure(one))


def _under(article: Article, plan: Plan) -> Held:
    """The friction under an article's own weight, or what the mat under it resists."""
    weight = Ends(low=NOTHING, high=None)
    if article.mass is not None:
        weight = exactly(weight_n(article.mass))
    if _by_mat(article, plan):
        mat = plan.gear_item(article.mat)
        assert mat is not None
        resists = mat_resistance(article.mass, mat)
        force = Ends(low=NOTHING, high=None) if resists is None else exactly(resists.si)
        return Held(kind="held-mat", about=article.id, force=force, values={"mat": mat.id})
    friction, missing = friction_of(article, plan)
    values: dict[str, Value] = {}
    told = _told_friction(article, plan)
    if told is not None:
        values["friction"] = format(told, "f")
    kind = "held-rolls" if article.rolls else "held-friction"
    return Held(
        kind=kind,
        about=article.id,
        force=weight.times(friction),
        missing=missing,
        values=values,
    )


def _by_mat(article: Article, plan: Plan) -> bool:
    """Whether 393.108(g) answers for the friction: a mat, and no friction told."""
    mat = plan.gear_item(article.mat)
    if mat is None or mat.kind is not GearKind.FRICTION_MAT or article.rolls is not False:
        return False
    return article.friction is None and not (mat.wll is None and mat.friction is not None)


def friction_of(article: Article, plan: Plan) -> tuple[Ends, tuple[Missing, ...]]:
    """The friction under an article at both ends; an article that rolls has none.

    393.108(g) speaks of the weight on a mat, so what tie-downs press on one counts nothing.
    """
    if article.rolls:
        return exactly(NOTHING), ()
    told = _told_friction(article, plan)
    if told is not None:
        if article.rolls is None:
            unknown = Missing(field="rolls", about=article.id)
            return Ends(low=NOTHING, high=Fraction(told)), (unknown,)
        return exactly(Fraction(told)), ()
    if _by_mat(article, plan):
        return exactly(NOTHING), ()
    fields = ("friction",) if article.rolls is False else ("friction", "rolls")
    missing = tuple(Missing(field=name, about=article.id) for name in fields)
    return Ends(low=NOTHING, high=None), missing


def _told_friction(article: Article, plan: Plan) -> Decimal | None:
    """The friction as told of the article, else as marked on a mat that has no other marking."""
    mat = plan.gear_item(article.mat)
    if article.friction is None and mat is not None and mat.wll is None:
        return mat.friction
    return article.friction


def acting_of(legs: Legs, plan: Plan) -> Mapping[Direction, Acting]:
    """The legs of a tie-down against each movement; empty where they are not known."""
    if not legs.pulls:
        return {}
    touched = {pull.article for pull in legs.pulls}
    frictions = {one.id: friction_of(one, plan) for one in plan.articles if one.id in touched}
    missing = tuple(each for pull in legs.pulls for each in frictions[pull.article][1])
    pressed = [_pressed(pull.down, frictions[pull.article][0]) for pull in legs.pulls]
    found = {}
    for direction, (along, across) in _WAY.items():
        against = [-(pull.forward * along + pull.left * across) for pull in legs.pulls]
        found[direction] = Acting(
            factors=tuple(
                exactly(level) + down for level, down in zip(against, pressed, strict=True)
            ),
            missing=missing,
            lengthened=sum(against, NOTHING),
        )
    return found


def _by_tie_down(one: Pull, plan: Plan, direction: Direction) -> Held:
    tie_down, legs, at_most, of_limit = one.tie_down, one.legs, one.limit, one.of_limit
    acting = one.acting.get(direction)
    if acting is None:
        return _unrouted(one, plan)
    factors, missing = acting.factors, acting.missing
    if tie_down.path is not Path.OVER and abs(acting.lengthened) > _NEUTRAL:
        if acting.lengthened < 0:
            return Held(kind="held-slackens", about=tie_down.id, force=exactly(NOTHING))
        total = sum(factors, exactly(NOTHING))
        return Held(
            kind="held-pull",
            about=tie_down.id,
            force=at_most.times(total).at_least_nothing(),
            missing=(*of_limit, *missing),
        )
    tension, of_tension = _tension(tie_down, at_most, of_limit)
    force, of_shares = at_tension(tie_down, tension, legs, factors)
    missing = (*of_tension, *of_shares, *missing)
    return Held(kind="held-press", about=tie_down.id, force=force, missing=missing)


def _pressed(down: Fraction, friction: Ends) -> Ends:
    """The friction that a leg's pressing adds, or its lifting takes, per newton of tension."""
    if down >= 0:
        return friction.scaled(down)
    lifted = friction.scaled(-down)
    assert lifted.low is not None
    return Ends(low=None if lifted.high is None else -lifted.high, high=-lifted.low)


def _tension(
    tie_down: TieDown, at_most: Ends, of_limit: tuple[Missing, ...]
) -> tuple[Ends, tuple[Missing, ...]]:
    """The tension it works with: its own, or less where a part would not hold even that."""
    own_n = tension_n(tie_down)
    if own_n is None:
        missing = (Missing(field="tension", about=tie_down.id),)
        return Ends(low=NOTHING, high=at_most.high), missing
    tension = exactly(own_n).at_most(at_most)
    return tension, () if tension.known else of_limit


def _unrouted(one: Pull, plan: Plan) -> Held:
    """A tie-down whose legs may pull any way: at most along the movement and pressing at once."""
    tie_down, at_most, of_limit = one.tie_down, one.limit, one.of_limit
    held_up = [friction_of(each, plan) for each in plan.articles if each.id in tie_down.holds]
    friction = most(*(ends.high for ends, _ in held_up))
    factor = Ends(low=-ONE, high=None if friction is None else ONE + friction)
    missing: tuple[Missing, ...] = (Missing(field=LEG_ANGLE, about=tie_down.id),)
    if tie_down.path is Path.OVER:
        tension, of_tension = _tension(tie_down, at_most, of_limit)
        missing = (*missing, *of_tension)
    else:
        tension, missing = Ends(low=NOTHING, high=at_most.high), (*missing, *of_limit)
        if tie_down.path is not None:
            factor = Ends(low=NOTHING, high=factor.high)
    force = sum((tension.times(factor) for _ in range(one.legs.number)), exactly(NOTHING))
    missing += tuple(each for _, several in held_up for each in several)
    return Held(kind="held-any-way", about=tie_down.id, force=force, missing=missing)
