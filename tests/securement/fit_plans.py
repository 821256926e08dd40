"""A crate on a deck under two straps of which all that `fit` asks is told, to be changed."""

from fractions import Fraction
from typing import Any

from tests.securement.plans import article, length, plan, strap, tie_down
from triplog.securement.assess import assess
from triplog.securement.finding import Finding
from triplog.securement.model import (
    Anchor,
    Article,
    EdgeProtection,
    Gear,
    Part,
    Plan,
    Position,
    TieDown,
)

HOOKS = (Part(kind="flat hook"), Part(kind="flat hook"))


def at(back_m: str, left_m: str, up_m: str | None = None) -> Position:
    return Position(
        from_front_m=Fraction(back_m),
        left_m=Fraction(left_m),
        up_m=None if up_m is None else Fraction(up_m),
    )


def pocket(name: str, back_m: str = "2", left_m: str = "1.25", **told: Any) -> Anchor:
    """A stake pocket that takes flat hooks 50 mm wide."""
    facts: dict[str, Any] = {
        "kind": "stake pocket",
        "accepts": ("flat hook",),
        "opening": length("60 mm"),
        "at": at(back_m, left_m),
        **told,
    }
    return Anchor(id=name, **facts)


def pockets() -> list[Anchor]:
    """L1, R1 2 m and L2, R2 3 m back, 1.25 m from the centre line."""
    return [
        pocket(f"{side}{number}", back, f"{sign}1.25")
        for number, back in ((1, "2"), (2, "3"))
        for side, sign in (("L", ""), ("R", "-"))
    ]


def crate(name: str = "A", **told: Any) -> Article:
    """3 m long, 2 m wide, 1.5 m high, 1 m behind the deck's front, with blunt edges."""
    facts: dict[str, Any] = {
        "long": "3 m",
        "weighs": "2800 kg",
        "width": length("2 m"),
        "height": length("1.5 m"),
        "at": at("1", "0"),
        "stands_unaided": True,
        **told,
    }
    return article(name, **facts)


def hooked(name: str = "S-1", **told: Any) -> Gear:
    """A ratchet strap 50 mm wide and 8 m long with two flat hooks."""
    facts: dict[str, Any] = {
        "length": length("8 m"),
        "width": length("50 mm"),
        "fittings": HOOKS,
        **told,
    }
    return strap(name, **facts)


def over(name: str = "T1", gear: str | None = "S-1", **told: Any) -> TieDown:
    """Over the top between the pockets that have its number, two protectors fitted."""
    facts: dict[str, Any] = {
        "ends": (f"L{name[1:]}", f"R{name[1:]}"),
        "edge_protection": EdgeProtection(needed=2, fitted=2),
        **told,
    }
    return tie_down(name, gear=gear, **facts)


def judged(
    articles: list[Article] | None = None,
    gear: list[Gear] | None = None,
    ties: list[TieDown] | None = None,
    anchors: list[Anchor] | None = None,
) -> tuple[Finding, ...]:
    """The findings of `fit` about a plan; what is not given is as above."""
    whole: Plan = plan(
        articles if articles is not None else [crate()],
        gear if gear is not None else [hooked("S-1"), hooked("S-2")],
        ties if ties is not None else [over("T1", "S-1"), over("T2", "S-2")],
        anchors=anchors if anchors is not None else pockets(),
        rules=("fit",),
    )
    return assess(whole)


def of(findings: tuple[Finding, ...], rule: str) -> list[Finding]:
    return [one for one in findings if one.rule == rule]


def steps(finding: Finding) -> list[str]:
    return [step.id for step in finding.steps]


def asked(finding: Finding) -> set[tuple[str, str]]:
    return {(one.about, one.field) for one in finding.unknown}
