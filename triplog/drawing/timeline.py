"""Counts against their limits as bars: how far each ran before a look, and what was too far.

Black and white, told apart by shape: a filled bar is known, a dashed one estimated, the part past
the limit hatched. It is handed values and words and knows no trip.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from textwrap import wrap

from triplog.drawing.svg import (
    LINE_HEIGHT,
    Drawing,
    Point,
    circle,
    hatching,
    line,
    picture,
    polygon,
    rectangle,
    words,
)

_WIDTH, _MARGIN = 1000.0, 20.0
_LEFT, _RIGHT = 190.0, 640.0
_TOLD_AT = 662.0
_ROW, _BAR = 38.0, 12.0
_TOLD_LETTERS = 46
_LETTERS_MAX = 140
_TICKS_MAX = 6
_STEPS = (0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 250.0, 500.0, 1000.0)


class BarEnd(StrEnum):
    """What a bar ends with."""

    LOOKED = "looked"
    STILL_RUNS = "still runs"
    OVER = "over"


@dataclass(frozen=True, slots=True, kw_only=True)
class TimelineBar:
    """One count from where it began, in the unit of its panel.

    `known` is what is recorded, `up_to` the most it can be, None where that cannot be told. `limit`
    None: it does not apply. `partial`: where a look left something out. `name` stands at the left,
    `limit_name` at the limit, `told` at the right.
    """

    name: str
    known: float
    up_to: float | None
    limit: float | None
    limit_name: str
    end: BarEnd
    told: str
    partial: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        assert self.known >= 0, "a count is not below nothing"
        assert self.up_to is None or self.known <= self.up_to, "the most is no less than is known"


@dataclass(frozen=True, slots=True, kw_only=True)
class TimelinePanel:
    """Bars on one scale; `unit` is that of all of them."""

    title: str
    unit: str
    bars: tuple[TimelineBar, ...]


def timeline_picture(
    title: str, panels: tuple[TimelinePanel, ...], *, legend: str, notes: tuple[str, ...]
) -> Drawing:
    """The panels one below another; `legend` and `notes` are the lines below them."""
    parts = [words((_MARGIN, 22), title, size=14)]
    top = 44.0
    for panel in panels:
        parts += _panel(panel, top)
        top += 52 + _ROW * len(panel.bars)
    below = [part for text in (legend, *notes) for part in wrap(text, _LETTERS_MAX)]
    for number, text in enumerate(below):
        parts.append(words((_MARGIN, top + LINE_HEIGHT * number), text))
    told = [
        f"{panel.title}: {bar.name}: {bar.told}" for panel in panels for bar in panel.bars
    ] + list(notes)
    return picture(_WIDTH, top + LINE_HEIGHT * len(below), parts, title, told)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    most: float

    def at(self, value: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * min(value, self.most) / self.most


def _panel(panel: TimelinePanel, top: float) -> Iterator[str]:
    values = [
        value
        for bar in panel.bars
        for value in (bar.known, bar.up_to, bar.limit, *bar.partial)
        if value is not None
    ]
    step = next((one for one in _STEPS if max(values) / one <= _TICKS_MAX), _STEPS[-1])
    scale = _Scale(most=max(step, max(values) * 1.04))
    yield words((_MARGIN, top), panel.title, size=13)
    axis = top + 22
    yield line((_LEFT, axis), (_RIGHT, axis))
    tick = 0
    while tick * step <= scale.most:
        x = scale.at(tick * step)
        yield line((x, axis - 4), (x, axis))
        yield words((x, axis - 7), f"{tick * step:g} {panel.unit}", size=10, anchor="middle")
        tick += 1
    for number, bar in enumerate(panel.bars):
        yield from _bar(bar, scale, axis + 14 + _ROW * number)


def _bar(bar: TimelineBar, scale: _Scale, top: float) -> Iterator[str]:
    bottom = top + _BAR
    yield words((_MARGIN, bottom - 1), bar.name, size=11)
    within = bar.known if bar.limit is None else min(bar.known, bar.limit)
    yield rectangle((_LEFT, top), (scale.at(within), bottom), fill="black")
    if bar.known > within:
        late: tuple[Point, Point] = ((scale.at(within), top), (scale.at(bar.known), bottom))
        yield rectangle(*late, fill="white", width=1.5)
        yield from hatching(*late)
    ends_at = scale.at(bar.known)
    if bar.up_to is None:
        yield line((ends_at, (top + bottom) / 2), (_RIGHT, (top + bottom) / 2), dashed=True)
        yield words((_RIGHT + 4, bottom - 1), "?")
    elif bar.up_to > bar.known:
        right = scale.at(bar.up_to)
        corners = ((ends_at, top), (right, top), (right, bottom), (ends_at, bottom))
        yield polygon(corners, width=1.5, dashed=True)
        ends_at = right
    if bar.limit is not None:
        x = scale.at(bar.limit)
        yield line((x, top - 8), (x, bottom + 8), width=3)
        yield words((x + 4, bottom + 10), bar.limit_name, size=9)
    middle = (top + bottom) / 2
    for value in bar.partial:
        yield circle((scale.at(value), middle), 5, fill="white", width=2)
    if bar.up_to is not None:
        yield from _end(bar.end, (ends_at, middle))
    for number, text in enumerate(wrap(bar.told, _TOLD_LETTERS)[:2]):
        yield words((_TOLD_AT, bottom - 1 + 13 * number), text, size=11)


def _end(end: BarEnd, at: Point) -> Iterator[str]:
    """A filled ring where it was looked at, a square where it was over, an arrow where it runs."""
    x, y = at
    match end:
        case BarEnd.LOOKED:
            yield circle(at, 7, fill="white", width=2)
            yield circle(at, 3.5, fill="black")
        case BarEnd.OVER:
            yield rectangle((x - 6, y - 6), (x + 6, y + 6), fill="white", width=2)
        case BarEnd.STILL_RUNS:
            yield polygon(((x, y - 7), (x + 11, y), (x, y + 7)), width=2)
