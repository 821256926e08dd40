"""A way of handing a message to the office: an HTTP call, signed with the hub's key.

The signature is that of RFC 9421 (HTTP Message Signatures) with Ed25519, over the method, the
address and the digest of the message (RFC 9530); it stands in the headers `Signature-Input` and
`Signature`. Who is called checks it with the hub's public key, and takes a message once by
`Idempotency-Key`.
"""

import base64
import hashlib
import ipaddress
import socket
from contextlib import suppress
from dataclasses import dataclass
from http.client import HTTPConnection, HTTPException, HTTPSConnection
from threading import Timer
from urllib.parse import urlsplit

from scheduler.notify import Outcome
from scheduler.office_hook import LIMIT_S
from triplog.journal.device_key import DeviceKey
from triplog.journal.entries import Clock

_TYPE = "text/plain; charset=utf-8"
_COVERED = ("@method", "@target-uri", "content-digest", "content-type", "idempotency-key")


class AddressRefused(ValueError):
    """Nothing is to be sent to this address; the message says why."""


@dataclass(frozen=True, slots=True)
class CallHook:
    """An address that takes messages by POST; any answer of 200 to 299 has taken it."""

    address: str
    key: DeviceKey
    clock: Clock
    limit_s: float = LIMIT_S
    name: str = "call"

    def __str__(self) -> str:
        """The address."""
        return self.address

    def hand_over(self, name: str, message: str, /) -> Outcome:
        """Call it; NO_BACKEND where nobody answers there, TIMED_OUT where no outcome was told."""
        body = message.encode()
        headers = self._headers(name, body)
        parts = urlsplit(self.address)
        assert parts.hostname is not None, "an address was looked at before it was kept"
        kind = HTTPSConnection if parts.scheme == "https" else HTTPConnection
        connection = kind(parts.hostname, parts.port, timeout=self.limit_s)
        # An answer that comes in drops would never be over by the limit of each drop.
        hanging_up = Timer(self.limit_s, _hang_up, (connection,))
        hanging_up.daemon = True
        try:
            try:
                connection.connect()
            except (OSError, ValueError, HTTPException):
                return Outcome.NO_BACKEND
            hanging_up.start()
            try:
                connection.request("POST", _path(self.address), body, headers)
                status = connection.getresponse().status
            except (OSError, ValueError, HTTPException):
                # The message had gone out, or part of it: nobody knows whether it arrived.
                return Outcome.TIMED_OUT
        finally:
            hanging_up.cancel()
            connection.close()
        return Outcome.ACCEPTED if 200 <= status <= 299 else Outcome.FAILED

    def _headers(self, name: str, body: bytes) -> dict[str, str]:
        digest = base64.b64encode(hashlib.sha256(body).digest()).decode()
        fields = {
            "content-digest": f"sha-256=:{digest}:",
            "content-type": _TYPE,
            "idempotency-key": f'"{name}"',
        }
        told = {"@method": "POST", "@target-uri": _target(self.address), **fields}
        covered = " ".join(f'"{one}"' for one in _COVERED)
        created = int(self.clock.read().wall.timestamp())
        parameters = f'({covered});created={created};keyid="{self.key.text}";alg="ed25519"'
        lines = [f'"{one}": {told[one]}' for one in _COVERED]
        lines.append(f'"@signature-params": {parameters}')
        signature = base64.b64encode(self.key.private.sign("\n".join(lines).encode())).decode()
        return fields | {
            "signature-input": f"hub={parameters}",
            "signature": f"hub=:{signature}:",
        }


def refuse_address(address: str) -> None:
    """Raise AddressRefused unless it is an HTTPS address, or one by HTTP on this machine."""
    try:
        parts = urlsplit(address)
        port_is_one = parts.port is None or parts.port > 0
    except ValueError as problem:
        raise AddressRefused(f"this is no address: {problem}") from problem
    if not (address.isascii() and address.isprintable() and " " not in address and port_is_one):
        raise AddressRefused("an address is of plain letters, without spaces")
    if parts.username or parts.password or parts.fragment:
        raise AddressRefused("an address has no name, password or # in it")
    if parts.scheme == "https" and parts.hostname:
        return
    if parts.scheme == "http" and parts.hostname and _is_here(parts.hostname):
        return
    raise AddressRefused("an address begins with https://, or is one by http:// on this machine")


def _is_here(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _hang_up(connection: HTTPConnection) -> None:
    with suppress(OSError, AttributeError):
        connection.sock.shutdown(socket.SHUT_RDWR)


def _path(address: str) -> str:
    parts = urlsplit(address)
    return (parts.path or "/") + (f"?{parts.query}" if parts.query else "")


def _target(address: str) -> str:
    parts = urlsplit(address)
    return f"{parts.scheme}://{parts.netloc}{_path(address)}"
