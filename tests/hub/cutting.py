"""A relay that cuts the line after so many bytes, in one direction, as a network may anywhere."""

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from typing import Literal

HERE = "127.0.0.1"
Way = Literal["up", "down"]
_PATIENCE_S = 30.0


@dataclass(slots=True)
class Cutting:
    """A relay to a port. `passed`: bytes in each direction since the last `arm`."""

    to_port: int
    port: int = 0
    passed: dict[Way, int] = field(default_factory=lambda: {"up": 0, "down": 0})
    _cut: tuple[Way, int] | None = None
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _open: list[socket.socket] = field(default_factory=list)

    def arm(self, way: Way | None = None, after: int = 0) -> None:
        """Count anew, and cut once, when so many bytes went that way; None: never."""
        with self._lock:
            self.passed = {"up": 0, "down": 0}
            self._cut = None if way is None else (way, after)

    def serve(self, listening: socket.socket) -> None:
        """Take connections until the listening socket is shut."""
        while True:
            try:
                here, _ = listening.accept()
            except OSError:
                return
            try:
                there = socket.create_connection((HERE, self.to_port), _PATIENCE_S)
            except OSError:
                here.close()
                continue
            self._open += [here, there]
            ways: tuple[tuple[socket.socket, socket.socket, Way], ...] = (
                (here, there, "up"),
                (there, here, "down"),
            )
            for source, target, way in ways:
                threading.Thread(
                    target=self._carry, args=(source, target, way), daemon=True
                ).start()

    def _carry(self, source: socket.socket, target: socket.socket, way: Way) -> None:
        with suppress(OSError):
            while data := source.recv(1 << 16):
                part, is_last = self._let(data, way)
                if part:
                    target.sendall(part)
                if is_last:
                    break
        for one in (source, target):
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)

    def _let(self, data: bytes, way: Way) -> tuple[bytes, bool]:
        """How much of it passes, and whether the line is cut then."""
        with self._lock:
            before = self.passed[way]
            if self._cut is not None and self._cut[0] == way:
                left = self._cut[1] - before
                if left <= len(data):
                    self._cut = None
                    self.passed[way] += max(left, 0)
                    return data[: max(left, 0)], True
            self.passed[way] = before + len(data)
            return data, False

    def close(self) -> None:
        """Close every line."""
        for one in self._open:
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)
            one.close()


@contextmanager
def cutting(to_port: int) -> Iterator[Cutting]:
    """A relay to a port of this machine."""
    listening = socket.socket()
    listening.bind((HERE, 0))
    listening.listen(16)
    one = Cutting(to_port, listening.getsockname()[1])
    thread = threading.Thread(target=one.serve, args=(listening,), daemon=True)
    thread.start()
    try:
        yield one
    finally:
        with suppress(OSError):
            listening.shutdown(socket.SHUT_RDWR)
        listening.close()
        thread.join(_PATIENCE_S)
        one.close()
