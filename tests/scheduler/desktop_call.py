"""Puts one real notification up and says what came of it; run by the desktop test."""

from scheduler.notify import DesktopNotifier

TITLE = "--version: check due – 50 mi"
MESSAGE = "At the next safe place: walk round, look at every tie-down. “first check”"

if __name__ == "__main__":
    print(DesktopNotifier("triplog").text(TITLE, MESSAGE))
