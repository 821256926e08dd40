"""How an article stands: the height of its centre of gravity, and its way to each edge."""

from collections.abc import Mapping
from dataclasses import dataclass

from triplog.securement.finding import Basis, Input, Missing, Step
from triplog.securement.model import Article, Direction
from triplog.securement.rules.en_12195.pulls import LENGTHWISE


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """`arms_m` from the centre of gravity to the edge it would tip over, by direction; negative
    where it lies outside the base."""

    height_m: float
    arms_m: Mapping[Direction, float]
    inputs: tuple[Input, ...]
    notes: tuple[Step, ...]

    def arm_m(self, direction: Direction) -> float:
        """b of a direction."""
        return self.arms_m[direction]


def stand_of(article: Article, direction: Direction) -> Stand | tuple[Missing, ...]:
    """What is known of it for one direction; else the facts that are not. The base is its box."""
    lengthwise = direction in LENGTHWISE
    size = article.length if lengthwise else article.width
    missing = []
    if size is None:
        missing.append(Missing(field="length" if lengthwise else "width", about=article.id))
    if article.cog is None and article.height is None:
        missing.append(Missing(field="height", about=article.id))
    if size is None or missing:
        return tuple(missing)
    size_m = float(size.si)
    if article.cog is None:
        assert article.height is not None
        height_m, to_first_m = float(article.height.si) / 2, size_m / 2
    else:
        height_m = float(article.cog.up_m)
        to_first_m = (
            float(article.cog.back_m) if lengthwise else size_m / 2 - float(article.cog.left_m)
        )
    first = direction in (Direction.FORWARD, Direction.LEFT)
    arm_m = to_first_m if first else size_m - to_first_m
    notes = [Step(id="note.en-middle")] if article.cog is None else []
    if arm_m < 0:
        notes.append(Step(id="note.en-outside"))
    return Stand(
        height_m=height_m,
        arms_m={direction: arm_m},
        inputs=(
            Input(
                name="centre of gravity",
                about=article.id,
                value=f"{height_m:.2f} m up, {arm_m:.2f} m to the edge",
                basis=Basis.ESTIMATED if article.cog is None else Basis.STATED,
            ),
        ),
        notes=tuple(notes),
    )
