"""The forces at a value of the static estimate as tables and lines that anyone can add up.

Numbers stand without separators, in newtons and metres or in pounds and feet as the load's mass is
given, and are rounded to the nearest, so that sums come out to within a few of the last digit.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from triplog.securement.quantity import UNITS, Dimension
from triplog.wording.languages import words_of

if TYPE_CHECKING:  # what is not asked for is not imported
    from triplog.securement.equilibrium.account import Account, Acting, Balance, Balanced, Held
    from triplog.securement.equilibrium.on_paper import Pulled, Summed
    from triplog.securement.equilibrium.scene import Point
    from triplog.securement.rules.static.in_order import Judged

_WIDTH, _NAME, _AT, _FORCE = 100, 22, 8, 9
_DIGITS, _AT_DECIMALS, _RATIO_DECIMALS = 5, 3, 4
_USED_UP = 1e-6


def balance_lines(one: "Judged", language: str = "en") -> list[str]:
    """Routes, the sum that sets the value, the tables, and the parts against their limits."""
    from triplog.securement.rules.static.accounts import accounted, least_beside

    steps = words_of(language).steps
    told = _Told(one, steps)
    lines = list(told.routes())
    found = accounted(one)
    if found is not None:
        lines += told.account(found)
    elif one.told is not None and math.isfinite(one.told.withstands_g):
        lines += [steps["balance.none"]]
    beside = least_beside(one)
    if beside is not None:
        lines += ["", told.beside(beside.to_the_left_deg, beside.g)]
    return [part for line in lines for part in _wrapped(line)]


def account_document(one: "Judged") -> dict[str, Any]:
    """The same as plain values: newtons, metres, radians; None where there is nothing to tell."""
    from triplog.securement.rules.static.accounts import accounted, least_beside

    found, beside = accounted(one), least_beside(one)
    routes = [tie.route for tie in one.estimate.ties if tie.route is not None]
    return {
        "routes": [
            {"tie_down": route.tie_down, "points_m": [list(at) for at in route.line]}
            for route in routes
        ],
        "forces": None if found is None else asdict(found),
        "beside": None if beside is None else asdict(beside),
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class _Units:
    """The units of an account and how many decimals its forces and moments have."""

    force: str
    length: str
    short: str
    decimals: int

    def n(self, newtons: float) -> str:
        """A force."""
        return _number(newtons / _si(Dimension.FORCE, self.force), self.decimals)

    def nm(self, newton_metres: float) -> str:
        """A moment, in the unit of force times that of length."""
        whole = _si(Dimension.FORCE, self.force) * _si(Dimension.LENGTH, self.length)
        return _number(newton_metres / whole, self.decimals)

    def m(self, metres: float) -> str:
        """A length."""
        return _number(metres / _si(Dimension.LENGTH, self.length), _AT_DECIMALS)

    def at(self, point: "Point") -> str:
        """A point."""
        return f"({', '.join(self.m(entry) for entry in point)})"

    def small(self, metres: float) -> str:
        """How far something lengthens or slides."""
        return _number(metres / _si(Dimension.LENGTH, self.short), _AT_DECIMALS)

    def rate(self, n_per_m: float) -> str:
        """The force that each short length adds."""
        per = n_per_m * _si(Dimension.LENGTH, self.short) / _si(Dimension.FORCE, self.force)
        return _number(per, self.decimals + _AT_DECIMALS)


def _si(dimension: Dimension, unit: str) -> float:
    return float(UNITS[dimension][unit])


def _number(value: float, decimals: int) -> str:
    return f"{round(value, decimals) + 0.0:.{decimals}f}"


def _ratio(value: float) -> str:
    return _number(value, _RATIO_DECIMALS)


class _Told:
    """One value told in the units of its load."""

    def __init__(self, one: "Judged", steps: Mapping[str, str]) -> None:
        self.one, self.steps = one, steps
        masses = [each.mass for each in one.estimate.load.articles if each.mass is not None]
        us = bool(masses) and masses[0].is_us
        force, length, short = ("lb", "ft", "in") if us else ("N", "m", "mm")
        weight = sum(float(each.si) for each in masses) * one.estimate.assumed.gravity_m_s2
        whole = max(weight / _si(Dimension.FORCE, force), 1.0)
        decimals = min(3, max(0, _DIGITS - 1 - math.floor(math.log10(whole))))
        self.units = _Units(force=force, length=length, short=short, decimals=decimals)
        self.weakest = {tie.tie_down.id: tie.weakest for tie in one.estimate.ties}

    def say(self, step: str, **values: str) -> str:
        """The sentence of a line."""
        units = self.units
        return self.steps[f"balance.{step}"].format(
            force=units.force, length=units.length, short=units.short, **values
        )

    def routes(self) -> Iterator[str]:
        """The points of each tie-down that counts."""
        routes = [tie.route for tie in self.one.estimate.ties if tie.route is not None]
        if not routes:
            return
        yield self.say("routes")
        for route in routes:
            ends = {leg.anchor_at: f"{leg.anchor} " for leg in route.legs}
            course = " - ".join(f"{ends.get(at, '')}{self.units.at(at)}" for at in route.line)
            yield f"  {route.tie_down}: {course}"

    def beside(self, to_the_left_deg: int, g: float) -> str:
        """What it withstands a little off the direction."""
        return self.say(
            "beside",
            degrees=str(abs(to_the_left_deg)),
            direction=self.steps[f"balance.towards-{self.one.direction}"],
            towards=self.steps[f"balance.beside-{self.one.direction}-{to_the_left_deg > 0}"],
            g=_number(g, 3),
        )

    def account(self, found: "Account") -> Iterator[str]:
        """The sum, and each balance with its tables and limits."""
        if found.summed is not None:
            yield ""
            yield from self._sum(found.summed)
        for balance in found.balances:
            for table in balance.balanced:
                yield ""
                yield from self._table(table, balance)
            if balance.held:
                yield ""
                yield self.say("limits-" + balance.how.replace(" ", "-"))
                yield from (f"  {self._held(held)}" for held in balance.held)
        if not found.balances:
            yield self.say("none")
            return
        from triplog.securement.equilibrium.withstands import CONE_SIDES

        left = f"{100.0 * (1.0 - math.cos(math.pi / CONE_SIDES)):.1f} %"
        yield ""
        yield self.say("how", sides=str(CONE_SIDES), left=left)

    def _sum(self, one: "Summed") -> Iterator[str]:
        units, values = self.units, {"g": _number(one.g, 3)}
        if one.way == "tip":
            values |= {"edge": units.at(one.edge_m), "degrees": _number(one.facing_deg, 0)}
        way = f"sum-{one.way}" + ("" if one.movement else "-still")
        yield self.say(way, movement=self._movement(one), **values)
        for pull in one.pulled:
            yield f"  {self._pulled(pull, one.way)}"
        if one.way == "slide":
            yield from self._slides(one)
        else:
            yield from self._tips(one)

    def _movement(self, one: "Summed") -> str:
        return self.units.small(one.movement) if one.way == "slide" else f"{one.movement:.6f}"

    def _pulled(self, one: "Pulled", way: str) -> str:
        units = self.units
        tension = self.say("tension", tension=units.n(one.tension_n))
        if one.lengthens_m is not None and one.rate_n_per_m is not None:
            slack = one.retained_n + one.rate_n_per_m * one.lengthens_m < 0.0
            tension = self.say(
                "tension-slack" if slack else "tension-longer",
                retained=units.n(one.retained_n),
                rate=units.rate(one.rate_n_per_m),
                longer=units.small(one.lengthens_m),
                tension=units.n(one.tension_n),
            )
        if way == "tip":
            moment = units.nm(one.tension_n * one.arm_m)
            return f"{one.id}: {tension}; " + self.say(
                "pull-tip", arm=units.m(one.arm_m), tension=units.n(one.tension_n), moment=moment
            )
        return f"{one.id}: {tension}; " + self.say(
            "pull-slide",
            tension=units.n(one.tension_n),
            back_share=_ratio(one.back),
            back=units.n(one.tension_n * one.back),
            down_share=_ratio(one.down),
            down=units.n(one.tension_n * one.down),
        )

    def _slides(self, one: "Summed") -> Iterator[str]:
        units = self.units
        down = sum(pull.tension_n * pull.down for pull in one.pulled)
        back = sum(pull.tension_n * pull.back for pull in one.pulled)
        rubs = one.friction * max(0.0, one.pressing_n + down)
        if one.stops:
            yield "  " + self.say("stops", names=self._stops(one), pushed=units.n(one.stops_n))
        yield "  " + self.say(
            "slides",
            friction=_ratio(one.friction),
            pressing=units.n(one.pressing_n),
            down=units.n(down),
            rubs=units.n(rubs),
            back=units.n(back),
            stops=units.n(one.stops_n),
            held=units.n(rubs + back + one.stops_n),
            weight=units.n(one.weight_n),
            g=_number(one.g, 3),
        )

    def _tips(self, one: "Summed") -> Iterator[str]:
        units = self.units
        pulled = sum(pull.tension_n * pull.arm_m for pull in one.pulled)
        pushed = one.stops_n * one.stops_up_m
        if one.stops:
            yield "  " + self.say(
                "stops-up",
                names=self._stops(one),
                pushed=units.n(one.stops_n),
                up=units.m(one.stops_up_m),
                moment=units.nm(pushed),
            )
        standing = one.pressing_n * one.reach_m
        yield "  " + self.say(
            "tips",
            pressing=units.n(one.pressing_n),
            reach=units.m(one.reach_m),
            standing=units.nm(standing),
            pulled=units.nm(pulled),
            stops=units.nm(pushed),
            moment=units.nm(standing + pulled + pushed),
            weight=units.n(one.weight_n),
            up=units.m(one.height_m),
            g=_number(one.g * one.square, 3),
        )
        if one.square < 1.0 - _USED_UP:
            yield "  " + self.say("square", square=_ratio(one.square), g=_number(one.g, 3))

    def _stops(self, one: "Summed") -> str:
        return ", ".join(self._stop(name) for name in one.stops)

    def _stop(self, name: str) -> str:
        article, direction = name.rsplit(" ", 1)
        towards = self.steps[f"balance.towards-{direction}"]
        return self.say("stop", name=article, direction=towards)

    def _table(self, table: "Balanced", balance: "Balance") -> Iterator[str]:
        yield self.say(
            "table" if len(table.bodies) == 1 else "table-as-one",
            names=", ".join(one for one in self.one.estimate.load.ids if one in table.bodies),
            direction=self.steps[f"balance.towards-{self.one.direction}"],
            g=_number(balance.g, 3),
        )
        yield "  " + self.say("table-units", about=self.units.at(table.about_m))
        heads = ["x", "y", "z", "Fx", "Fy", "Fz", "Mx", "My", "Mz"]
        yield _row(self.say("force"), heads)
        sums = [0.0] * 6
        for acting in table.acting:
            entries = (*acting.force_n, *_moments(acting, table.about_m))
            sums = [held + added for held, added in zip(sums, entries, strict=True)]
            yield from _named(
                self._name(acting),
                [*(self.units.m(entry) for entry in acting.at_m), *self._entries(entries)],
            )
        yield _row(self.say("sum"), ["", "", "", *self._entries(sums)])
        for acting in table.acting:
            line = self._way(acting)
            if line:
                yield f"  {line}"

    def _entries(self, entries: Sequence[float]) -> list[str]:
        units = self.units
        return [units.n(entry) for entry in entries[:3]] + [
            units.nm(entry) for entry in entries[3:]
        ]

    def _name(self, one: "Acting") -> str:
        if one.kind == "stop":
            return self._stop(one.id)
        if one.kind == "contact" and not one.id:
            return self.say("contact-deck")
        return self.say(one.kind, name=one.id, to=self._anchor(one))

    def _anchor(self, one: "Acting") -> str:
        """The anchor point a leg leads to."""
        routes = [tie.route for tie in self.one.estimate.ties if tie.route is not None]
        for route in routes:
            for leg in route.legs:
                if route.tie_down == one.id and leg.anchor_at == one.to_m:
                    return leg.anchor
        return ""

    def _way(self, one: "Acting") -> str:
        """How a leg's force comes from its tension, and a contact's friction from its pressure."""
        units = self.units
        if one.to_m is not None:
            force = math.hypot(*one.force_n)
            return self.say(
                "way",
                name=self._name(one),
                run=units.m(math.dist(one.at_m, one.to_m)),
                to=units.at(one.to_m),
                newtons=units.n(force),
                way=f"({', '.join(_ratio(entry / force) for entry in one.force_n)})",
            )
        if one.normal is None:
            return ""
        normal = sum(a * b for a, b in zip(one.force_n, one.normal, strict=True))
        rubs = math.sqrt(max(0.0, math.hypot(*one.force_n) ** 2 - normal * normal))
        return self.say(
            "presses",
            name=self._name(one),
            at=units.at(one.at_m),
            normal=units.n(normal),
            rubs=units.n(rubs),
            friction=_ratio(one.friction),
            most=units.n(one.friction * normal),
        )

    def _held(self, one: "Held") -> str:
        units = self.units
        name = self._stop(one.id) if one.kind == "stop" else one.id
        values = {"name": name, "newtons": units.n(one.newtons)}
        if one.limit_n is None or one.most_n is None:
            return self.say(f"held-{one.kind}", **values)
        if one.most_n < one.limit_n * (1.0 - _USED_UP):
            most, limit = units.n(one.most_n), units.n(one.limit_n)
            return self.say("held-retained", most=most, limit=limit, **values)
        part = self.weakest.get(one.id, "") if one.kind == "tie-down" else ""
        values |= {"limit": units.n(one.limit_n), "part": f" ({part})" if part else ""}
        used_up = one.newtons >= one.limit_n * (1.0 - _USED_UP)
        return self.say("held-full" if used_up else "held-limit", **values)


def _wrapped(line: str) -> list[str]:
    """The line in as many as it takes, those after the first set in; rows of a table are short."""
    if len(line) <= _WIDTH:
        return [line]
    inner = " " * (len(line) - len(line.lstrip()) + 2)
    return wrap(line, _WIDTH, subsequent_indent=inner, break_on_hyphens=False)


def _moments(one: "Acting", about: "Point") -> tuple[float, float, float]:
    from triplog.securement.equilibrium.vectors import cross, less

    return cross(less(one.at_m, about), one.force_n)


def _named(name: str, entries: Sequence[str]) -> Iterator[str]:
    """A row of the table; a name too long for its column stands above it."""
    if len(name) > _NAME - 2:
        yield f"  {name}"
        name = ""
    yield _row(name, entries)


def _row(name: str, entries: Sequence[str]) -> str:
    at = "".join(f"{entry:>{_AT}}" for entry in entries[:3])
    return f"  {name:<{_NAME - 2}}{at}" + "".join(f"{entry:>{_FORCE}}" for entry in entries[3:])
