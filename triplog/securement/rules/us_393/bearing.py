"""Tie-downs that as written do not bear on the article they are said to hold.

393.110 asks for a number of tie-downs that secure an article: one that runs beside it secures
nothing, whatever its rating. Told only where the places on the deck show it.
"""

from triplog.securement.finding import Finding, Step, Verdict
from triplog.securement.geometry import NoRoute, Unrouted, route_of
from triplog.securement.model import Path, Plan
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope

_IDLE: tuple[NoRoute, ...] = ("beside the article", "no leg", "one point")


def bearing_findings(plan: Plan) -> tuple[Finding, ...]:
    """One finding about all of them; none where every tie-down bears, or nobody told where."""
    idle = [
        one
        for one in plan.tie_downs
        if one.path is Path.OVER
        and isinstance(route := route_of(one, plan), Unrouted)
        and route.why in _IDLE
    ]
    if not idle:
        return ()
    names = tuple(one.id for one in idle)
    articles = tuple(dict.fromkeys(article for one in idle for article in one.holds))
    return (
        Finding(
            rule="us-393.110-bearing",
            rule_set=RULE_SET,
            about=(*names, *articles),
            verdict=Verdict.DOES_NOT_MEET,
            scope=law_scope(plan),
            citation=citation("393.110"),
            steps=(Step(id="note.beside", values={"names": ", ".join(names)}),),
            mend=Step(id="mend.beside", values={"names": ", ".join(names)}),
        ),
    )
