"""Invented plans for EN 12195-1: one article on a deck, in metres, lashings by their places."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from tests.securement.plans import force, found, length, mass
from triplog.securement.assess import assess
from triplog.securement.finding import Finding
from triplog.securement.model import (
    Anchor,
    Article,
    Block,
    Direction,
    Gear,
    GearKind,
    Path,
    Plan,
    Position,
    TieDown,
    Vehicle,
)
from triplog.securement.quantity import Amount

TRAILER = Vehicle(name="trailer", gross_mass=mass("40 t"))
UNBLOCKED = {direction: Block(by="nothing") for direction in Direction}
Place = tuple[str, str, str]


def position(x_m: str, y_m: str, z_m: str | None = None) -> Position:
    """Metres back from the deck front, to the left, and up."""
    up = None if z_m is None else Fraction(z_m)
    return Position(from_front_m=Fraction(x_m), left_m=Fraction(y_m), up_m=up)


def crate(**told: Any) -> Article:
    """4 m long, 2 m wide, 1 m high, 10 t on 0.3, from 1 m to 5 m on the centre line."""
    facts: dict[str, Any] = {
        "id": "A",
        "mass": mass("10 t"),
        "length": length("4 m"),
        "width": length("2 m"),
        "height": length("1 m"),
        "at": position("1", "0"),
        "friction": Decimal("0.3"),
        "blocked": UNBLOCKED,
        **told,
    }
    return Article(**facts)


def webbing(
    name: str, *, lc: str | None = "2500 daN", stf: str | None = "350 daN", **told: Any
) -> Gear:
    """A ratchet strap with a European label."""
    facts: dict[str, Any] = {"kind": GearKind.RATCHET_STRAP, "damage": (), **told}
    return Gear(
        id=name,
        lc=None if lc is None else force(lc),
        stf=None if stf is None else force(stf),
        **facts,
    )


def ring(name: str, x_m: str, y_m: str, *, wll: str | None = "2000 daN", **told: Any) -> Anchor:
    """An anchor point on the deck."""
    facts: dict[str, Any] = {"kind": "ring", **told}
    return Anchor(id=name, at=position(x_m, y_m), wll=None if wll is None else force(wll), **facts)


def over(number: int, x_m: str, *, half_m: str = "1", **told: Any) -> tuple[TieDown, list[Anchor]]:
    """Crosswise over the top at `x_m`, its anchor points `half_m` off the centre line: upright."""
    name = f"T{number}"
    ends = [ring(f"L{number}", x_m, half_m), ring(f"R{number}", x_m, f"-{half_m}")]
    facts: dict[str, Any] = {"path": Path.OVER, "gear": f"S{number}", **told}
    tie = TieDown(id=name, holds=("A",), from_anchor=ends[0].id, to=ends[1].id, **facts)
    return tie, ends


def direct(
    number: int, anchor_at: tuple[str, str], touch: Place, *, gear: str = "S1", **told: Any
) -> tuple[TieDown, list[Anchor]]:
    """From an anchor point to a place on the article."""
    end = ring(f"D{number}", *anchor_at)
    facts: dict[str, Any] = {"path": Path.DIRECT, "to": "lug", **told}
    tie = TieDown(
        id=f"C{number}", holds=("A",), from_anchor=end.id, gear=gear,
        touches=(position(*touch),), **facts,
    )  # fmt: skip
    return tie, [end]


def en_plan(
    article: Article,
    lashed: Iterable[tuple[TieDown, Sequence[Anchor]]] = (),
    *,
    gear: Sequence[Gear] | None = None,
    anchors: Iterable[Anchor] = (),
    vehicle: Vehicle = TRAILER,
    more: Iterable[Article] = (),
    **told: Any,
) -> Plan:
    """A plan judged by EN 12195-1 alone; every gear named and not given is a strap of 350 daN."""
    lashed = list(lashed)
    given = {one.id: one for one in gear or ()}
    for tie, _ in lashed:
        if tie.gear is not None:
            given.setdefault(tie.gear, webbing(tie.gear))
    ends = {one.id: one for _, each in lashed for one in each}
    ends |= {one.id: one for one in anchors}
    return Plan(
        rules=("en-12195-1",),
        vehicle=vehicle,
        anchors=tuple(ends.values()),
        gear=tuple(given.values()),
        articles=(article, *more),
        tie_downs=tuple(tie for tie, _ in lashed),
        **told,
    )


def spread(number: int, **told: Any) -> list[tuple[TieDown, list[Anchor]]]:
    """So many lashings over the top, evenly over the crate: in line with its middle."""
    return [over(one, str(Fraction(4 * (2 * one - 1), 2 * number) + 1), **told)
            for one in range(1, number + 1)]  # fmt: skip


def four_chains(angle_rise_m: str = "0.5") -> list[tuple[TieDown, list[Anchor]]]:
    """Two chains pulling forward and two rearward, alike, from the sides of the crate outwards."""
    return [
        direct(1, ("0", "1"), ("1", "1", angle_rise_m)),
        direct(2, ("0", "-1"), ("1", "-1", angle_rise_m)),
        direct(3, ("6", "1"), ("5", "1", angle_rise_m)),
        direct(4, ("6", "-1"), ("5", "-1", angle_rise_m)),
    ]


def judged(whole: Plan, mode: str, direction: str) -> Finding:
    """The one finding of a mode ("slide", "tip") and direction about A."""
    return found(assess(whole), f"en-12195-1-{mode}-{direction}", "A")


def dan(measure: object) -> float:
    """A force in daN, or a moment in kNm."""
    assert isinstance(measure, Amount)
    return float(measure.value)


def steps_of(finding: Finding) -> set[str]:
    """The ids of its steps."""
    return {step.id for step in finding.steps}
