"""Photos added by processes that are killed in the middle; run as one process.

`python -m tests.faults.photograph_and_die HOME WORDS...`: one line of standard input for each run,
how many microseconds after it began to write it is killed (SIGKILL), or *never*. Each run is a
process of its own, forked here so that the libraries are read only once; what it runs is `triplog
photo add`. The answer is one line: how the run ended.
"""

import os
import signal
import sys
import time
from importlib import import_module
from pathlib import Path

from tests.builders import StandingClock
from tests.faults.feed_and_die import NEVER
from triplog.cli.main import invoke
from triplog.journal.store_file import STORE_NAME

LIBRARIES = ("sqlmodel", "PIL.JpegImagePlugin", "triplog.desk.photos", "triplog.cli.photos")


def main(home: str, *words: str) -> None:
    """Run once for each line that comes."""
    for name in LIBRARIES:
        import_module(name)
    os.environ["TRIPLOG_HOME"] = home
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            os.dup2(1, 2)
            clock = StandingClock()
            clock.forward(minutes=60)
            os._exit(invoke(["photo", "add", *words], clock))
        after = line.strip()
        if after != NEVER:
            _wait_for(Path(home) / f"{STORE_NAME}-journal", child)
            time.sleep(int(after) / 1e6)
            os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        sys.stdout.write(f"{os.waitstatus_to_exitcode(status)}\n")
        sys.stdout.flush()


def _wait_for(journal: Path, child: int) -> None:
    """Until the database has begun to write, or the run has ended by itself."""
    while not journal.exists():
        if os.waitid(os.P_PID, child, os.WEXITED | os.WNOHANG | os.WNOWAIT) is not None:
            return
        time.sleep(0.0001)


if __name__ == "__main__":
    main(*sys.argv[1:])
