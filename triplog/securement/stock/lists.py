"""A whole list of gear: its heading row is found, its rows are read, every line is answered for."""

from dataclasses import dataclass, replace

from triplog.securement.stock.columns import (
    Column,
    columns_of,
    is_heading_row,
    refuse_unclear,
)
from triplog.securement.stock.lines import (
    SEPARATORS,
    ListRefused,
    Record,
    lines_of,
    records_of,
    shown,
)
from triplog.securement.stock.rows import (
    Listed,
    NotUnderstood,
    Problem,
    Reading,
    has_decimal_comma,
    read_row,
)

_HEADING_WITHIN = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class StockList:
    """A list read: every line is in one of the rows, blank, a heading, or above the heading."""

    columns: tuple[Column, ...]
    heading_raw: str
    above: tuple[Record, ...]
    headings: tuple[Record, ...]
    blanks: tuple[Record, ...]
    understood: tuple[Listed, ...]
    not_understood: tuple[NotUnderstood, ...]
    commas_asked: bool

    @property
    def unread(self) -> tuple[str, ...]:
        """The headings of columns that mean nothing here; what they say goes into the note."""
        return tuple(one.heading for one in self.columns if one.field is None and one.heading)

    def mending_text(self) -> str:
        """The heading and the rows not understood, as they stood: to be mended and read again."""
        rows = [self.heading_raw, *(one.raw for one in self.not_understood)]
        return "".join(row if row.endswith(("\r", "\n")) else row + "\n" for row in rows)

    def without(self, reasons: dict[str, str], texts: dict[int, str]) -> "StockList":
        """The list with the rows that hold one of these labels not understood, for the reason.

        `texts` holds the text of a row by its first line.
        """
        kept, refused = [], list(self.not_understood)
        for row in self.understood:
            bad = [label for label in row.labels if label in reasons]
            if not bad:
                kept.append(row)
                continue
            problems = tuple(
                Problem(
                    line=row.first_line,
                    column=self._label_heading,
                    found=label,
                    why=reasons[label],
                    write="a label of its own",
                )
                for label in bad
            )
            refused.append(
                NotUnderstood(
                    first_line=row.first_line,
                    last_line=row.last_line,
                    raw=texts[row.first_line],
                    problems=problems,
                )
            )
        refused.sort(key=lambda one: one.first_line)
        return replace(self, understood=tuple(kept), not_understood=tuple(refused))

    @property
    def _label_heading(self) -> str:
        return next(column.heading for column in self.columns if column.field == "label")


def read_stock_list(
    text: str,
    *,
    kind: str | None = None,
    comma_decimals: bool = False,
    taken: frozenset[str] = frozenset(),
) -> StockList:
    """Read a list. Raises ListRefused where no heading row is found or a heading is unclear.

    `kind`: of rows that name none. `comma_decimals`: commas stand before decimals, points between
    thousands; the numbers are then written anew with a point. `taken`: labels other gear has.
    """
    separator, records, place = _laid_out(lines_of(text))
    heading = records[place]
    columns = columns_of(heading.cells or ())
    refuse_unclear(columns)
    words = [cell.text.strip() for cell in heading.cells or ()]
    blanks, headings, rows = [], [heading], []
    for record in records[place + 1 :]:
        if record.is_blank:
            blanks.append(record)
        elif [cell.text.strip() for cell in record.cells or ()] == words:
            headings.append(record)
        else:
            rows.append(record)
    doubtful = not comma_decimals and any(has_decimal_comma(columns, row) for row in rows)
    reading = Reading(
        columns=columns,
        separator=separator,
        kind=kind,
        comma_decimals=comma_decimals,
        comma_doubtful=doubtful,
    )
    read = [read_row(record, reading) for record in rows]
    listed = StockList(
        columns=columns,
        heading_raw=heading.raw,
        above=tuple(record for record in records[:place] if not record.is_blank),
        headings=tuple(headings),
        blanks=(*(record for record in records[:place] if record.is_blank), *blanks),
        understood=tuple(one for one in read if isinstance(one, Listed)),
        not_understood=tuple(one for one in read if isinstance(one, NotUnderstood)),
        commas_asked=doubtful,
    )
    return listed.without(_labels_refused(listed, taken), {one.first_line: one.raw for one in rows})


def _laid_out(lines: list[str]) -> tuple[str, list[Record], int]:
    """The separator, the records, and the place of the heading row among them."""
    best: tuple[int, str, list[Record], int] | None = None
    for separator in SEPARATORS:
        first = records_of(lines[: 3 * _HEADING_WITHIN], separator)[:_HEADING_WITHIN]
        for place, record in enumerate(first):
            columns = columns_of(record.cells or ())
            known = sum(1 for column in columns if column.field)
            if is_heading_row(columns) and (best is None or known > best[0]):
                best = known, separator, records_of(lines, separator), place
    if best is None:
        found = shown(lines[0]) if lines else "nothing"
        raise ListRefused(
            "no heading row was found: a row that names the columns, such as Label, Kind, Width,"
            f" Length, WLL, with commas, semicolons or tabs between; found: {found}"
        )
    return best[1:]


def _labels_refused(listed: StockList, taken: frozenset[str]) -> dict[str, str]:
    """The labels that stand twice in the list, or that other gear has, each with why."""
    lines: dict[str, list[int]] = {}
    for row in listed.understood:
        for label in row.labels:
            lines.setdefault(label, []).append(row.first_line)
    twice = {
        label: f"the list gives this label in lines {', '.join(map(str, places))}"
        for label, places in lines.items()
        if len(places) > 1
    }
    there = "there is gear with this label already"
    return twice | {label: there for label in lines if label in taken and label not in twice}
