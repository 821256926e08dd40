"""Key figures on a page: one or two main ones large, others in a grid."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from exports.document import KeyValues
from exports.pdf_canvas import MARGIN_MM, Canvas
from exports.pdf_type import CELL, FIGURE, MAIN_FIGURES, Type

_GAP_MM = 5.0
_BESIDE_MM = 1.5
_GRID_COLUMNS = 12
_IN_A_ROW_MAX = 4
_MAIN_MAX = 2
_MM_PER_POINT = 25.4 / 72


@dataclass(frozen=True, slots=True, kw_only=True)
class _Figure:
    """A figure in the grid; `span` is the number of its columns."""

    name: str
    value: str
    span: int


def set_figures(canvas: Canvas, block: KeyValues) -> None:
    """Set one or two figures large: side by side, else one below the other, where they fit so.

    Others, and those that are too long for that, stand in rows of up to four.
    """
    if len(block.pairs) <= _MAIN_MAX and not block.even:
        for kind in MAIN_FIGURES:
            widths = [_main_width(canvas, name, value, kind) for name, value in block.pairs]
            if sum(widths) <= canvas.width:
                _set_main(canvas, block, kind, widths)
                return
        smallest = MAIN_FIGURES[-1]
        if all(_wide(canvas, pair, smallest) <= canvas.width for pair in block.pairs):
            for name, value in block.pairs:
                _set_row(canvas, [_Figure(name=name, value=value, span=_GRID_COLUMNS)], smallest)
            return
    for row in _rows(canvas, block):
        _set_row(canvas, row, FIGURE)


def _wide(canvas: Canvas, pair: tuple[str, str], kind: Type) -> float:
    """How wide a figure is behind its name."""
    name, value = pair
    return canvas.text.width_of(name, CELL) + _BESIDE_MM + canvas.text.width_of(value, kind)


def _main_width(canvas: Canvas, name: str, value: str, kind: Type) -> float:
    text = canvas.text
    return max(text.width_of(name, CELL), text.width_of(value, kind)) + _GAP_MM


def _set_main(canvas: Canvas, block: KeyValues, kind: Type, widths: Sequence[float]) -> None:
    """Each figure below its name; what width is left over is shared."""
    height = CELL.line_mm + kind.line_mm
    canvas.need(height)
    x, y = MARGIN_MM, canvas.y
    spare = (canvas.width - sum(widths)) / len(widths)
    for (name, value), width in zip(block.pairs, widths, strict=True):
        canvas.put([canvas.text.shown(name, CELL)], CELL, x, y, width=width)
        shown = canvas.text.shown(value, kind)
        canvas.put([shown], kind, x, y + CELL.line_mm, width=width)
        x += width + spare
    canvas.go_to(y + height)


def _rows(canvas: Canvas, block: KeyValues) -> list[list[_Figure]]:
    """The figures row by row, each as wide on the grid as it needs; the last fills its row."""
    column = canvas.width / _GRID_COLUMNS
    rows: list[list[_Figure]] = []
    free = 0
    for name, value in block.pairs:
        columns = math.ceil((_wide(canvas, (name, value), FIGURE) + _GAP_MM) / column)
        span = min(max(columns, _GRID_COLUMNS // _IN_A_ROW_MAX), _GRID_COLUMNS)
        if span > free:
            rows.append([])
            free = _GRID_COLUMNS
        rows[-1].append(_Figure(name=name, value=value, span=span))
        free -= span
    return rows


def _set_row(canvas: Canvas, row: Sequence[_Figure], kind: Type) -> None:
    """Each figure behind its name. A row higher than a page is set as running text."""
    column = canvas.width / _GRID_COLUMNS
    cells = []
    x = MARGIN_MM
    for figure in row:
        width = figure.span * column
        if figure is row[-1]:
            width = MARGIN_MM + canvas.width - x
        names = canvas.text.wrapped(figure.name, CELL, width / 2)
        beside = max(canvas.text.width_of(line, CELL) for line in names) + _BESIDE_MM
        lines = canvas.text.wrapped(figure.value, kind, width - beside)
        cells.append((names, lines, x, beside))
        x += width
    height = max(max(len(names), len(lines)) for names, lines, _, _ in cells) * kind.line_mm
    if height > canvas.page_room:
        for figure in row:
            canvas.lines(figure.name, CELL)
            canvas.lines(figure.value, kind)
        return
    canvas.need(height)
    y = canvas.y
    for names, lines, x, beside in cells:
        for number, name in enumerate(names):
            name_y = y + number * kind.line_mm + _lower_mm(kind)
            canvas.put([name], CELL, x, name_y, width=beside)
        canvas.put(lines, kind, x + beside, y, width=canvas.width)
    canvas.go_to(y + height)


def _lower_mm(kind: Type) -> float:
    """How far the smaller type of a name is lowered to stand on the line of its figure.

    The library puts the foot of a letter three tenths of its size below the middle of the line.
    """
    of_size = 0.3 * (kind.points - CELL.points) * _MM_PER_POINT
    return (kind.line_mm - CELL.line_mm) / 2 + of_size
