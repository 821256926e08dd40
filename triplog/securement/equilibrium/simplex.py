"""The most inertia that contact, tie-downs and stops can balance: a bounded dual simplex.

    maximise g   where   contacts + bounded columns + g * inertia = load

Contact forces lie in friction cones of `cone_sides` edges; an edge is made only when it is
wanted: the row of prices at a contact is a velocity, and the edge that matters is the one against
it, so the work hardly depends on the number of edges. The method starts at a motion (a velocity
of every body) that opens every contact, which is an upper bound, and lowers the bound exchange by
exchange; a new heading or new limits keep the motion admissible, so each solve starts from the
last. The prices at the end are the velocities of the collapse.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from triplog.securement.equilibrium.vectors import dot

Row = list[float]
Column = Sequence[float]

TOLERANCE = 1e-10
"""How far a force may be beyond its bound; forces are shares of the whole weight."""
SMALLEST_PIVOT = 1e-9
NEGLIGIBLE = 1e-12
EXCHANGES_AT_LEAST, EXCHANGES_PER_ROW = 200, 40
"""So many exchanges are allowed, and so many more for each row and each bounded column."""
EXCHANGES_TO_REFRESH = 30
"""After so many exchanges the inverse is made anew, so that errors do not add up."""
INERTIA, CONTACT, BOUNDED, SLACK, ARTIFICIAL = range(5)


class NoAnswerWithinLimit(ArithmeticError):
    """The number of exchanges allowed is used up: there is no answer to give."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """The columns of a contact's normal force and of the friction it allows along two axes."""

    normal: Column
    first: Column
    second: Column


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """`velocities`: the prices, of unit power against the inertia; `pressed`: the contacts that
    carry; `at_limit`: bounded columns that hold the value down; `rows_at_limit`: sums that do."""

    g: float
    velocities: tuple[float, ...]
    pressed: frozenset[int]
    at_limit: tuple[int, ...]
    rows_at_limit: tuple[int, ...]


@dataclass(slots=True, kw_only=True)
class _Basic:
    """A column of the basis; `upper` is the most its variable may be."""

    kind: int
    index: int
    column: Column
    upper: float


