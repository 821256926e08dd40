"""An office that takes messages by HTTP, and checks who sent them as RFC 9421 says.

The signature base is put together here from the request as it came (RFC 9421, 2.5), by nothing of
the program's.
"""

import base64
import hashlib
import re
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

HERE = "127.0.0.1"


@dataclass(frozen=True, slots=True)
class Came:
    """A request: its method, the path and query as they stood, its headers in small letters."""

    method: str
    path: str
    headers: dict[str, str]
    body: bytes


@dataclass(slots=True)
class Receiver:
    """What has come; `answer`: the status it gives, `drips` one byte at a time and never all."""

    port: int = 0
    came: list[Came] = field(default_factory=list)
    answer: int = 204
    drips: bool = False
    over: threading.Event = field(default_factory=threading.Event)

    @property
    def address(self) -> str:
        """Where it is reached."""
        return f"http://{HERE}:{self.port}"


@contextmanager
def receiver() -> Iterator[Receiver]:
    """A receiver on loopback."""
    found = Receiver()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["content-length"]))
            headers = {name.lower(): value for name, value in self.headers.items()}
            found.came.append(Came(self.command, self.path, headers, body))
            if found.drips:
                while not found.over.wait(0.05):
                    try:
                        self.wfile.write(b"H")
                    except OSError:
                        return
                return
            self.send_response(found.answer)
            self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    with ThreadingHTTPServer((HERE, 0), Handler) as server:
        server.daemon_threads = True
        found.port = server.server_address[1]
        serving = threading.Thread(target=server.serve_forever, daemon=True)
        serving.start()
        try:
            yield found
        finally:
            found.over.set()
            server.shutdown()


def free_port() -> int:
    """A port where nobody answers."""
    with socket.socket() as probe:
        probe.bind((HERE, 0))
        port: int = probe.getsockname()[1]
        return port


def public_key(told: str) -> bytes:
    """The Ed25519 key in a line `name+hash+base64` (C2SP signed-note: a type byte, then the key).

    The name's own hash has to stand in it, so that it is the key that was told.
    """
    name, digest, raw = told.split("+", 2)
    key = base64.b64decode(raw, validate=True)
    assert key[0] == 1, "Ed25519 (C2SP signed-note)"
    wanted = hashlib.sha256(name.encode() + b"\n" + key).hexdigest()[:8]
    assert digest == wanted
    return key[1:]


def check(came: Came, scheme_and_host: str, told_key: str) -> dict[str, str]:
    """Check a request; its signature's parameters. AssertionError or InvalidSignature."""
    label, inner = came.headers["signature-input"].split("=", 1)
    found = re.fullmatch(r"\(([^)]*)\)((?:;[a-z]+=(?:\"[^\"]*\"|\d+))*)", inner)
    assert found, inner
    # RFC 9421, 2.5: each covered component on a line, then the parameters; derived ones by 2.2.
    lines = []
    for name in re.findall(r'"([^"]+)"', found[1]):
        match name:
            case "@method":
                value = came.method
            case "@target-uri":
                value = scheme_and_host + came.path
            case _:
                value = came.headers[name].strip()
        lines.append(f'"{name}": {value}')
    lines.append(f'"@signature-params": {inner}')
    signature = re.fullmatch(rf"{label}=:([A-Za-z0-9+/=]+):", came.headers["signature"])
    assert signature
    raw = base64.b64decode(signature[1], validate=True)
    Ed25519PublicKey.from_public_bytes(public_key(told_key)).verify(raw, "\n".join(lines).encode())
    # RFC 9530, 2: the digest of the content as it came.
    digest = base64.b64encode(hashlib.sha256(came.body).digest()).decode()
    assert came.headers["content-digest"] == f"sha-256=:{digest}:"
    parameters = {
        name: value.strip('"')
        for name, value in re.findall(r";([a-z]+)=(\"[^\"]*\"|\d+)", found[2])
    }
    return parameters | {"covered": found[1]}
