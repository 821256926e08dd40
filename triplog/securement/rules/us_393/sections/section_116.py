"""Logs: 49 CFR 393.116. An article is a stack, or the stacks side by side that share tie-downs.

The count and, on frame and flatbed vehicles, the share of the weight are the section's own. Enough
wrappers round the whole load stand for tie-downs; what they add to the combined rating the text
does not say.
"""

from triplog.securement.figures import figure
from triplog.securement.finding import Finding, Missing, Verdict
from triplog.securement.model import Article, Body, Direction, Plan, TieDown
from triplog.securement.rules.blocking import blocked, blocked_forward
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.sections.answered import answered_finding
from triplog.securement.rules.us_393.sections.facts import (
    count_fact,
    missing_facts,
    told_inputs,
    yes_fact,
)
from triplog.securement.rules.us_393.sections.kinds import Asked, Kind, kinds_finding
from triplog.securement.rules.us_393.sections.limits import (
    Limit,
    counted_fact,
    limit_finding,
    printed_count,
)
from triplog.securement.rules.us_393.sections.logs import (
    crosswise,
    enclosed,
    measured,
    questions,
    two_stacks,
    wrapped,
)
from triplog.securement.rules.us_393.sections.said import said
from triplog.securement.rules.us_393.sections.section import Section
from triplog.securement.rules.us_393.sections.shares import share_finding

_NUMBER = "393.116"
_COUNT, _AGGREGATE = f"us-{_NUMBER}-count", f"us-{_NUMBER}-aggregate"
_SIXTH = frozenset({Body.FRAME, Body.FLATBED, Body.LOWBOY})


def _findings(articles: tuple[Article, ...], plan: Plan) -> tuple[Finding, ...]:
    findings: list[Finding] = []
    for stack in articles:
        asked, unknown = questions(stack, plan)
        findings.append(_count(stack, plan))
        findings += measured(stack, plan)
        findings.append(answered_finding(_NUMBER, (stack,), plan, asked, unknown))
    return tuple(findings)


def _count(stack: Article, plan: Plan) -> Finding:
    body = plan.vehicle.body
    if enclosed(stack, plan):
        return _none_asked(stack, plan, "393.116(a)(3)", "note.logs-enclosed")
    if body is Body.CRIB_TYPE:
        return _none_asked(stack, plan, "393.116(b)(3)", "note.logs-crib")
    if body is None:
        return _number(stack, plan, _NUMBER, Kind(step="required.logs-open", low=0, high=None))
    if body is not Body.POLE_TRAILER and crosswise(stack):
        return _crosswise(stack, plan)
    if wrapped(stack) and (body is Body.POLE_TRAILER or crosswise(stack) is False):
        return _wrappers(stack, plan)
    if body is Body.POLE_TRAILER:
        return _pole(stack, plan)
    if crosswise(stack) is None:
        kind = Kind(step="required.logs-open", low=_or_wrapped(stack, 1), high=None)
        return _number(stack, plan, _NUMBER, kind, "logs_lie")
    return _lengthwise(stack, plan)


def _none_asked(stack: Article, plan: Plan, clause: str, note: str) -> Finding:
    return said(_COUNT, clause, (stack.id,), plan, Verdict.DOES_NOT_APPLY, note)


def _crosswise(stack: Article, plan: Plan) -> Finding:
    """(d)(2): two along the load over one stack; (d)(6)(iv): one over each of two stacks."""
    number = int(figure("logs-crosswise").value_us)
    stacks = count_fact(stack, "stacks")
    if stacks is not None and two_stacks(stack):
        number = stacks * int(figure("logs-each-stack").value_us)
    kind = Kind(step="required.logs-crosswise", low=number, high=number, fits=_along, asks=("lay",))
    clause = "393.116(d)(6)(iv)" if two_stacks(stack) else "393.116(d)(2)"
    return _number(stack, plan, clause, kind)


def _lengthwise(stack: Article, plan: Plan) -> Finding:
    """(e): two, or one over shortwood that is blocked in front and behind."""
    two, one = int(figure("logs-lengthwise").value_us), int(figure("logs-blocked").value_us)
    short = yes_fact(stack, "shortwood")
    conditions = [short, *_blocked(stack, plan).values()]
    fewest = two if False in conditions else one
    most = one if all(conditions) else two
    step = "required.logs-lengthwise" if fewest == two else "required.logs-blocked"
    low = _or_wrapped(stack, fewest)
    clause = "393.116(e)(2)" if short is False else "393.116(e)(1)"
    open_facts = ("shortwood",) if fewest != most else ()
    kind = Kind(step=step, low=low, high=most)
    return _number(stack, plan, clause, kind, *open_facts, blocking=fewest != most)


