"""What blocks an article, and with what force: as rated, or a wall built to EN 12642."""

from dataclasses import dataclass, replace

from triplog.securement.closed_form import wall_force_n, weight_force_n
from triplog.securement.finding import Basis, Citation, Input, Missing, Step
from triplog.securement.model import (
    Article,
    Block,
    Body,
    Direction,
    FrontStructure,
    Plan,
    WallCode,
)
from triplog.securement.quantity import Amount
from triplog.securement.rules.blocking import FRONT_STRUCTURE, blocked
from triplog.securement.rules.en_12195.en_figures import en_figure, wall_row
from triplog.securement.rules.en_12195.lashings import newtons
from triplog.securement.rules.en_12195.span import ANYTHING, NOTHING, Span, exactly

_WALLS = frozenset({"wall", "front wall", "side wall", "rear wall", "side", "tailboard", "walls"})
_WALL_OF = {
    Direction.FORWARD: "front",
    Direction.REARWARD: "rear",
    Direction.LEFT: "sides",
    Direction.RIGHT: "sides",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """What stops an article in one direction: its force, and the height it acts at, in metres.

    `by` is empty where nothing does. `up_m` None: not known.
    """

    by: str
    force: Span
    up_m: float | None = None
    inputs: tuple[Input, ...] = ()
    missing: tuple[Missing, ...] = ()
    notes: tuple[Step, ...] = ()


def stop_of(article: Article, direction: Direction, plan: Plan) -> Stop:
    """What is known of the block of an article in a direction."""
    block = article.blocked.get(direction)
    answer = blocked(article, direction, plan)
    if block is None and article.contained:
        return _wall(article, direction, plan, by="wall", up_m=None)
    if answer is None or block is None:
        field = f"blocked.{direction}"
        return Stop(by="", force=ANYTHING, missing=(Missing(field=field, about=article.id),))
    if answer is False:
        return Stop(by="", force=NOTHING)
    up_m = None if block.up is None else float(block.up.si)
    by = block.by.strip().lower()
    front = direction is Direction.FORWARD and by in FRONT_STRUCTURE
    own_wall = front or by in _WALLS
    absent = direction is Direction.FORWARD and plan.vehicle.front_structure == "none"
    if own_wall and (block.rated is None or absent):
        stop = _wall(article, direction, plan, by=block.by, up_m=up_m)
    elif block.rated is not None:
        stop = _rated(article, block, direction, plan, up_m=up_m, own_wall=own_wall)
    else:
        stop = Stop(
            by=block.by, force=ANYTHING, up_m=up_m, missing=(_not_rated(article, direction),)
        )
    if front and article.at is not None and article.at.from_front_m > 0:
        apart = Step(id="note.front-apart", values={"names": article.id})
        stop = replace(stop, notes=(*stop.notes, apart))
    return stop


def _rated(
    article: Article,
    block: Block,
    direction: Direction,
    plan: Plan,
    *,
    up_m: float | None,
    own_wall: bool,
) -> Stop:
    """A block that holds what is told of it; what leans on one wall shares it."""
    assert block.rated is not None, "only asked of a block with a rating"
    share = _share(article, direction, plan) if own_wall else 1.0
    if share is None:
        missing = tuple(Missing(field="mass", about=one.id) for one in _behind(direction, plan))
        return Stop(by=block.by, force=ANYTHING, up_m=up_m, missing=missing)
    told = _told("rated", article.id, block.rated)
    force = exactly(float(block.rated.si) * share)
    return Stop(by=block.by, force=force, up_m=up_m, inputs=(told,))


def _wall(
    article: Article, direction: Direction, plan: Plan, *, by: str, up_m: float | None
) -> Stop:
    """The vehicle's own wall: its rating, else what the code of its body says for the payload."""
    structure = plan.vehicle.front_structure
    if direction is Direction.FORWARD and structure == "none":
        return Stop(by="", force=NOTHING, notes=(Step(id="note.en-no-front"),))
    share = _share(article, direction, plan)
    if share is None:
        missing = tuple(Missing(field="mass", about=one.id) for one in _behind(direction, plan))
        return Stop(by=by, force=ANYTHING, up_m=up_m, missing=missing)
    if (
        direction is Direction.FORWARD
        and isinstance(structure, FrontStructure)
        and structure.rated is not None
    ):
        told = _told("front_structure.rated", "vehicle", structure.rated)
        force = exactly(float(structure.rated.si) * share)
        return Stop(by=by, force=force, up_m=up_m, inputs=(told,))
    return _coded(article, direction, plan, by=by, up_m=up_m, share=share)


def _coded(
    article: Article, direction: Direction, plan: Plan, *, by: str, up_m: float | None, share: float
) -> Stop:
    wall = _WALL_OF[direction]
    code: WallCode | None = getattr(plan.vehicle.walls, wall)
    if code is None or code == "none":
        return Stop(by=by, force=ANYTHING, up_m=up_m, missing=(_not_rated(article, direction),))
    if code == "EN 12642 L" and wall == "sides" and plan.vehicle.body is Body.CURTAIN_SIDE:
        return Stop(by="", force=NOTHING, notes=(Step(id="note.en-curtain"),))
    payload = plan.vehicle.payload
    if payload is None:
        missing = (Missing(field="payload", about="vehicle"),)
        return Stop(by=by, force=ANYTHING, up_m=up_m, missing=missing)
    row = wall_row(code, wall)
    payload_n = weight_force_n(float(payload.si), en_figure("gravity"))
    held_n = wall_force_n(payload_n, row.share, row.at_most_n)
    told = Input(
        name=f"walls.{wall}", about="vehicle", value=newtons(held_n), basis=Basis.DEFAULT_TABLE,
        citation=_cited(row.citation, code),
    )  # fmt: skip
    capped = row.at_most_n is not None and held_n == row.at_most_n
    step = Step(
        id="note.en-wall-capped" if capped else "note.en-wall",
        values={
            "code": code,
            "share_of": f"{row.share:g}",
            "payload": payload,
            "force": newtons(held_n),
        },
    )
    return Stop(by=by, force=exactly(held_n * share), up_m=up_m, inputs=(told,), notes=(step,))


def _cited(cited: Citation, code: str) -> Citation:
    """The citation with the code of the body as its clause."""
    return Citation(
        source=cited.source, clause=code, edition=cited.edition, how_sure=cited.how_sure
    )


def _behind(direction: Direction, plan: Plan) -> tuple[Article, ...]:
    """The articles that lean on the vehicle's own wall in a direction."""
    names = _WALLS | FRONT_STRUCTURE if direction is Direction.FORWARD else _WALLS
    return tuple(
        one
        for one in plan.articles
        if (direction in one.blocked and one.blocked[direction].by.strip().lower() in names)
        or (direction not in one.blocked and one.contained)
    )


def _share(article: Article, direction: Direction, plan: Plan) -> float | None:
    """The article's share of its wall, by mass; None while a mass is not known."""
    behind = _behind(direction, plan)
    if len(behind) < 2:
        return 1.0
    masses = [float(one.mass.si) for one in behind if one.mass is not None]
    if len(masses) < len(behind) or article.mass is None:
        return None
    return float(article.mass.si) / sum(masses)


def _told(name: str, about: str, value: Amount) -> Input:
    return Input(name=name, about=about, value=value, basis=Basis.STATED)


def _not_rated(article: Article, direction: Direction) -> Missing:
    return Missing(field=f"blocked.{direction}_rated", about=article.id)
