"""The book at the entrance: pairing codes that still stand, and the sessions of paired browsers.

It is a small database beside the journal, `page.sqlite3`, and in no back-up: of each secret only
its SHA-256 lies there. Whoever loses it pairs anew. Times are milliseconds since 1970 by the clock
that is handed in.
"""

import hashlib
import json
import secrets
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from triplog.desk.refused import Refused

BOOK_NAME = "page.sqlite3"
CODE_MS = 5 * 60_000
"""How long a pairing code stands (OWASP ASVS 5.0, 6.5.5: at most ten minutes)."""
CODE_TRIES_MAX = 50
"""So many wrong eight-digit codes in all, and those that stand are withdrawn; sessions stay."""
IDLE_MS = 14 * 24 * 3_600_000
WHOLE_MS = 90 * 24 * 3_600_000
"""A session ends when it was not used for two weeks, and in any case after ninety days."""
_SEEN_EVERY_MS = 600_000
"""So exactly is kept when a browser was last used: each time is a write that a driver awaits."""
_SCHEMA = """
CREATE TABLE IF NOT EXISTS code (
    digest TEXT NOT NULL PRIMARY KEY,
    pair TEXT NOT NULL,
    label TEXT NOT NULL,
    roles TEXT NOT NULL,
    person TEXT NOT NULL,
    until_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE IF NOT EXISTS session (
    digest TEXT NOT NULL PRIMARY KEY,
    browser TEXT NOT NULL UNIQUE,
    label TEXT NOT NULL,
    roles TEXT NOT NULL,
    person TEXT NOT NULL,
    paired_ms INTEGER NOT NULL,
    seen_ms INTEGER NOT NULL,
    choices TEXT NOT NULL DEFAULT '{}',
    showing TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS fact (
    name TEXT NOT NULL PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;
CREATE TABLE IF NOT EXISTS refused (
    what TEXT NOT NULL PRIMARY KEY,
    told_ms INTEGER NOT NULL,
    since_ms INTEGER NOT NULL,
    count INTEGER NOT NULL
) STRICT;
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PairingCode:
    """A code as it is told once: `token` for the QR code (128 bits), `digits` to be typed."""

    token: str
    digits: str
    until_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a pairing code lets in, and as whom; `person` is an id."""

    label: str
    roles: tuple[str, ...]
    person: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Showing:
    """A sheet is being shown: nothing but the sheet of that trip answers until it is taken back.

    `number`: the SHA-256, salted, of the number that takes it back; `wait_until_ms`: no number is
    tried before that.
    """

    trip: str
    salt: str
    number: str
    tries: int = 0
    wait_until_ms: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """A paired browser. `choices`: language, units, light, as chosen on it."""

    digest: str
    browser: str
    label: str
    roles: tuple[str, ...]
    person: str
    paired_ms: int
    seen_ms: int
    choices: dict[str, str]
    showing: Showing | None


def digest_of(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode()).hexdigest()


