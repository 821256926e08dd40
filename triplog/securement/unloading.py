"""What comes off at which stop, what must stay held, and what stands in the way. Pure.

Common practice, no source: what stands on top comes off first; a tie-down that also holds what
stays is let off only when that is held another way; what an article braced is braced by nothing
once it is gone.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from triplog.securement.geometry import Box, boxes_of
from triplog.securement.model import Plan

_TOUCH_M = 1e-3
"""Articles that share less than this only touch."""


class Side(StrEnum):
    """From where an article is taken."""

    LEFT = "left"
    RIGHT = "right"
    REAR = "rear"
    ABOVE = "above"


class OrderRefused(ValueError):
    """Stops that are no order of unloading; the message says what is wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnloadingStop:
    """What comes off at one stop. `side` None: nobody said from where."""

    number: int
    articles: tuple[str, ...]
    side: Side | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UnloadingStep:
    """One stop, worked out.

    `let_off`: tie-downs that hold nothing that stays; `shared`: those that do, with what stays.
    `held_first`: articles of this stop that do not stand alone, or nobody knows; `not_alone`: those
    that stay. `unbraced`: articles that stay, the direction, and the article that braced them.
    `in_the_way`: what stays and stands between an article and its side; `clear`: the sides where
    nothing does; both None where a place is not known.
    """

    number: int
    articles: tuple[str, ...]
    side: Side | None
    let_off: tuple[str, ...]
    shared: tuple[tuple[str, tuple[str, ...]], ...]
    held_first: tuple[str, ...]
    not_alone: tuple[str, ...]
    unbraced: tuple[tuple[str, str, str], ...]
    in_the_way: tuple[str, ...] | None
    clear: tuple[Side, ...] | None
    stays: tuple[str, ...]


def unloading_steps(plan: Plan, stops: Iterable[UnloadingStop]) -> tuple[UnloadingStep, ...]:
    """Each stop in turn, from the plan as it is loaded.

    Raises OrderRefused for an unknown article, one at two stops, a stop without any, and one taken
    from under another.
    """
    there = {one.id: one for one in plan.articles}
    left = list(there)
    boxes = boxes_of(plan)
    steps: list[UnloadingStep] = []
    for stop in stops:
        _refuse(stop, left, there)
        off = sorted(stop.articles, key=lambda one: -_height(plan, one))
        left = [one for one in left if one not in off]
        for one in left:
            if there[one].on in off:
                raise OrderRefused(
                    f"{one} stands on {there[one].on}, which comes off at stop {stop.number}; it"
                    " comes off before that or with it"
                )
        steps.append(_step(plan, stop, tuple(off), tuple(left), boxes))
    return tuple(steps)


def _refuse(stop: UnloadingStop, left: list[str], there: Mapping[str, object]) -> None:
    if not stop.articles:
        raise OrderRefused(f"stop {stop.number} has no article")
    for place, one in enumerate(stop.articles):
        if one not in there:
            raise OrderRefused(f"there is no article {one!r}; there is: {', '.join(there)}")
        if one not in left or one in stop.articles[:place]:
            raise OrderRefused(f"{one} comes off twice")


def _step(
    plan: Plan,
    stop: UnloadingStop,
    off: tuple[str, ...],
    stays: tuple[str, ...],
    boxes: Mapping[str, Box],
) -> UnloadingStep:
    known = all(one in boxes for one in (*off, *stays))
    ways = {one: _in_the_way(one, off, stays, boxes) for one in _BEYOND} if known else {}
    alone = {one.id for one in plan.articles if one.stands_unaided is True}
    let_off, shared = [], []
    for tie_down in plan.tie_downs:
        if set(tie_down.holds) & set(off):
            rest = tuple(one for one in tie_down.holds if one in stays)
            if rest:
                shared.append((tie_down.id, rest))
            else:
                let_off.append(tie_down.id)
    return UnloadingStep(
        number=stop.number,
        articles=off,
        side=stop.side,
        let_off=tuple(let_off),
        shared=tuple(shared),
        held_first=tuple(one for one in off if one not in alone),
        not_alone=tuple(one for one in stays if one not in alone),
        unbraced=tuple(
            (one.id, str(direction), block.by)
            for one in plan.articles
            for direction, block in one.blocked.items()
            if one.id in stays and block.by in off
        ),
        in_the_way=ways.get(stop.side, ()) if stop.side is not None and known else None,
        clear=tuple(one for one, there in ways.items() if not there) if known else None,
        stays=stays,
    )


_BEYOND: Mapping[Side, tuple[int, Callable[[Box, Box], bool]]] = {
    Side.LEFT: (0, lambda one, other: other.low[1] >= one.high[1] - _TOUCH_M),
    Side.RIGHT: (0, lambda one, other: other.high[1] <= one.low[1] + _TOUCH_M),
    Side.REAR: (1, lambda one, other: other.high[0] <= one.low[0] + _TOUCH_M),
}
"""For each side: along which axis two articles pass each other, and which lies further out."""


def _in_the_way(
    side: Side, off: tuple[str, ...], stays: tuple[str, ...], boxes: Mapping[str, Box]
) -> tuple[str, ...]:
    """What stays and lies between an article that comes off and that side of the deck."""
    axis, is_beyond = _BEYOND[side]
    return tuple(
        other
        for other in stays
        if any(
            is_beyond(boxes[one], boxes[other]) and _overlap(boxes[one], boxes[other], axis)
            for one in off
        )
    )


def _overlap(one: Box, other: Box, axis: int) -> bool:
    shared_m = min(one.high[axis], other.high[axis]) - max(one.low[axis], other.low[axis])
    return shared_m > _TOUCH_M


def _height(plan: Plan, article: str) -> int:
    """How many articles are below it."""
    on = {one.id: one.on for one in plan.articles}
    below = on[article]
    return 0 if below not in on else 1 + _height(plan, below)
