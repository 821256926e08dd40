"""The wheel: what is in it, and that it runs from a new environment, away from this folder.

Built without a network by the same back end that `pip` would call. The new environment holds the
wheel alone; for the libraries it is pointed at those of the environment that runs the tests.
"""

import os
import subprocess
import sys
import sysconfig
import venv
import zipfile
from collections.abc import Sequence
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
ROOMS = {"triplog", "scheduler", "exports"}
CARRIED = (
    "triplog/securement/figures/webbing.csv",
    "triplog/securement/figures/sources.csv",
    "triplog/securement/PLAN.md",
    "scheduler/recheck_rules.csv",
    "exports/fonts/DejaVuSans.ttf",
    "exports/fonts/LICENSE",
    "exports/verify.py",
    "exports/HOWTO.txt",
    "exports/FORMAT.md",
    "triplog/py.typed",
    "scheduler/py.typed",
    "exports/py.typed",
)


def run(words: Sequence[str | Path], folder: Path) -> str:
    """Run a program in a folder, without anything of this folder on its path; what it printed."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    ended = subprocess.run(
        [str(word) for word in words],
        cwd=folder,
        env=kept,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert ended.returncode == 0, ended.stdout + ended.stderr
    return ended.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel as it is built from this folder."""
    folder = tmp_path_factory.mktemp("wheel")
    run([sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder], ROOT)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the programs of a new environment into which the wheel was installed."""
    place = tmp_path_factory.mktemp("environment")
    venv.create(place, with_pip=False)
    scheme = "venv" if "venv" in sysconfig.get_scheme_names() else "posix_prefix"
    paths = sysconfig.get_paths(scheme, vars={"base": str(place), "platbase": str(place)})
    scripts, packages = Path(paths["scripts"]), Path(paths["purelib"])
    libraries = sysconfig.get_paths()["purelib"]
    python = scripts / "python"
    run([sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--no-deps",
         "--no-index", wheel], place)  # fmt: skip
    (packages / "libraries.pth").write_text(f"{libraries}\n")
    return scripts


def test_the_wheel_holds_the_three_rooms_and_nothing_else(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
    tops = {name.split("/")[0] for name in names}
    assert {top for top in tops if not top.endswith(".dist-info")} == ROOMS
    assert len(tops) == len(ROOMS) + 1
    assert not [name for name in names if "__pycache__" in name or "test" in Path(name).name]


@pytest.mark.parametrize("name", CARRIED)
def test_the_wheel_carries_figures_rules_fonts_and_formats(name: str, wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        assert archive.read(name) == (ROOT / name).read_bytes()


def test_the_wheel_carries_every_file_of_the_three_rooms(wheel: Path) -> None:
    here = {
        path.relative_to(ROOT).as_posix()
        for room in ROOMS
        for path in (ROOT / room).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    with zipfile.ZipFile(wheel) as archive:
        assert here == {name for name in archive.namelist() if ".dist-info/" not in name}


def test_the_wheel_says_licence_python_and_program(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        info = next(one.split("/")[0] for one in archive.namelist() if ".dist-info/" in one)
        metadata = archive.read(f"{info}/METADATA").decode()
        programs = archive.read(f"{info}/entry_points.txt").decode()
    assert "License-Expression: Apache-2.0" in metadata
    assert "Requires-Python: >=3.11" in metadata
    assert "triplog = triplog.cli.main:run" in programs


def test_the_demo_runs_from_the_installed_wheel(installed: Path, tmp_path: Path) -> None:
    where = run([installed / "python", "-c", "import triplog; print(triplog.__file__)"], tmp_path)
    assert where.startswith(str(installed.parent))
    said = run([installed / "triplog", "demo"], tmp_path)
    assert "To look at:" in said
    assert [path.name for path in tmp_path.iterdir()] == ["triplog-demo"]
    bundle = tmp_path / "triplog-demo" / "orchard" / "trip-orchard-bundle.zip"
    assert "invented" in run([installed / "triplog", "verify", bundle], tmp_path)
