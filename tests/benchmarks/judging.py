"""A plan of twenty tie-downs judged, against the start of the smallest program."""

from pathlib import Path

from tests.benchmarks.measure import Figure, by_turns, run_python
from tests.benchmarks.starting import SMALLEST
from tests.securement.plans import article, plan, strap, tie_down
from triplog.securement.assess import assess

TIE_DOWNS = 20
TIMES = 5


def figures(_place: Path) -> list[Figure]:
    """`assess` alone, in a process that is running."""
    names = [f"{number}" for number in range(1, TIE_DOWNS + 1)]
    big = plan(
        [article("A", weighs="20000 lb", long="20 ft"), article("B", weighs="18000 lb")],
        [strap(f"S-{name}") for name in names],
        [
            tie_down(f"T{name}", gear=f"S-{name}", holds=("A",) if int(name) % 2 else ("B",))
            for name in names
        ],
    )
    assert len(assess(big)) > TIE_DOWNS

    def ours() -> None:
        for _ in range(TIMES):
            assess(big)

    return [
        by_turns(
            f"a plan of {TIE_DOWNS} tie-downs judged",
            ours,
            lambda: run_python(["-c", SMALLEST]),
            limit=0.1,
            ours_holds=TIMES,
        )
    ]
