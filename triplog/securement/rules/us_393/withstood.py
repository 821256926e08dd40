"""The performance criteria of 49 CFR 393.102(a), one way at a time, each against its own limit.

(a)(1): 0.8 g forward, 0.5 g rearward and 0.5 g sideways against breaking strength; (a)(2): 0.435 g,
0.5 g and 0.25 g against the working load limit. 393.102(c) deems them met where the cargo is
immobilized, stands closely packed in a sided vehicle whose walls are strong enough, or is held as
393.104 to 393.136 say; so where every other finding meets, these are a yardstick.
"""

from triplog.securement.breaking import breaking_n
from triplog.securement.figures import acceleration
from triplog.securement.finding import Finding
from triplog.securement.model import Plan
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.counted import counted
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope
from triplog.securement.rules.us_393.ways import (
    WAYS,
    Against,
    Limit,
    pulls_of,
    rating_n,
    ways_findings,
)


def withstood_findings(group: Group, plan: Plan, *, deemed: bool) -> tuple[Finding, ...]:
    """Six findings about a group; `deemed` is whether all else about its articles meets."""
    against = (
        _against("breaking", "breaking strength", "393.102(a)(1)", breaking_n, plan),
        _against("wll", "working load limit", "393.102(a)(2)", rating_n, plan),
    )
    pulls = pulls_of(counted(group.tie_downs, plan), plan, against)
    return tuple(
        finding
        for each, its_pulls in zip(against, pulls, strict=True)
        for finding in ways_findings(group, plan, each, its_pulls, deemed=deemed)
    )


def _against(word: str, figures: str, clause: str, limit: Limit, plan: Plan) -> Against:
    return Against(
        rule=f"us-393.102-{word}",
        rule_set=RULE_SET,
        citation=citation(clause),
        scope=law_scope(plan),
        limit_word=figures,
        shares={way: acceleration(figures, way).g for way in WAYS},
        limit=limit,
        marked=word == "breaking",
        contained_note="note.contained-102",
        deemed_note="note.deemed",
        also_note="note.also-deemed",
    )
