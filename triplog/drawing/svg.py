"""The few SVG elements the pictures are made of. Lengths are those of the view box."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

Point = tuple[float, float]

HATCH_STEP = 6.0
LINE_HEIGHT = 16.0
_LETTER_WIDTH = 7.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A picture as SVG text, its title, and all that it says in words."""

    title: str
    svg: str
    alt: str


def picture(
    width: float, height: float, parts: Iterable[str], title: str, alt: Iterable[str]
) -> Drawing:
    """The whole picture on white."""
    told = "; ".join((title, *alt))
    box = f"0 0 {_number(width)} {_number(height)}"
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" role="img" '
        f'aria-label={quoteattr(told)} font-family="sans-serif" fill="none" stroke="black">',
        rectangle((0, 0), (width, height), fill="white", stroke="none"),
        *parts,
        "</svg>",
    ]
    return Drawing(title=title, svg="\n".join(lines) + "\n", alt=told)


def line(start: Point, end: Point, *, width: float = 1.0, dashed: bool = False) -> str:
    """A straight line."""
    return polyline((start, end), width=width, dashed=dashed)


def polyline(points: Sequence[Point], *, width: float = 1.0, dashed: bool = False) -> str:
    """An open line through points."""
    return f'<polyline points="{_points(points)}" {_stroke(width, dashed)}/>'


def polygon(points: Sequence[Point], *, width: float = 1.0, dashed: bool = False) -> str:
    """A closed line through points."""
    return f'<polygon points="{_points(points)}" {_stroke(width, dashed)}/>'


def rectangle(
    corner: Point, opposite: Point, *, fill: str = "none", stroke: str = "black", width: float = 1.0
) -> str:
    """A rectangle between two corners."""
    (x, y), (right, bottom) = (
        (min(corner[0], opposite[0]), min(corner[1], opposite[1])),
        (max(corner[0], opposite[0]), max(corner[1], opposite[1])),
    )
    return (
        f'<rect x="{_number(x)}" y="{_number(y)}" width="{_number(right - x)}" '
        f'height="{_number(bottom - y)}" fill="{fill}" stroke="{stroke}" '
        f'stroke-width="{_number(width)}"/>'
    )


def circle(centre: Point, radius: float, *, fill: str = "none", width: float = 1.0) -> str:
    """A circle."""
    x, y = centre
    return (
        f'<circle cx="{_number(x)}" cy="{_number(y)}" r="{_number(radius)}" fill="{fill}" '
        f'stroke-width="{_number(width)}"/>'
    )


def words(at: Point, text: str, *, size: float = 12, anchor: str = "start") -> str:
    """A line of text; `at` is the foot of its first letter, middle or end."""
    x, y = at
    return (
        f'<text x="{_number(x)}" y="{_number(y)}" font-size="{_number(size)}" '
        f'text-anchor="{anchor}" fill="black" stroke="none">{escape(text)}</text>'
    )


def tag(centre: Point, text: str) -> list[str]:
    """A short text in a frame on white, to be read across lines."""
    half = max(len(text) * _LETTER_WIDTH / 2 + 3, 9)
    x, y = centre
    return [
        rectangle((x - half, y - 9), (x + half, y + 7), fill="white"),
        words((x, y + 3), text, anchor="middle"),
    ]


def hatching(corner: Point, opposite: Point) -> list[str]:
    """Slanting lines inside a rectangle, each from edge to edge."""
    left, right = sorted((corner[0], opposite[0]))
    top, bottom = sorted((corner[1], opposite[1]))
    height = bottom - top
    lines = []
    start = left - height + HATCH_STEP
    while start < right:
        first = max(start, left)
        last = min(start + height, right)
        lines.append(line((first, bottom - (first - start)), (last, bottom - (last - start))))
        start += HATCH_STEP
    return lines


def _points(points: Sequence[Point]) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in points)


def _stroke(width: float, dashed: bool) -> str:
    dash = ' stroke-dasharray="7 4"' if dashed else ""
    return f'stroke-width="{_number(width)}"{dash}'


def _number(value: float) -> str:
    """At most two decimals."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
