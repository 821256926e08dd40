"""Command lines run on a disk that fails; run by the tests as one process, with the shim preloaded.

`python -m tests.faults.on_a_failing_disk [off]`: one line of standard input for each run, JSON: the
variables of the fault (`disk_faults.c`), how many minutes the standing clock is put forward, and
the command lines. Each run is a process of its own, forked here so that the libraries are read only
once. The answer is one line of JSON: what each command came to, and how many operations of the
kinds were counted, and how many failed. `off`: the journal is opened with synchronous = OFF.
"""

import contextlib
import ctypes
import gc
import io
import json
import os
import sqlite3
import sys
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from typing import Any
from unittest.mock import patch

import triplog
from tests.builders import StandingClock
from triplog.cli.main import invoke
from triplog.journal import store_file

LIBRARIES = ("sqlmodel", "fpdf", "segno", "cryptography.hazmat.primitives.asymmetric.ed25519")


def connect_without_syncs(path: Path) -> sqlite3.Connection:
    """A connection whose writes are never synced: what the fault tests have to find out."""
    raw = store_file.connect(path)
    raw.execute("PRAGMA synchronous = OFF")
    return raw


def run(asked: dict[str, Any]) -> dict[str, Any]:
    """Run the command lines in this process, whose disk fails as told."""
    clock = StandingClock()
    clock.forward(minutes=asked["minutes"])
    shim = ctypes.CDLL(None)
    os.environ.update(asked["fault"])
    answers = []
    for line in asked["lines"]:
        out, err = io.StringIO(), io.StringIO()
        clock.forward(minutes=3)
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = invoke(line, clock)
        answers.append({"code": code, "told": out.getvalue() + err.getvalue()})
    counted = (ctypes.c_int * 128).in_dll(shim, "faults_counted")
    return {
        "answers": answers,
        "counted": {kind: counted[ord(kind)] for kind in "SWN"},
        "made": ctypes.c_int.in_dll(shim, "faults_made").value,
    }


def one_run(asked: dict[str, Any]) -> bytes:
    """Fork, run, and hand on what came of it."""
    ours, theirs = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(ours)
        os.write(theirs, json.dumps(run(asked)).encode())
        os._exit(0)
    os.close(theirs)
    with os.fdopen(ours, "rb") as told:
        answer = told.read()
    _, status = os.waitpid(child, 0)
    return answer or json.dumps({"died": os.waitstatus_to_exitcode(status)}).encode()


if __name__ == "__main__":
    ours = (one.name for one in walk_packages(triplog.__path__, "triplog."))
    for library in (*LIBRARIES, *(name for name in ours if not name.endswith("__main__"))):
        import_module(library)
    if sys.argv[1:] == ["off"]:
        patch("triplog.journal.store.connect", connect_without_syncs).start()
    gc.disable()
    gc.freeze()
    for words in sys.stdin:
        sys.stdout.write(one_run(json.loads(words)).decode() + "\n")
        sys.stdout.flush()
