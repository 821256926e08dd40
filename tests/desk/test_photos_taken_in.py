"""A photo comes along with the entry that names it, and stays away once it was destroyed."""

from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

import pytest

from exports.verify import verify
from tests.desk.moved import file_of, gone_on, take
from tests.desk.photographed import added, put
from tests.desk.seat import Seat
from tests.pictures import jpeg
from triplog.desk.exporting import export
from triplog.desk.taking_in import take_in_from
from triplog.journal import attachments

Sit = Callable[[str], Seat]


def a_store(seat: Seat, folder: Path) -> Path:
    return file_of(seat, folder / "brought.sqlite3")


def a_bundle(seat: Seat, folder: Path) -> Path:
    return export(seat.desk, folder / "out", ("bundle",), None).files[0]


@pytest.fixture
def pair(sit: Sit, tmp_path: Path, closing_all: ExitStack) -> tuple[Seat, Seat, str]:
    """Two installations, the second with a photo, and the photo's digest."""
    one = sit("a first check made")
    two = gone_on(one, tmp_path / "two", closing_all, as_new=True)
    ((entry, _),) = added(two, put(tmp_path, jpeg())).new
    return one, two, str(entry.body["digest"])


@pytest.mark.parametrize("brings", [a_store, a_bundle])
def test_a_photo_comes_with_its_entry_and_the_bundle_of_both_is_whole(
    brings: Callable[[Seat, Path], Path], pair: tuple[Seat, Seat, str], tmp_path: Path
) -> None:
    one, two, digest = pair
    found = take(one, brings(two, tmp_path))
    assert (found.photos, found.photos_lacking) == (1, 0)
    same = [b"".join(attachments.chunks(seat.desk.store, digest)) for seat in (one, two)]
    assert same[0] == same[1]
    assert verify(export(one.desk, tmp_path / "both", ("bundle",), None).files[0]).matches


def test_raw_entries_bring_no_photo_which_is_told_and_can_be_brought_later(
    pair: tuple[Seat, Seat, str], tmp_path: Path
) -> None:
    one, two, digest = pair
    lines = export(two.desk, tmp_path / "lines", ("lines",), None).files[0]
    found = take(one, lines)
    assert (found.photos, found.photos_lacking) == (0, 1)
    later = take_in_from(one.desk, a_store(two, tmp_path))
    assert (later.photos, later.photos_lacking) == (1, 0)
    assert later.entry is not None
    assert attachments.has(one.desk.store, digest)
    assert take_in_from(one.desk, tmp_path / "brought.sqlite3").entry is None
