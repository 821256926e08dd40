"""`triplog readings --follow`: a serial device, a TCP source, a log; and how each ends."""

import fcntl
import os
import pty
import signal
import socket
import termios
import threading
import time
import tty
from collections.abc import Iterator
from datetime import timedelta
from importlib.util import find_spec
from pathlib import Path
from unittest.mock import patch

import pytest

from tests.cli.terminal import Terminal
from tests.errors.scenes import set_scene
from tests.needs import missing
from tests.scheduler.feeds.made import START, rmc
from triplog.cli.exit_codes import DONE, REFUSED

SET_OUT = START + timedelta(minutes=20)
COUNT = 41
LAST = '"at": "2026-03-02T13:40:00.000Z"'
"""Forty half minutes after setting out."""


@pytest.fixture
def terminal(tmp_path: Path) -> Terminal:
    terminal = Terminal(folder=tmp_path)
    set_scene("a first check made", terminal)
    terminal.local(12, 0)
    return terminal


def sentences() -> Iterator[bytes]:
    """What a receiver says: half a sentence first, one with a wrong sum, rubbish between."""
    yield rmc(SET_OUT, 0.0)[20:].encode() + b"\r\n"
    for number in range(COUNT):
        line = rmc(SET_OUT + timedelta(seconds=30 * number), 0.48 * number)
        yield line[:-2].encode() + b"zz\r\n" if number == 7 else line.encode() + b"\r\n"
        if number == 9:
            yield b"\x00\xff" * 9000 + b"\r\n"


def need_pyserial() -> None:
    """Go on only where serial devices can be read here."""
    if find_spec("serial") is None:
        missing("pyserial is not installed; the test needs it")


def recorded(terminal: Terminal) -> str:
    """The newest entry about a source."""
    return terminal.type("entries", terminal.entry_of("readings_imported")).out


def test_a_tcp_source_is_followed_until_it_closes(terminal: Terminal) -> None:
    server = socket.create_server(("127.0.0.1", 0))
    port = server.getsockname()[1]

    def serve() -> None:
        connection, _ = server.accept()
        with connection:
            for one in sentences():
                connection.sendall(one)

    serving = threading.Thread(target=serve)
    serving.start()
    said = terminal.type("readings", f"tcp://127.0.0.1:{port}", "--follow")
    serving.join()
    server.close()
    assert said.code == DONE
    assert f"127.0.0.1:{port} has closed the connection" in said.err
    assert "of the way recorded" in said.out
    assert LAST in recorded(terminal)
    assert "receiver_ahead_ms" in recorded(terminal)


def test_a_serial_device_is_followed_until_it_is_pulled_out(terminal: Terminal) -> None:
    need_pyserial()
    ours, theirs = pty.openpty()
    tty.setraw(theirs)
    name, opened, told = os.ttyname(theirs), threading.Event(), []

    def serve() -> None:
        opened.wait()
        for one in sentences():
            os.write(ours, one)
        while fcntl.ioctl(theirs, termios.FIONREAD, bytes(4)) != bytes(4):
            time.sleep(0.005)
        os.close(ours)

    def tell(line: str) -> None:
        told.append(line)
        opened.set()

    serving = threading.Thread(target=serve)
    serving.start()
    with patch("triplog.cli.feeding.tell", tell):
        said = terminal.type("readings", name, "--follow")
    serving.join()
    os.close(theirs)
    assert said.code == DONE
    assert f"{name} is lost" in told[-1]
    assert LAST in recorded(terminal)


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_told_to_end_it_records_what_it_has_read(
    number: signal.Signals, terminal: Terminal
) -> None:
    (terminal.folder / "log.nmea").write_bytes(b"".join(sentences()))

    def told(_: float) -> None:
        os.kill(os.getpid(), number)

    with patch("triplog.cli.feeding.time.sleep", told):
        said = terminal.type("readings", "log.nmea", "--follow")
    assert (said.code, "of the way recorded" in said.out) == (DONE, True)
    assert LAST in recorded(terminal)


def test_what_is_no_receiver_is_told(terminal: Terminal) -> None:
    need_pyserial()
    before = terminal.entry_count()
    for name, told in (
        ("/dev/null", "cannot be opened as a serial device"),
        ("tcp://127.0.0.1:1", "nothing answers at 127.0.0.1:1"),
        ("tcp://nowhere", "tcp://HOST:PORT"),
        ("/tmp", "is no file"),
    ):
        said = terminal.type("readings", name, "--follow")
        assert (said.code, told in said.err) == (REFUSED, True), said.err
    assert terminal.entry_count() == before
