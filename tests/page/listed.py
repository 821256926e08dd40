"""The table of an office page, read back."""

import re
from html import unescape


def listed(text: str) -> list[list[str]]:
    """The cells of the table, row by row; lines within a cell apart by line feeds."""
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", text, re.DOTALL)[1:]
    cells = [re.findall(r"<td[^>]*>(.*?)</td>", row, re.DOTALL) for row in rows]
    return [[in_lines(cell) for cell in row] for row in cells]


def in_lines(cell: str) -> str:
    """A cell's text, without the name of its column."""
    cell = re.sub(r'<span class="of".*?</span>', "", cell)
    return unescape(re.sub(r"<[^>]*>", "", re.sub(r"<br>|</li>", "\n", cell))).strip()
