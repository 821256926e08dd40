"""A gear inspection list that somebody filled in, read back: every line is answered for.

A row is understood whole or told with what to write. Nothing is taken as looked at that nobody
ticked: a row without a mark is a piece nobody looked at, and one ticked in part, with nothing
found, is asked about.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from triplog.securement.stock.lines import (
    SEPARATORS,
    ListRefused,
    Record,
    is_foreign,
    lines_of,
    records_of,
    shown,
)
from triplog.securement.stock.rows import NotUnderstood, Problem
from triplog.securement.stock.words import Item, WordRefused, damage_found, day_of

LABEL, FOUND, SIZE, FATE, BY, ON = (
    "label", "damage_found", "damage_size", "stays_or_aside", "by", "on",
)  # fmt: skip
BOXES = ("label_looked_at", "body_looked_at", "ends_looked_at", "tightener_looked_at")
FILLED_IN = (*BOXES, FOUND, SIZE, FATE, BY, ON)
"""The columns a person fills in; the rest of the row is as the list was written."""
_TICKED = frozenset({"x", "yes", "y", "1", "true", "looked", "looked at", "done", "✓", "✔", "☑"})
_NOT_TICKED = frozenset({"", "no", "n", "0", "false", "-", "–", "☐"})
_FATES = {"stays": True, "stay": True, "aside": False, "set aside": False}
_WITHOUT_TIGHTENER = frozenset({"wire rope", "cordage", "steel strapping", "friction mat", "bar"})
# A spreadsheet shows and never runs what our lists write with an apostrophe before it.
_GUARDED = "=+-@＝＋－＠"
_Asked = Callable[[str | None, str, str, str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """A piece somebody looked at, by whom and on which day; `damage` empty: nothing was found.

    `stays`: what the person who looked wrote of it; None: nothing.
    """

    first_line: int
    last_line: int
    raw: str
    label: str
    damage: list[Item]
    stays: bool | None
    by: str
    on: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledList:
    """A list read back: every line is in a row, blank, a heading, or above the headings.

    `untouched` are the labels of the rows nobody filled in.
    """

    heading_raw: str
    above: tuple[Record, ...]
    blanks: tuple[Record, ...]
    looked: tuple[Looked, ...]
    untouched: tuple[str, ...]
    not_understood: tuple[NotUnderstood, ...]

    def mending_text(self) -> str:
        """The heading and the rows not understood, as they stood: to be mended and read again."""
        rows = [self.heading_raw, *(one.raw for one in self.not_understood)]
        return "".join(row if row.endswith(("\r", "\n")) else row + "\n" for row in rows)


def read_filled_list(text: str, kinds: Mapping[str, str]) -> FilledList:
    """Read a list back; `kinds` is the kind of each piece there is, by its label.

    Raises ListRefused where no heading row of an inspection list is found.
    """
    records, place, columns = _laid_out(lines_of(text))
    heading = records[place]
    blanks = [one for one in records if one.is_blank]
    read = [_row(one, columns, kinds) for one in records[place + 1 :] if not one.is_blank]
    looked = [one for one in read if isinstance(one, Looked)]
    untouched = [one for one in read if isinstance(one, str)]
    times = Counter((*untouched, *(one.label for one in looked)))
    twice = {label for label, number in times.items() if number > 1}
    doubled = [
        _refused(one, LABEL, one.label, "the list has this piece twice", "one row for each piece")
        for one in looked
        if one.label in twice
    ]
    refused = [one for one in read if isinstance(one, NotUnderstood)]
    return FilledList(
        heading_raw=heading.raw,
        above=tuple(one for one in records[:place] if not one.is_blank),
        blanks=tuple(blanks),
        looked=tuple(one for one in looked if one.label not in twice),
        untouched=tuple(untouched),
        not_understood=tuple(sorted((*refused, *doubled), key=lambda one: one.first_line)),
    )


def refused_row(row: Looked, why: str, write: str) -> NotUnderstood:
    """A row that reads well and cannot be recorded, with why."""
    return _refused(row, None, row.label, why, write)


def _refused(row: Looked, column: str | None, found: str, why: str, write: str) -> NotUnderstood:
    problem = Problem(line=row.first_line, column=column, found=found, why=why, write=write)
    return NotUnderstood(
        first_line=row.first_line, last_line=row.last_line, raw=row.raw, problems=(problem,)
    )


def _laid_out(lines: list[str]) -> tuple[list[Record], int, dict[str, int]]:
    """The records, the place of the heading row, and the place of each column in a row."""
    for separator in SEPARATORS:
        records = records_of(lines, separator)
        for place, record in enumerate(records):
            words = [cell.text.strip().lower() for cell in record.cells or ()]
            if {LABEL, *FILLED_IN} <= set(words):
                return records, place, {name: words.index(name) for name in (LABEL, *FILLED_IN)}
    found = shown(lines[0]) if lines else "nothing"
    raise ListRefused(
        "this is no inspection list: a row with the headings of `triplog gear inspection-list` was"
        f" not found ({', '.join((LABEL, *FILLED_IN))}); found: {found}"
    )


def _row(
    record: Record, columns: Mapping[str, int], kinds: Mapping[str, str]
) -> Looked | NotUnderstood | str:
    """A piece looked at, the label of one nobody looked at, or a row not understood."""
    problems: list[Problem] = []

    def asked(column: str | None, found: str, why: str, write: str) -> None:
        problems.append(
            Problem(line=record.first_line, column=column, found=found, why=why, write=write)
        )

    cells = _cells(record, columns)
    if cells is None or is_foreign(record.raw):
        asked(None, shown(record.raw), "where its cells end, or a letter in it, cannot be read",
              "the row anew, a quote closed where it was opened, saved as UTF-8")  # fmt: skip
        return _not_understood(record, problems)
    label = cells[LABEL]
    if label not in kinds:
        asked(LABEL, label, "there is no gear with this label", "a label of `triplog gear list`")
    elif not any(cells[name] for name in FILLED_IN):
        return label
    damage = list(_damage(cells, asked))
    unticked = list(_unticked(cells, kinds.get(label, ""), asked))
    if not damage and not problems:
        for box in unticked:
            asked(box, cells[box] or "empty", "nothing was found, and this was not looked at",
                  "x where it was looked at, or what was found")  # fmt: skip
    fate = cells[FATE].lower()
    if fate and fate not in _FATES:
        asked(FATE, cells[FATE], "the word is not known here", "stays or aside")
    if not cells[BY]:
        asked(BY, "empty", "nobody is said to have looked", "who looked")
    try:
        day = day_of(cells[ON])
    except WordRefused as problem:
        asked(ON, cells[ON] or "empty", problem.why, problem.write)
        day = ""
    if problems:
        return _not_understood(record, problems)
    return Looked(
        first_line=record.first_line, last_line=record.last_line, raw=record.raw, label=label,
        damage=damage, stays=_FATES.get(fate), by=cells[BY], on=day,
    )  # fmt: skip


def _not_understood(record: Record, problems: list[Problem]) -> NotUnderstood:
    return NotUnderstood(
        first_line=record.first_line, last_line=record.last_line, raw=record.raw,
        problems=tuple(problems),
    )  # fmt: skip


def _cells(record: Record, columns: Mapping[str, int]) -> dict[str, str] | None:
    """The cells by their column; None where a row has not one for each."""
    cells = record.cells
    if cells is None or len(cells) <= max(columns.values()):
        return None
    texts = {name: cells[place].text.strip() for name, place in columns.items()}
    return {
        name: text[1:] if text[:1] == "'" and text[1:2] in _GUARDED else text
        for name, text in texts.items()
    }


def _damage(cells: Mapping[str, str], asked: _Asked) -> Iterator[Item]:
    """What was found; a size in the column of its own goes with the one damage there is."""
    found, size = cells[FOUND], cells[SIZE]
    try:
        damage = damage_found(found) if found else []
    except WordRefused as problem:
        return asked(FOUND, found, problem.why, problem.write)
    if size and (len(damage) != 1 or "size" in damage[0]):
        return asked(SIZE, size, "which damage has this size is not clear",
                     'each with its size in damage_found: "cut 3/16 in; hole 1/8 in"')  # fmt: skip
    for one in damage:
        yield one | {"size": size} if size else one


def _unticked(cells: Mapping[str, str], kind: str, asked: _Asked) -> Iterator[str]:
    """The boxes that were not ticked, but for the tightener of gear that has none."""
    for box in BOXES:
        word = cells[box].lower()
        if word not in _TICKED | _NOT_TICKED:
            asked(box, cells[box], "the mark is not known here", "x where it was looked at")
        elif word in _NOT_TICKED and not (box == BOXES[-1] and kind in _WITHOUT_TIGHTENER):
            yield box
