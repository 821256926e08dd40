"""Files that cannot be read as a source: each is refused with a sentence before it is read."""

import os
from pathlib import Path

import pytest

from scheduler.feeds.readings import FeedRefused
from scheduler.feeds.source import MEBIBYTE, pieces


def refused(path: Path, most_bytes: int = 32 * MEBIBYTE) -> str:
    """What is said about a file."""
    with pytest.raises(FeedRefused) as said:
        list(pieces(path, most_bytes))
    return str(said.value)


def test_a_file_of_two_gigabytes_is_refused_before_it_is_read(tmp_path: Path) -> None:
    huge = tmp_path / "huge.gpx"
    with huge.open("wb") as file:
        file.truncate(2 * 1024**3)
    assert "has 2,048 MiB; up to 32 MiB are read" in refused(huge)


def test_a_folder_an_empty_file_a_missing_one_and_a_pipe_are_told_apart(tmp_path: Path) -> None:
    empty, pipe = tmp_path / "empty", tmp_path / "pipe"
    empty.touch()
    os.mkfifo(pipe)
    assert "is a folder" in refused(tmp_path)
    assert "is empty" in refused(empty)
    assert "No such file" in refused(tmp_path / "none")
    assert "no ordinary file" in refused(pipe)


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_nobody_may_read_is_told(tmp_path: Path) -> None:
    shut = tmp_path / "shut"
    shut.write_bytes(b"x")
    shut.chmod(0)
    assert "Permission denied" in refused(shut)


def test_a_file_comes_whole_in_pieces(tmp_path: Path) -> None:
    whole = os.urandom(200_000)
    path = tmp_path / "log"
    path.write_bytes(whole)
    assert b"".join(pieces(path, MEBIBYTE)) == whole
