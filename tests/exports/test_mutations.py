"""Small changes to a real bundle: each one that changes what it says is named, none breaks it."""

from pathlib import Path

import pytest

from exports.verify import verify
from tests.exports.bags import bundle_files, remade, write_folder
from tests.exports.mutations.__main__ import BASES
from tests.exports.mutations.meaning import Outcome
from tests.exports.mutations.running import run, wholes
from tests.specimens.test_old_bundles import BUNDLES

COUNTS = [pytest.param(400, id="few"), pytest.param(2_000, id="many", marks=pytest.mark.long)]


@pytest.mark.parametrize("count", COUNTS)
def test_every_change_that_means_something_is_named_and_none_breaks_the_checker(
    count: int, tmp_path: Path
) -> None:
    figures = run(wholes(BASES, tmp_path), seed=count, numbers=range(count), place=tmp_path)
    assert figures.wrong == []
    assert figures.outcomes.total() == count
    # Where a head is signed, values left out are not only counted: they are named.
    assert set(figures.outcomes) == set(Outcome) - {Outcome.WITHHELD}


@pytest.mark.parametrize("place", [-1, -2, -3])
def test_a_proof_that_one_head_follows_another_cannot_be_left_out(
    place: int, tmp_path: Path
) -> None:
    files = bundle_files(BUNDLES / "with-heads-trip.zip")
    lines = files["data/proofs.jsonl"].splitlines(keepends=True)
    assert b'"old":' in lines.pop(place)
    bag = write_folder(remade(files | {"data/proofs.jsonl": b"".join(lines)}), tmp_path / "bag")
    assert {problem.code for problem in verify(bag).problems} == {"proof-missing"}


def test_an_opening_given_twice_does_not_hide_that_another_is_gone(tmp_path: Path) -> None:
    """What is withheld is told by counting; an opening counts once, wherever it stands."""
    files = bundle_files(BUNDLES / "with-heads-trip.zip")
    first, second, *others = files["data/openings.jsonl"].splitlines(keepends=True)
    doubled = b"".join([first, *others, first])
    bag = write_folder(remade(files | {"data/openings.jsonl": doubled}), tmp_path / "bag")
    report = verify(bag)
    assert {problem.code for problem in report.problems} == {"opening-doubled", "export-differs"}
    assert report.counts["withheld"] == 1
    assert second not in doubled
