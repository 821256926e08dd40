"""Puts one real notification up and says what came of it; run by the desktop test.

The argument is the way it is put up: the name it would be recorded under.
"""

import sys

from scheduler.desktop import desktop_notifiers

TITLE = "--version: check due – 50 mi"
MESSAGE = "At the next safe place: walk round, look at every tie-down. “first check”"

if __name__ == "__main__":
    (way,) = (one for one in desktop_notifiers("triplog") if one.name == sys.argv[1])
    print(way.text(TITLE, MESSAGE))
