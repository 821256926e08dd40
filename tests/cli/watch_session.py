"""A desktop session in which a real watcher prompts; run by the desktop test on a bus of its own.

Prints, as JSON, how many notifications were asked for while driving, and what came of the text.
"""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

from scheduler.notify import service_answers
from tests.cli.watch_process import triplog, wait_until, watching

TWO_LOOKS_S = 4.5


def main(home: Path) -> None:
    """Watch while driving, stop, and see what the session bus carried."""
    seen = home / "seen.txt"
    with (
        seen.open("wb") as seen_to,
        (home / "daemon.txt").open("wb") as told_to,
        subprocess.Popen(
            ["dbus-monitor", "--session", "interface='org.freedesktop.Notifications'"],
            stdout=seen_to,
            stderr=told_to,
        ) as monitor,
        subprocess.Popen(["dunst"], stdout=told_to, stderr=told_to) as daemon,
    ):
        wait_until(lambda: seen.stat().st_size > 0 and service_answers(), "a daemon that answers")
        with watching(home, environ=os.environ) as watcher:
            watcher.wait_for_outcome_of("first/due/tone/1")
            time.sleep(TWO_LOOKS_S)
            while_driving = notifications(seen)
            stopped = triplog(home, "duty", "on duty")
            outcome = watcher.wait_for_outcome_of("first/due/text/1").body["outcomes"]
            wait_until(lambda: notifications(seen) > while_driving, "a notification")
            ended = watcher.end()
        daemon.terminate()
        monitor.terminate()
    found = {
        "while_driving": while_driving,
        "duty_recorded": stopped.returncode,
        "outcome": outcome,
        "ended": ended,
    }
    print(json.dumps(found))


def notifications(seen: Path) -> int:
    """How often something was asked to be shown."""
    return seen.read_text("utf-8").count("member=Notify\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
