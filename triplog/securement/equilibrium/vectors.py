"""Forces and turning moments of forces in space."""

import math
from collections.abc import Iterable, Sequence
from operator import mul

from triplog.securement.equilibrium.scene import Point

Wrench = tuple[float, float, float, float, float, float]
"""A force and its moment about the reference point; or a velocity and a turning rate."""


def dot(one: Sequence[float], other: Sequence[float]) -> float:
    """The sum of products."""
    return sum(map(mul, one, other), 0.0)


def less(one: Point, other: Point) -> Point:
    """The way from `other` to `one`."""
    return (one[0] - other[0], one[1] - other[1], one[2] - other[2])


def times(factor: float, vector: Point) -> Point:
    """The vector so many times as long."""
    return (factor * vector[0], factor * vector[1], factor * vector[2])


def cross(one: Point, other: Point) -> Point:
    """The vector product."""
    return (
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )


def unit(vector: Point) -> Point:
    """The vector at length one; it must have a length."""
    return times(1.0 / math.hypot(*vector), vector)


def wrench(force: Point, at: Point, about: Point) -> Wrench:
    """A force at a point, with its moment about another."""
    return (*force, *cross(less(at, about), force))


def scaled(factor: float, one: Wrench) -> Wrench:
    """The wrench so many times as strong."""
    a, b, c, d, e, f = one
    return (factor * a, factor * b, factor * c, factor * d, factor * e, factor * f)


def total(wrenches: Iterable[Sequence[float]]) -> Wrench:
    """The sum of wrenches."""
    sums = [0.0] * 6
    for one in wrenches:
        sums = [held + added for held, added in zip(sums, one, strict=True)]
    return (sums[0], sums[1], sums[2], sums[3], sums[4], sums[5])
