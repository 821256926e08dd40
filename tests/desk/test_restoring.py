"""A back-up held against the heads that are known of; the threat is an old copy. Our own design."""

from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.desk.moved import file_of, own_chain, reads
from tests.desk.seat import Seat
from triplog.desk.exporting import export
from triplog.desk.keeping import restore
from triplog.desk.refused import Refused
from triplog.journal.store_file import STORE_NAME

Sit = Callable[[str], Seat]


def test_a_back_up_behind_a_known_head_is_restored_only_when_told_so_and_that_is_recorded(
    sit: Sit, tmp_path: Path, closing_all: ExitStack
) -> None:
    one = sit("a first check made")
    one.desk.heads = tmp_path / "heads"
    path = file_of(one, tmp_path / "copy.sqlite3")
    reads(one, "24170")
    made = export(one.desk, tmp_path / "out", ("lines",), None)
    assert made.head is not None
    seq, head = one.desk.store.heads()[own_chain(one)]
    checkpoint = tmp_path / "heads" / f"{own_chain(one)}.checkpoint"
    known = (f"{own_chain(one)}:{seq}:{head}", str(checkpoint), made.head.code)
    for told in known:
        with pytest.raises(Refused, match="--although-behind"):
            restore(path, tmp_path / "new", one.clock, told_heads=[told])
    with pytest.raises(Refused, match="are known of: the last"):
        restore(path, tmp_path / "new", one.clock, told_heads=[], heads_kept=tmp_path / "heads")
    assert not (tmp_path / "new" / STORE_NAME).exists()
    found = restore(
        path,
        tmp_path / "new",
        one.clock,
        told_heads=list(known),
        although_behind=True,
    )
    closing_all.callback(found.desk.store.close)
    first, second = found.desk.store.entries("device = ?", (found.desk.store.device,))
    assert first.kind == "store_restored"
    told_heads = first.body["told_heads"]
    assert isinstance(told_heads, list)
    assert (told_heads[0], told_heads[2]) == (known[0], made.head.code)
    behind = first.body["behind"]
    assert isinstance(behind, list)
    assert [one["told"] for one in behind] == told_heads
    assert (second.kind, second.body["why"]) == ("key_recorded", "restored")
    later = restore(
        file_of(one, tmp_path / "later.sqlite3"),
        tmp_path / "newer",
        one.clock,
        told_heads=list(known),
        heads_kept=tmp_path / "heads",
    )
    closing_all.callback(later.desk.store.close)
    assert all(one.is_reached for one in later.told)
    (entry, _) = later.desk.store.entries("device = ?", (later.desk.store.device,))
    assert "behind" not in entry.body


def test_a_known_head_of_another_history_is_no_head_the_back_up_reaches(
    sit: Sit, tmp_path: Path
) -> None:
    one = sit("a first check made")
    path = file_of(one, tmp_path / "copy.sqlite3")
    with pytest.raises(Refused, match="tells another history"):
        restore(path, tmp_path / "new", one.clock, told_heads=[f"{own_chain(one)}:3:{'0' * 64}"])
    with pytest.raises(Refused, match="is no head"):
        restore(path, tmp_path / "new", one.clock, told_heads=["what"])
