"""Time-stamp requests over a network: an authority's answer, and every way a network fails."""

import http.server
import threading
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from tests.desk.authority import Authority
from tests.desk.stamp_queue import Queue
from triplog.desk import stamps
from triplog.desk.refused import Refused


@contextmanager
def _served(answer: "dict[bytes, bytes] | bytes", code: int = 200) -> Iterator[str]:
    """An authority on this machine's own network: by request, or the same for all."""

    class Handler(http.server.BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            asked = self.rfile.read(int(self.headers["Content-Length"]))
            assert self.headers["Content-Type"] == "application/timestamp-query"
            body = answer if isinstance(answer, bytes) else answer[asked]
            self.send_response(code)
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *args: object) -> None:  # noqa: A002
            """Say nothing."""

    with http.server.HTTPServer(("127.0.0.1", 0), Handler) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        try:
            yield f"http://127.0.0.1:{server.server_port}/"
        finally:
            server.shutdown()
            thread.join()


def test_what_waits_is_sent_where_there_is_a_network(queue: Queue, bureau: Authority) -> None:
    queue.head(days_ago=3)
    queue.head()
    asked = queue.ask()
    answers = {one.read_bytes(): bureau.answer(one).read_bytes() for one in asked}
    with _served(answers) as url:
        sent = stamps.send(queue.yard.desk, url, None, bureau.root)
    assert (len(sent.taken), sent.waiting, sent.trouble) == (2, 0, None)


@pytest.mark.parametrize(
    ("answer", "code", "told"),
    [(b"<html>", 200, "holds no time-stamp"), (b"", 503, "answered 503"), (b"", 200, "no time")],
)
def test_a_network_that_fails_is_told_and_what_waits_waits(
    queue: Queue, answer: bytes, code: int, told: str
) -> None:
    queue.head()
    with _served(answer, code) as url:
        sent = stamps.send(queue.yard.desk, url, None, None)
    assert sent.trouble is not None and told in sent.trouble
    assert (sent.taken, sent.waiting) == ((), 1)
    gone = stamps.send(queue.yard.desk, url, None, None)
    assert gone.trouble is not None and "cannot be reached" in gone.trouble
    assert len(queue.ask()) == 1
    with pytest.raises(Refused, match="begins with https"):
        stamps.send(queue.yard.desk, "file:///dev/null", None, None)
