"""An inspection list read back, in lines: each piece looked at, those not, each row not understood.

`answered` are rows with what the look came to and whether the piece goes out of use; `before` the
labels of rows that were recorded at an earlier reading.
"""

from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap

from triplog.securement.stock.inspected import FilledList, Looked
from triplog.wording.stock import counted, row_lines

_WIDTH = 100


def filled_lines(
    name: str,
    rows: FilledList,
    answered: Sequence[tuple[Looked, str, bool]],
    before: Iterable[str],
) -> list[str]:
    """What a list came to: its counts, every piece looked at, the others, what to mend."""
    blank = sum(one.last_line - one.first_line + 1 for one in rows.blanks)
    lines = [
        f"{name}: {counted(len(answered), 'piece')} looked at, {len(rows.untouched)} not looked"
        f" at, {counted(len(rows.not_understood), 'row')} not understood,"
        f" {counted(blank, 'blank line')}"
    ]
    lines += [
        f"  {row.label:<12}{'; '.join(_told(row, answer, is_out=is_out))}"
        for row, answer, is_out in answered
    ]
    lines += _listed("not looked at", rows.untouched)
    lines += _listed("recorded before, from this list", before)
    for refused in rows.not_understood:
        lines += row_lines(refused, _WIDTH)
    return lines


def filled_record(
    rows: FilledList, answered: Sequence[tuple[Looked, str, bool]], before: Iterable[str]
) -> dict[str, object]:
    """The same as a record for JSON."""
    return {
        "looked_at": [
            {
                "line": row.first_line,
                "label": row.label,
                "damage": row.damage,
                "answer": answer,
                "out_of_use": is_out,
                "by": row.by,
                "on": row.on,
            }
            for row, answer, is_out in answered
        ],
        "not_looked_at": list(rows.untouched),
        "recorded_before": list(before),
        "not_understood": [
            {
                "lines": [one.first_line, one.last_line],
                "problems": [
                    {
                        "column": each.column,
                        "found": each.found,
                        "why": each.why,
                        "write": each.write,
                    }
                    for each in one.problems
                ],
            }
            for one in rows.not_understood
        ],
    }


def _told(row: Looked, answer: str, *, is_out: bool) -> Iterator[str]:
    """When and by whom, what was found, what comes of it."""
    found = ", ".join(" ".join(map(str, one.values())) for one in row.damage)
    yield f"{row.on}, {row.by}: {found or 'nothing found'}"
    if is_out:
        yield "goes out of use"
    elif row.damage:
        yield answer


def _listed(word: str, labels: Iterable[str]) -> list[str]:
    names = ", ".join(labels)
    return wrap(f"{word}: {names}", _WIDTH, subsequent_indent="  ") if names else []
