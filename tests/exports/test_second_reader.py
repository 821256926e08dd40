"""FORMAT.md is enough to write a checker from: a second one agrees with the first everywhere."""

import shutil
from pathlib import Path

import pytest

from exports.verify import UnreadableBundle, verify
from tests.exports.bags import bundle_files, remade, write_folder
from tests.exports.second_reader import NoBundle, read
from tests.specimens import of_files, of_stores, of_trips
from tests.specimens.specimen import Fault
from tests.specimens.test_old_bundles import KEPT, OF_KEPT, Kept, path_of

FAULTS = (*of_files.FAULTS, *of_stores.FAULTS, *of_trips.FAULTS)


def by_name(build: Fault) -> str:
    return build.__name__


@OF_KEPT
def test_it_finds_a_whole_bundle_whole_and_counts_alike(kept: Kept) -> None:
    found, report = read(path_of(kept)), verify(path_of(kept))
    assert found.faults == []
    assert found.entries == report.counts["entries"]
    assert found.private_fields == report.counts["private_fields"]
    assert found.opened == report.counts["opened"]
    assert found.signatures == report.counts.get("signatures", 0)
    assert found.proven == report.counts.get("proven", 0)


@pytest.mark.parametrize("build", FAULTS, ids=by_name)
def test_it_finds_a_damaged_bundle_damaged(build: Fault, tmp_path: Path) -> None:
    """What shows against a head from outside alone is whole to both without it."""
    path = build(tmp_path).path
    try:
        report = verify(path)
    except UnreadableBundle:
        with pytest.raises(NoBundle):
            read(path)
        return
    assert (read(path).faults == []) == report.matches


def test_it_finds_every_changed_head_or_proof(tmp_path: Path) -> None:
    """Each line of the checkpoint and of some proofs changed, the manifests made anew."""
    kept = next(one for one in KEPT if one.proven)
    files = bundle_files(path_of(kept))
    for name in ("data/checkpoint.txt", "data/proofs.jsonl"):
        lines = files[name].splitlines(keepends=True)
        for number in {*range(0, len(lines), 7), *range(min(5, len(lines)))}:
            for changed in (b"", lines[number].swapcase(), lines[number - 1], lines[number] * 2):
                told = b"".join([*lines[:number], changed, *lines[number + 1 :]])
                copy = write_folder(remade(files | {name: told}), tmp_path / "copy")
                assert (read(copy).faults == []) == verify(copy).matches, (name, number, changed)
                shutil.rmtree(copy)


def test_the_kept_bundles_hold_every_sort_of_fact_it_reads() -> None:
    assert any(kept.signatures for kept in KEPT)
    assert any(kept.proven for kept in KEPT)
