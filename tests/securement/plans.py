"""Short ways to write invented plans: everything is told unless a test leaves it open."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from triplog.securement.finding import Finding, Value
from triplog.securement.model import (
    Anchor,
    Article,
    Block,
    Body,
    Commodity,
    Direction,
    EdgeProtection,
    Gear,
    GearKind,
    Path,
    Plan,
    Position,
    TieDown,
    Vehicle,
)
from triplog.securement.quantity import Dimension, Quantity, parse


def mass(text: str) -> Quantity:
    return parse(text, Dimension.MASS)


def length(text: str) -> Quantity:
    return parse(text, Dimension.LENGTH)


def force(text: str) -> Quantity:
    return parse(text, Dimension.FORCE)


FLATBED = Vehicle(
    name="flatbed",
    gross_mass=mass("80000 lb"),
    use="interstate business",
    deck_width=length("8 ft 6 in"),
    front_structure="none",
    body=Body.FLATBED,
)
OPEN_FORWARD = {Direction.FORWARD: Block(by="nothing")}


def article(
    name: str = "A", *, weighs: str | None = "6200 lb", long: str | None = "12 ft", **told: Any
) -> Article:
    """An article about which all is told: general, blunt, it neither rolls nor is blocked."""
    facts: dict[str, Any] = {
        "commodity": Commodity.GENERAL,
        "blocked": OPEN_FORWARD,
        "rolls": False,
        "contained": False,
        "sharp_edges": False,
        **told,
    }
    return Article(
        id=name,
        mass=None if weighs is None else mass(weighs),
        length=None if long is None else length(long),
        **facts,
    )


def strap(name: str = "S-1", *, wll: str | None = "3300 lb", **told: Any) -> Gear:
    """A ratchet strap 2 in wide with no damage found."""
    facts: dict[str, Any] = {
        "kind": GearKind.RATCHET_STRAP,
        "width": length("2 in"),
        "damage": (),
        **told,
    }
    return Gear(id=name, wll=None if wll is None else force(wll), **facts)


def chain(name: str = "C-1", *, wll: str | None = None, **told: Any) -> Gear:
    """A chain with no damage found."""
    facts: dict[str, Any] = {"kind": GearKind.CHAIN, "damage": (), **told}
    return Gear(id=name, wll=None if wll is None else force(wll), **facts)


def anchor(name: str, *, wll: str | None = "20000 lb", left_m: int | None = None) -> Anchor:
    at = None if left_m is None else Position(from_front_m=Fraction(2), left_m=Fraction(left_m))
    return Anchor(id=name, wll=None if wll is None else force(wll), at=at, kind="ring")


def tie_down(
    name: str = "T1",
    *,
    holds: Sequence[str] = ("A",),
    path: Path | None = Path.OVER,
    gear: str | None = "S-1",
    ends: tuple[str | None, str | None] | None = None,
    **told: Any,
) -> TieDown:
    """A tie-down on anchors of its own, named after it, without a knot, no protector needed."""
    start, end = ends if ends is not None else (f"L-{name}", f"R-{name}")
    facts: dict[str, Any] = {
        "knots": False,
        "edge_protection": EdgeProtection(needed=0, fitted=0),
        **told,
    }
    return TieDown(
        id=name, holds=tuple(holds), path=path, gear=gear, from_anchor=start, to=end, **facts
    )


def plan(
    articles: Iterable[Article],
    gear: Iterable[Gear] = (),
    tie_downs: Iterable[TieDown] = (),
    *,
    anchors: Iterable[Anchor] = (),
    vehicle: Vehicle = FLATBED,
    rules: tuple[str, ...] = ("us-393", "house"),
) -> Plan:
    """A plan; anchors that are named and not given are rings that hold 20,000 lb.

    What is contained stands in a sided body, where no other vehicle is given.
    """
    articles = tuple(articles)
    if vehicle is FLATBED and any(one.contained for one in articles):
        vehicle = replace(vehicle, body=Body.SIDED)
    tie_downs = tuple(tie_downs)
    given = {one.id: one for one in anchors}
    named = [end for one in tie_downs for end in (one.from_anchor, one.to) if end is not None]
    for name in named:
        given.setdefault(name, anchor(name))
    return Plan(
        rules=rules,
        vehicle=vehicle,
        anchors=tuple(given.values()),
        gear=tuple(gear),
        articles=articles,
        tie_downs=tie_downs,
    )


def strapped(
    weighs: str | None,
    ratings: Sequence[str | None],
    *,
    path: Path | None = Path.OVER,
    long: str | None = "12 ft",
    **told: Any,
) -> Plan:
    """One article under one strap of each rating (None: no rating marked), all on one path."""
    gear = [strap(f"S-{number}", wll=wll) for number, wll in enumerate(ratings, 1)]
    ties = [
        tie_down(f"T{number}", gear=f"S-{number}", path=path)
        for number in range(1, len(ratings) + 1)
    ]
    return plan([article(weighs=weighs, long=long, **told)], gear, ties)


def found(findings: Iterable[Finding], rule: str, about: str | None = None) -> Finding:
    """The one finding of a rule, about a thing if one is named."""
    fitting = [
        one for one in findings if one.rule == rule and (about is None or about in one.about)
    ]
    assert len(fitting) == 1, f"{len(fitting)} findings of {rule} about {about}"
    return fitting[0]


def value_of(value: Value | None) -> Fraction:
    """The number in an amount or a count, as a fraction."""
    assert value is not None and not isinstance(value, str)
    return Fraction(value if isinstance(value, int) else value.value)
