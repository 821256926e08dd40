"""Where a script of the gallery begins: a journal with some of a working day in it.

Each scene goes on from an earlier one. They are played once and copied for each script. People,
load and ratings are invented.
"""

import atexit
import random
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.cli.script import play
from tests.cli.terminal import SeededSecrets, Terminal

_FITS = "--no-sharp-edges --does-not-roll --not-contained --stands"


@dataclass(frozen=True, slots=True)
class Scene:
    """Command lines that go on from another scene; `since` None: from nothing."""

    since: str | None
    lines: str


SCENES = {
    "a journal just begun": Scene(
        None,
        """07:00 $ triplog begin --carrier "the carrier" --person owner""",
    ),
    "a truck and gear": Scene(
        "a journal just begun",
        """$ triplog vehicle add flatbed --gross-mass "26000 lb" --use "interstate business"\
 --deck-length "20 ft" --deck-width "8 ft" --front none --top-speed "65 mph"
$ triplog vehicle anchors flatbed --first "2 ft" --every "4 ft" --wll "5000 lb"\
 --accepts "flat hook"
$ triplog gear add S-1 --width "2 in" --length "27 ft" --hooks "flat hook"\
 --wll "3335 lb" --no-damage --count 6""",
    ),
    "a trip planned": Scene(
        "a truck and gear",
        f"""07:10 $ triplog trip new --what "crated pump" --mass "5200 lb" --length "7 ft"\
 --width "5 ft" --height "4 ft" --at "4 ft, centre" --commodity general\
 --blocked forward=nothing {_FITS}
$ triplog tie-down add --gear S-1 --from L2 --to R2 --edges 0/0 --no-knots
$ triplog tie-down add --gear S-2 --from L3 --to R3 --edges 0/0 --no-knots""",
    ),
    "a trip rolling": Scene(
        "a trip planned",
        """07:20 $ triplog depart --odometer 24130""",
    ),
    "a trip stopped": Scene(
        "a trip rolling",
        """07:50 $ triplog duty "on duty" """,
    ),
    "a first check made": Scene(
        "a trip stopped",
        """07:55 $ triplog check --all-fine --odometer 24156""",
    ),
    "a trip closed": Scene(
        "a first check made",
        """08:00 $ triplog release --all-yes
$ triplog deliver --all
$ triplog close --all-back""",
    ),
    "two trips open": Scene(
        "a trip stopped",
        """07:55 $ triplog person add second-driver
$ triplog trip new --what "bags of lime" --mass "900 lb" """,
    ),
    "a trip with one article on another": Scene(
        "a trip planned",
        """07:15 $ triplog article add "a toolbox" --on A --commodity general
$ triplog tie-down add --gear S-3 --holds B --from L1 --to R1
07:20 $ triplog depart --odometer 24130
07:50 $ triplog duty "on duty" """,
    ),
    "a reading corrected": Scene(
        "a trip stopped",
        """07:55 $ triplog odometer 24157
$ triplog correct last odometer=24156 --reason "misread" """,
    ),
    "a bundle": Scene(
        "a first check made",
        """08:00 $ triplog export --all-trips --form bundle --to out""",
    ),
    "a back-up": Scene(
        "a trip planned",
        """07:20 $ triplog backup copy.sqlite3""",
    ),
}


def set_scene(name: str, terminal: Terminal) -> None:
    """Put a copy of a scene under a terminal, its clock a few minutes after the scene's end."""
    ready, minutes = _played(name)
    shutil.copytree(ready, terminal.folder, dirs_exist_ok=True)
    terminal.clock.forward(minutes=minutes + 5)
    terminal.secrets = SeededSecrets(random.Random(f"after {name}"))


def scene_setters() -> dict[str, Callable[[Terminal], None]]:
    """What a script's `given:` line may name, for the scenes."""

    def setter(name: str) -> Callable[[Terminal], None]:
        return lambda terminal: set_scene(name, terminal)

    return {name: setter(name) for name in SCENES}


@cache
def _folder() -> Path:
    """The folder of all scenes, removed when the tests are over."""
    folder = TemporaryDirectory(prefix="triplog-scenes-")
    atexit.register(folder.cleanup)
    return Path(folder.name)


@cache
def _played(name: str) -> tuple[Path, float]:
    """The folder of a scene, and how many minutes after the clock's start it ends."""
    scene = SCENES[name]
    folder = _folder() / name.replace(" ", "-")
    terminal = Terminal(folder=folder)
    begun = terminal.clock.wall
    if scene.since is not None:
        earlier, minutes = _played(scene.since)
        shutil.copytree(earlier, folder)
        terminal.clock.forward(minutes=minutes)
        terminal.secrets = SeededSecrets(random.Random(name))
    else:
        folder.mkdir()
    played = play(scene.lines, terminal, {})
    for answer in played.answers:
        assert answer.code in (0, 1), f"{name}: {answer.err}"
    return folder, (terminal.clock.wall - begun).total_seconds() / 60
