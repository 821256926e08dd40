"""What a caller of the hub is allowed of lines, headers and time; the hub is served as always.

What a batch may hold is in `test_batch.py` and `test_faults_poisoned.py`. All of it is our design.
"""

import math
import select
import socket
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing, contextmanager

import pytest

from tests.builders import odometer_read
from tests.hub.logs import Log, asked, new_log, pair_log
from tests.hub.process import post
from tests.hub.scene import HubScene
from tests.hub.served import Served, served
from triplog.hub import app, serving
from triplog.hub.carriers import draw_code
from triplog.hub.state import AT_ONCE_OF_ONE_MAX
from triplog.journal.batch import pack_batch

_HERE = "127.0.0.1"
_PATIENCE_S = 30.0


@pytest.fixture
def hub_served(hub: HubScene) -> Iterator[Served]:
    """The hub of this test, served."""
    with served(hub) as one:
        yield one


@contextmanager
def _line(port: int, said: bytes = b"") -> Iterator[socket.socket]:
    """A line to the hub on which something was said."""
    with closing(socket.create_connection((_HERE, port), _PATIENCE_S)) as line:
        line.sendall(said)
        yield line


def _heard(line: socket.socket) -> bytes:
    """All that the hub says until it hangs up."""
    parts = []
    try:
        while data := line.recv(1 << 16):
            parts.append(data)
    except ConnectionError:
        pass
    return b"".join(parts)


def _head(length: int, secret: str = "x", path: str = "/push") -> bytes:
    return (
        f"POST {path} HTTP/1.1\r\nhost: h\r\ncontent-length: {length}\r\n"
        f"authorization: Bearer {secret}\r\n\r\n"
    ).encode()


def _a_device(hub: HubScene) -> tuple[Log, str]:
    log = new_log("first")
    return log, pair_log(hub, log)


@pytest.mark.parametrize(
    "said",
    [b"", b"POST /push HT", b"POST /push HTTP/1.1\r\nhost: h\r\n", b"GET /worker.js HTTP/1.1\r\n"],
)
def test_whoever_begins_no_request_is_hung_up_on(
    hub_served: Served, monkeypatch: pytest.MonkeyPatch, said: bytes
) -> None:
    monkeypatch.setattr(serving, "HEAD_SECONDS_MAX", 0.2)
    with _line(hub_served.port, said) as line:
        assert _heard(line) == b""


def test_a_drip_of_header_lines_keeps_no_line(
    hub_served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serving, "HEAD_SECONDS_MAX", 0.3)
    over = threading.Event()
    with _line(hub_served.port, b"POST /push HTTP/1.1\r\n") as line:

        def drip() -> None:
            number = 0
            while not over.wait(0.05):
                number += 1
                try:
                    line.sendall(b"x-%d: 1\r\n" % number)
                except OSError:
                    return

        dripping = threading.Thread(target=drip)
        dripping.start()
        assert _heard(line) == b""
        over.set()
        dripping.join(_PATIENCE_S)


def test_a_second_request_on_a_line_has_its_own_time_and_no_more(
    hub_served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serving, "HEAD_SECONDS_MAX", 0.3)
    with _line(hub_served.port) as line:
        for _ in range(2):
            line.sendall(_head(0))
            heard = b""
            while not heard.endswith(b"}"):
                heard += line.recv(1 << 16)
            assert b" 401 " in heard
        line.sendall(b"POST /push HT")
        assert _heard(line) == b""


def test_headers_have_an_end(hub_served: Served) -> None:
    too_long = b"x-long: " + b"x" * (serving.HEADERS_BYTES_MAX + 100)
    with _line(hub_served.port, b"POST /push HTTP/1.1\r\nhost: h\r\n" + too_long) as line:
        assert b" 400 " in _heard(line)


@pytest.mark.parametrize("limit", ["_SILENT_SECONDS_MAX", "_BATCH_SECONDS_MAX"])
def test_a_body_that_comes_too_slowly_is_given_back(
    hub: HubScene, hub_served: Served, monkeypatch: pytest.MonkeyPatch, limit: str
) -> None:
    """And what was brought again at another time is taken."""
    log, secret = _a_device(hub)
    monkeypatch.setattr(app, limit, 0.2)
    packed = pack_batch(log.batch())
    with _line(hub_served.port, _head(len(packed), secret) + packed[:20]) as line:
        assert b" 408 " in line.recv(1 << 16)
    assert hub.held("first") == []
    assert post(hub_served.port, secret, packed).outcome == "taken"


