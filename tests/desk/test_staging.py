"""What is written beside the journal is there whole or not at all."""

from pathlib import Path

import pytest

from triplog.desk.judging import judge_file
from triplog.desk.picturing import write_pictures
from triplog.desk.refused import Refused
from triplog.desk.staging import staged, told_in_words

PLAN = b'format = "triplog-plan/1"\n[[article]]\nid = "A"\n'


def test_a_disk_that_fails_in_the_middle_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = Path.write_text

    def full_at_the_second(path: Path, text: str, encoding: str | None = None) -> int:
        if "side" in path.name:
            raise OSError(28, "No space left on device")
        return write(path, text, encoding=encoding)

    monkeypatch.setattr(Path, "write_text", full_at_the_second)
    out = tmp_path / "new" / "pictures"
    with pytest.raises(Refused, match="No space left on device"):
        write_pictures(judge_file(PLAN, "plan.toml"), out)
    assert list(tmp_path.iterdir()) == []


def test_a_picture_that_is_there_is_not_written_over(tmp_path: Path) -> None:
    judgement = judge_file(PLAN, "plan.toml")
    paths = write_pictures(judgement, tmp_path)
    assert sorted(tmp_path.iterdir()) == sorted(paths)
    with pytest.raises(Refused, match="is there already"):
        write_pictures(judgement, tmp_path)


def test_a_file_where_a_folder_should_be_is_told(tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.write_text("here")
    with pytest.raises(Refused, match="is no folder"), staged(taken):
        pass
    assert taken.read_text() == "here"


def test_what_the_disk_says_is_told_in_words(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="Nothing of them is left"), told_in_words(tmp_path):
        raise OSError(13, "Permission denied")
