"""Readers of other instruments' files that are killed in the middle; run as one process.

`python -m tests.faults.feed_and_die HOME NOON WORDS...`: one line of standard input for each run,
after how many microseconds it is killed (SIGKILL), or *never*. Each run is a process of its own,
forked here so that the libraries are read only once; what it runs is `triplog readings`. NOON is
how many minutes the standing clock is put forward. The answer is one line: how the run ended.
"""

import os
import signal
import sys
import time
from importlib import import_module

from tests.builders import StandingClock
from triplog.cli.main import invoke

NEVER = "never"
LIBRARIES = ("sqlmodel", "gpxpy", "triplog.desk.feeding", "triplog.desk.following")


def main(home: str, minutes: str, *words: str) -> None:
    """Run once for each line that comes."""
    for name in LIBRARIES:
        import_module(name)
    os.environ["TRIPLOG_HOME"] = home
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            clock = StandingClock()
            clock.forward(minutes=float(minutes))
            os._exit(invoke(["readings", *words], clock))
        after = line.strip()
        if after != NEVER:
            time.sleep(int(after) / 1e6)
            os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        sys.stdout.write(f"{os.waitstatus_to_exitcode(status)}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(*sys.argv[1:])
