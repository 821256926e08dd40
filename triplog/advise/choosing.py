"""The choice itself: ask, choose, judge again; where nothing meets, which rule alone cannot be met.

A chosen plan that does not meet when judged (a rule that does not simply add up) rules out its
choice, and the next best is taken.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from triplog.advise.asked import UNSETTLED, Asked, Key, asked_of, key_of
from triplog.advise.placing import Kind, kinds_of, with_tie_downs
from triplog.advise.program import Program, Row, most, solve
from triplog.securement.assess import ANSWERED_BY_THE_REST, assess
from triplog.securement.finding import Finding, Verdict
from triplog.securement.model import WEBBING, Gear, Plan
from triplog.securement.quantity import Quantity
from triplog.securement.stations import Station, stations_of

SECONDS = 10.0
_ROUNDS_MAX = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """A tie-down to add."""

    station: Station
    gear: Gear


@dataclass(frozen=True, slots=True, kw_only=True)
class Short:
    """A rule that no choice from this stock meets by itself; figures in SI units or a count."""

    finding: Finding
    required: Fraction
    best: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What to add, and the plan judged with it; `added` None: nothing at hand would do.

    `proven`: it is the fewest and the lightest there is; else `fewest` is what is known, and
    `rounds` how many choices were judged. `short`: the rules that cannot be met alone; where it is
    empty and nothing would do, the rules cannot be met together. `open` are findings that no gear
    would settle, and what must be looked at on the gear itself.
    """

    added: tuple[Added, ...] | None
    plan: Plan
    proven: bool
    fewest: int
    rounds: int
    short: tuple[Short, ...]
    open: tuple[Finding, ...]
    stations: int
    pieces: int


def advise(
    plan: Plan,
    stock: Sequence[Gear],
    *,
    tension: Quantity | None = None,
    only: tuple[str, ...] = (),
    seconds: float = SECONDS,
) -> Advice:
    """What of `stock` to add to the plan, over the top, so that its rule sets are met.

    `only`: how the rules begin that are to be met, such as `static-forward`; empty: all.
    `tension` is taken for gear whose label gives none. Raises NoSolver.
    """
    stations, kinds = stations_of(plan), kinds_of(stock)
    unsettled = tuple(one for one in assess(plan) if one.verdict in UNSETTLED)
    nothing = Advice(
        added=None,
        plan=plan,
        proven=True,
        fewest=0,
        rounds=0,
        short=(),
        open=unsettled,
        stations=len(stations),
        pieces=sum(len(kind.pieces) for kind in kinds),
    )
    if not stations or not kinds:
        return nothing
    rows = tuple(
        row
        for row in asked_of(plan, stations, kinds, tension)
        if _counts(row)
        and row.there < row.required
        and (not only or row.finding.rule.startswith(only))
    )
    asked = {key_of(row.finding) for row in rows}
    before = {key_of(one) for one in unsettled}
    program = program_of([row for row in rows if not _is_late(row)], stations, kinds)
    solved = solve(program, seconds)
    rounds = 0
    while solved.chosen is not None and rounds < _ROUNDS_MAX:
        rounds += 1
        added = _added(solved.chosen, stations, kinds)
        judged = with_tie_downs(plan, [(one.station, one.gear) for one in added], tension)
        findings = assess(judged)
        missed = _missed(findings, asked, before)
        if not missed:
            return replace(
                nothing,
                added=added,
                plan=judged,
                proven=solved.proven,
                fewest=solved.fewest,
                rounds=rounds,
                open=tuple(one for one in findings if one.verdict in UNSETTLED),
            )
        program = _without(program, solved.chosen, all_short=_all_short(missed))
        solved = solve(program, seconds)
    return replace(
        nothing,
        proven=solved.chosen is None and solved.proven,
        fewest=solved.fewest,
        rounds=rounds,
        short=_short(rows, stations, kinds, seconds),
    )


def _counts(row: Asked) -> bool:
    """Whether more tie-downs could change it: it is not settled, and one of them adds something."""
    return row.finding.verdict in UNSETTLED and any(any(adds) for adds in row.adds)


def _is_late(row: Asked) -> bool:
    """Whether the rest of its rule set answers it: it is judged, but asks for nothing by itself."""
    return row.finding.rule.startswith(ANSWERED_BY_THE_REST)


