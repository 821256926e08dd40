"""The README's ten minutes with a hub, typed as they stand there: a late check arrives.

What they say of installing and of making the database needs rights over the machine and is not
run; the database here is a plain login's, as theirs is.
"""

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg
import pytest

from tests.hub.cluster import cluster
from tests.readme import README

_WAIT_S = 60.0
HUB = 'export TRIPLOG_HOME="$HOME/hub"\n'


@pytest.fixture
def dsn() -> Iterator[str]:
    """A database as the README's lines make it: its owner may make roles and is no superuser."""
    with cluster() as server:
        with psycopg.connect(server.dsn(), autocommit=True) as connection:
            connection.execute("CREATE ROLE walker LOGIN CREATEROLE")
            connection.execute("CREATE DATABASE triplog OWNER walker")
        yield server.dsn("triplog", user="walker")


class Terminals:
    """Who types: each block in a shell of its own, at home in a folder of the test."""

    def __init__(self, home: Path, dsn: str) -> None:
        self._home = home
        self._groups: list[int] = []
        self._codes: dict[str, str] = {}
        self._environment = os.environ | {
            "HOME": str(home),
            "PATH": f"{Path(sys.executable).parent}:{os.environ['PATH']}",
            "TRIPLOG_HUB_DSN": dsn,
            "TRIPLOG_HEADS": str(home / "heads"),
        }
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self._port = str(probe.getsockname()[1])

    def type(self, block: str, before: str = "") -> str:
        """Type a block of the README; what came on the screen, which tells of nothing refused."""
        found = re.search(rf"<!-- {block} -->\n```console\n(.*?)```", README.read_text(), re.S)
        assert found is not None, f"README.md has no block {block!r}"
        typed = found[1].replace("8745", self._port)
        for name, code in self._codes.items():
            typed = typed.replace(f"CODE-FOR-{name.upper()}", code)
        screen = self._screen(block)
        with screen.open("wb") as out:
            shell = subprocess.Popen(
                ["bash", "-c", before + typed],
                env=self._environment,
                cwd=self._home,
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )
            self._groups.append(shell.pid)
            shell.wait(_WAIT_S)
        said = self.screen(block)
        # What is late is an exit code of its own, so the lines are read.
        assert not re.search(r"^(refused|not done|not pushed|bash:|.*Traceback)", said, re.M), said
        pairs = re.findall(r"on (\S+), once.*\n.*--code (\S+)", said)
        self._codes |= {str(name): str(one) for name, one in pairs}
        return said

    def screen(self, block: str) -> str:
        """What stands on the screen after a block by now."""
        return self._screen(block).read_text()

    def _screen(self, block: str) -> Path:
        return self._home / f"{block}.txt"

    def close(self) -> None:
        """End what runs in the background."""
        for group in self._groups:
            try:
                os.killpg(group, signal.SIGKILL)
            except ProcessLookupError:
                continue


@pytest.fixture
def terminals(tmp_path: Path, dsn: str) -> Iterator[Terminals]:
    """The reader's terminals."""
    opened = Terminals(tmp_path, dsn)
    yield opened
    opened.close()


def _until(holds: Callable[[], object]) -> None:
    """Wait for what another process does."""
    until = time.monotonic() + _WAIT_S
    while not holds():
        assert time.monotonic() < until, "it did not come"
        time.sleep(0.1)


def test_a_hub_and_two_devices_from_the_readme_and_a_late_check_arrives(
    terminals: Terminals, tmp_path: Path
) -> None:
    terminals.type("hub terminal")
    _until(lambda: "the hub is served" in terminals.screen("hub terminal"))
    said = terminals.type("codes", before=HUB)
    assert "triplog pair http://127.0.0.1:" in said
    assert "paired with the hub of our carrier" in terminals.type("desk terminal")
    terminals.type("truck terminal")
    _until(lambda: list((tmp_path / "messages").glob("*.txt")))
    said = terminals.type("office looks", before=HUB)
    assert "Trip T-1: a load check is late.\nLast written on: truck-1\n" in said
    assert len(list((tmp_path / "messages").glob("*.txt"))) == 1