def test_a_pairing_that_comes_too_slowly_is_given_back(
    hub_served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(app, "_PAIRING_SECONDS_MAX", 0.2)
    with _line(hub_served.port, _head(100, path="/pair") + b"{") as line:
        assert b" 408 " in line.recv(1 << 16)


def test_whoever_is_not_known_sends_no_body(hub_served: Served) -> None:
    """The answer comes before anything of it was read."""
    with _line(hub_served.port, _head(1 << 20)) as line:
        assert b" 401 " in line.recv(1 << 16)


def test_lines_have_an_end_and_then_there_is_room_again(
    hub: HubScene, hub_served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Beyond the first limit a request is put off; beyond the second nobody is listened to."""
    monkeypatch.setattr(serving, "CONNECTIONS_MAX", 4)
    log, secret = _a_device(hub)
    with ExitStack() as lines:
        for _ in range(2 * 4):
            lines.enter_context(_line(hub_served.port))
        with pytest.raises(OSError):
            post(hub_served.port, secret, pack_batch(log.batch()))
    for _ in range(2000):
        try:
            assert post(hub_served.port, secret, pack_batch(log.batch())).outcome == "taken"
            break
        except OSError:
            continue
    assert hub.held("first") == log.lines


def test_the_number_of_requests_has_an_end(hub: HubScene) -> None:
    """The server's own limit, which answers 503."""
    assert serving.config(hub.app, _HERE, 0).limit_concurrency == serving.CONNECTIONS_MAX


def test_an_address_has_its_share_of_the_lines_and_this_machine_all_of_them() -> None:
    """A caller of an address that has its share is one too many; another's is not."""

    def caller(address: str) -> serving.Caller:
        one = serving.Caller.__new__(serving.Caller)
        one.client = (address, 1)
        return one

    def is_one_too_many(address: str, there: dict[str, int]) -> bool:
        others = [caller(one) for one, count in there.items() for _ in range(count)]
        one = caller(address)
        one.connections = {*others, one}
        return one._is_one_too_many()

    most = serving.CONNECTIONS_OF_ONE_MAX
    assert not is_one_too_many("192.0.2.7", {"192.0.2.7": most - 1})
    assert is_one_too_many("192.0.2.7", {"192.0.2.7": most})
    assert not is_one_too_many("192.0.2.8", {"192.0.2.7": most})
    assert not is_one_too_many("127.0.0.1", {"127.0.0.1": 2 * most})
    assert not is_one_too_many("::1", {"::1": 2 * most})
    assert is_one_too_many("fe80::1%eth0", {"fe80::1%eth0": most})
    assert most < serving.CONNECTIONS_MAX


def test_whoever_takes_nothing_of_its_answer_is_hung_up_on(
    hub: HubScene, hub_served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It asks for more than the line can hold, and reads none of it."""
    monkeypatch.setattr(serving, "ANSWER_SECONDS_MAX", 0.2)
    asking = b"GET /worker.js HTTP/1.1\r\nhost: 127.0.0.1\r\n\r\n"
    del hub
    with closing(socket.socket()) as line:
        line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        line.settimeout(_PATIENCE_S)
        line.connect((_HERE, hub_served.port))
        with pytest.raises(ConnectionError):
            for _ in range(200_000):
                line.sendall(asking)


def test_a_device_brings_so_many_batches_at_once_and_others_are_not_kept(
    hub: HubScene, hub_served: Served
) -> None:
    """Lines of one device that hold their place; another of its batches is put off."""
    log, secret = _a_device(hub)
    other = new_log("second")
    other_secret = pair_log(hub, other)
    packed = pack_batch(log.batch())
    begun = _head(len(packed), secret) + packed[:9]
    with ExitStack() as stack:
        lines = [
            stack.enter_context(_line(hub_served.port, begun))
            for _ in range(AT_ONCE_OF_ONE_MAX + 1)
        ]
        (put_off,), _, _ = select.select(lines, [], [], _PATIENCE_S)
        assert b" 503 " in put_off.recv(1 << 16)
        assert asked(hub, secret, packed)[0] == 503
        assert post(hub_served.port, other_secret, pack_batch(other.batch())).outcome == "taken"
        one = next(line for line in lines if line is not put_off)
        one.sendall(packed[9:])
        assert b" 200 " in one.recv(1 << 16)
        assert asked(hub, secret, packed)[0] == 200
    assert hub.held("first") == log.lines


def test_many_batches_one_after_another_are_all_taken(hub: HubScene) -> None:
    """A device that was away for weeks is not slowed down."""
    log, secret = _a_device(hub)
    for _ in range(60):
        log.append(odometer_read())
        assert asked(hub, secret, pack_batch(log.batch()))[0] == 200


def test_guessing_codes_gains_nothing_and_locks_nobody_out(hub: HubScene) -> None:
    """A code has 128 bits drawn by lot (NIST SP 800-63B-4, 3.1.2, wants 20 of a look-up secret that
    is limited in rate, and 112 of one that is not; from memory), so no count of wrong ones is kept
    that somebody could turn on a driver.
    """
    drawn = {
        draw_code(hub.database, hub.carrier, "truck", is_office=False, now=hub.clock.wall)
        for _ in range(50)
    }
    assert len(drawn) == 50
    assert min(len(one) * math.log2(64) for one in drawn) >= 128
    log = new_log("first")
    told = {"device": "first", "key": log.key.text}
    with ThreadPoolExecutor(4) as threads:
        guesses = threads.map(
            lambda number: hub.ask("POST", "/pair", json={**told, "code": f"guess-{number}"}),
            range(200),
        )
        assert {answer.status_code for answer in guesses} == {422}
    right = hub.ask("POST", "/pair", json={**told, "code": drawn.pop()})
    assert right.status_code == 200, right.text


def test_a_request_without_an_address_is_counted_with_nobody() -> None:
    one = serving.Caller.__new__(serving.Caller)
    one.client, one.connections = None, set()
    assert not one._is_one_too_many()
    assert not one.is_from("")
