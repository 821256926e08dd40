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
from operator import mul

from triplog.securement.equilibrium.cone import (
    NEGLIGIBLE,
    SMALLEST_PIVOT,
    Stopped,
    cone,
    first_stopped,
    surest_stopped,
)
from triplog.securement.equilibrium.rows import Row, products, without
from triplog.securement.equilibrium.vectors import dot

Column = Sequence[float]

TOLERANCE = 1e-10
"""How far a force may be beyond its bound; forces are shares of the whole weight."""
LEAST_POWER = 0.25
"""A motion with less power towards a new heading is no place to start from."""
SURE_PIVOT = 1e-2
"""Before a smaller share is divided by, a surer one is looked for."""
LEAST_PIVOT = 1e-4
"""After a smaller share was divided by, the inverse is made anew."""
EXCHANGES_AT_LEAST, EXCHANGES_PER_ROW = 100, 10
"""So many exchanges are allowed, and so many more for each row and each bounded column."""
EASED_BY = 1e-8
"""The most by which friction is taken lower, as a share, where exchanges run in a circle."""
EXCHANGES_TO_REFRESH = 60
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
    _edges_of: Sequence[Contact] = field(init=False)
    _columns: list[Column] = field(init=False)
    _prices: Row = field(default_factory=list, init=False)
    _values: Row = field(default_factory=list, init=False)
    _high: list[bool] = field(default_factory=list, init=False)
    _basic: set[tuple[int, int]] = field(default_factory=set, init=False)
    _since_refresh: int = field(default=0, init=False)

    def __post_init__(self) -> None:
        self._cone = cone(self.cone_sides)
        self._ease(eased=False)

    def solve(self, heading_rad: float, uppers: Sequence[float]) -> float | None:
        """The most g towards a heading with these upper bounds; None: nothing balances at all."""
        for fresh, eased in ((False, False), (True, False), (True, True)):
            if eased or self._edges_of is not self.contacts:
                self._ease(eased=eased)
            try:
                if not self._take_up(heading_rad, fresh=fresh):
                    continue
                balanced = self._lower(uppers)
            except (ZeroDivisionError, NoAnswerWithinLimit):
                self._basis = []
                continue
            if balanced:
                return self._values[0]
            self._basis = []
            if fresh:
                return None
        raise NoAnswerWithinLimit

    def _ease(self, *, eased: bool) -> None:
        """Take friction a hair lower, at each contact by another hair; or as it is again.

        Where many contacts give way at once, exchanges can run in a circle; not with the hairs.
        """
        self._edges_of = self.contacts
        if eased:
            hair = EASED_BY / len(self.contacts)
            self._edges_of = [
                Contact(
                    normal=contact.normal,
                    first=[entry * (1.0 - hair * number) for entry in contact.first],
                    second=[entry * (1.0 - hair * number) for entry in contact.second],
                )
                for number, contact in enumerate(self.contacts, start=1)
            ]
        self._columns = [
            column
            for contact in self._edges_of
            for column in (contact.normal, contact.first, contact.second)
        ]
        self._columns += self.bounded
        self._basis = []

    def _take_up(self, heading_rad: float, *, fresh: bool) -> bool:
        """Bring the inertia of a heading into the last basis, or into a first one."""
        along, across = math.cos(heading_rad), math.sin(heading_rad)
        inertia = [
            along * x + across * y for x, y in zip(self.inertia_x, self.inertia_y, strict=True)
        ]
        if fresh or not self._basis:
            self._begin(inertia, along, across)
            return True
        power = dot(self._inverse[0], inertia)
        if power < LEAST_POWER:
            return False
        self._basis[0] = _Basic(kind=INERTIA, index=0, column=inertia, upper=math.inf)
        self._pivot(0, products(inertia, self._inverse))
        self._prices = [price / power for price in self._prices]
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
        self._price()

    def _price(self) -> None:
        """The price of every column, from the motion."""
        motion = self._inverse[0]
        self._prices = products(motion, self._columns)
        self._since_refresh = 0

    def _lower(self, uppers: Sequence[float]) -> bool:
        """Exchange columns until every force is within its bounds; False: it cannot be."""
        first = 3 * len(self.contacts)
        self._high = [
            price < 0.0 and (BOUNDED, number) not in self._basic
            for number, price in enumerate(self._prices[first:])
        ]
        for basic in self._basis:
            if basic.kind == BOUNDED:
                basic.upper = uppers[basic.index]
        self._value(uppers)
        exact = True
        columns = len(self._basis) + len(self.bounded)
        for _ in range(EXCHANGES_AT_LEAST + EXCHANGES_PER_ROW * columns):
            leaving, above = self._most_beyond()
            if leaving:
                if not self._exchange(leaving, uppers, above=above):
                    return False
                exact = False
            elif exact:
                return True
            else:
                if self._since_refresh > EXCHANGES_TO_REFRESH:
                    self._refresh()
                self._value(uppers)
                exact = True
        raise NoAnswerWithinLimit

    def _most_beyond(self) -> tuple[int, bool]:
        """The row whose force is furthest beyond a bound for the way back, and whether it is above;
        0: none is."""
        leaving, most, above = 0, 0.0, False
        for row, value in enumerate(self._values):
            over = max(-value, value - self._basis[row].upper) if row else 0.0
            if over > TOLERANCE:
                way = self._inverse[row]
                steep = over * over / sum(map(mul, way, way))
                if steep > most:
                    leaving, most, above = row, steep, value > 0.0
        return leaving, above

    def _value(self, uppers: Sequence[float]) -> None:
        """The forces of the basis, with the columns at their upper bounds."""
        load = self.load
        for number, high in enumerate(self._high):
            upper = uppers[number]
            if high and upper:
                load = without(load, upper, self.bounded[number])
        self._values = products(load, self._inverse)

    def _exchange(self, leaving: int, uppers: Sequence[float], *, above: bool) -> bool:
        """Let a row's column go to its bound; False: no column can take its place."""
        way = self._inverse[leaving]
        if above:
            way = [-rate for rate in way]
        changes = products(way, self._columns)
        step, entering = self._entering(way, changes, uppers)
        if entering is None:
            return False
        self._prices = [
            price + step * change for price, change in zip(self._prices, changes, strict=True)
        ]
        out = self._basis[leaving]
        bound = out.upper if above else 0.0
        self._basic.discard((out.kind, out.index))
        if out.kind == BOUNDED:
            self._high[out.index] = above
        start = 0.0
        if entering.kind != CONTACT:
            self._basic.add((entering.kind, entering.index))
        if entering.kind == BOUNDED:
            start = entering.upper if self._high[entering.index] else 0.0
            self._high[entering.index] = False
        self._basis[leaving] = entering
        shares = products(entering.column, self._inverse)
        grown = (self._values[leaving] - bound) / shares[leaving]
        self._values = [
            value - grown * share for value, share in zip(self._values, shares, strict=True)
        ]
        self._values[leaving] = start + grown
        self._pivot(leaving, shares)
        self._since_refresh += 1
        if abs(shares[leaving]) < LEAST_PIVOT or self._since_refresh > 2 * EXCHANGES_TO_REFRESH:
            self._refresh()
        return True

    def _entering(
        self, way: Row, changes: Row, uppers: Sequence[float]
    ) -> tuple[float, _Basic | None]:
        """How far the motion may change along `way` until a price vanishes, and whose it is."""
        step, pivot = math.inf, 0.0
        found: tuple[int, int] | None = None
        first = 3 * len(self.contacts)
        for number, high in enumerate(self._high):
            change = -changes[first + number] if high else changes[first + number]
            if change < -SMALLEST_PIVOT and uppers[number] and (BOUNDED, number) not in self._basic:
                ratio = abs(self._prices[first + number]) / -change
                if ratio < step or (ratio <= step + NEGLIGIBLE and change < pivot):
                    step, pivot, found = ratio, change, (BOUNDED, number)
        for row in self.sums:
            if way[row] < -SMALLEST_PIVOT and (SLACK, row) not in self._basic:
                ratio = max(0.0, self._inverse[0][row]) / -way[row]
                if ratio < step:
                    step, pivot, found = ratio, way[row], (SLACK, row)
        prices = self._prices[:first]
        stopped = first_stopped(self._cone, prices, changes, Stopped(step, pivot, None))
        if -SURE_PIVOT < stopped.pivot < 0.0:
            stopped = surest_stopped(self._cone, prices, changes, stopped)
        if stopped.edge is not None:
            return stopped.step, self._edge(*stopped.edge)
        if found is None:
            return step, None
        kind, index = found
        if kind == BOUNDED:
            column, upper = self.bounded[index], uppers[index]
        else:
            column, upper = [float(row == index) for row in range(len(way))], math.inf
        return step, _Basic(kind=kind, index=index, column=column, upper=upper)

    def _edge(self, number: int, side: int) -> _Basic:
        """The column of one edge of a contact's friction cone."""
        contact = self._edges_of[number]
        along, across = self._cone[side]
        column = [
            normal + along * first + across * second
            for normal, first, second in zip(
                contact.normal, contact.first, contact.second, strict=True
            )
        ]
        return _Basic(kind=CONTACT, index=number, column=column, upper=math.inf)

    def _pivot(self, row: int, shares: Row) -> None:
        """Put a column into a row of the basis; `shares` are the inverse times the column."""
        inverse = self._inverse
        whole = shares[row]
        key = [rate / whole for rate in inverse[row]]
        for number, share in enumerate(shares):
            if number == row:
                inverse[number] = key
            elif share:
                inverse[number] = without(inverse[number], share, key)

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
                        lines[row] = without(lines[row], share, lines[step])
        self._inverse = right
        self._price()

    def collapse(self, uppers: Sequence[float]) -> Solved:
        """How what was solved last gives way; `uppers` as they were."""
        motion, first = self._inverse[0], 3 * len(self.contacts)
        return Solved(
            velocities=tuple(motion),
            pressed=frozenset(
                basic.index
                for basic, value in zip(self._basis, self._values, strict=True)
                if basic.kind == CONTACT and value > TOLERANCE
            ),
            at_limit=tuple(
                number
                for number, high in enumerate(self._high)
                if high and uppers[number] and self._prices[first + number] < -TOLERANCE
            ),
            rows_at_limit=tuple(row for row in self.sums if motion[row] > TOLERANCE),
        )

    def forces(self, uppers: Sequence[float]) -> tuple[dict[int, Row], list[float]]:
        """What each contact that carries adds to the rows, and the part of each bounded column."""
        carried: dict[int, Row] = {}
        parts = [upper if high else 0.0 for high, upper in zip(self._high, uppers, strict=True)]
        for basic, value in zip(self._basis, self._values, strict=True):
            if basic.kind == BOUNDED:
                parts[basic.index] = value
            elif basic.kind == CONTACT:
                before = carried.get(basic.index, [0.0] * len(basic.column))
                carried[basic.index] = without(before, -value, basic.column)
        return carried, parts
