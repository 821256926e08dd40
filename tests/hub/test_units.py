"""The two services of DEVELOPERS.md, as systemd reads them (systemd-analyze(1): verify, security).

The worker's unit has the lines of the other but for its own, as the text says.
"""

import configparser
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.needs import need

_TEXT = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text("utf-8")
_PROGRAM = "/opt/triplog/bin/triplog"
SERVE, WORK = "triplog-hub-serve.service", "triplog-hub-work.service"
EXPOSED_MAX = 20
"""Tenths: of the ten that systemd gives to a service without any of these lines; 0 is best."""


def _told(name: str) -> configparser.ConfigParser:
    found = re.search(rf"<!-- {re.escape(name)} -->\n```ini\n(.*?)```", _TEXT, re.DOTALL)
    assert found is not None, name
    unit = configparser.ConfigParser(interpolation=None)
    unit.optionxform = str  # type: ignore[assignment, method-assign]
    unit.read_string(found[1])
    return unit


@pytest.fixture(params=[SERVE, WORK])
def unit(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A unit's file, over a program that is there."""
    whole = _told(SERVE)
    if request.param == WORK:
        whole.read_dict(_told(WORK))
    program = tmp_path / "triplog"
    program.symlink_to(sys.executable)
    command = whole["Service"]["ExecStart"]
    assert command.startswith(f"{_PROGRAM} hub ")
    whole["Service"]["ExecStart"] = command.replace(_PROGRAM, str(program))
    path = tmp_path / str(request.param)
    with path.open("w", encoding="utf-8") as file:
        whole.write(file, space_around_delimiters=False)
    return path


def _analyzed(*words: str) -> "subprocess.CompletedProcess[str]":
    need(["systemd-analyze"])
    return subprocess.run(
        ["systemd-analyze", *words], capture_output=True, text=True, timeout=120, check=False
    )


def test_systemd_finds_nothing_wrong_with_it(unit: Path) -> None:
    done = _analyzed("verify", "--man=no", "--recursive-errors=no", str(unit))
    assert (done.returncode, done.stderr) == (0, "")


def test_systemd_would_find_a_line_that_is_wrong(unit: Path) -> None:
    unit.write_text(unit.read_text("utf-8").replace("PrivateTmp=yes", "PrivateTmpp=yes"), "utf-8")
    done = _analyzed("verify", "--man=no", "--recursive-errors=no", str(unit))
    assert "PrivateTmpp" in done.stderr


def test_it_is_kept_from_what_it_does_not_need(unit: Path) -> None:
    done = _analyzed(
        "security", "--offline=true", f"--threshold={EXPOSED_MAX}", "--no-pager", str(unit)
    )
    assert done.returncode == 0, done.stdout + done.stderr
