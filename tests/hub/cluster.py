"""A PostgreSQL of our own on loopback: made for a run, stopped as hard as a test wants."""

import os
import shutil
import socket
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import mkdtemp

from tests.needs import missing

_PLACES = "/usr/lib/postgresql/*/bin"
_SETTINGS = {
    "listen_addresses": "'127.0.0.1'",
    "max_connections": "100",
    "shared_buffers": "'64MB'",
    "fsync": "on",
    "synchronous_commit": "on",
    "log_min_messages": "warning",
}


@dataclass(frozen=True, slots=True)
class Cluster:
    """A server with its folder and port."""

    folder: Path
    port: int
    programs: Path

    @property
    def data(self) -> Path:
        """Where its data lie."""
        return self.folder / "data"

    def dsn(self, database: str = "postgres", user: str = "owner") -> str:
        """How a database of it is reached."""
        return f"host=127.0.0.1 port={self.port} dbname={database} user={user}"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        log = self.folder / "log"
        self._run("pg_ctl", "-D", str(self.data), "-l", str(log), "-w", "-t", "60", "start")

    def stop(self, how: str = "fast") -> None:
        """Stop it: `fast`, or `immediate` as a crash does."""
        self._run("pg_ctl", "-D", str(self.data), "-m", how, "-w", "-t", "60", "stop")

    def run(self, program: str, *arguments: str) -> subprocess.CompletedProcess[str]:
        """Run one of its programs, such as pg_dump, against it."""
        return self._run(program, *arguments)

    def _run(self, program: str, *arguments: str) -> subprocess.CompletedProcess[str]:
        command = [*_as_nobody(), str(self.programs / program), *arguments]
        done = subprocess.run(
            command, capture_output=True, text=True, timeout=120, check=False, cwd=self.folder
        )
        assert done.returncode == 0, f"{program}: {done.stdout}{done.stderr}"
        return done


def _empty(made: Cluster) -> None:
    made.run("initdb", "-D", str(made.data), "-U", "owner", "-A", "trust", "-E", "UTF8")


@contextmanager
def cluster(fill: Callable[[Cluster], object] = _empty) -> Iterator[Cluster]:
    """A new server, running. `fill`: what puts its data there; else it is empty."""
    found = sorted(Path("/").glob(_PLACES.lstrip("/")), key=lambda one: int(one.parent.name))
    if not found:
        missing("this machine has no PostgreSQL server; the test needs it")
    folder = Path(mkdtemp(prefix="triplog-pg-"))
    try:
        if os.geteuid() == 0:
            shutil.chown(folder, "postgres")
        made = Cluster(folder, _free_port(), found[-1])
        fill(made)
        with (made.data / "postgresql.conf").open("a", encoding="utf-8") as file:
            sockets = {"port": str(made.port), "unix_socket_directories": f"'{folder}'"}
            file.writelines(f"{name} = {value}\n" for name, value in (_SETTINGS | sockets).items())
        made.start()
        try:
            yield made
        finally:
            made.stop("immediate")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _as_nobody() -> list[str]:
    """The server does not run as root."""
    return ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
