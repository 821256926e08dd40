"""How a figure is taken: ours and a floor by turns in the same run, medians, and their ratio."""

import gc
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
ROUNDS = 5
"""At least so many times each is measured."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One line of the table. `ours` and `floor` in one unit; `limit` is the highest ratio."""

    name: str
    ours: float
    floor: float
    unit: str
    limit: float

    @property
    def ratio(self) -> float:
        """Ours as a multiple of the floor."""
        return self.ours / self.floor

    @property
    def holds(self) -> bool:
        """Whether the ratio is within its limit."""
        return self.ratio <= self.limit


def seconds(act: Callable[[], object]) -> float:
    """How long it takes once, the collector of waste kept out of it."""
    gc.collect()
    gc.disable()
    begun = time.perf_counter()
    act()
    taken = time.perf_counter() - begun
    gc.enable()
    return taken


def by_turns(
    name: str,
    ours: Callable[[], object],
    floor: Callable[[], object],
    *,
    limit: float,
    rounds: int = ROUNDS,
    ours_holds: int = 1,
) -> Figure:
    """Measure both by turns, so that a slow minute of the machine meets both.

    `ours_holds`: how many times the thing itself is done in one act of ours.
    """
    assert rounds >= ROUNDS, "a median of fewer says little"
    taken = [(seconds(floor), seconds(ours)) for _ in range(rounds)]
    return Figure(
        name=name,
        ours=median(our for _, our in taken) / ours_holds * 1000,
        floor=median(bare for bare, _ in taken) * 1000,
        unit="ms",
        limit=limit,
    )


def run_python(arguments: Sequence[str], **variables: str) -> str:
    """Run a Python process from the project's root; what it printed. 0 and 1 are good ends."""
    heads = variables.get("TRIPLOG_HOME", tempfile.gettempdir())
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT,
        env={"PATH": "", "LANG": "C.UTF-8", "TRIPLOG_HEADS": heads, **variables},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode in (0, 1), f"{arguments}: {done.stdout}{done.stderr}"
    return done.stdout
