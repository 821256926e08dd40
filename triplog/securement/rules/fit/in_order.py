"""The rules of gear that fits, in the order in which one would look: ends, reach, edges, kinds."""

from dataclasses import replace

from triplog.securement.finding import Finding, Step
from triplog.securement.geometry import route_of
from triplog.securement.model import Plan
from triplog.securement.rules.fit.anchors import angle_findings, shared_anchor_findings
from triplog.securement.rules.fit.contradictions import (
    contained_findings,
    gear_once_findings,
    tension_findings,
)
from triplog.securement.rules.fit.edges import fit_edges_findings
from triplog.securement.rules.fit.hooks import hook_findings
from triplog.securement.rules.fit.kinds import chain_findings, mixing_findings
from triplog.securement.rules.fit.length import length_findings
from triplog.securement.rules.fit.standing import standing_findings


def fit_findings(plan: Plan) -> tuple[Finding, ...]:
    """Every finding about the fit of the gear; the last says once that it is not for lifting."""
    routes = {one.id: route_of(one, plan) for one in plan.tie_downs}
    *others, last = (
        *hook_findings(plan),
        *length_findings(plan, routes),
        *fit_edges_findings(plan, routes),
        *mixing_findings(plan),
        *chain_findings(plan),
        *shared_anchor_findings(plan),
        *angle_findings(plan, routes),
        *tension_findings(plan),
        *gear_once_findings(plan),
        *contained_findings(plan),
        *standing_findings(plan),
    )
    return (*others, replace(last, steps=(*last.steps, Step(id="note.fit-no-lifting"))))
