"""What grows: bytes into lines, and a file, a serial device or a TCP source read as it comes."""

import os
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO, Protocol

from scheduler.feeds.readings import FeedRefused

_LINE_MAX = 4096
_CHUNK_BYTES = 64 * 1024
_BAUD = 4800
"""The speed NMEA 0183 sets for its line (common practice; the standard itself was not read)."""


@dataclass(slots=True)
class Lines:
    """Cuts bytes into lines; a half line waits for its other half.

    A line longer than any sentence is cut off there, so that rubbish without line ends cannot fill
    the memory.
    """

    _half: bytearray = field(default_factory=bytearray)

    def push(self, data: bytes) -> list[str]:
        """The lines that are whole now; bytes that are no ASCII stand as replacement marks."""
        self._half += data
        *whole, half = bytes(self._half).replace(b"\r", b"\n").split(b"\n")
        self._half = bytearray(half[:_LINE_MAX])
        return [_text(line) for line in whole if line]

    def rest(self) -> list[str]:
        """The half line that is left when nothing more comes."""
        left, self._half = bytes(self._half), bytearray()
        return [_text(left)] if left else []


class Source(Protocol):
    """Something bytes come from."""

    def read(self) -> bytes:
        """What has come since; empty: nothing yet. Raises FeedRefused where it has gone."""


@dataclass(slots=True)
class GrowingFile:
    """A file that something else writes to, read to its end and then on.

    `restarted` is called with what happened when the file was cut short or another one stands in
    its place: the old one is read to its end first, then reading begins at the new first byte.
    """

    path: Path
    restarted: Callable[[str], None]
    _file: BinaryIO | None = None

    def read(self) -> bytes:
        """What was appended since."""
        try:
            if self._file is None:
                self._file = self.path.open("rb")
            data = self._file.read(_CHUNK_BYTES)
            return data or self._look(self._file)
        except FileNotFoundError:
            return b""  # moved away; the next one will come
        except OSError as problem:
            raise FeedRefused(
                f"{self.path} cannot be read: {problem.strerror or problem}"
            ) from problem

    def close(self) -> None:
        """Let the file go."""
        if self._file is not None:
            self._file.close()
            self._file = None

    def _look(self, file: BinaryIO) -> bytes:
        """At the end of the file: begin anew where it is another, or shorter. Ends a half line."""
        found, named = os.fstat(file.fileno()), self.path.stat()
        if (found.st_dev, found.st_ino) != (named.st_dev, named.st_ino):
            self.restarted("another file stands in its place; read from its beginning")
        elif found.st_size < file.tell():
            self.restarted("the file was cut short; read from its beginning")
        else:
            return b""
        self.close()
        return b"\n"


@dataclass(slots=True)
class _Connection:
    raw: socket.socket
    name: str

    def read(self) -> bytes:
        try:
            data = self.raw.recv(_CHUNK_BYTES)
        except TimeoutError:
            return b""
        except OSError as problem:
            raise FeedRefused(f"{self.name} is lost: {problem.strerror or problem}") from problem
        if not data:
            raise FeedRefused(f"{self.name} has closed the connection")
        return data


@contextmanager
def tcp_source(host: str, port: int) -> Iterator[Source]:
    """Bytes from a TCP server (a receiver, a serial bridge); FeedRefused where none answers."""
    name = f"{host}:{port}"
    try:
        raw = socket.create_connection((host, port), timeout=5)
    except OSError as problem:
        raise FeedRefused(f"nothing answers at {name}: {problem.strerror or problem}") from problem
    with raw:
        raw.settimeout(0.2)
        yield _Connection(raw, name)


@dataclass(slots=True)
class _Port:
    raw: "_Serial"
    name: str

    def read(self) -> bytes:
        try:
            return self.raw.read(max(1, self.raw.in_waiting))
        except OSError as problem:
            raise FeedRefused(f"{self.name} is lost: {problem.strerror or problem}") from problem


class _Serial(Protocol):
    @property
    def in_waiting(self) -> int: ...

    def read(self, size: int) -> bytes: ...


@contextmanager
def serial_source(device: str, baud: int = _BAUD) -> Iterator[Source]:
    """Bytes from a serial device; FeedRefused where it cannot be opened, or pyserial is missing."""
    try:
        import serial
    except ImportError:
        raise FeedRefused(
            "a serial device is read with pyserial, which is not installed; install triplog[serial]"
        ) from None
    try:
        raw = serial.Serial(device, baud, timeout=0.2)
    except (OSError, ValueError) as problem:
        cause = problem.__context__ or problem
        reason = cause.args[-1] if cause.args else problem
        raise FeedRefused(f"{device} cannot be opened as a serial device: {reason}") from problem
    with raw:
        yield _Port(raw, device)


def _text(line: bytes) -> str:
    return line[:_LINE_MAX].decode("ascii", "replace")