@dataclass(slots=True, kw_only=True)
class Program:
    """One scene's equations; it remembers the last basis.

    `sums`: rows, after the equations of balance, in which bounded columns may add up to the load's
    entry at most. `opening`: velocities that open every contact by more than friction asks, for
    each of the two axes of heading; both are blended for a heading.
    """

    inertia_x: Column
    inertia_y: Column
    load: Column
    contacts: Sequence[Contact]
    bounded: Sequence[Column]
    sums: range
    opening: tuple[Column, Column, Column]
    cone_sides: int
    _cone: list[tuple[float, float]] = field(init=False)
    _basis: list[_Basic] = field(default_factory=list, init=False)
    _inverse: list[Row] = field(default_factory=list, init=False)
    _high: list[bool] = field(default_factory=list, init=False)
    _basic: set[tuple[int, int]] = field(default_factory=set, init=False)
    _since_refresh: int = field(default=0, init=False)

    def __post_init__(self) -> None:
        turn = math.tau / self.cone_sides
        self._cone = [(math.cos(n * turn), math.sin(n * turn)) for n in range(self.cone_sides)]

    def solve(self, heading_rad: float, uppers: Sequence[float]) -> Solved | None:
        """The most g towards a heading with these upper bounds; None: nothing balances at all."""
        for fresh in (False, True):
            try:
                if not self._take_up(heading_rad, fresh=fresh):
                    continue
                solved = self._lower(uppers)
            except (ZeroDivisionError, NoAnswerWithinLimit):
                continue
            if solved is None:
                self._basis = []
                if not fresh:
                    continue
            return solved
        raise NoAnswerWithinLimit

    def _take_up(self, heading_rad: float, *, fresh: bool) -> bool:
        """Bring the inertia of a heading into the last basis, or into a first one."""
        along, across = math.cos(heading_rad), math.sin(heading_rad)
        inertia = [
            along * x + across * y for x, y in zip(self.inertia_x, self.inertia_y, strict=True)
        ]
        if fresh or not self._basis:
            self._begin(inertia, along, across)
            return True
        if dot(self._inverse[0], inertia) < 0.25:
            return False
        self._basis[0] = _Basic(kind=INERTIA, index=0, column=inertia, upper=math.inf)
        self._pivot(0, inertia)
        return True

    def _begin(self, inertia: Column, along: float, across: float) -> None:
        """The motion that opens everything, and columns of no force that must vanish."""
        x_way, y_way, apart = self.opening
        motion = [
            along * x + across * y + more for x, y, more in zip(x_way, y_way, apart, strict=True)
        ]
        power = dot(motion, inertia)
        motion = [rate / power for rate in motion]
        key = max(range(len(motion)), key=lambda row: abs(motion[row]))
        self._basis = [_Basic(kind=INERTIA, index=0, column=inertia, upper=math.inf)]
        self._inverse = [motion]
        for row in range(len(motion)):
            if row == key:
                continue
            column = [0.0] * len(motion)
            column[row] = 1.0
            column[key] -= motion[row] / motion[key]
            self._inverse.append([-inertia[row] * rate for rate in motion])
            self._inverse[-1][row] += 1.0
            kind, upper = (SLACK, math.inf) if row in self.sums else (ARTIFICIAL, 0.0)
            self._basis.append(_Basic(kind=kind, index=row, column=column, upper=upper))
        self._basic = {(basic.kind, basic.index) for basic in self._basis}
        self._since_refresh = 0

    def _lower(self, uppers: Sequence[float]) -> Solved | None:
        """Exchange columns until every force is within its bounds; None: it cannot be."""
        prices = self._inverse[0]
        self._high = [
            dot(prices, column) < 0.0 and (BOUNDED, number) not in self._basic
            for number, column in enumerate(self.bounded)
        ]
        for basic in self._basis:
            if basic.kind == BOUNDED:
                basic.upper = uppers[basic.index]
        columns = len(self._basis) + len(self.bounded)
        for _ in range(EXCHANGES_AT_LEAST + EXCHANGES_PER_ROW * columns):
            values = self._values(uppers)
            leaving, most, above = 0, TOLERANCE, False
            for row in range(1, len(values)):
                value = values[row]
                if -value > most:
                    leaving, most, above = row, -value, False
                elif value - self._basis[row].upper > most:
                    leaving, most, above = row, value - self._basis[row].upper, True
            if not leaving:
                if self._since_refresh <= EXCHANGES_TO_REFRESH:
                    return self._solved(values, uppers)
                self._refresh()
                continue
            if not self._exchange(leaving, uppers, above=above):
                return None
        raise NoAnswerWithinLimit

    def _values(self, uppers: Sequence[float]) -> Row:
        """The forces of the basis, with the columns at their upper bounds."""
        load = list(self.load)
        for number, high in enumerate(self._high):
            if high and uppers[number]:
                upper = uppers[number]
                load = [
                    entry - upper * part
                    for entry, part in zip(load, self.bounded[number], strict=True)
                ]
        return [dot(row, load) for row in self._inverse]

    def _exchange(self, leaving: int, uppers: Sequence[float], *, above: bool) -> bool:
        """Let a row's column go to its bound; False: no column can take its place."""
        way = self._inverse[leaving]
        if above:
            way = [-rate for rate in way]
        entering = self._entering(way, uppers)
        if entering is None:
            return False
        out = self._basis[leaving]
        self._basic.discard((out.kind, out.index))
        if out.kind == BOUNDED:
            self._high[out.index] = above
        self._basis[leaving] = entering
        if entering.kind != CONTACT:
            self._basic.add((entering.kind, entering.index))
        if entering.kind == BOUNDED:
            self._high[entering.index] = False
        self._pivot(leaving, entering.column)
        self._since_refresh += 1
        if self._since_refresh > 2 * EXCHANGES_TO_REFRESH:
            self._refresh()
        return True

    def _entering(self, way: Row, uppers: Sequence[float]) -> _Basic | None:
        """The column whose price is the first to vanish when the motion changes along `way`."""
        prices = self._inverse[0]
        step, pivot = math.inf, 0.0
        found: tuple[int, int] | None = None
        for number, column in enumerate(self.bounded):
            if not uppers[number] or (BOUNDED, number) in self._basic:
                continue
            change = dot(way, column)
            if self._high[number]:
                change = -change
            if change < -SMALLEST_PIVOT:
                ratio = max(0.0, abs(dot(prices, column))) / -change
                if ratio < step or (ratio <= step + NEGLIGIBLE and change < pivot):
                    step, pivot, found = ratio, change, (BOUNDED, number)
        for row in self.sums:
            if way[row] < -SMALLEST_PIVOT and (SLACK, row) not in self._basic:
                ratio = max(0.0, prices[row]) / -way[row]
                if ratio < step:
                    step, pivot, found = ratio, way[row], (SLACK, row)
        contact = self._entering_contact(way, step)
        if contact is not None:
            return contact
        if found is None:
            return None
        kind, index = found
        if kind == BOUNDED:
            return _Basic(kind=kind, index=index, column=self.bounded[index], upper=uppers[index])
        column = [0.0] * len(way)
        column[index] = 1.0
        return _Basic(kind=SLACK, index=index, column=column, upper=math.inf)

    def _entering_contact(self, way: Row, step: float) -> _Basic | None:
        """The edge of a friction cone whose price vanishes before `step`; None: none does."""
        prices = self._inverse[0]
        turns = self.cone_sides / math.tau
        found: tuple[int, int] | None = None
        for number, contact in enumerate(self.contacts):
            change_n, change_1, change_2 = (
                dot(way, contact.normal),
                dot(way, contact.first),
                dot(way, contact.second),
            )
            price_n, price_1, price_2 = (
                dot(prices, contact.normal),
                dot(prices, contact.first),
                dot(prices, contact.second),
            )
            for _ in range(self.cone_sides):
                if step == math.inf:
                    normal, first, second = change_n, change_1, change_2
                else:
                    normal = price_n + step * change_n
                    first = price_1 + step * change_1
                    second = price_2 + step * change_2
                side = round(math.atan2(-second, -first) * turns) % self.cone_sides
                along, across = self._cone[side]
                if normal + along * first + across * second >= -NEGLIGIBLE:
                    break
                change = change_n + along * change_1 + across * change_2
                if change >= -SMALLEST_PIVOT:
                    break
                ratio = max(0.0, price_n + along * price_1 + across * price_2) / -change
                if ratio >= step:
                    break
                step, found = ratio, (number, side)
        return None if found is None else self._edge(*found)

    def _edge(self, number: int, side: int) -> _Basic:
        """The column of one edge of a contact's friction cone."""
        contact = self.contacts[number]
        along, across = self._cone[side]
        column = [
            normal + along * first + across * second
            for normal, first, second in zip(
                contact.normal, contact.first, contact.second, strict=True
            )
        ]
        return _Basic(kind=CONTACT, index=number, column=column, upper=math.inf)

    def _pivot(self, row: int, column: Column) -> None:
        """Put a column into a row of the basis."""
        inverse = self._inverse
        shares = [dot(line, column) for line in inverse]
        key = [rate / shares[row] for rate in inverse[row]]
        for number, share in enumerate(shares):
            if number == row:
                inverse[number] = key
            elif share:
                inverse[number] = [
                    rate - share * part for rate, part in zip(inverse[number], key, strict=True)
                ]

    def _refresh(self) -> None:
        """The inverse made anew from the columns of the basis, by elimination."""
        size = len(self._basis)
        left = [[basic.column[row] for basic in self._basis] for row in range(size)]
        right = [[float(row == number) for number in range(size)] for row in range(size)]
        for step in range(size):
            pivot = max(range(step, size), key=lambda row: abs(left[row][step]))
            for lines in (left, right):
                lines[step], lines[pivot] = lines[pivot], lines[step]
            whole = left[step][step]
            left[step] = [entry / whole for entry in left[step]]
            right[step] = [entry / whole for entry in right[step]]
            for row in range(size):
                share = left[row][step]
                if row != step and share:
                    for lines in (left, right):
                        lines[row] = [
                            entry - share * part
                            for entry, part in zip(lines[row], lines[step], strict=True)
                        ]
        self._inverse = right
        self._since_refresh = 0

    def _solved(self, values: Row, uppers: Sequence[float]) -> Solved:
        prices = self._inverse[0]
        return Solved(
            g=values[0],
            velocities=tuple(prices),
            pressed=frozenset(
                basic.index
                for basic, value in zip(self._basis, values, strict=True)
                if basic.kind == CONTACT and value > TOLERANCE
            ),
            at_limit=tuple(
                number
                for number, high in enumerate(self._high)
                if high and uppers[number] and dot(prices, self.bounded[number]) < -TOLERANCE
            ),
            rows_at_limit=tuple(row for row in self.sums if prices[row] > TOLERANCE),
        )
