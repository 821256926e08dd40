"""A table on pages: tight rows, columns as wide as they need, titles again on each page.

The first column is what a row is looked up by, and is set bold.
"""

from collections.abc import Sequence

from exports.document import Column, Table
from exports.pdf_canvas import MARGIN_MM, Canvas
from exports.pdf_type import CELL, CELL_BOLD, Type

_PAD_MM = 1.2
_ROW_PAD_MM = 0.7
_HEAD_RULE_MM = 0.5
_ROW_RULE_MM = 0.15
# Of a row that is higher than a page, at least so many lines are set on a page.
_LINES_MIN = 3

Cells = Sequence[Sequence[str]]


def set_table(canvas: Canvas, table: Table) -> None:
    """Set a table; a row stays whole unless it is higher than a page."""
    _TableSetter(canvas, table).set_all()


class _TableSetter:
    def __init__(self, canvas: Canvas, table: Table) -> None:
        self._canvas = canvas
        self._columns = table.columns
        titles = [_title(column) for column in table.columns]
        self._widths = _column_widths(canvas, table, titles)
        self._head = self._cells(titles, head=True)
        self._rows = [self._cells(row) for row in table.rows]

    def set_all(self) -> None:
        first = _height(self._rows[0]) if self._rows else 0
        self._canvas.need(min(_height(self._head) + first, self._canvas.page_room))
        self._set_head()
        for row in self._rows:
            self._set_whole(row)

    def _set_head(self) -> None:
        self._set_row(self._head, head=True)

    def _set_whole(self, cells: Cells) -> None:
        """Set a row on one page; only a row higher than a page goes on to the next."""
        canvas, rest = self._canvas, cells
        whole = canvas.page_room - _height(self._head)
        while _height(rest) > canvas.room:
            if _height(rest) > whole:
                fitting = int((canvas.room - _ROW_PAD_MM) / CELL.line_mm)
                if fitting >= _LINES_MIN:
                    self._set_row([cell[:fitting] for cell in rest])
                    rest = [cell[fitting:] for cell in rest]
            canvas.new_page()
            self._set_head()
        self._set_row(rest)

    def _set_row(self, cells: Cells, *, head: bool = False) -> None:
        canvas = self._canvas
        x, y = MARGIN_MM, canvas.y
        for index, cell in enumerate(cells):
            column, width = self._columns[index], self._widths[index]
            canvas.put(
                cell,
                _type(index, head=head),
                x + _PAD_MM,
                y + _ROW_PAD_MM / 2,
                width=width - 2 * _PAD_MM,
                align=column.align,
            )
            x += width
        bottom = y + _height(cells)
        canvas.rule(bottom, thickness_mm=_HEAD_RULE_MM if head else _ROW_RULE_MM)
        canvas.go_to(bottom)

    def _cells(self, texts: Sequence[str], *, head: bool = False) -> Cells:
        return [
            self._canvas.text.wrapped(text, _type(index, head=head), width - 2 * _PAD_MM)
            for index, (text, width) in enumerate(zip(texts, self._widths, strict=True))
        ]


def _title(column: Column) -> str:
    return column.title if column.unit is None else f"{column.title}, {column.unit}"


def _type(index: int, *, head: bool = False) -> Type:
    return CELL_BOLD if head or index == 0 else CELL


def _height(cells: Cells) -> float:
    return max(1, *(len(cell) for cell in cells)) * CELL.line_mm + _ROW_PAD_MM


def _column_widths(canvas: Canvas, table: Table, titles: Sequence[str]) -> list[float]:
    """No column wider than its longest line while another wraps; else shared by weight.

    No column is so narrow that a word must break, where there is room for that. Titles wrap before
    anything below them does.
    """
    # The hundredth keeps a rounding error from breaking a line that fits.
    pad = 2 * _PAD_MM + 0.01
    words, whole, with_title = [], [], []
    for index, title in enumerate(titles):
        cell = _type(index)
        texts = [row[index] for row in table.rows]
        word_widths = [canvas.text.longest_word(text, cell) for text in texts]
        line_widths = [canvas.text.longest_line(text, cell) for text in texts]
        title_word = canvas.text.longest_word(title, CELL_BOLD)
        words.append(max([title_word, *word_widths]) + pad)
        whole.append(max([title_word, *line_widths]) + pad)
        with_title.append(max([canvas.text.longest_line(title, CELL_BOLD), *line_widths]) + pad)
    if sum(with_title) <= canvas.width:
        whole = with_title
    if sum(words) > canvas.width:
        words = [0.0] * len(words)
    return _shared(canvas.width, [column.weight for column in table.columns], words, whole)


def _shared(
    room: float, weights: Sequence[float], least: Sequence[float], most: Sequence[float]
) -> list[float]:
    """`least` for each, then the rest by weight up to `most`; what is left even so, by weight."""
    rest = room - sum(least)
    wants = {index: high - low for index, (low, high) in enumerate(zip(least, most, strict=True))}
    given: dict[int, float] = {}
    while len(given) < len(weights):
        unsettled = {index: weight for index, weight in enumerate(weights) if index not in given}
        share = (rest - sum(given.values())) / sum(unsettled.values())
        filled = {
            index: wants[index]
            for index, weight in unsettled.items()
            if share * weight >= wants[index]
        }
        given |= filled or {index: share * weight for index, weight in unsettled.items()}
    left = (rest - sum(given.values())) / sum(weights)
    return [low + given[index] + left * weights[index] for index, low in enumerate(least)]
