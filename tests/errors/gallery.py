"""The gallery of errors: every script played, and all of them on one page.

`scripts/` holds one small script for each error, `GALLERY.md` all of them to be read in one go.
The transcripts of whole trips in `tests/cli/transcripts/` are written by the same command.
"""

from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.cli.script import Given, Played, play, scripts_in, title_of
from tests.cli.terminal import Terminal
from tests.errors.lists import LISTS
from tests.errors.photos import PHOTOS
from tests.errors.scenes import scene_setters
from tests.errors.wrong import WRONG

HERE = Path(__file__).parent
SCRIPTS = HERE / "scripts"
PAGE = HERE / "GALLERY.md"
TRANSCRIPTS = HERE.parent / "cli" / "transcripts"
_HEAD = """# What goes wrong, and what the program says then

One small script for each error, as it was printed; a line with `!` went to standard error. What
the world is like stands under *given*. Each script begins with a copy of an invented working day,
so each shows how much was recorded. Written by `python -m tests.errors --write`.
"""


def play_script(text: str, folder: Path) -> Played:
    """Play a script of the gallery or a transcript in an empty folder."""
    return play(text, Terminal(folder=folder), _given())


def page(texts: Mapping[str, str]) -> str:
    """The page that shows scripts by their names."""
    parts = [_HEAD]
    for text in texts.values():
        lines = [line for line in text.splitlines() if not line.startswith("#")]
        body = "\n".join(lines).strip()
        parts.append(f"## {title_of(text).rstrip('.')}\n\n```console\n{body}\n```\n")
    return "\n".join(parts)


def scripts_by_name() -> dict[str, str]:
    """The scripts of the gallery as they are written down."""
    return {path.stem: path.read_text() for path in scripts_in(SCRIPTS)}


def write_everything() -> list[Path]:
    """Write all scripts, transcripts and the page anew; those that changed."""
    changed = []
    for path in (*scripts_in(SCRIPTS), *scripts_in(TRANSCRIPTS)):
        with TemporaryDirectory() as folder:
            changed += _written(path, play_script(path.read_text(), Path(folder)).text)
    return changed + _written(PAGE, page(scripts_by_name()))


def _written(path: Path, text: str) -> list[Path]:
    if path.exists() and path.read_text() == text:
        return []
    path.write_text(text)
    return [path]


def _given() -> dict[str, Given]:
    return {**scene_setters(), **WRONG, **LISTS, **PHOTOS}
