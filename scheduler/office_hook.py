"""Ways of handing a message to the office: a command of this machine, or a folder.

As with the notifiers an attempt that went well is *accepted*: handed over, never "read".
"""

import os
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from scheduler.notify import Outcome

LIMIT_S = 20.0
"""How long a command may take; a folder on a network that is away can take longer."""


class Hook(Protocol):
    """One way of handing a message on. It does not raise; it may take its time."""

    @property
    def name(self) -> str:
        """The word this way is recorded under."""

    def hand_over(self, name: str, message: str, /) -> Outcome:
        """Hand one message over. `name` is the message's own, the same each time it is tried."""


@dataclass(frozen=True, slots=True)
class CommandHook:
    """A program run with the message on its standard input; 0 is its only good end.

    It is run as it is, by no shell, with the rights and the environment of who watches.
    """

    command: Sequence[str]
    limit_s: float = LIMIT_S
    name: str = "command"

    def __str__(self) -> str:
        """The command as it was given."""
        return " ".join(self.command)

    def hand_over(self, _name: str, message: str, /) -> Outcome:
        """Run it; NO_BACKEND where there is no such program, TIMED_OUT where it was ended."""
        try:
            done = subprocess.run(
                list(self.command),
                input=message.encode(),
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                timeout=self.limit_s,
                check=False,
            )
        except (FileNotFoundError, PermissionError):
            return Outcome.NO_BACKEND
        except subprocess.TimeoutExpired:
            return Outcome.TIMED_OUT
        except (OSError, ValueError):
            return Outcome.FAILED
        return Outcome.ACCEPTED if done.returncode == 0 else Outcome.FAILED


@dataclass(frozen=True, slots=True)
class FolderHook:
    """A folder in which each message is one file, whole or not there; a repeat replaces it."""

    folder: Path
    name: str = "folder"

    def __str__(self) -> str:
        """Where the files go."""
        return str(self.folder)

    def hand_over(self, name: str, message: str, /) -> Outcome:
        """Drop the file; NO_BACKEND while the folder is not there."""
        unfinished = self.folder / f".{name}.unfinished"
        try:
            with unfinished.open("w", encoding="utf-8", newline="\n") as file:
                file.write(message)
                file.flush()
                os.fsync(file.fileno())
            unfinished.replace(self.folder / f"{name}.txt")
        except (FileNotFoundError, NotADirectoryError):
            return Outcome.NO_BACKEND
        except OSError:
            return Outcome.FAILED
        return Outcome.ACCEPTED
