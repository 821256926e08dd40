"""A hub served on loopback by a real server, a relay before it, and devices that push to it."""

import socket
import ssl
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import uvicorn

from tests.dossier.scene import Office, office
from tests.hub.scene import HubScene
from triplog.desk.hub_pairing import Pairing, pair
from triplog.hub.carriers import draw_code
from triplog.hub.house import own_certificate, pin_of
from triplog.hub.serving import config

_HERE = "127.0.0.1"
_PATIENCE_S = 30.0


@dataclass(slots=True)
class Served:
    """A hub at a port; stopped and started again at the same one."""

    scene: HubScene
    port: int = 0
    certificate: Path | None = None
    key: Path | None = None
    _server: uvicorn.Server | None = None
    _thread: threading.Thread | None = None

    @property
    def address(self) -> str:
        """Where it is reached."""
        return f"{'https' if self.certificate else 'http'}://{_HERE}:{self.port}"

    @property
    def pin(self) -> str | None:
        """What a device is told of its certificate."""
        return None if self.certificate is None else pin_of(self.certificate)

    def start(self) -> None:
        """Serve; whoever calls may connect at once, for the port is open before the server."""
        listening = _listening(self.port)
        self.port = listening.getsockname()[1]
        self._server = uvicorn.Server(
            config(self.scene.app, _HERE, self.port, self.certificate, self.key)
        )
        self._thread = threading.Thread(target=self._server.run, args=([listening],))
        self._thread.start()

    def stop(self) -> None:
        """Serve no more."""
        if self._server is not None and self._thread is not None:
            self._server.should_exit = True
            self._thread.join(_PATIENCE_S)
            assert not self._thread.is_alive(), "the server ends when it is told to"
        self._server = None

    def code(self, label: str, *, is_office: bool = False) -> str:
        """A code for a device."""
        scene = self.scene
        return draw_code(
            scene.database, scene.carrier, label, is_office=is_office, now=scene.clock.wall
        )

    def paired(
        self, one: Office, label: str, *, is_office: bool = False, address: str | None = None
    ) -> Pairing:
        """Pair a device of that label."""
        code = self.code(label, is_office=is_office)
        return pair(one.desk, address or self.address, code, self.pin)[1]


@contextmanager
def served(scene: HubScene, *, is_tls: bool = False) -> Iterator[Served]:
    """The hub, served until the block ends."""
    one = Served(scene)
    if is_tls:
        one.certificate, one.key = own_certificate(scene.home, _HERE, datetime.now(UTC))
    one.start()
    try:
        yield one
    finally:
        one.stop()


@dataclass(slots=True)
class Relay:
    """What stands between a device and the hub, counts bytes and requests, and may lose answers.

    `lose`: how many of the next answers are lost on the way back.
    """

    port: int
    to_port: int
    up: int = 0
    down: int = 0
    requests: int = 0
    lose: int = 0
    _open: list[socket.socket] = field(default_factory=list)

    @property
    def address(self) -> str:
        """Where a device reaches the hub through it."""
        return f"http://{_HERE}:{self.port}"

    def serve(self, listening: socket.socket) -> None:
        """Take connections until the listening socket is closed."""
        while True:
            try:
                here, _ = listening.accept()
            except OSError:
                return
            self._open.append(here)
            try:
                there = socket.create_connection((_HERE, self.to_port), _PATIENCE_S)
            except OSError:
                here.close()
                continue
            self._open.append(there)
            threading.Thread(target=self._up, args=(here, there), daemon=True).start()
            threading.Thread(target=self._down, args=(here, there), daemon=True).start()

    def _up(self, here: socket.socket, there: socket.socket) -> None:
        with suppress(OSError):
            while data := here.recv(1 << 16):
                self.up += len(data)
                self.requests += data.startswith(b"POST ")
                there.sendall(data)
            there.shutdown(socket.SHUT_WR)

    def _down(self, here: socket.socket, there: socket.socket) -> None:
        with suppress(OSError):
            while data := there.recv(1 << 16):
                if self.lose:
                    self.lose -= 1
                    break
                self.down += len(data)
                here.sendall(data)
        for one in (here, there):
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)

    def close(self) -> None:
        """Close what is open."""
        for one in self._open:
            one.close()


@contextmanager
def relay_to(hub: Served) -> Iterator[Relay]:
    """A relay before a hub."""
    with closing(_listening(0)) as listening:
        one = Relay(listening.getsockname()[1], hub.port)
        thread = threading.Thread(target=one.serve, args=(listening,), daemon=True)
        thread.start()
        try:
            yield one
        finally:
            listening.shutdown(socket.SHUT_RDWR)
            thread.join(_PATIENCE_S)
            one.close()


@contextmanager
def stranger(folder: Path) -> Iterator[tuple[str, list[bytes]]]:
    """An HTTPS server with a certificate of its own that keeps what is sent to it, and its port."""
    certificate, key = own_certificate(folder, _HERE, datetime.now(UTC))
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, key)
    got: list[bytes] = []
    with closing(_listening(0)) as listening:

        def serve() -> None:
            with suppress(OSError):
                plain, _ = listening.accept()
                plain.settimeout(_PATIENCE_S)
                with closing(context.wrap_socket(plain, server_side=True)) as line:
                    got.append(line.recv(1 << 16))

        thread = threading.Thread(target=serve, daemon=True)
        thread.start()
        yield f"https://{_HERE}:{listening.getsockname()[1]}", got
        thread.join(_PATIENCE_S)
        assert not thread.is_alive(), "whoever called hung up"


def device(folder: Path) -> Office:
    """A truck's journal with a trip under way."""
    made = office(folder)
    made.departed(made.judged(made.loaded(2, 3)))
    return made


def _listening(port: int) -> socket.socket:
    one = socket.socket()
    one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    one.bind((_HERE, port))
    one.listen(16)
    return one