def _pole(stack: Article, plan: Plan) -> Finding:
    """(f)(1): one at each bunk."""
    bunks = count_fact(stack, "bunks")
    number = None if bunks is None else bunks * int(figure("logs-each-bunk").value_us)
    low = _or_wrapped(stack, 1 if number is None else number)
    kind = Kind(step="required.logs-pole", low=low, high=number)
    return _number(stack, plan, "393.116(f)(1)", kind, "bunks")


def _or_wrapped(stack: Article, number: int) -> int:
    """None are needed where there are, or may be, enough wrappers."""
    return number if wrapped(stack) is False else 0


def _number(
    stack: Article, plan: Plan, clause: str, kind: Kind, *open_facts: str, blocking: bool = False
) -> Finding:
    """`open_facts`, and with `blocking` what blocks the stack, leave the number open."""
    body = () if plan.vehicle.body is not None else (Missing(field="body", about="vehicle"),)
    unblocked = tuple(
        Missing(field=f"blocked.{way}", about=stack.id)
        for way, answer in _blocked(stack, plan).items()
        if blocking and answer is None
    )
    wrappers = () if crosswise(stack) else ("wrappers",)
    asked = Asked(
        rule=_COUNT,
        clause=clause,
        about=(stack.id,),
        kinds=(kind,),
        inputs=told_inputs(stack, "logs_lie", "stacks", "shortwood", "bunks", "wrappers"),
        unknown=(*body, *unblocked, *missing_facts(stack, *open_facts, *wrappers)),
    )
    return kinds_finding(asked, plan.tie_downs_on(stack.id), plan)


def _wrappers(stack: Article, plan: Plan) -> Finding:
    """(e)(1)(iii), (e)(2)(ii), (f)(1): so many wrappers round the whole load."""
    pole = plan.vehicle.body is Body.POLE_TRAILER
    limit = Limit(
        rule=_COUNT,
        clause="393.116(f)(1)" if pole else "393.116(e)",
        article=stack,
        facts=("wrappers",),
        given=counted_fact(count_fact(stack, "wrappers"), "wrapper"),
        limit=printed_count("logs-wrappers", "wrapper"),
        at_most=False,
        step="required.logs-wrappers",
        mend="mend.logs-wrappers",
    )
    return limit_finding(limit, plan)


def _blocked(stack: Article, plan: Plan) -> dict[Direction, bool | None]:
    """Whether the stack is blocked in front and behind."""
    return {
        Direction.FORWARD: blocked_forward(stack, plan),
        Direction.REARWARD: blocked(stack, Direction.REARWARD, plan),
    }


def _along(tie_down: TieDown) -> bool | None:
    return None if tie_down.lay is None else tie_down.lay == "lengthwise"


def _aggregate(group: Group, plan: Plan) -> Finding | None:
    """(b)(4): a sixth on frame and flatbed vehicles, else 393.106(d); not where none is needed."""
    body = plan.vehicle.body
    if body is Body.CRIB_TYPE or (
        not group.tie_downs and all(enclosed(one, plan) for one in group.articles)
    ):
        note = "note.logs-crib" if body is Body.CRIB_TYPE else "note.logs-enclosed"
        return said(_AGGREGATE, _NUMBER, group.ids, plan, Verdict.DOES_NOT_APPLY, note)
    if body is None:
        return _open_aggregate(group, plan, "note.logs-share-open", "body", ("vehicle",))
    of_stack = body in _SIXTH
    share = "logs-aggregate-share" if of_stack else "aggregate-share"
    step = "required.sixth" if of_stack else "required.half"
    finding = share_finding(_NUMBER, share, group, plan, step)
    may_be_wrapped = [one for one in group.articles if wrapped(one) is not False]
    may_be_wrapped = [one for one in may_be_wrapped if not (of_stack and crosswise(one))]
    if finding.verdict is not Verdict.MEETS and may_be_wrapped:
        untold = [one.id for one in may_be_wrapped if wrapped(one) is None]
        field = "facts.wrappers" if untold else "rating of the wrappers"
        abouts = tuple(untold or (one.id for one in may_be_wrapped))
        return _open_aggregate(group, plan, "note.logs-wrappers-rating", field, abouts)
    return finding if of_stack else None


def _open_aggregate(
    group: Group, plan: Plan, note: str, field: str, abouts: tuple[str, ...]
) -> Finding:
    unknown = tuple(Missing(field=field, about=about) for about in abouts)
    verdict = Verdict.CANNOT_TELL
    return said(_AGGREGATE, "393.116(b)(4)", group.ids, plan, verdict, note, unknown=unknown)


SECTION_116 = Section(number=_NUMBER, findings=_findings, aggregate=_aggregate)
