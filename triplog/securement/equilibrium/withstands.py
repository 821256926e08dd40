"""The acceleration a scene withstands towards a heading: the smallest of three values.

- the plain limit: tensions, stops and pressure anywhere within their limits (an upper bound);
- the filtered limit: a tie-down exceeds the pretension it retains only if a straight slide along
  the heading lengthens it; a stop counts while nothing moves, or the tie-downs once it gave way,
  never both in full; nothing scrapes back under a body that tips over a stop;
- the elastic value: all tie-downs lengthen by one movement, until the first is full.

Stacks are asked at every interface, all above it as one body; exact where all tensions are fixed,
otherwise beside the joint program. Rows are asked as one body and jointly, squeezed by what runs
over them. Rigid bodies, dry friction, uniform stiff bases, no impact.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from triplog.securement.equilibrium.asking import Asked, View
from triplog.securement.equilibrium.assembly import as_one, jointly
from triplog.securement.equilibrium.mechanism import Binding, Mode
from triplog.securement.equilibrium.refusals import refusal_of
from triplog.securement.equilibrium.scene import Refusal, Scene
from triplog.securement.equilibrium.simplex import NoAnswerWithinLimit

CONE_SIDES = 32
TIE = 1e-9
"""Values nearer than this share of each other are told as the first of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Withstood:
    """What a scene withstands towards a heading, in g; infinite: nothing limits it.

    `lowest`: the body whose base slides or tips, or the first of all that move; `movement_m`: how
    far it has moved when the elastic value is reached (where it tips: at the height of its centre
    of gravity).
    """

    heading_rad: float
    withstands_g: float
    limited_by: Literal["plain", "filtered", "elastic"]
    plain_limit_g: float
    filtered_g: float
    elastic_g: float
    mode: Mode
    binds: tuple[Binding, ...]
    lowest: str
    movement_m: float


ROWS_MAX = 126
"""More equations than this are not begun: an exchange takes time in the square of them, and twenty
bodies that lean on each other, or 120 shared anchor points, are more than any deck holds."""


def withstands(
    scene: Scene, heading_rad: float, *, cone_sides: int = CONE_SIDES
) -> Withstood | Refusal:
    """What a scene withstands towards one heading (0 forward, a quarter turn left)."""
    several = withstands_each(scene, (heading_rad,), cone_sides=cone_sides)
    return several if isinstance(several, Refusal) else several[0]


def withstands_each(
    scene: Scene, headings_rad: Sequence[float], *, cone_sides: int = CONE_SIDES
) -> tuple[Withstood, ...] | Refusal:
    """What a scene withstands towards several headings."""
    views = views_of(scene, cone_sides)
    if isinstance(views, Refusal):
        return views
    try:
        return tuple(_withstood(views, heading) for heading in headings_rad)
    except NoAnswerWithinLimit:
        return _no_answer(scene)


def polar(
    scene: Scene, count: int = 72, *, cone_sides: int = CONE_SIDES
) -> tuple[tuple[float, float], ...] | Refusal:
    """Degrees (0 forward, 90 left) and the g withstood, at equal steps round the scene."""
    views = views_of(scene, cone_sides)
    if isinstance(views, Refusal):
        return views
    degrees = [number * 360.0 / count for number in range(count)]
    try:
        return tuple((degree, _least(views, math.radians(degree))) for degree in degrees)
    except NoAnswerWithinLimit:
        return _no_answer(scene)


def _no_answer(scene: Scene) -> Refusal:
    return Refusal(reason="no-answer-within-limit", about=tuple(body.id for body in scene.bodies))


def views_of(scene: Scene, cone_sides: int) -> list[View] | Refusal:
    """The bodies to ask: each interface of a stack; a row as one; and all jointly."""
    refused = refusal_of(scene)
    if refused is not None:
        return refused
    ids = tuple(body.id for body in scene.bodies)
    if not 4 <= cone_sides <= 4096:
        return Refusal(reason="cone-sides-out-of-range", about=ids)
    several = len(ids) > 1
    if several and not scene.faces:
        views = [
            View(as_one(scene, ids[number:], ids[number]), cone_sides) for number in range(len(ids))
        ]
        joint = any(strap.fixed_n is None for strap in scene.straps)
    else:
        views = [View(as_one(scene, ids, ids[0]), cone_sides)]
        joint = several
    if joint:
        views.append(View(jointly(scene), cone_sides))
    if any(view.assembly.rows > ROWS_MAX for view in views):
        return _no_answer(scene)
    try:
        falls = next((view for view in views if not view.stands()), None)
    except NoAnswerWithinLimit:
        return _no_answer(scene)
    if falls is not None:
        return Refusal(reason="does-not-stand", about=(falls.assembly.lowest,))
    return views


def _least(views: Sequence[View], heading_rad: float) -> float:
    """The smaller of filtered and elastic value; the plain limit is never below the former."""
    least = min(view.filtered_g(heading_rad) for view in views)
    for view in views:
        if view.is_one:
            least = view.least_g(heading_rad, least)
    return max(0.0, least)


def _withstood(views: Sequence[View], heading_rad: float) -> Withstood:
    plain = _smallest([view.plain(heading_rad) for view in views])
    filtered = _smallest([view.filtered(heading_rad) for view in views])
    elastic = _smallest([view.elastic(heading_rad) for view in views if view.is_one])
    filtered = replace(filtered, g=min(filtered.g, plain.g))
    limited_by: Literal["plain", "filtered", "elastic"] = "plain"
    governs = plain
    if filtered.g < governs.g * (1.0 - TIE):
        limited_by, governs = "filtered", filtered
    if elastic.g < governs.g * (1.0 - TIE):
        limited_by, governs = "elastic", elastic
    return Withstood(
        heading_rad=heading_rad,
        withstands_g=min(plain.g, filtered.g, elastic.g),
        limited_by=limited_by,
        plain_limit_g=plain.g,
        filtered_g=filtered.g,
        elastic_g=elastic.g,
        mode=governs.mode,
        binds=governs.binds,
        lowest=governs.lowest,
        movement_m=elastic.movement_m,
    )


def _smallest(values: Sequence[Asked]) -> Asked:
    """The smallest, at zero at least: below it the scene does not hold towards that heading."""
    least = min(values, key=lambda value: value.g)
    return replace(least, g=max(0.0, least.g))
