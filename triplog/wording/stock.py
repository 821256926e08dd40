"""A list of gear as it was read, in lines: what was understood, and each row that was not."""

from collections.abc import Iterable, Iterator
from textwrap import wrap

from triplog.securement.stock.lines import Record
from triplog.securement.stock.lists import StockList
from triplog.securement.stock.rows import NotUnderstood

_INDENT = 12


def list_lines(name: str, rows: StockList, width: int = 100) -> list[str]:
    """What a list came to: its counts, then every row not understood with what to write."""
    pieces = sum(len(row.labels) for row in rows.understood)
    blank = _line_count(rows.blanks)
    lines = [
        f"{name}: {counted(len(rows.understood), 'row')} understood"
        f" ({counted(pieces, 'piece')} of gear), {len(rows.not_understood)} not understood,"
        f" {counted(blank, 'blank line')}"
    ]
    if rows.above:
        lines.append(f"above the headings, not read: {_places(rows.above)}")
    if rows.unread:
        lines.append(f"columns kept as a note: {', '.join(rows.unread)}")
    for row in rows.not_understood:
        lines += row_lines(row, width)
    if rows.commas_asked:
        lines.append(
            "a comma stands before decimals somewhere in this list; where it does so everywhere,"
            " say so with --decimal-comma"
        )
    return lines


def list_record(rows: StockList) -> dict[str, object]:
    """The same as a record for JSON."""
    return {
        "understood": [
            {
                "lines": [row.first_line, row.last_line],
                "labels": list(row.labels),
                "item": row.item,
                "standing": row.standing,
                "inspect_by": row.inspect_by,
                "note": row.note,
            }
            for row in rows.understood
        ],
        "not_understood": [
            {
                "lines": [row.first_line, row.last_line],
                "problems": [
                    {
                        "column": one.column,
                        "found": one.found,
                        "why": one.why,
                        "write": one.write,
                    }
                    for one in row.problems
                ],
            }
            for row in rows.not_understood
        ],
        "blank_lines": _line_count(rows.blanks),
        "heading_lines": _line_count(rows.headings),
        "lines_above_the_headings": _line_count(rows.above),
        "columns_kept_as_a_note": list(rows.unread),
    }


def row_lines(row: NotUnderstood, width: int) -> Iterator[str]:
    """A row not understood: where it stands, what was found, why, and what to write."""
    first, last = row.first_line, row.last_line
    place = f"line {first}" if first == last else f"lines {first}-{last}"
    for problem in row.problems:
        told = f"{problem.column}: {problem.found}" if problem.column else problem.found
        for text in (f"{told}   {problem.why}", f"write {problem.write}"):
            for part in wrap(text, width - _INDENT, break_on_hyphens=False):
                yield f"{place:<{_INDENT}}{part}"
                place = ""


def _places(records: Iterable[Record]) -> str:
    numbers = [n for one in records for n in range(one.first_line, one.last_line + 1)]
    return f"{'line' if len(numbers) == 1 else 'lines'} {', '.join(map(str, numbers))}"


def _line_count(records: Iterable[Record]) -> int:
    return sum(one.last_line - one.first_line + 1 for one in records)


def counted(count: int, noun: str) -> str:
    """A number of things: "1 row", "2 rows"."""
    return f"{count:,} {noun}" if count == 1 else f"{count:,} {noun}s"
