"""One assembly asked about a heading: plain limit, filtered limit, first-limit elastic value."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from triplog.securement.equilibrium.assembly import Assembly, Stop
from triplog.securement.equilibrium.balance import program_of
from triplog.securement.equilibrium.closed import (
    SLIGHT,
    Edge,
    Reached,
    edges_of,
    slide,
    slide_unmoved,
    squarely,
    tip,
    tip_unmoved,
)
from triplog.securement.equilibrium.mechanism import (
    Binding,
    Mode,
    edge_of,
    lowest_moving,
    mode_of,
)
from triplog.securement.equilibrium.simplex import Program, Solved

UNLIMITED = 1000.0
"""What a stop without a limit is given, in weights of the scene."""
BOUNDLESS_G = 100.0
"""A value above this is told as without limit."""
HOLDS_NOTHING = -1.0
REACHED = 1e-7
"""Values in g nearer than this are one where forces are told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One value in g, how the body gives way at it, and what binds."""

    g: float
    mode: Mode
    binds: tuple[Binding, ...]
    lowest: str
    movement_m: float = 0.0


class Limit(NamedTuple):
    """A value from the program (`solved`), or from a stop tipped over (`edge`, `stops`)."""

    g: float
    uppers: Sequence[float]
    solved: Solved | None = None
    edge: Edge | None = None
    stops: tuple[Stop, ...] = ()


class Carried(NamedTuple):
    """Newtons: three for each point of each patch in order, one for each tie-down up to a limit,
    one for each point of each stop."""

    contacts: list[float]
    tensions: list[float]
    stops: list[float]


class View:
    """An assembly with its program and the edges of its base, asked one heading after another."""

    __slots__ = (
        "_full",
        "_level",
        "_program",
        "_retained",
        "_stop_limits",
        "_tips",
        "assembly",
        "edges",
    )

    def __init__(self, assembly: Assembly, cone_sides: int) -> None:
        self.assembly = assembly
        self.edges = edges_of(assembly)
        self._program: Program = program_of(assembly, cone_sides)
        weight = assembly.weight_n
        self._full = [pull.limit_n / weight for pull in assembly.pulls]
        self._level = [pull.whole[:2] for pull in assembly.pulls]
        self._retained = [pull.retained_n / weight for pull in assembly.pulls]
        self._stop_limits = [
            min(UNLIMITED, stop.limit_n / weight) / len(stop.points_m) for stop in assembly.stops
        ]
        self._tips = [tip(assembly, edge) for edge in self.edges]

    @property
    def is_one(self) -> bool:
        """Whether it is one rigid body, for which the sums on paper hold."""
        return len(self.assembly.masses) == 1

    def stands(self) -> bool:
        """Whether it stands at rest on the pretension it retains; a stop may lean on it."""
        uppers = self._retained + self._stops(lambda _: True)
        there = self._program.solve(0.0, uppers)
        back = self._program.solve(math.pi, uppers)
        return there is not None and back is not None and min(there, back) > -SLIGHT

    def plain(self, heading_rad: float) -> Asked:
        """The limit with every force anywhere within its limits."""
        uppers = self._full + self._stops(lambda _: True)
        return self._told(self._limit(heading_rad, uppers))

    def filtered(self, heading_rad: float) -> Asked:
        """The limit with tensions a straight slide allows."""
        return self._told(self.filtered_limit(heading_rad))

    def filtered_g(self, heading_rad: float) -> float:
        """The value of `filtered` alone."""
        return self.filtered_limit(heading_rad, explained=False).g

    def least_g(self, heading_rad: float, known_g: float) -> float:
        """The elastic value, or `known_g` where that is less: less work than telling both."""
        heading = (math.cos(heading_rad), math.sin(heading_rad))
        if self.against(heading):
            return min(known_g, self.elastic(heading_rad).g)
        for _, tipping, square in self.facing(heading):
            known_g = min(known_g, tipping.value / square)
        return min(known_g, slide(self.assembly, heading, enough_g=known_g).value)

    def full(self) -> list[float]:
        """The bounds with every tie-down and stop in full."""
        return self._full + self._stops(lambda _: True)

    def carried(self, heading_rad: float, uppers: Sequence[float], g: float) -> Carried | None:
        """Forces within these bounds that balance at a value; None: there are none.

        What is between two such sets of forces balances between their values: here the most
        towards the heading and the most away from it.
        """
        most = self._program.solve(heading_rad, uppers)
        if most is None or g > most + REACHED:
            return None
        there = self._forces(uppers)
        least = self._program.solve(heading_rad + math.pi, uppers)
        if least is None or g < -least - REACHED:
            return None
        if g > most - REACHED or most + least < REACHED:
            return there
        back, share = self._forces(uppers), (g + least) / (most + least)
        return Carried(*(_between(share, *ends) for ends in zip(there, back, strict=True)))

    def _forces(self, uppers: Sequence[float]) -> Carried:
        """The forces of what was solved last."""
        weight, pulls = self.assembly.weight_n, len(self.assembly.pulls)
        carried, parts = self._program.forces(uppers)
        number, contacts = 0, list[float]()
        for patch in self.assembly.patches:
            for _ in patch.points_m:
                row = carried.get(number)
                first = 6 * patch.body
                force = (0.0, 0.0, 0.0) if row is None else row[first : first + 3]
                contacts += [weight * entry for entry in force]
                number += 1
        newtons = [weight * part for part in parts]
        return Carried(contacts, newtons[:pulls], newtons[pulls:])

    def _stops(self, counts: Callable[[Stop], bool]) -> list[float]:
        """The bounds of the points of the stops that count."""
        return [
            limit if counts(stop) else 0.0
            for stop, limit in zip(self.assembly.stops, self._stop_limits, strict=True)
            for _ in stop.points_m
        ]

    def _limit(
        self, heading_rad: float, uppers: Sequence[float], *, explained: bool = True
    ) -> Limit:
        g = self._program.solve(heading_rad, uppers)
        if g is None:
            return Limit(g=HOLDS_NOTHING, uppers=uppers)
        solved = self._program.collapse(uppers) if explained else None
        return Limit(g=math.inf if g > BOUNDLESS_G else g, uppers=uppers, solved=solved)

    def filtered_limit(self, heading_rad: float, *, explained: bool = True) -> Limit:
        """The filtered limit with the bounds it is found with."""
        heading = (math.cos(heading_rad), math.sin(heading_rad))
        tensions = [
            full if x * heading[0] + y * heading[1] < -SLIGHT else kept
            for (x, y), full, kept in zip(self._level, self._full, self._retained, strict=True)
        ]
        against = self.against(heading)
        moved = None
        if not against or tensions != self._retained:
            beside = self._stops(lambda stop: abs(squarely(stop, heading)) <= SLIGHT)
            moved = self._limit(heading_rad, tensions + beside, explained=explained)
        if not against:
            assert moved is not None
            return moved
        held = self._stops(lambda stop: squarely(stop, heading) >= -SLIGHT)
        unmoved = self._limit(heading_rad, self._retained + held, explained=explained)
        if self.is_one:
            over = self._over_stops(heading, against, adverse=False)
            if over.g < unmoved.g - SLIGHT:
                unmoved = over
        return unmoved if moved is None or unmoved.g >= moved.g else moved

    def against(self, heading: tuple[float, float]) -> tuple[Stop, ...]:
        """The stops that stand in the way."""
        return tuple(stop for stop in self.assembly.stops if squarely(stop, heading) > SLIGHT)

    def facing(self, heading: tuple[float, float]) -> list[tuple[Edge, Reached, float]]:
        """The edges it may tip over towards a heading, and how squarely they lie across it."""
        return [
            (edge, reached, square)
            for edge, reached in zip(self.edges, self._tips, strict=True)
            for square in [edge.facing[0] * heading[0] + edge.facing[1] * heading[1]]
            if square > SLIGHT
        ]

    def _over_stops(
        self, heading: tuple[float, float], against: tuple[Stop, ...], *, adverse: bool
    ) -> Limit:
        """The least g at which it tips, while the stops hold."""
        values = [
            (tip_unmoved(self.assembly, edge, against, adverse=adverse) / square, edge)
            for edge, _, square in self.facing(heading)
        ]
        g, edge = min(values, key=lambda value: value[0])
        return Limit(g=g, uppers=(), edge=edge, stops=against)

    def elastic(self, heading_rad: float) -> Asked:
        """The value when all tensions follow one movement up to the first part that is full.

        Of one body only.
        Where a stop stands in the way: before anything moves, or with the stop gone, whichever
        holds more.
        """
        heading = (math.cos(heading_rad), math.sin(heading_rad))
        moved = self._moved(heading)
        against = self.against(heading)
        if not against:
            return moved
        lowest = self.assembly.lowest
        over = self._over_stops(heading, against, adverse=True)
        sliding = slide_unmoved(self.assembly, heading, against)
        if max(moved.g, 0.0) > min(over.g, sliding):
            return moved
        if over.g <= sliding:
            return self._told(over)
        binds = tuple(Binding(kind="block", id=stop.id) for stop in against)
        return Asked(
            g=sliding, mode="slide", binds=(*binds, Binding(kind="face", id=lowest)), lowest=lowest
        )

    def _moved(self, heading: tuple[float, float]) -> Asked:
        """The least of sliding and of tipping over each edge in front, as far as each may go."""
        reached, edge = slide(self.assembly, heading), None
        g = reached.value
        for one, tipping, square in self.facing(heading):
            if tipping.value < g * square:
                g, edge, reached = tipping.value / square, one, tipping
        where, movement = Binding(kind="face", id=self.assembly.lowest), reached.movement
        if edge is not None:
            where = Binding(kind="edge", id=_degrees(edge))
            movement *= self.assembly.cog_m[2] - edge.point_m[2]
        full = [
            Binding(kind="anchor" if one in self.assembly.anchors_n else "strap", id=one)
            for one in reached.full
        ]
        return Asked(
            g=g,
            mode="slide" if edge is None else "tip",
            binds=(*full, where),
            lowest=self.assembly.lowest,
            movement_m=movement,
        )

    def _told(self, limit: Limit) -> Asked:
        """A limit with its mechanism and what binds at it."""
        lowest = self.assembly.lowest
        if limit.edge is not None:
            stops = [Binding(kind="stop", id=stop.id) for stop in limit.stops]
            edge = Binding(kind="edge", id=_degrees(limit.edge))
            return Asked(g=limit.g, mode="tip", binds=(*stops, edge), lowest=lowest)
        if limit.solved is None:
            where = Binding(kind="face", id=lowest)
            return Asked(g=limit.g, mode="lift", binds=(where,), lowest=lowest)
        solved = limit.solved
        mode = mode_of(self.assembly, solved)
        if not self.is_one:
            lowest = lowest_moving(self.assembly, solved)
        where = Binding(kind="face", id=lowest)
        if mode == "tip":
            where = Binding(kind="edge", id=_degrees(edge_of(self.assembly, solved, self.edges)))
        binds = [*self._full_parts(solved, limit.uppers), where]
        return Asked(g=limit.g, mode=mode, binds=tuple(binds), lowest=lowest)

    def _full_parts(self, solved: Solved, uppers: Sequence[float]) -> Iterator[Binding]:
        """What the prices say holds the value down."""
        stops = [stop.id for stop in self.assembly.stops for _ in stop.points_m]
        told = set()
        for number in solved.at_limit:
            if number >= len(self.assembly.pulls):
                binding = Binding(kind="block", id=stops[number - len(self.assembly.pulls)])
            elif uppers[number] < self._full[number]:
                binding = Binding(kind="pretension", id=self.assembly.pulls[number].id)
            else:
                binding = Binding(kind="strap", id=self.assembly.pulls[number].id)
            if binding not in told:
                told.add(binding)
                yield binding
        first = 6 * len(self.assembly.masses)
        anchors = list(self.assembly.anchors_n)
        for row in solved.rows_at_limit:
            yield Binding(kind="anchor", id=anchors[row - first])


def _degrees(edge: Edge) -> str:
    """The heading an edge faces, in whole degrees."""
    return f"{round(edge.facing_deg) % 360}"


def _between(share: float, there: list[float], back: list[float]) -> list[float]:
    return [share * one + (1.0 - share) * other for one, other in zip(there, back, strict=True)]
