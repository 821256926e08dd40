"""Every damaged bundle is named by its fault, in the process and as a bare script."""

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import exports.verify
from exports.verify import main
from tests.specimens import builder, of_files, of_stores, of_trips
from tests.specimens.specimen import Fault, Specimen

FAULTS = (*of_files.FAULTS, *of_stores.FAULTS, *of_trips.FAULTS)

# A few of each sort are run as a stranger would run them.
AS_A_SCRIPT = (
    of_files.one_byte_changed_in_a_zip,
    of_stores.entry_removed,
    of_files.file_added,
    of_stores.opening_altered,
    of_stores.whole_chain_rewritten_against_a_head_from_outside,
    of_files.empty_folder,
)


def by_name(build: Fault) -> str:
    return build.__name__


@pytest.mark.parametrize("build", FAULTS, ids=by_name)
def test_each_damaged_bundle_is_named_by_its_fault(
    build: Fault, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    specimen = build(tmp_path)
    code = main([str(specimen.path), "--json", *specimen.arguments])
    out, err = capsys.readouterr()
    assert code == specimen.exit_code
    if specimen.exit_code == 2:
        assert out == ""
        assert specimen.place in err
        return
    problems = json.loads(out)["problems"]
    assert {problem["code"] for problem in problems} == specimen.codes, problems
    assert any(specimen.place in problem["where"] for problem in problems), problems


def test_every_damaged_bundle_stands_in_the_list() -> None:
    built = {
        value
        for module in (of_files, of_stores, of_trips)
        for value in vars(module).values()
        if getattr(value, "__annotations__", {}).get("return") is Specimen
    }
    assert built == set(FAULTS)


def run_bare(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run a copy of the verifier alone in an empty folder, cut off from the environment."""
    folder.mkdir()
    script = shutil.copy(exports.verify.__file__, folder / "verify.py")
    return subprocess.run(
        [sys.executable, "-I", str(script), *arguments],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize("build", AS_A_SCRIPT, ids=by_name)
def test_a_bare_script_names_the_fault_too(build: Fault, tmp_path: Path) -> None:
    specimen = build(tmp_path)
    done = run_bare(tmp_path / "bare", str(specimen.path), *specimen.arguments)
    assert done.returncode == specimen.exit_code
    assert "Traceback" not in done.stderr
    for code in specimen.codes:
        assert f"{code}: " in done.stdout
    assert specimen.place in done.stdout + done.stderr


@pytest.mark.parametrize("name", ["bundle", "bundle.zip"])
@pytest.mark.parametrize("make", [builder.bag_day, builder.bag_trip])
def test_an_undamaged_bundle_matches_as_a_bare_script(
    make: Callable[[Path], Path], name: str, tmp_path: Path
) -> None:
    done = run_bare(tmp_path / "bare", str(make(tmp_path / name)))
    assert (done.returncode, done.stderr) == (0, "")
    assert "everything that can be compared matches" in done.stdout


def test_the_verifier_inside_a_bundle_checks_its_own_bundle(tmp_path: Path) -> None:
    bundle = builder.bag_day(tmp_path / "bundle")
    done = subprocess.run(
        [sys.executable, "-I", "data/verify.py", "."],
        cwd=bundle,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
