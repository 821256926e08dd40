"""Damage real bundles at random and print what the checker made of it."""

import argparse
import sys
import tempfile
from pathlib import Path

from tests.exports.mutations.running import run, wholes
from tests.specimens.test_old_bundles import BUNDLES

BASES = [BUNDLES / "with-heads-trip.zip", BUNDLES / "with-heads-store.zip"]


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.exports.mutations", description=__doc__)
    parser.add_argument("--count", type=int, default=10_000, help="how many damages")
    parser.add_argument("--seed", type=int, default=1, help="which row of them")
    parser.add_argument("--first", type=int, default=0, help="the number to begin with")
    parser.add_argument("--only", type=int, help="do the damage of this number alone")
    parser.add_argument("bundles", nargs="*", type=Path, help="other zipped bundles to damage")
    chosen = parser.parse_args(arguments)
    numbers = range(chosen.first, chosen.first + chosen.count)
    if chosen.only is not None:
        numbers = range(chosen.only, chosen.only + 1)
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        figures = run(wholes(chosen.bundles or BASES, place), chosen.seed, numbers, place)
    print(*figures.lines(), sep="\n")
    return 1 if figures.wrong else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
