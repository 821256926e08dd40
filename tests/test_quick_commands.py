"""The quick commands bring in no heavy library: looked at in a process of their own."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.builders import depart, new_journal

ROOT = Path(__file__).parents[1]
HEAVY = ("sqlmodel", "sqlalchemy", "fpdf", "apscheduler", "plyer")
SCRIPT = """
import json, sys
from triplog.cli.main import run
sys.argv = ["triplog", *sys.argv[1:]]
try:
    run()
finally:
    print(json.dumps(sorted(sys.modules)), file=sys.stderr)
"""


@pytest.mark.parametrize("arguments", [["--version"], ["--help"], ["due"], ["due", "--json"]])
def test_a_quick_command_imports_nothing_heavy(arguments: list[str], tmp_path: Path) -> None:
    journal = new_journal(tmp_path / "triplog.sqlite3")
    depart(journal)
    journal.close()
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, *arguments],
        cwd=ROOT,
        env={**os.environ, "TRIPLOG_HOME": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout
    assert done.returncode in (0, 1), done.stderr
    loaded = set(json.loads(done.stderr.splitlines()[-1]))
    assert loaded.isdisjoint(HEAVY)
