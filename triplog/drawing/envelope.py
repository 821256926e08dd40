"""What a group of articles withstands all round, by the static estimate, with what is asked.

Forward is at the left, as on the pictures of the deck. Read from the `envelope` of a findings file.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Any

from triplog.drawing.svg import (
    LINE_HEIGHT,
    Drawing,
    Point,
    circle,
    line,
    picture,
    polygon,
    rectangle,
    words,
)
from triplog.wording.pictures import (
    HEADING_DEGREES,
    beside_words,
    envelope_legend,
    envelope_title,
    withstands_words,
)

_SIZE = 560.0
_RADIUS = 200.0
_CENTRE: Point = (_SIZE / 2, 260.0)
_RING_G = 0.2
_RINGS_MIN = 5
_RINGS_MAX = 10


def envelope_picture(entries: Sequence[Mapping[str, Any]]) -> Drawing | None:
    """The picture of the entries about one group; None where nothing could be worked out.

    Beyond 2 g the line is drawn at the rim: no rule asks for more than half of that.
    """
    directions = [one for one in entries if one.get("direction") in HEADING_DEGREES]
    polar = next((one["polar"] for one in entries if one.get("polar")), None)
    if polar is None or not directions:
        return None
    points = [(float(degrees), float(g)) for degrees, g in polar]
    asked = [float(one["required_g"]) for one in directions]
    most_g = max([*asked, *(g for _, g in points)])
    rings = min(max(math.ceil(most_g / _RING_G), _RINGS_MIN), _RINGS_MAX)
    scale = _RADIUS / (rings * _RING_G)
    title = envelope_title(entries[0]["about"])
    lines = [
        text
        for one in directions
        for text in (withstands_words(one), beside_words(one, points))
        if text
    ]
    below = [*envelope_legend(), *lines]
    parts = [
        words((20, 20), title, size=14),
        *_grid(rings, scale),
        polygon([_at(min(g, rings * _RING_G) * scale, degrees) for degrees, g in points], width=3),
        *(part for one in directions for part in _asked(one, scale)),
        *(words((20, 510 + LINE_HEIGHT * number), text) for number, text in enumerate(below)),
    ]
    return picture(_SIZE, 520 + LINE_HEIGHT * len(below), parts, title, lines)


def _at(radius: float, degrees: float) -> Point:
    """A point by its heading: 0 forward (left on the picture), 90 left (down)."""
    angle = math.radians(degrees)
    return (_CENTRE[0] - radius * math.cos(angle), _CENTRE[1] + radius * math.sin(angle))


def _grid(rings: int, scale: float) -> list[str]:
    parts = []
    for number in range(1, rings + 1):
        radius = number * _RING_G * scale
        parts.append(circle(_CENTRE, radius, width=0.4))
        x, y = _at(radius, 315)
        parts.append(words((x, y), f"{number * _RING_G:.1f} g", size=9, anchor="middle"))
    for direction, degrees in HEADING_DEGREES.items():
        parts.append(line(_CENTRE, _at(_RADIUS, degrees), width=0.4))
        x, y = _at(_RADIUS + 14, degrees)
        anchor = {0: "end", 180: "start"}.get(degrees, "middle")
        parts.append(words((x, y + 4), direction, anchor=anchor))
    return parts


def _asked(entry: Mapping[str, Any], scale: float) -> list[str]:
    """A square at what is asked: filled where it is withstood, open where it is not."""
    x, y = _at(float(entry["required_g"]) * scale, HEADING_DEGREES[entry["direction"]])
    withstood = entry["withstands_g"]
    held = withstood is not None and float(withstood) >= float(entry["required_g"])
    fill = "black" if held else "white"
    return [rectangle((x - 6, y - 6), (x + 6, y + 6), fill=fill, width=2)]
