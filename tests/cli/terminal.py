"""A terminal in a test: command lines go in, what they print and their exit code come out.

The program runs in this process with a clock that stands. Ids and salts come from a seeded source,
so that the same lines always print the same.
"""

import contextlib
import io
import os
import random
import re
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from unittest.mock import patch

from tests.builders import START, StandingClock
from triplog.cli.main import invoke
from triplog.journal.store_file import STORE_NAME

_CHANGING = (
    (re.compile(r"\b[0-9a-f]{64}\b"), "FINGERPRINT"),
    (re.compile(r"\b[0-9a-f]{16}(?=\.\.\.)"), "FINGERPRINT"),
    (re.compile(r"(?<=pixels, )[\d,]+(?= bytes)"), "SO MANY"),
    (re.compile(r"\[[0-9a-f]{8}\]"), "[........]"),
    (re.compile(r"\b[A-Z2-7]{5}(?:-[A-Z2-7]{5}){3}\b"), ".....-.....-.....-....."),
    (re.compile(r"(?m)^[0-9a-f]{8}(?=  \d{4}-)"), "........"),
    (re.compile(r"(?<=follows )[0-9a-f]{8}\b"), "........"),
    (re.compile(r"(?<=entry )[0-9a-f]{8}\b"), "........"),
    (re.compile(r"\b[0-9a-f]{20}\b"), "KEY"),
    (re.compile(r"\b\d{5,}\.\d\d\b"), "BYTES.FILES"),
    (re.compile(r"(?<=is )[0-9a-f]{8}$", re.M), "........"),
    (re.compile(r"\b(?=[a-z]*[2-7])[a-z2-7]{16}\b"), "DEVICE"),
)
"""What is another in every store and with every change of a table: hashes, ids, sizes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a command line came to."""

    code: int
    out: str
    err: str


@dataclass(slots=True)
class SeededSecrets:
    """Stands in for `secrets` where the journal draws ids, salts and keys."""

    source: random.Random = field(default_factory=lambda: random.Random(393))

    def token_hex(self, count: int) -> str:
        """So many bytes in hexadecimal."""
        return self.source.randbytes(count).hex()

    def token_bytes(self, count: int) -> bytes:
        """So many bytes."""
        return self.source.randbytes(count)

    def onward(self) -> "SeededSecrets":
        """Another source, seeded by this one."""
        return SeededSecrets(random.Random(self.source.getrandbits(64)))


@dataclass(slots=True, kw_only=True)
class Terminal:
    """A folder in which somebody types; the store lies in its folder `home`.

    `around`: what is entered before a command and left after it; `other_program`: what runs in
    place of the program in this process; `columns`: how wide the terminal is.
    """

    folder: Path
    clock: StandingClock = field(default_factory=StandingClock)
    secrets: SeededSecrets = field(default_factory=SeededSecrets)
    around: list[Callable[[], AbstractContextManager[object]]] = field(default_factory=list)
    other_program: Callable[[Sequence[str]], Answer] | None = None
    columns: int = 80

    @property
    def home(self) -> Path:
        """The folder of the store."""
        return self.folder / "home"

    @property
    def store(self) -> Path:
        """The store's file."""
        return self.home / STORE_NAME

    def type(self, *words: str) -> Answer:
        """Run one command line."""
        out, err = io.StringIO(), io.StringIO()
        with (
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
            self.surroundings(),
        ):
            if self.other_program is not None:
                return self.other_program(words)
            code = invoke(words, self.clock)
        return Answer(code=code, out=out.getvalue(), err=err.getvalue())

    @contextmanager
    def surroundings(self) -> Iterator[None]:
        """The folder, the variables and whatever else is around a command while it runs."""
        variables = {
            "TRIPLOG_HOME": str(self.home),
            "TRIPLOG_HEADS": str(self.home),
            "COLUMNS": str(self.columns),
        }
        with (
            contextlib.chdir(self.folder),
            patch.dict(os.environ, variables),
            patch("triplog.journal.store.secrets", self.secrets),
            contextlib.ExitStack() as others,
        ):
            for one in self.around:
                others.enter_context(one())
            yield

    def local(self, hour: int, minute: int) -> None:
        """Put the clock to a local time of the first day."""
        local_midnight = START.replace(hour=6, minute=0)
        passed = (hour * 60 + minute) - (self.clock.wall - local_midnight).total_seconds() / 60
        self.clock.forward(minutes=passed)

    def entry_count(self) -> int | None:
        """How many entries the store holds; None where it cannot be read."""
        if not self.store.is_file():
            return None
        with contextlib.closing(sqlite3.connect(self.store)) as raw:
            try:
                (count,) = raw.execute("SELECT count(*) FROM entry").fetchone()
            except sqlite3.DatabaseError:
                return None
        return int(count)

    def fingerprint(self) -> str | None:
        """The hash of the store's file as it lies; None where there is none."""
        return sha256(self.store.read_bytes()).hexdigest() if self.store.is_file() else None

    def entry_of(self, kind: str, last_but_one: bool = False) -> str:
        """The start of the hash of the newest entry of a kind, or of the one before it."""
        with contextlib.closing(sqlite3.connect(self.store)) as raw:
            (found,) = raw.execute(
                "SELECT hash FROM entry WHERE kind = ? ORDER BY seq DESC LIMIT 1 OFFSET ?",
                (kind, last_but_one),
            ).fetchone()
        return str(found[:8])

    def settled(self, text: str) -> str:
        """What was printed, without what is another in every store and in every folder."""
        text = text.replace(str(self.folder), "~")
        for pattern, word in _CHANGING:
            text = pattern.sub(word, text)
        return "".join(f"{line.rstrip()}\n" for line in text.splitlines())
