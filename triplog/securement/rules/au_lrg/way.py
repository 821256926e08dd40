"""One way of holding a group of articles in a direction, and the lines of its sum.

Each way is worked out by itself at both ends of what is unknown. The part of the guide about
holding a load in several ways at once was not read, so the ways are never added up.
"""

from dataclasses import dataclass

from triplog.securement.finding import Input, Missing, Step, Value
from triplog.securement.quantity import Dimension, amount_of_si
from triplog.securement.rules.downward import Ends, total
from triplog.securement.rules.groups import Group

_LINES = {
    "friction": (
        "provided.au-friction",
        "provided.au-friction-between",
        "provided.au-friction-open",
    ),
    "direct": ("provided.au-direct", "provided.au-direct-between", "provided.au-direct-open"),
    "block": ("provided.au-block", "provided.au-block-between", "provided.au-block-open"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of holding: the force at both ends, the lines of its sum, what leaves it open."""

    force: Ends
    steps: tuple[Step, ...] = ()
    inputs: tuple[Input, ...] = ()
    missing: tuple[Missing, ...] = ()


def summed(parts: list[Way]) -> Way:
    """Parts of one way, such as its tie-downs, as one."""
    return Way(
        force=total([part.force for part in parts]),
        steps=tuple(step for part in parts for step in part.steps),
        inputs=tuple(one for part in parts for one in part.inputs),
        missing=tuple(one for part in parts for one in part.missing),
    )


def line(way: str, force: Ends, group: Group, values: dict[str, Value]) -> Step:
    """What a way holds, or between what it holds."""
    settled, between, unlimited = _LINES[way]
    worst = amount_of_si(force.worst, group.unit, Dimension.FORCE)
    if force.best is None:
        return Step(id=unlimited, values=values | {"worst": worst})
    if force.settled:
        return Step(id=settled, values=values | {"holds": worst})
    best = amount_of_si(force.best, group.unit, Dimension.FORCE)
    return Step(id=between, values=values | {"worst": worst, "best": best})
