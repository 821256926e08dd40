"""`triplog watch` as a service: the printed unit is a good one, and what it starts does watch."""

import os
import plistlib
import shlex
import signal
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.cli.watch_process import NO_DESKTOP, NOTHING_TOOK_IT, outcomes_of, triplog, wait_until
from tests.desk.watched import departed_some_time_ago
from tests.needs import need
from triplog.cli.exit_codes import DONE, REFUSED
from triplog.wording.service import launchd_agent, systemd_unit, watch_command, windows_task

REAL = pytest.mark.skipif(sys.platform == "win32", reason="no such services there")
AWKWARD = '/home/a driver/50% "new" $HOME \\ é'


@REAL
def test_the_unit_is_one_that_systemd_takes_without_a_word(tmp_path: Path) -> None:
    need(["systemd-analyze"])
    for name, command in {
        "plain": watch_command(sys.executable, str(tmp_path)),
        "awkward": watch_command(sys.executable, AWKWARD),
    }.items():
        unit = tmp_path / f"triplog-{name}.service"
        unit.write_text(systemd_unit(command), "utf-8")
        run = subprocess.run(
            ["systemd-analyze", "--user", "verify", str(unit)],
            capture_output=True,
            text=True,
            env={**os.environ, "XDG_RUNTIME_DIR": str(tmp_path), "HOME": str(tmp_path)},
            timeout=60,
            check=False,
        )
        assert (run.returncode, run.stdout, run.stderr) == (0, "", "")


@REAL
def test_what_the_unit_starts_watches_and_ends_when_told_to(tmp_path: Path) -> None:
    departed_some_time_ago(tmp_path, datetime.now(UTC), minutes=60)
    printed = triplog(tmp_path, "watch", "--unit")
    assert printed.returncode == DONE
    assert "systemctl --user enable --now triplog-watch" in printed.stderr
    (line,) = (one for one in printed.stdout.splitlines() if one.startswith("ExecStart="))
    command = shlex.split(line.removeprefix("ExecStart="))
    assert Path(command[0]).is_absolute()
    with subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        cwd="/", env=NO_DESKTOP,
    ) as service:  # fmt: skip
        wait_until(lambda: outcomes_of(tmp_path, "first/due/tone/1"), "the tone's outcome")
        service.send_signal(signal.SIGTERM)
        assert service.wait(15) == DONE
    (tone,) = outcomes_of(tmp_path, "first/due/tone/1")
    assert tone.body["outcomes"] == NOTHING_TOOK_IT


@REAL
def test_a_user_manager_starts_it_and_it_watches(tmp_path: Path) -> None:
    runtime = os.environ.get("XDG_RUNTIME_DIR")
    asked = ["systemctl", "--user", "show-environment"]
    need(["systemctl"])
    if runtime is None or subprocess.run(asked, capture_output=True, check=False).returncode != 0:
        pytest.skip("no user manager runs here")
    departed_some_time_ago(tmp_path, datetime.now(UTC), minutes=60)
    name = f"triplog-test-{os.getpid()}.service"
    unit = Path(runtime) / "systemd" / "user" / name
    unit.parent.mkdir(parents=True, exist_ok=True)
    unit.write_text(systemd_unit(watch_command(sys.executable, str(tmp_path))), "utf-8")
    try:
        for words in (["daemon-reload"], ["start", name]):
            subprocess.run(["systemctl", "--user", *words], check=True, timeout=60)
        wait_until(lambda: outcomes_of(tmp_path, "first/due/tone/1"), "the tone's outcome")
    finally:
        subprocess.run(["systemctl", "--user", "stop", name], check=False, timeout=60)
        unit.unlink()
        subprocess.run(["systemctl", "--user", "daemon-reload"], check=False, timeout=60)


def test_the_other_systems_get_a_text_that_reads_back_and_says_it_was_not_tried(
    tmp_path: Path,
) -> None:
    command = watch_command(sys.executable, AWKWARD)
    agent = launchd_agent(command)
    assert "not tried by us" in agent
    assert plistlib.loads(agent.encode())["ProgramArguments"] == list(command)
    task = windows_task((r"C:\Program Files\python.exe", "-P", r"D:\my trips" + "\\"))
    assert "not tried by us" in task
    space = {"t": "http://schemas.microsoft.com/windows/2004/02/mit/task"}
    action = ElementTree.fromstring(task).find("t:Actions/t:Exec", space)
    assert action is not None
    assert [one.text for one in action] == [
        r"C:\Program Files\python.exe",
        r'-P "D:\my trips' + '\\\\"',
    ]
    for option in ("--launchd", "--task"):
        printed = triplog(tmp_path, "watch", option)
        assert (printed.returncode, printed.stderr) == (DONE, "not tried by us\n")
    assert triplog(tmp_path, "watch", "--unit", "--task").returncode == REFUSED
