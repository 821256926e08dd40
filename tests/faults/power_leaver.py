"""A process whose writes are logged: it runs commands that sign heads and write files, and notes
each promise.

`python -m tests.faults.power_leaver FOLDER`: everything lies below FOLDER, the journal in `home`,
the second place in `heads`. After each command that is done a line is written to
FOLDER/acknowledged, which puts the acknowledgement into the log in its place: JSON, the hash of the
last entry, and the SHA-256 of each file that was written for somebody.
"""

import contextlib
import hashlib
import io
import json
import os
import shlex
import sys
from pathlib import Path

from tests.builders import StandingClock
from triplog.cli.exit_codes import DONE
from triplog.cli.main import invoke
from triplog.journal.store import open_store
from triplog.journal.store_file import STORE_NAME

LINES = (
    'begin --carrier "the carrier" --person owner',
    "witness give office --file FOLDER/out/first.txt",
    'gear add S-1 --width "2 in" --length "27 ft" --wll "3335 lb" --no-damage --count 4',
    "export --all-trips --form bundle --form lines --to FOLDER/out",
    "witness stamp ask --to FOLDER/asked",
    "witness key --new",
    "witness give office --file FOLDER/out/second.txt",
    "export --all-trips --form bundle --to FOLDER/later",
)
FILES = ("out", "asked", "later")


def main(folder: Path) -> None:
    """Run the commands."""
    said = os.open(folder / "acknowledged", os.O_WRONLY | os.O_CREAT, 0o600)
    clock = StandingClock()
    for line in LINES:
        clock.forward(minutes=5)
        told = io.StringIO()
        with contextlib.redirect_stdout(told), contextlib.redirect_stderr(told):
            words = ["--home", str(folder / "home"), "--heads", str(folder / "heads")]
            code = invoke([*words, *shlex.split(line.replace("FOLDER", str(folder)))], clock)
        assert code == DONE, told.getvalue()
        os.write(said, json.dumps(promised(folder)).encode() + b"\n")


def promised(folder: Path) -> dict[str, object]:
    """What is there now, and has to be there after a cut."""
    store = open_store(folder / "home" / STORE_NAME)
    (head,) = store.raw.execute("SELECT hash FROM entry ORDER BY seq DESC LIMIT 1").fetchone()
    store.close()
    files = sorted(one for name in FILES for one in (folder / name).rglob("*") if one.is_file())
    return {
        "head": head,
        "files": {
            path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in files
        },
    }


if __name__ == "__main__":
    main(Path(sys.argv[1]))