def program_of(
    rows: Sequence[Asked], stations: Sequence[Station], kinds: Sequence[Kind]
) -> Program:
    """One column for each station and kind, and one for each group: webbing or not.

    Webbing gives where chain does not, so the proposals for a group are of one sort.
    """
    wide = len(kinds)
    columns = len(stations) * wide
    groups = list(dict.fromkeys(station.holds for station in stations))
    heaviest = max((mass for kind in kinds if (mass := _mass(kind)) is not None), default=0.0)
    masses = [heaviest + 1.0 if (mass := _mass(kind)) is None else mass for kind in kinds]
    at_station: dict[tuple[str, str], list[int]] = {}
    for place, station in enumerate(stations):
        at_station.setdefault((station.start, station.end), []).extend(
            place * wide + number for number in range(wide)
        )
    return Program(
        mass=tuple(masses * len(stations)),
        switches=len(groups),
        rows=(
            *(_row(row, wide) for row in rows),
            *_one_sort(stations, kinds, groups, columns),
        ),
        at_most=(
            *((tuple(cells), 1) for cells in at_station.values()),
            *(
                (tuple(range(number, columns, wide)), len(kind.pieces))
                for number, kind in enumerate(kinds)
            ),
        ),
    )


def _row(row: Asked, wide: int) -> Row:
    """In shares of what is asked, so that pounds and tie-downs are of one size."""
    scale = row.required
    return Row(
        weights={
            place * wide + number: float(adds / scale)
            for place, cells in enumerate(row.adds)
            for number, adds in enumerate(cells)
        },
        least=float((row.required - row.there) / scale) - 1e-9,
    )


def _one_sort(
    stations: Sequence[Station],
    kinds: Sequence[Kind],
    groups: Sequence[tuple[str, ...]],
    columns: int,
) -> list[Row]:
    rows = []
    wide = len(kinds)
    for place, station in enumerate(stations):
        switch = columns + groups.index(station.holds)
        for number, kind in enumerate(kinds):
            column = place * wide + number
            if kind.gear.kind in WEBBING:
                rows.append(Row(weights={switch: 1.0, column: -1.0}, least=0.0))
            else:
                rows.append(Row(weights={switch: -1.0, column: -1.0}, least=-1.0))
    return rows


def _mass(kind: Kind) -> float | None:
    return None if kind.gear.mass is None else float(kind.gear.mass.si)


def _added(
    chosen: Sequence[int], stations: Sequence[Station], kinds: Sequence[Kind]
) -> tuple[Added, ...]:
    """The pieces by name: the first of a kind goes to the first station that takes it."""
    taken = dict.fromkeys(range(len(kinds)), 0)
    added = []
    for column in chosen:
        place, number = divmod(column, len(kinds))
        added.append(Added(station=stations[place], gear=kinds[number].pieces[taken[number]]))
        taken[number] += 1
    return tuple(added)


def _missed(findings: Sequence[Finding], asked: set[Key], before: set[Key]) -> tuple[Finding, ...]:
    """What is asked and still unsettled, and what the tie-downs themselves brought in."""
    return tuple(
        one
        for one in findings
        if (one.verdict in UNSETTLED and key_of(one) in asked)
        or (one.verdict is Verdict.DOES_NOT_MEET and key_of(one) not in before)
    )


def _all_short(missed: Sequence[Finding]) -> bool:
    """Whether more would help each of them: then no part of the choice can do either."""
    return all(one.required is not None for one in missed)


def _without(program: Program, chosen: Sequence[int], *, all_short: bool) -> Program:
    """Rule a choice out; where it was short, all that is part of it as well."""
    weights = {one: 1.0 for one in range(len(program.mass)) if one not in chosen}
    least = 1.0
    if not all_short:
        weights.update(dict.fromkeys(chosen, -1.0))
        least -= len(chosen)
    return replace(program, rows=(*program.rows, Row(weights=weights, least=least)))


def _short(
    rows: Sequence[Asked], stations: Sequence[Station], kinds: Sequence[Kind], seconds: float
) -> tuple[Short, ...]:
    """The rules that stay short even when only they are asked."""
    short = []
    free = program_of((), stations, kinds)
    for row in rows:
        chosen = most(free, _row(row, len(kinds)).weights, seconds)
        adds = (row.adds[one // len(kinds)][one % len(kinds)] for one in chosen)
        best = row.there + sum(adds, Fraction(0))
        if best < row.required:
            short.append(Short(finding=row.finding, required=row.required, best=best))
    return tuple(short)
