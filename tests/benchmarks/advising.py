"""Advice for 10 stations and 20 kinds of gear: the program, and all the judging around it."""

from pathlib import Path

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from tests.advise.scenes import scene, without_gear
from tests.benchmarks.measure import Figure, by_turns
from triplog.advise.asked import UNSETTLED, asked_of
from triplog.advise.choosing import advise, program_of
from triplog.advise.placing import kinds_of, with_tie_downs
from triplog.advise.program import Program, solve
from triplog.securement.assess import assess
from triplog.securement.stations import stations_of

STATIONS = 10
KINDS = 20


def figures(_place: Path) -> list[Figure]:
    """The program in its three stages against one bare call; all of it against its judging."""
    plan, stock = without_gear(
        scene(
            16_200,
            20,
            [5_000] * STATIONS,
            [(1_500 + number * 317 % 1_900, 3 + number * 7 % 11) for number in range(KINDS)],
        )
    )
    stations, kinds = stations_of(plan), kinds_of(stock)
    assert (len(stations), len(kinds)) == (STATIONS, KINDS)
    rows = [
        row
        for row in asked_of(plan, stations, kinds, None)
        if row.finding.verdict in UNSETTLED and any(map(any, row.adds))
    ]
    program = program_of(rows, stations, kinds)

    def ours() -> None:
        advice = advise(plan, stock)
        assert advice.proven and advice.added

    def solved() -> None:
        assert solve(program, 60.0).proven

    def judged() -> None:
        for _ in range(STATIONS * KINDS):
            assess(one_more)

    one_more = with_tie_downs(plan, [(stations[0], kinds[0].gear)], None)
    size = f"{STATIONS} stations x {KINDS} kinds"
    return [
        by_turns(f"choice of {size}, proven", solved, lambda: _bare(program), limit=10),
        by_turns(f"advice of {size}, to judging each once", ours, judged, limit=2),
    ]


def _bare(program: Program) -> None:
    """One call of the general solver: the fewest pieces, under the same rows."""
    pieces = len(program.mass)
    columns = pieces + program.switches
    rows = np.zeros((len(program.rows) + len(program.at_most), columns))
    least = np.full(len(rows), -np.inf)
    most = np.full(len(rows), np.inf)
    for number, row in enumerate(program.rows):
        rows[number, list(row.weights)] = list(row.weights.values())
        least[number] = row.least
    for number, (cells, limit) in enumerate(program.at_most, len(program.rows)):
        rows[number, list(cells)] = 1.0
        most[number] = limit
    cost = np.concatenate([np.ones(pieces), np.zeros(program.switches)])
    found = milp(
        cost,
        constraints=LinearConstraint(rows, least, most),
        integrality=np.ones(columns),
        bounds=Bounds(0, 1),
    )
    assert found.success
