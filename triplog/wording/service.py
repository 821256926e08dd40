"""`triplog watch` as a service of the user: what to hand to the system that starts it. Pure."""

import plistlib
from collections.abc import Sequence
from xml.sax.saxutils import escape

SYSTEMD_STEPS = (
    "keep it as ~/.config/systemd/user/triplog-watch.service, then:",
    "systemctl --user daemon-reload",
    "systemctl --user enable --now triplog-watch",
)
NOT_TRIED = "not tried by us"


def watch_command(python: str, home: str) -> tuple[str, ...]:
    """What the service runs. -P: no module is taken from the folder it happens to start in."""
    return (python, "-P", "-m", "triplog", "--home", home, "watch")


def systemd_unit(command: Sequence[str]) -> str:
    """A systemd user unit. Its guards are those that need no rights beyond the user's own.

    Exit code 2 is another watcher on this journal: there is nothing to start again.
    """
    return f"""\
[Unit]
Description=Prompts for load checks (triplog watch)

[Service]
Type=exec
ExecStart={" ".join(_quoted(part) for part in command)}
Restart=on-failure
RestartSec=15
RestartPreventExitStatus=2
KillMode=mixed
UMask=0077
# What watch starts (a player, the office's command) gets no more rights than the user has.
NoNewPrivileges=yes
LockPersonality=yes
RestrictRealtime=yes
RestrictSUIDSGID=yes
SystemCallArchitectures=native

[Install]
WantedBy=default.target
"""


def launchd_agent(command: Sequence[str]) -> str:
    """A launchd agent of the user; not tried by us."""
    agent = {
        "Label": "triplog.watch",
        "ProgramArguments": list(command),
        "RunAtLoad": True,
        "KeepAlive": {"SuccessfulExit": False},
        "ThrottleInterval": 15,
        "Umask": 0o077,
    }
    text = plistlib.dumps(agent, sort_keys=False).decode()
    head, rest = text.split("<plist", 1)
    return f"{head}<!-- {NOT_TRIED} -->\n<plist{rest}"


def windows_task(command: Sequence[str]) -> str:
    """A task of the Windows task scheduler, begun when the user logs on; not tried by us."""
    program, *arguments = command
    line = escape(" ".join(_windows_quoted(part) for part in arguments))
    return f"""\
<?xml version="1.0"?>
<!-- {NOT_TRIED} -->
<Task version="1.2" xmlns="http://schemas.microsoft.com/windows/2004/02/mit/task">
  <Triggers><LogonTrigger><Enabled>true</Enabled></LogonTrigger></Triggers>
  <Principals>
    <Principal id="Author">
      <LogonType>InteractiveToken</LogonType>
      <RunLevel>LeastPrivilege</RunLevel>
    </Principal>
  </Principals>
  <Settings>
    <MultipleInstancesPolicy>IgnoreNew</MultipleInstancesPolicy>
    <DisallowStartIfOnBatteries>false</DisallowStartIfOnBatteries>
    <StopIfGoingOnBatteries>false</StopIfGoingOnBatteries>
    <ExecutionTimeLimit>PT0S</ExecutionTimeLimit>
    <RestartOnFailure><Interval>PT1M</Interval><Count>999</Count></RestartOnFailure>
  </Settings>
  <Actions Context="Author">
    <Exec><Command>{escape(program)}</Command><Arguments>{line}</Arguments></Exec>
  </Actions>
</Task>
"""


def _quoted(part: str) -> str:
    """A word of a command as systemd reads it: no specifier, no variable, no end of the quotes."""
    for mark, kept in (("\\", "\\\\"), ('"', '\\"'), ("%", "%%"), ("$", "$$")):
        part = part.replace(mark, kept)
    return f'"{part}"'


def _windows_quoted(part: str) -> str:
    """A word as Windows programs split their line; a path ends with no stroke before the quote."""
    trimmed = part.rstrip("\\")
    strokes = len(part) - len(trimmed)
    return f'"{trimmed}{chr(92) * 2 * strokes}"' if " " in part else part
