"""A hub as a process of its own, and one request by a line of its own."""

import http.client
import os
import socket
import subprocess
import sys
from contextlib import closing, suppress
from pathlib import Path
from typing import IO

from tests.hub.cutting import HERE
from triplog.journal.batch import Answer, answer_in

PATIENCE_S = 30.0


def post(port: int, secret: str, packed: bytes) -> Answer:
    """One request by a line of its own."""
    with closing(http.client.HTTPConnection(HERE, port, timeout=PATIENCE_S)) as line:
        line.request("POST", "/push", packed, {"authorization": f"Bearer {secret}"})
        response = line.getresponse()
        body = response.read()
        if response.status != 200:
            raise OSError(f"no answer: {response.status} {body!r}")
        return answer_in(body)


def hub_process(
    dsn: str, home: Path, log: IO[bytes] | None = None
) -> tuple["subprocess.Popen[bytes]", int]:
    """A hub as a process of its own, and its port. `log` None: what it tells is let go."""
    with socket.socket() as probe:
        probe.bind((HERE, 0))
        port: int = probe.getsockname()[1]
    process = subprocess.Popen(
        [sys.executable, "-m", "triplog", "hub", "serve", "--dsn", dsn, "--port", str(port)],
        env=os.environ | {"TRIPLOG_HOME": str(home)},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=log or subprocess.DEVNULL,
    )
    for _ in range(300):
        with suppress(OSError):
            socket.create_connection((HERE, port), 1).close()
            return process, port
        with suppress(subprocess.TimeoutExpired):
            raise AssertionError(f"the hub's process ended with {process.wait(0.1)}")
    raise AssertionError("the hub does not open its port")
