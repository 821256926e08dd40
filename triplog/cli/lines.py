"""Lines on a terminal: none is broken in the middle of a word."""

import shutil
import sys
from textwrap import wrap

import typer


def terminal_width() -> int | None:
    """The columns of the terminal printed to; None: it is no terminal."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else None


def fitted(line: str, columns: int | None) -> list[str]:
    """A line in the columns of a terminal, broken at spaces; as it is where there is none."""
    if columns is None or len(line) <= columns:
        return [line]
    indent = min(len(line) - len(line.lstrip()) + 2, columns // 3)
    return wrap(line, columns, subsequent_indent=" " * indent, break_on_hyphens=False)


def tell(line: str) -> None:
    """Say something beside the data, on standard error."""
    columns = shutil.get_terminal_size().columns if sys.stderr.isatty() else None
    for part in fitted(line, columns):
        typer.echo(part, err=True)
