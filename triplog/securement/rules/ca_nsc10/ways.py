"""The performance criteria along the deck: 0.8 forward, 0.5 rearward and to either side.

NSC Standard 10 s.5, as the regulation of Quebec writes it (C-24.2 r.30 s.3(1) and (3)): what a
system must give that stands instead of the count and the sum, with no part beyond its working load
limit. So it is a yardstick where both of those are settled. What is not marked has no limit to
count with, and an unmarked friction mat holds nothing.
"""

from dataclasses import replace
from decimal import Decimal

from triplog.securement.ends import Ends
from triplog.securement.figures import figure
from triplog.securement.finding import Finding, Missing
from triplog.securement.model import Gear, GearKind, Plan, TieDown
from triplog.securement.rating import Defaults, nothing_for
from triplog.securement.rules.ca_nsc10.scope import RULE_SET, TABLE, law_scope
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.ways import WAYS, Against, pulls_of, rating_n, ways_findings


def way_findings(group: Group, plan: Plan, *, stands: bool) -> tuple[Finding, ...]:
    """Three findings about a group; `stands` is whether its count and sum are settled."""
    marked = _by_marked_mats(plan)
    counting = [one for one in group.tie_downs if nothing_for(one, marked, Defaults.CANADA) is None]
    against = _against(plan)
    (pulls,) = pulls_of(counting, marked, (against,))
    return tuple(ways_findings(group, marked, against, pulls, deemed=stands))


def _against(plan: Plan) -> Against:
    shares = {way: figure(f"share-{way}", TABLE) for way in WAYS}
    return Against(
        rule="ca-nsc10-way",
        rule_set=RULE_SET,
        citation=shares["forward"].citation,
        scope=law_scope(plan),
        limit_word="working load limit",
        shares={way: one.value_si for way, one in shares.items()},
        limit=_limit,
        marked=False,
        contained_note="note.contained-down",
        deemed_note="note.ca-equivalent",
        also_note="note.ca-instead",
    )


def _limit(tie_down: TieDown, plan: Plan) -> tuple[Ends, tuple[Missing, ...]]:
    return rating_n(tie_down, plan, Defaults.CANADA)


def _by_marked_mats(plan: Plan) -> Plan:
    """The plan with unmarked friction mats that hold nothing, as since June 2013."""

    def heard(gear: Gear) -> Gear:
        unmarked = gear.wll is None and gear.friction is None
        is_mat = gear.kind is GearKind.FRICTION_MAT
        return replace(gear, friction=Decimal(0)) if is_mat and unmarked else gear

    gear = tuple(heard(one) for one in plan.gear)
    return plan if gear == plan.gear else replace(plan, gear=gear)