class Book:
    """The open book; safe to be used from several threads."""

    def __init__(self, home: Path) -> None:
        """Open or make it. Raises Refused where it cannot be used."""
        self._path = home / BOOK_NAME
        self._lock = Lock()
        try:
            self._raw = sqlite3.connect(self._path, check_same_thread=False, timeout=5)
            self._path.chmod(0o600)
            self._raw.executescript(_SCHEMA)
        except (sqlite3.DatabaseError, OSError) as problem:
            raise Refused(
                f"{self._path} cannot be used: {problem}; move it away and pair anew"
            ) from problem

    def close(self) -> None:
        """Close the file."""
        self._raw.close()

    def new_code(self, wanted: Wanted, now_ms: int) -> PairingCode:
        """Draw a pairing code; it is told here and nowhere again."""
        code = PairingCode(
            token=secrets.token_urlsafe(16),
            digits=f"{secrets.randbelow(10**8):08}",
            until_ms=now_ms + CODE_MS,
        )
        with self._writing() as cursor:
            cursor.execute("DELETE FROM code WHERE until_ms <= ?", (now_ms,))
            pair = secrets.token_hex(8)
            for secret in (code.token, code.digits):
                cursor.execute(
                    "INSERT OR REPLACE INTO code VALUES (?, ?, ?, ?, ?, ?)",
                    (
                        digest_of(secret),
                        pair,
                        wanted.label,
                        json.dumps(wanted.roles),
                        wanted.person,
                        code.until_ms,
                    ),
                )
        return code

    def take_code(self, secret: str, now_ms: int) -> Wanted | None:
        """What a code lets in; it is used up with that. None: there is no such code, or no more."""
        with self._writing() as cursor:
            row = cursor.execute(
                "SELECT pair, label, roles, person FROM code WHERE digest = ? AND until_ms > ?",
                (digest_of(secret), now_ms),
            ).fetchone()
            if row is None:
                return None
            cursor.execute("DELETE FROM code WHERE pair = ?", (row[0],))
        return Wanted(label=row[1], roles=tuple(json.loads(row[2])), person=row[3])

    def withdraw_codes(self) -> None:
        """Withdraw every code that stands."""
        with self._writing() as cursor:
            cursor.execute("DELETE FROM code")

    def begin(self, browser: str, wanted: Wanted, now_ms: int) -> str:
        """Begin a session; the secret is told here and nowhere again."""
        secret = secrets.token_urlsafe(32)
        with self._writing() as cursor:
            cursor.execute(
                "INSERT INTO session VALUES (?, ?, ?, ?, ?, ?, ?, '{}', NULL)",
                (
                    digest_of(secret),
                    browser,
                    wanted.label,
                    json.dumps(wanted.roles),
                    wanted.person,
                    now_ms,
                    now_ms,
                ),
            )
        return secret

    def session(self, secret: str, now_ms: int) -> Session | None:
        """The session of a secret; None: there is none, or its time is over."""
        found = self._sessions("digest = ?", (digest_of(secret),))
        if not found:
            return None
        (one,) = found
        idle, whole = now_ms - one.seen_ms, now_ms - one.paired_ms
        if idle > IDLE_MS or whole > WHOLE_MS:
            self.end(one.browser)
            return None
        if idle > _SEEN_EVERY_MS:
            with self._writing() as cursor:
                cursor.execute(
                    "UPDATE session SET seen_ms = ? WHERE digest = ?", (now_ms, one.digest)
                )
        return one

    def sessions(self) -> list[Session]:
        """Every paired browser, the one paired last first."""
        return self._sessions("1", ())

    def end(self, browser: str) -> bool:
        """End the session of a browser; whether there was one."""
        with self._writing() as cursor:
            return cursor.execute("DELETE FROM session WHERE browser = ?", (browser,)).rowcount > 0

    def choose(self, session: Session, choices: dict[str, str]) -> None:
        """Keep what was chosen on a browser."""
        with self._writing() as cursor:
            cursor.execute(
                "UPDATE session SET choices = ? WHERE digest = ?",
                (json.dumps(choices), session.digest),
            )

    def show(self, session: Session, showing: Showing | None) -> None:
        """Keep that a sheet is being shown on a browser, or that it is no more."""
        told = None
        if showing is not None:
            told = json.dumps({name: getattr(showing, name) for name in Showing.__slots__})
        with self._writing() as cursor:
            cursor.execute(
                "UPDATE session SET showing = ? WHERE digest = ?", (told, session.digest)
            )

    def fact(self, name: str) -> str | None:
        """What was kept by a name; None: nothing."""
        with self._lock:
            row = self._raw.execute("SELECT value FROM fact WHERE name = ?", (name,)).fetchone()
        return None if row is None else str(row[0])

    def keep_fact(self, name: str, value: str) -> None:
        """Keep something by a name: where the page was last served."""
        with self._writing() as cursor:
            cursor.execute("INSERT OR REPLACE INTO fact VALUES (?, ?)", (name, value))

    def refusals(self) -> dict[str, tuple[int, int, int]]:
        """By kind: when the journal was last told, since when is counted, and how many."""
        with self._lock:
            rows = self._raw.execute("SELECT what, told_ms, since_ms, count FROM refused")
            return {row[0]: (row[1], row[2], row[3]) for row in rows}

    def keep_refusals(self, what: str, told_ms: int, since_ms: int, count: int) -> None:
        """Keep what has been counted of a kind."""
        with self._writing() as cursor:
            cursor.execute(
                "INSERT OR REPLACE INTO refused VALUES (?, ?, ?, ?)",
                (what, told_ms, since_ms, count),
            )

    def _sessions(self, where: str, values: tuple[object, ...]) -> list[Session]:
        with self._lock, closing(self._raw.cursor()) as cursor:
            rows = cursor.execute(
                "SELECT digest, browser, label, roles, person, paired_ms, seen_ms, choices,"
                f" showing FROM session WHERE {where} ORDER BY paired_ms DESC, browser",
                values,
            ).fetchall()
        return [
            Session(
                digest=row[0],
                browser=row[1],
                label=row[2],
                roles=tuple(json.loads(row[3])),
                person=row[4],
                paired_ms=row[5],
                seen_ms=row[6],
                choices=json.loads(row[7]),
                showing=None if row[8] is None else Showing(**json.loads(row[8])),
            )
            for row in rows
        ]

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Cursor]:
        with self._lock, self._raw, closing(self._raw.cursor()) as cursor:
            yield cursor
