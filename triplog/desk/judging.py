"""Judging a plan: a trip's own, or one in a file."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, cast

from triplog.desk.refused import Refused
from triplog.journal.entries import Body, Draft, Entry, canonical, hash_of
from triplog.securement.assess import assess_and_estimate, rule_sets_used
from triplog.securement.finding import Finding, Verdict
from triplog.securement.model import Plan, PlanRefused
from triplog.securement.plan_file import journal_document, read_plan
from triplog.securement.plan_names import RULE_SETS
from triplog.securement.plan_read import plan_from_document
from triplog.version import __version__
from triplog.wording.document import findings_document
from triplog.wording.envelope import envelope_entries, recorded

if TYPE_CHECKING:  # a plan file is judged without a journal
    from triplog.desk.desk import Desk
    from triplog.journal.trip import Trip
    from triplog.securement.rules.static.in_order import Judged

# Whether the gear fits is asked of every trip; a plan file asks for it by name.
_ALWAYS = "fit"
UNSETTLED = frozenset({Verdict.DOES_NOT_MEET, Verdict.CANNOT_TELL})


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """A plan with its findings; `estimated` is what the static estimate worked out for them."""

    plan: Plan
    plan_sha256: str
    findings: tuple[Finding, ...]
    estimated: "tuple[Judged, ...]"

    @property
    def document(self) -> Body:
        """The findings file that says the same; made anew each time, for few ask for it."""
        return findings_document(
            self.findings,
            self.plan_sha256,
            __version__,
            rule_sets_used(self.plan),
            envelope=envelope_entries(self.estimated),
        )

    @property
    def unsettled(self) -> tuple[Finding, ...]:
        """What does not meet or cannot be told."""
        return tuple(one for one in self.findings if one.verdict in UNSETTLED)


def judge_file(data: bytes, name: str) -> Judgement:
    """Judge a plan file without any trip or store."""
    try:
        plan_file = read_plan(data, name)
    except PlanRefused as problem:
        raise Refused(str(problem)) from problem
    return _judge(plan_file.plan, plan_file.sha256)


def with_rules(plan: Plan, rules: tuple[str, ...]) -> Plan:
    """The plan to be judged by other rule sets; none named: by its own. Raises Refused."""
    unknown = [name for name in rules if name not in RULE_SETS]
    if unknown:
        raise Refused(f"there is no rule set {unknown[0]!r}; known are {', '.join(RULE_SETS)}")
    return replace(plan, rules=tuple(dict.fromkeys(rules))) if rules else plan


def judge_trip(trip: "Trip") -> Judgement:
    """Judge the plan in force of a trip, and whether its gear fits; records nothing."""
    document = trip.document
    if document is None or not trip.article_ids:
        raise Refused(
            f"the plan of trip {trip.label} holds no article yet; `triplog article add` adds one"
        )
    return judge_document(document)


def judge_document(document: Body) -> Judgement:
    """Judge a plan document of the journal, and whether its gear fits; records nothing."""
    plan = plan_from_document(document)
    if _ALWAYS not in plan.rules:
        plan = replace(plan, rules=(*plan.rules, _ALWAYS))
    return _judge(plan, hash_of(canonical(journal_document(document))))


def judge_and_record(desk: "Desk", trip: "Trip") -> tuple[Judgement, Entry]:
    """Judge the plan in force and record the findings as judged."""
    from triplog.journal.trip import OPEN_STATES

    if trip.state not in OPEN_STATES:
        raise Refused(f"trip {trip.label} is {trip.state}; `triplog plan show` has its findings")
    judgement = judge_trip(trip)
    with desk.writing() as writing:
        draft = judgement_draft(desk, trip, judgement)
        return judgement, desk.append(writing, draft, may_repeat=True)


def judgement_draft(desk: "Desk", trip: "Trip", judgement: Judgement) -> Draft:
    """The draft that records a judgement of the plan in force."""
    plan = trip.plan
    assert plan is not None, "a judged plan is there"
    document = judgement.document
    envelope = recorded(cast(list[dict[str, Any]], document["envelope"]))
    return desk.draft(
        "plan_judged",
        {
            "revision": plan.entry.hash,
            "findings": {**document, "envelope": envelope},
        },
        trip=trip.id,
    )


def recorded_findings(trip: "Trip") -> Body | None:
    """The findings file of the plan in force as it was judged; None: not judged."""
    judged = trip.judgement
    return None if judged is None else cast(Body, judged.entry.body["findings"])


def _judge(plan: Plan, sha256: str) -> Judgement:
    findings, estimated = assess_and_estimate(plan)
    return Judgement(plan=plan, plan_sha256=sha256, findings=findings, estimated=estimated)
