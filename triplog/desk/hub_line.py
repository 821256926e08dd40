"""The line to a hub: one connection, HTTPS with the certificate that was pinned; plain here only.

What the other end shows is compared before anything is sent. Only the standard library is used.
"""

import hashlib
import http.client
import ipaddress
import json
import re
import ssl
from collections.abc import Mapping
from dataclasses import dataclass
from types import TracebackType
from typing import Self
from urllib.parse import urlsplit

from triplog.desk.refused import Refused
from triplog.journal.batch import PACKED_BYTES_MAX, Answer, BatchBroken, answer_in

_PATIENCE_S = 30.0
_TOLD_MAX = 400
_PORTS = {"http": 80, "https": 443}
_NOT_LET_IN, _REFUSED = 401, 422


class HubAway(OSError):
    """The hub cannot be reached, or does not answer as one, just now; the message says how."""


class NotLetIn(Refused):
    """The hub does not know this device, or not any more."""


class TurnedAway(Refused):
    """The hub refuses what was brought; the message has its words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """Where a hub is reached. `pin`: the SHA-256 of its certificate in hex; None: none."""

    address: str
    pin: str | None

    @property
    def place(self) -> tuple[str, str, int]:
        """Scheme, host and port. Raises Refused."""
        try:
            found = urlsplit(self.address.strip())
            host, port = found.hostname or "", found.port
        except ValueError:
            found, host, port = urlsplit(""), "", None
        is_whole = found.path in ("", "/") and not (found.query or found.fragment or found.username)
        if found.scheme not in _PORTS or not host or not is_whole:
            raise Refused(
                f"a hub is reached at an address such as https://192.168.1.20:8745, found"
                f" {self.address[:80]!r}"
            )
        return found.scheme, host, port or _PORTS[found.scheme]


def reached_at(address: str, certificate: str | None) -> Reached:
    """Where a hub is reached, as typed.

    Raises Refused: plain HTTP only reaches this very machine, and a pin has 64 hex digits.
    """
    pin = None if certificate is None else certificate.replace(":", "").strip().lower()
    if pin is not None and not re.fullmatch(r"[0-9a-f]{64}", pin):
        raise Refused(
            "--certificate is the SHA-256 that the hub printed: 64 hex digits, found"
            f" {str(certificate)[:80]!r}"
        )
    found = Reached(address=address.strip().rstrip("/"), pin=pin)
    scheme, host, _ = found.place
    if scheme == "http" and not _is_here(host):
        raise Refused(f"{host} is another machine, and is reached by https only")
    if scheme == "http" and pin is not None:
        raise Refused("http shows no certificate: leave --certificate out, or say https")
    return found


class HubLine:
    """A connection to a hub that is made when it is first needed, and kept for what follows."""

    def __init__(self, reached: Reached, patience_s: float = _PATIENCE_S) -> None:
        self._reached = reached
        scheme, host, port = reached.place
        self._connection: http.client.HTTPConnection
        if scheme == "http":
            self._connection = http.client.HTTPConnection(host, port, timeout=patience_s)
        elif reached.pin is None:
            context = ssl.create_default_context()
            self._connection = http.client.HTTPSConnection(
                host, port, timeout=patience_s, context=context
            )
        else:
            self._connection = _Pinned(host, port, patience_s, reached)
        self._was_used = False

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Hang up."""
        self._connection.close()

    def pair(self, told: Mapping[str, object]) -> dict[str, object]:
        """What the hub tells a device that shows a code. Raises HubAway or Refused."""
        answer = self._ask("/pair", json.dumps(told).encode(), {"content-type": "application/json"})
        try:
            found = json.loads(answer)
        except (ValueError, RecursionError):
            found = None
        if not isinstance(found, dict):
            raise HubAway(f"what answers at {self._reached.address} is no hub")
        return found

    def push(self, secret: str, packed: bytes) -> Answer:
        """The hub's answer to a batch. Raises HubAway or Refused."""
        answer = self._ask("/push", packed, {"authorization": f"Bearer {secret}"})
        try:
            return answer_in(answer)
        except BatchBroken as problem:
            raise HubAway(f"the answer of the hub cannot be read: {problem}") from problem

    def _ask(self, path: str, body: bytes, headers: Mapping[str, str]) -> bytes:
        try:
            status, answer = self._once(path, body, headers)
        except (OSError, http.client.HTTPException, UnicodeError) as problem:
            raise self._in_words(problem) from problem
        if status == 200 and len(answer) <= PACKED_BYTES_MAX:
            return answer
        said = _said(answer)
        if status == _NOT_LET_IN:
            raise NotLetIn(f"the hub says: {said}")
        if status == _REFUSED:
            raise TurnedAway(f"the hub says: {said}")
        raise HubAway(f"the hub at {self._reached.address} answers {status}: {said}")

    def _once(self, path: str, body: bytes, headers: Mapping[str, str]) -> tuple[int, bytes]:
        """One request; a kept connection that the hub has closed meanwhile is made anew once."""
        kept, self._was_used = self._was_used, True
        try:
            return self._request(path, body, headers)
        except (BrokenPipeError, ConnectionResetError, http.client.RemoteDisconnected):
            self._connection.close()
            if not kept:
                raise
        return self._request(path, body, headers)

    def _request(self, path: str, body: bytes, headers: Mapping[str, str]) -> tuple[int, bytes]:
        try:
            self._connection.request("POST", path, body, dict(headers))
            response = self._connection.getresponse()
            answer = response.read(PACKED_BYTES_MAX + 1)
        except BaseException:
            self._connection.close()
            raise
        return response.status, answer

    def _in_words(self, problem: Exception) -> Exception:
        address = self._reached.address
        if isinstance(problem, ssl.SSLCertVerificationError):
            return Refused(
                f"this machine does not trust the certificate of {address}"
                f" ({problem.verify_message}); give the one the hub printed with --certificate."
                " Nothing was sent"
            )
        why = getattr(problem, "strerror", None) or str(problem) or type(problem).__name__
        return HubAway(f"the hub at {address} cannot be reached: {why}")


class _Pinned(http.client.HTTPSConnection):
    """A connection that is only made to whoever shows the pinned certificate."""

    def __init__(self, host: str, port: int, patience_s: float, reached: Reached) -> None:
        # The digest says whose it is: no name, no date and no third party has a say in it.
        context = ssl.create_default_context()
        context.check_hostname = False
        context.verify_mode = ssl.CERT_NONE
        super().__init__(host, port, timeout=patience_s, context=context)
        self._reached = reached

    def connect(self) -> None:
        """Connect, and look at the certificate. Raises Refused for another one."""
        super().connect()
        shown = self.sock.getpeercert(binary_form=True) or b""
        if hashlib.sha256(shown).hexdigest() != self._reached.pin:
            self.close()
            raise Refused(
                f"what answers at {self._reached.address} shows another certificate than the one"
                " that was pinned, so it may be another machine. Nothing was sent. Where the hub"
                " has a new certificate, draw a code there and pair again"
            )


def _is_here(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _said(answer: bytes) -> str:
    """The hub's sentence; never more of it, nor anything else, than can be printed."""
    try:
        told = json.loads(answer)["refused"]
    except (ValueError, KeyError, TypeError, RecursionError):
        told = "no reason"
    text = "".join(one if one.isprintable() else " " for one in str(told))
    return text[:_TOLD_MAX]
