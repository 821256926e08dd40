"""The lines of a sum: alike lashings stand in one line, with the numbers that were multiplied."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from triplog.securement.finding import Count, Missing, Step, Value
from triplog.securement.quantity import Amount, Dimension, amount_worked_out
from triplog.securement.rules.en_12195.lashings import Lashing


@dataclass(frozen=True, slots=True, kw_only=True)
class Adds:
    """What one lashing adds at one end; `value` None: nothing known limits it.

    `step` is the id of its line and `values` the numbers in it, without names and sums.
    """

    name: str
    value: float | None
    step: str
    values: dict[str, Value]


def summed(adds: Iterable[Adds], shown: Callable[[float], Amount]) -> tuple[Step, ...]:
    """One line per kind of contribution, in the order of the first of each."""
    alike: dict[tuple[object, ...], list[Adds]] = {}
    for one in adds:
        alike.setdefault((one.step, one.value, *one.values.items()), []).append(one)
    return tuple(_line(same, shown) for same in alike.values())


def _line(same: list[Adds], shown: Callable[[float], Amount]) -> Step:
    first = same[0]
    names = ", ".join(one.name for one in same)
    if first.value is None:
        return Step(id="provided.en-open", values={"names": names})
    return Step(
        id=first.step,
        values={
            "names": names,
            "number": Count(value=len(same), unit="tie-down"),
            **first.values,
            "each": shown(first.value),
            "sum": shown(first.value * len(same)),
        },
    )


def sides_missing(
    lashings: Sequence[Lashing], low: Sequence[Adds], high: Sequence[Adds]
) -> tuple[Missing, ...]:
    """The tensioners' sides that are not known and change what a lashing adds."""
    return tuple(
        missing
        for one, worst, best in zip(lashings, low, high, strict=True)
        for missing in one.open_side
        if worst.value != best.value
    )


def kilonewton_metres(moment_nm: float) -> Amount:
    """A moment that was worked out."""
    return amount_worked_out(moment_nm, "kNm", Dimension.MOMENT)
