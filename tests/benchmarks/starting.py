"""How long a command takes from start to end, as a person waits for it."""

import shlex
from collections.abc import Callable
from pathlib import Path

from tests.benchmarks.measure import Figure, by_turns, run_python

SMALLEST = """
import typer

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command()
def answer() -> None:
    typer.echo("answer")


app()
"""
"""The smallest Typer program that does anything."""
TRIPLOG = "from triplog.cli.main import run; run()"
SET_UP = """
begin --carrier "our carrier" --person owner --role types --role drives
vehicle add flatbed --gross-mass "26000 lb" --use "interstate business" --deck-length "20 ft" \
  --deck-width "8 ft" --front none --top-speed "65 mph"
vehicle anchors flatbed --first "2 ft" --every "4 ft" --kind "stake pocket" --wll "5000 lb"
gear add S-1 --width "2 in" --length "27 ft" --wll "3335 lb" --no-damage --count 2
trip new --what "crated pump" --mass "5200 lb" --basis weighed --length "7 ft" \
  --commodity general --blocked forward=nothing --no-sharp-edges --does-not-roll \
  --not-contained --stands --strap S-1:L2:R2 --strap S-2:L3:R3
loaded --looked-over
depart --odometer 51200 --reason none
"""


def figures(place: Path) -> list[Figure]:
    """The quick commands against the smallest program, the recording ones against their library."""
    home = str(place / "home")

    def triplog(*arguments: str) -> str:
        return run_python(["-c", TRIPLOG, *arguments], TRIPLOG_HOME=home)

    for line in SET_UP.strip().splitlines():
        triplog(*shlex.split(line))

    def smallest() -> str:
        return run_python(["-c", SMALLEST])

    def library() -> str:
        return run_python(["-c", "import sqlmodel"])

    tenths = iter(range(1, 1000))
    duties = iter(["off duty", "on duty"] * 100)
    quick: dict[str, Callable[[], object]] = {
        "triplog --version": lambda: triplog("--version"),
        "triplog due": lambda: triplog("due"),
    }
    recording: dict[str, Callable[[], object]] = {
        "triplog odometer": lambda: triplog(
            "odometer", f"51200.{next(tenths)}", "--stopped", "--sure"
        ),
        "triplog duty": lambda: triplog("--again", "duty", next(duties)),
        "triplog check": lambda: triplog("--again", "check", "--all-fine", "--stopped"),
    }
    return [
        *(by_turns(name, ours, smallest, limit=1.4, rounds=9) for name, ours in quick.items()),
        *(by_turns(name, ours, library, limit=1.4, rounds=9) for name, ours in recording.items()),
    ]
