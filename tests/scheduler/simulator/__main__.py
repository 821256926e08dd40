"""`python -m tests.scheduler.simulator [--trips N] [--first SEED] [--seed SEED]`.

Lives N trips on every core; a trip on which a claim does not hold is named by its seed, and
`--seed SEED` lives that one alone and prints what happened on it. Ends with 1 if any did not hold.
"""

import argparse
import os
import sys
import time
import traceback
from multiprocessing import Pool

from tests.scheduler.simulator.claims import ClaimBroken
from tests.scheduler.simulator.drive import Run
from tests.scheduler.simulator.trips import MINUTE_MS, trip_of


def lived(seed: int) -> str | None:
    """Live the trip of a seed; None if every claim held, else what did not and how to see it.

    A trip that ends in an error is named by its seed too.
    """
    alone = f"\n  alone: python -m tests.scheduler.simulator --seed {seed}"
    try:
        Run(trip_of(seed)).live()
    except ClaimBroken as broken:
        return f"{broken}{alone}"
    except Exception as error:
        return f"trip {seed} ends in an error: {error!r}{alone}"
    return None


def main(arguments: list[str]) -> int:
    """Live the trips asked for."""
    asked = argparse.ArgumentParser(prog="python -m tests.scheduler.simulator")
    asked.add_argument("--trips", type=int, default=300)
    asked.add_argument("--first", type=int, default=0)
    asked.add_argument("--seed", type=int)
    given = asked.parse_args(arguments)
    if given.seed is not None:
        return _alone(given.seed)
    begun = time.monotonic()
    seeds = range(given.first, given.first + given.trips)
    with Pool(os.cpu_count()) as pool:
        broken = [told for told in pool.imap_unordered(lived, seeds, chunksize=20) if told]
    for told in broken:
        print(told)
    took = time.monotonic() - begun
    print(f"{given.trips} trips, seeds from {given.first}: {len(broken)} broken, {took:.0f} s")
    return 1 if broken else 0


def _alone(seed: int) -> int:
    """Live one trip and print what happened on it, minute by minute."""
    trip = trip_of(seed)
    soft = ", soft load" if trip.soft_load else ""
    print(f"trip {seed}: {trip.rule_set}{soft}, top speed {trip.top_speed_mm_per_h} mm/h")
    print(f"the office is told beyond {trip.margin_mm} mm")
    for number, act in enumerate(trip.acts):
        told = [str(one) for one in act[1:] if one not in ("", 0, -1, None, False)]
        print(f"{act.at_ms / MINUTE_MS:10.3f} min  e{number:<4} {' '.join(told)}")
    run = Run(trip)
    try:
        run.live()
    except ClaimBroken as broken:
        print(broken)
        if broken.__cause__ is not None:
            traceback.print_exception(broken.__cause__)
        return 1
    finally:
        for idem, raised in run.house.raised.items():
            print(f"raised {idem}: outcomes (repeated?) {raised.outcomes}")
        for due_key, message in run.house.outbox.items():
            print(f"told to the office {due_key}: {message}")
    print("every claim holds")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
