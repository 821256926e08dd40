"""A real notification, through plyer, a session bus and a notification daemon, and seen there."""

import contextlib
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduler.desktop import EXTRA, desktop_notifiers
from tests.needs import missing, need
from tests.scheduler.desktop_call import MESSAGE, TITLE

pytestmark = pytest.mark.desktop

ROOT = Path(__file__).parents[2]
SESSION = Path(__file__).with_name("desktop_session.sh")


WAYS = pytest.mark.parametrize("way", ["desktop", EXTRA])


def need_way(way: str) -> None:
    """Go on only if this way of showing a text is installed here."""
    if way not in [one.name for one in desktop_notifiers("triplog")]:
        missing(f"{way} is not installed; the test needs it")


@contextlib.contextmanager
def virtual_screen() -> Iterator[str]:
    """A screen nobody sees; the server picks a free number and tells it."""
    ours, theirs = os.pipe()
    command = ["Xvfb", "-displayfd", str(theirs), "-screen", "0", "800x600x24"]
    with subprocess.Popen(
        command, pass_fds=(theirs,), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as server:
        os.close(theirs)
        try:
            with os.fdopen(ours) as told:
                yield f":{told.readline().strip()}"
        finally:
            server.terminate()


@WAYS
def test_a_text_reaches_a_real_notification_daemon_also_after_that_was_killed_and_came_back(
    way: str, tmp_path: Path
) -> None:
    need_way(way)
    need(["Xvfb", "dbus-run-session", "dbus-monitor", "dbus-send", "dunst", "notify-send", "sh"])
    with virtual_screen() as display:
        run = subprocess.run(
            ["dbus-run-session", "--", "sh", str(SESSION), sys.executable, str(tmp_path), way],
            cwd=ROOT,
            env={**os.environ, "DISPLAY": display, "HOME": str(tmp_path)},
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
    assert run.stdout.split() == ["accepted", "accepted"], run.stderr
    seen = (tmp_path / "seen.txt").read_text("utf-8")
    assert seen.count(f'string " {TITLE}"') == 2
    assert seen.count(f'string "{MESSAGE}"') == 2
    assert 'string "triplog"' in seen


@WAYS
def test_on_a_bus_without_a_daemon_the_outcome_is_no_backend_and_quick(
    way: str, tmp_path: Path
) -> None:
    need_way(way)
    need(["dbus-run-session", "dbus-send"])
    config = tmp_path / "bus.conf"
    config.write_text(
        f"<busconfig><type>session</type><listen>unix:dir={tmp_path}</listen>"
        '<policy context="default"><allow send_destination="*" eavesdrop="true"/>'
        '<allow eavesdrop="true"/><allow own="*"/></policy></busconfig>\n',
        "utf-8",
    )
    begin = time.monotonic()
    run = subprocess.run(
        [
            "dbus-run-session",
            f"--config-file={config}",
            "--",
            sys.executable,
            "-m",
            "tests.scheduler.desktop_call",
            way,
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert run.stdout.strip() == "no_backend", run.stderr
    assert time.monotonic() - begin < 20
