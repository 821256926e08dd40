"""The desktop's ways of showing a text, best first: plyer, and desktop-notifier where installed.

desktop-notifier (the extra `desktop`) is the better kept of the two on Windows and macOS; on Linux
it needs neither the desktop's command nor a D-Bus module of the system, and takes over where plyer
finds none of them.
"""

import importlib.util
import sys

from scheduler.notify import DesktopNotifier

EXTRA = "desktop-notifier"


def desktop_notifiers(app_name: str, *, platform: str = sys.platform) -> list[DesktopNotifier]:
    """The notifiers to try, in order."""
    found = [DesktopNotifier(app_name)]
    if importlib.util.find_spec("desktop_notifier") is not None:
        extra = DesktopNotifier(app_name, notify=_show, name=EXTRA)
        found.insert(len(found) if platform.startswith("linux") else 0, extra)
    return found


def _show(*, title: str, message: str, app_name: str, timeout: int) -> None:
    from desktop_notifier.sync import DesktopNotifierSync

    # Its own picture is of somebody else's making.
    notifier = DesktopNotifierSync(app_name=app_name, app_icon=None)
    notifier.send(title=title, message=message, timeout=timeout)
