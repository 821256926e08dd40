"""What grows: half lines wait, a file cut short or replaced is noticed, a source gone is told."""

import socket
from pathlib import Path
from threading import Thread

import pytest

from scheduler.feeds.following import GrowingFile, Lines, serial_source, tcp_source
from scheduler.feeds.readings import FeedRefused


def follow(path: Path) -> tuple[GrowingFile, list[str]]:
    """A file being followed, and what happened to it."""
    happened: list[str] = []
    return GrowingFile(path, happened.append), happened


def test_a_half_line_waits_for_its_other_half() -> None:
    lines = Lines()
    assert lines.push(b"one\r\ntw") == ["one"]
    assert lines.push(b"o\rthree\nfo") == ["two", "three"]
    assert lines.rest() == ["fo"]
    assert lines.rest() == []


def test_a_line_without_end_does_not_fill_the_memory() -> None:
    lines = Lines()
    for _ in range(100):
        assert lines.push(b"x" * 10_000) == []
    assert [len(line) for line in lines.push(b"\n")] == [4096]


def test_what_is_appended_is_read_once(tmp_path: Path) -> None:
    log = tmp_path / "log"
    log.write_bytes(b"one\n")
    growing, happened = follow(log)
    assert growing.read() == b"one\n"
    assert growing.read() == b""
    with log.open("ab") as file:
        file.write(b"two\n")
    assert growing.read() == b"two\n"
    assert happened == []
    growing.close()


def test_a_file_cut_short_is_read_from_its_beginning(tmp_path: Path) -> None:
    log = tmp_path / "log"
    log.write_bytes(b"one\ntwo\nhal")
    growing, happened = follow(log)
    growing.read()
    log.write_bytes(b"new\n")
    assert growing.read() + growing.read() == b"\nnew\n"
    assert happened == ["the file was cut short; read from its beginning"]
    growing.close()


def test_another_file_in_its_place_is_read_after_the_old_one_to_its_end(tmp_path: Path) -> None:
    log = tmp_path / "log"
    log.write_bytes(b"one\n")
    growing, happened = follow(log)
    growing.read()
    with log.open("ab") as file:
        file.write(b"last\n")
    log.rename(tmp_path / "log.1")
    assert growing.read() == b"last\n"
    assert growing.read() == b""
    log.write_bytes(b"first\n")
    assert growing.read() + growing.read() == b"\nfirst\n"
    assert happened == ["another file stands in its place; read from its beginning"]
    growing.close()


def test_a_folder_cannot_be_followed(tmp_path: Path) -> None:
    growing, _ = follow(tmp_path)
    with pytest.raises(FeedRefused, match="cannot be read"):
        growing.read()


def test_a_tcp_source_is_read_and_its_end_is_told() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:

        def serve() -> None:
            raw, _ = server.accept()
            with raw:
                raw.sendall(b"one\n")

        serving = Thread(target=serve)
        serving.start()
        with tcp_source("127.0.0.1", server.getsockname()[1]) as source:
            assert source.read() == b"one\n"
            with pytest.raises(FeedRefused, match="closed the connection"):
                source.read()
        serving.join()


def test_where_nothing_answers_it_is_told() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
    with pytest.raises(FeedRefused, match="nothing answers"), tcp_source("127.0.0.1", port):
        pass


def test_a_serial_device_that_is_not_there_is_told() -> None:
    pytest.importorskip("serial")
    with (
        pytest.raises(FeedRefused, match="cannot be opened"),
        serial_source("/dev/no-such-device"),
    ):
        pass
