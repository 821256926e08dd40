"""Bundles as earlier versions wrote them stay readable: by the checker, and by the program.

`bundles/` holds the demo's invented day as it was handed out by versions gone by, packed smaller
than the writer packs, which FORMAT.md allows. A file there is never made anew; a new form of the
bundle adds one. `before-heads` has no signed heads, no proofs and the kinds of the first versions;
`with-trail` is the first with `trail.json`, schemas, figures, pictures and sheets as at departure.
"""

import json
import subprocess
import sys
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest

from exports.verify import Outside, OutsideHead, entry_lines, verify
from tests.cli.terminal import Terminal
from triplog.cli.exit_codes import DONE, FOUND
from triplog.journal.entries import entry_of
from triplog.journal.trip import trip_of

BUNDLES = Path(__file__).parent / "bundles"


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What was true of a bundle when it was handed out."""

    name: str
    entries: int
    private_fields: int
    head: str
    signatures: int = 0
    proven: int = 0


KEPT = (
    Kept(
        name="before-heads-store",
        entries=113,
        private_fields=20,
        head="eqclf2mhowi3l4a5:112:848899e895167b79f7fca6a0c8fa89edbbe3fe0bc8b189cf96ba2fcaec3ddfcf",
    ),
    Kept(
        name="before-heads-trip",
        entries=62,
        private_fields=13,
        head="eqclf2mhowi3l4a5:111:7853e58353276839a6e0218681c0c60b0627584555da169c742e88cf822dcf34",
    ),
    Kept(
        name="with-heads-store",
        entries=134,
        private_fields=28,
        head="egybl2w7tnyabwiy:133:659e9e9e7567cfa3fd967a00049318e34ccf236c1e2ea30257f06261e4210991",
        signatures=11,
    ),
    Kept(
        name="with-heads-trip",
        entries=72,
        private_fields=16,
        head="egybl2w7tnyabwiy:131:e89a944769196b993d32c9b3c54929d341465355a2b9572e27da208674721c35",
        signatures=6,
        proven=71,
    ),
    Kept(
        name="with-trail-trip",
        entries=72,
        private_fields=16,
        head="abw23v36pejllkfr:131:cfcd418ed837d1af4a9fa4c23f081902e3215c39f1881841a406a654201073c4",
        signatures=6,
        proven=71,
    ),
)
OF_KEPT = pytest.mark.parametrize("kept", KEPT, ids=lambda kept: kept.name)
OF_TRIPS = pytest.mark.parametrize(
    "kept", [one for one in KEPT if one.name.endswith("trip")], ids=lambda kept: kept.name
)


def path_of(kept: Kept) -> Path:
    return BUNDLES / f"{kept.name}.zip"


def test_every_bundle_that_lies_there_is_told_of() -> None:
    assert {path.stem for path in BUNDLES.iterdir()} == {kept.name for kept in KEPT}


@OF_KEPT
def test_today_s_checker_finds_what_was_true_then(kept: Kept) -> None:
    device, seq, digest = kept.head.split(":")
    held = OutsideHead(device=device, seq=int(seq), hash=digest)
    report = verify(path_of(kept), Outside(heads=(held,)))
    assert report.matches
    assert report.heads == (kept.head,)
    assert report.invented
    counts = report.counts
    assert (counts["entries"], counts["private_fields"]) == (kept.entries, kept.private_fields)
    assert counts["opened"] == kept.private_fields
    assert counts["outside_heads_compared"] == 1
    assert counts.get("signatures", 0) == kept.signatures
    assert counts.get("proven", 0) == kept.proven
    assert {note.code for note in report.notes} <= {"correction", "head-given"}


@OF_KEPT
def test_the_checker_that_came_with_it_still_runs(kept: Kept, tmp_path: Path) -> None:
    with zipfile.ZipFile(path_of(kept)) as archive:
        archive.extractall(tmp_path)
    (bag,) = tmp_path.iterdir()
    ran = subprocess.run(
        [sys.executable, "-I", "data/verify.py", "."],
        check=False,
        cwd=bag,
        capture_output=True,
        text=True,
    )
    assert (ran.returncode, ran.stderr) == (0, "")
    assert "everything that can be compared matches" in ran.stdout


@OF_TRIPS
def test_the_journal_folds_its_entries_to_a_trip(kept: Kept) -> None:
    entries = [entry_of(line) for line in entry_lines(path_of(kept))]
    (trip_id,) = {entry.trip for entry in entries if entry.trip is not None}
    trip = trip_of(trip_id, [entry for entry in entries if entry.trip == trip_id])
    assert (trip.label, trip.state) == ("orchard", "closed")
    assert trip.departure is not None
    assert len(trip.of("check_completed")) >= 2


@OF_TRIPS
def test_its_plan_files_are_judged_today(kept: Kept, tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    with zipfile.ZipFile(path_of(kept)) as archive:
        plans = sorted(name for name in archive.namelist() if "/plans/plan-" in name)
        plan = archive.read(plans[-1])
    (tmp_path / "plan.json").write_bytes(plan)
    judged = terminal.type("judge", "--file", str(tmp_path / "plan.json"), "--json")
    assert judged.code in (DONE, FOUND)
    verdicts = {one["verdict"] for one in json.loads(judged.out)["findings"]}
    assert "meets" in verdicts
