"""Invented boxes on a deck with places told, for rules that look at the angles of the legs."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from math import radians, tan
from typing import Any

from tests.securement.plans import anchor, article, force, length, plan, strap, tie_down
from triplog.securement.model import (
    Anchor,
    Article,
    Block,
    Direction,
    Gear,
    Path,
    Plan,
    Position,
    TieDown,
)

NOT_BLOCKED = {direction: Block(by="nothing") for direction in Direction}


def box(weighs: str | None = "1000 kg", *, friction: str | None = "0.4", **told: Any) -> Article:
    """A box 2 m wide, 2 m long and 1 m high, 1 m back from the front, blocked by nothing."""
    facts: dict[str, Any] = {
        "width": length("2 m"),
        "height": length("1 m"),
        "at": Position(from_front_m=Fraction(1), left_m=Fraction(0)),
        "friction": None if friction is None else Decimal(friction),
        "blocked": NOT_BLOCKED,
        **told,
    }
    return article(weighs=weighs, long="2 m", **facts)


def blocks(**by_direction: str | None) -> Mapping[Direction, Block]:
    """Blocked by timber in the directions named, holding what is given (None: not told)."""
    return NOT_BLOCKED | {
        Direction(name): Block(by="timber", rated=None if rated is None else force(rated))
        for name, rated in by_direction.items()
    }


def beside(name: str, side: int, out_m: Fraction, *, wll: str | None = "20 t") -> Anchor:
    """An anchor at the deck, `out_m` outside the box's edge; side 1 left, -1 right."""
    at = Position(from_front_m=Fraction(2), left_m=side * (1 + out_m))
    return replace(anchor(name, wll=wll), at=at)


def outside_m(angle_deg: float) -> Fraction:
    """How far outside the edge of a box 1 m high a leg meets the deck at this angle."""
    return Fraction(0) if angle_deg == 90 else Fraction(1 / tan(radians(angle_deg)))


def over(
    *articles: Article,
    tension: Sequence[str | None] = ("300 kg",),
    angle_deg: float = 90,
    gear: Gear | None = None,
    rules: tuple[str, ...] = ("au-lrg",),
    **told: Any,
) -> Plan:
    """A tie-down of each tension over all articles, both legs at the angle."""
    out_m = outside_m(angle_deg)
    holds = [one.id for one in articles]
    ties, anchors, items = [], [], []
    for number, pulled in enumerate(tension, 1):
        ends = (f"L{number}", f"R{number}")
        item = replace(gear or strap(wll="2500 kg"), id=f"S-{number}")
        items.append(item)
        anchors += [beside(ends[0], 1, out_m), beside(ends[1], -1, out_m)]
        ties.append(
            tie_down(
                f"T{number}",
                holds=holds,
                gear=item.id,
                ends=ends,
                tension=None if pulled is None else force(pulled),
                **told,
            )
        )
    return plan(articles, items, ties, anchors=anchors, rules=rules)


def direct(
    one: Article,
    runs: Sequence[tuple[float, float, float]],
    gear: Gear,
    rules: tuple[str, ...] = ("au-lrg",),
) -> Plan:
    """A direct lashing to each anchor that lies (back, left, down) metres from its fitting.

    The fitting is in the middle of the box's top.
    """
    fitting = Position(from_front_m=Fraction(2), left_m=Fraction(0), up_m=Fraction(1))
    ties: list[TieDown] = []
    anchors: list[Anchor] = []
    items: list[Gear] = []
    for number, (back, left, down) in enumerate(runs, 1):
        name = f"A{number}"
        at = Position(
            from_front_m=fitting.from_front_m + Fraction(back),
            left_m=Fraction(left),
            up_m=Fraction(1) - Fraction(down),
        )
        anchors.append(replace(anchor(name, wll="50 t"), at=at))
        items.append(replace(gear, id=f"C-{number}"))
        ties.append(
            tie_down(
                f"T{number}",
                gear=f"C-{number}",
                path=Path.DIRECT,
                ends=(name, f"eye {number}"),
                touches=(fitting,),
            )
        )
    return plan([one], items, ties, anchors=anchors, rules=rules)
