"""The choice as a mixed-integer program: fewest pieces first, then the least mass, then by order.

Solved by HiGHS (extra `advise`). One stage that weighs number and mass together returns a heavier
plan now and then, since the solver's gap is relative; so each aim is a stage of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

TOLERANCE = 1e-9
_ROUND = 1e-6


class NoSolver(RuntimeError):
    """The solver is not installed; the message says how to get it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """At least `least` of the sum of `weights` by column; columns not named weigh nothing."""

    weights: dict[int, float]
    least: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """Columns are yes or no: first the pieces, as many as `mass` has, then `switches` more.

    `at_most` are sets of columns of which so many may be yes.
    """

    mass: tuple[float, ...]
    switches: int
    rows: tuple[Row, ...]
    at_most: tuple[tuple[tuple[int, ...], int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """`chosen` are columns of pieces; None: there is no choice, or none was found in time.

    `proven` is whether that is known for sure; `fewest` a number that no choice is below.
    """

    chosen: tuple[int, ...] | None
    proven: bool
    fewest: int


def solve(program: Program, seconds: float) -> Solved:
    """The best choice. `seconds` limits each of the stages. Raises NoSolver."""
    columns = range(len(program.mass))
    ones = dict.fromkeys(columns, 1.0)
    first = _stage(program, (), ones, seconds)
    if first.chosen is None:
        return first
    number = len(first.chosen)
    fixed = [Row(weights=dict.fromkeys(columns, -1.0), least=-float(number))]
    lightest = _stage(program, fixed, dict(enumerate(program.mass)), seconds)
    if lightest.chosen is None:
        return first
    mass = sum(program.mass[one] for one in lightest.chosen)
    fixed.append(
        Row(
            weights={one: -program.mass[one] for one in columns},
            least=-mass - TOLERANCE * max(mass, 1.0),
        )
    )
    in_order = _stage(program, fixed, {one: float(one + 1) for one in columns}, seconds)
    return Solved(
        chosen=in_order.chosen or lightest.chosen,
        proven=first.proven and lightest.proven,
        fewest=first.fewest,
    )


def most(program: Program, weights: dict[int, float], seconds: float) -> tuple[int, ...]:
    """The choice with the greatest sum of weights, whatever the rows ask. Raises NoSolver."""
    free = replace(program, rows=())
    solved = _stage(free, (), {one: -weight for one, weight in weights.items()}, seconds)
    return solved.chosen or ()


def _stage(program: Program, more: Sequence[Row], cost: dict[int, float], seconds: float) -> Solved:
    highspy = _solver()
    highs = _silent(highspy)
    for option, value in (
        ("time_limit", float(seconds)),
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 0.0),
        ("mip_feasibility_tolerance", 1e-9),
        ("primal_feasibility_tolerance", 1e-9),
        ("threads", 1),
    ):
        highs.setOptionValue(option, value)
    for column in range(len(program.mass) + program.switches):
        highs.addVar(0.0, 1.0)
        highs.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        highs.changeColCost(column, cost.get(column, 0.0))
    for row in (*program.rows, *more):
        kept = {one: weight for one, weight in row.weights.items() if weight}
        highs.addRow(row.least, highspy.kHighsInf, len(kept), list(kept), list(kept.values()))
    for columns, limit in program.at_most:
        highs.addRow(
            -highspy.kHighsInf, float(limit), len(columns), list(columns), [1.0] * len(columns)
        )
    highs.run()
    return _answer(highspy, highs, pieces=len(program.mass))


def _answer(highspy: Any, highs: Any, *, pieces: int) -> Solved:
    status = highs.getModelStatus()
    info = highs.getInfo()
    bound = max(0, -int(-(info.mip_dual_bound - _ROUND) // 1)) if _finite(info) else 0
    if status == highspy.HighsModelStatus.kInfeasible:
        return Solved(chosen=None, proven=True, fewest=0)
    if status == highspy.HighsModelStatus.kModelEmpty:
        return Solved(chosen=(), proven=True, fewest=0)
    proven = status == highspy.HighsModelStatus.kOptimal
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return Solved(chosen=None, proven=proven, fewest=bound)
    values = highs.getSolution().col_value
    chosen = tuple(one for one, value in enumerate(values[:pieces]) if value > 0.5)
    return Solved(chosen=chosen, proven=proven, fewest=len(chosen) if proven else bound)


def _silent(highspy: Any) -> Any:
    """A solver that prints nothing; it would greet when its callbacks are set, while being made."""

    def in_silence(highs: Any) -> None:
        highs.setOptionValue("output_flag", False)
        highspy.Highs.enableCallbacks(highs)

    return type("SilentHighs", (highspy.Highs,), {"enableCallbacks": in_silence})()


def _finite(info: Any) -> bool:
    return bool(abs(info.mip_dual_bound) < 1e20)


def _solver() -> Any:
    try:
        import highspy
    except ImportError as missing:
        raise NoSolver(
            'the solver is not installed; `pip install "triplog[advise]"` installs it'
        ) from missing
    return highspy
