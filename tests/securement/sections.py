"""Short ways to write plans for the commodity sections, and to ask what they say."""

from collections.abc import Iterable
from typing import Any

from tests.securement.plans import FLATBED, chain, found, plan, tie_down
from triplog.securement.assess import assess
from triplog.securement.cargo_facts import QUESTIONS, Answer
from triplog.securement.finding import Finding
from triplog.securement.model import Article, TieDown, Vehicle


def all_yes(section: str) -> dict[str, Answer]:
    """Every question of a section answered with yes; `section` as "120"."""
    return {one.id: "yes" for one in QUESTIONS if one.id.startswith(section)}


def ties(*told: dict[str, Any], holds: tuple[str, ...] = ("A",)) -> tuple[TieDown, ...]:
    """A tie-down of one chain for each set of facts: T1, T2 ..."""
    return tuple(
        tie_down(f"T{number}", **{"holds": holds, "gear": "C-1", **facts})
        for number, facts in enumerate(told, 1)
    )


def judged(
    articles: Iterable[Article],
    tie_downs: Iterable[TieDown] = (),
    *,
    wll: str | None = "20000 lb",
    vehicle: Vehicle = FLATBED,
) -> tuple[Finding, ...]:
    """The findings of 49 CFR 393 about the articles, held by chains of one rating."""
    whole = plan(articles, [chain(wll=wll)], tie_downs, vehicle=vehicle, rules=("us-393",))
    return assess(whole)


def said(findings: Iterable[Finding], rule: str, about: str | None = None) -> str:
    """The verdict of a rule, in its words."""
    return str(found(findings, rule, about).verdict)
