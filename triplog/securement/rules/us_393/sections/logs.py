"""A stack of logs as a plan tells it, and the lengths and numbers 393.116 sets for it."""

from triplog.securement.figures import figure
from triplog.securement.finding import Count, Finding, Missing, Verdict
from triplog.securement.model import Article, Body, Plan
from triplog.securement.rules.us_393.counted import counted
from triplog.securement.rules.us_393.sections.facts import (
    count_fact,
    fact_inputs,
    length_fact,
    missing_facts,
    word_fact,
    yes_fact,
)
from triplog.securement.rules.us_393.sections.limits import (
    Limit,
    counted_fact,
    limit_finding,
    printed_count,
    printed_length,
    times_length,
)
from triplog.securement.rules.us_393.sections.said import said

_COMMON = (
    "116-cradled", "116-stakes", "116-packed", "116-outside", "116-top", "116-loose",
    "116-slippery",
)  # fmt: skip


def crosswise(stack: Article) -> bool | None:
    """Whether the logs lie across the vehicle."""
    lie = word_fact(stack, "logs_lie")
    return None if lie is None else lie == "crosswise"


def enclosed(stack: Article, plan: Plan) -> bool:
    """Whether the walls alone are to hold it: firewood and the like, or a sided vehicle."""
    return yes_fact(stack, "firewood") is True or plan.vehicle.body is Body.SIDED


def wrapped(stack: Article) -> bool | None:
    """Whether enough wrappers encircle the load to stand for tie-downs."""
    wrappers = count_fact(stack, "wrappers")
    return None if wrappers is None else wrappers >= figure("logs-wrappers").value_us


def two_stacks(stack: Article) -> bool | None:
    """Whether two stacks lie side by side across the vehicle."""
    stacks = count_fact(stack, "stacks")
    return None if stacks is None else stacks > 1


def questions(stack: Article, plan: Plan) -> tuple[tuple[str, ...], tuple[Missing, ...]]:
    """The questions the stack raises, and the facts that leave open which ones."""
    body = plan.vehicle.body
    if enclosed(stack, plan):
        return ("116-enclosed",), ()
    if body is None:
        return _COMMON, (Missing(field="body", about="vehicle"),)
    if body is Body.CRIB_TYPE:
        return _COMMON, ()
    if body is Body.POLE_TRAILER:
        own = "116-placed" if wrapped(stack) else "116-each-bunk"
        missing = missing_facts(stack, "above_bunks", "wrappers")
        return (*_COMMON, own, "116-chocked"), missing
    lies_crosswise = crosswise(stack)
    if lies_crosswise is None:
        return _COMMON, missing_facts(stack, "logs_lie")
    if not lies_crosswise:
        return (*_COMMON, "116-placed"), ()
    asked = [*_COMMON, "116-along", "116-thirds", "116-anchored"]
    deck = plan.vehicle.deck_length
    if deck is None or deck.si > printed_length("logs-centre-stakes-above", deck).si:
        asked.append("116-centre-stakes")
    if two_stacks(stack):
        asked.append("116-no-gap")
    return tuple(asked), missing_facts(stack, "stacks")


def measured(stack: Article, plan: Plan) -> tuple[Finding, ...]:
    """What the section measures on the stack, as far as it lies and is carried that way."""
    body = plan.vehicle.body
    if yes_fact(stack, "firewood"):
        return (_enclosed_finding(stack, plan),)
    if body in (Body.SIDED, Body.CRIB_TYPE, None):
        return ()
    if body is Body.POLE_TRAILER:
        return _of_wrappers(stack, plan)
    if crosswise(stack):
        of_two = _of_two_stacks(stack, plan) if two_stacks(stack) else ()
        return (_overhang(stack, plan), *of_two)
    if crosswise(stack) is False and yes_fact(stack, "shortwood") is False:
        return (_bunks(stack, plan),)
    return ()


def _enclosed_finding(stack: Article, plan: Plan) -> Finding:
    """(a)(3): firewood, stumps, debris and other short logs need walls on all four sides."""
    body = plan.vehicle.body
    if body is None:
        verdict = Verdict.CANNOT_TELL
    else:
        verdict = Verdict.MEETS if body is Body.SIDED else Verdict.DOES_NOT_MEET
    return said(
        "us-393.116-enclosed",
        "393.116(a)(3)",
        (stack.id,),
        plan,
        verdict,
        unknown=(Missing(field="body", about="vehicle"),),
        inputs=fact_inputs(stack, "firewood"),
        mend="mend.logs-enclosed",
    )


def _overhang(stack: Article, plan: Plan) -> Finding:
    """(d)(1): how far a log of the lower tier reaches beyond what it lies on."""
    limit = Limit(
        rule="us-393.116-overhang",
        clause="393.116(d)(1)",
        article=stack,
        facts=("overhang", "log_length"),
        given=length_fact(stack, "overhang"),
        limit=times_length("logs-overhang-share", length_fact(stack, "log_length")),
        at_most=True,
        step="required.logs-overhang",
        mend="mend.logs-overhang",
    )
    return limit_finding(limit, plan)


def _of_two_stacks(stack: Article, plan: Plan) -> tuple[Finding, ...]:
    """(d)(6)(ii) and (iii): the outer edges raised, near the ends; the highest log not too high."""
    raised, within = length_fact(stack, "edge_raised"), length_fact(stack, "edge_within")
    highest = length_fact(stack, "highest_log")
    edge_clause = "393.116(d)(6)(ii)"
    limits = (
        Limit(
            rule="us-393.116-edge-raised",
            clause=edge_clause,
            article=stack,
            facts=("edge_raised",),
            given=raised,
            limit=printed_length("logs-edge-raised-min", raised),
            at_most=False,
            step="required.logs-edge-raised",
            mend="mend.logs-edge-raised",
        ),
        Limit(
            rule="us-393.116-edge-within",
            clause=edge_clause,
            article=stack,
            facts=("edge_within",),
            given=within,
            limit=printed_length("logs-edge-within-max", within),
            at_most=True,
            step="required.logs-edge-within",
            mend="mend.logs-edge-within",
        ),
        Limit(
            rule="us-393.116-height",
            clause="393.116(d)(6)(iii)",
            article=stack,
            facts=("highest_log",),
            given=highest,
            limit=printed_length("logs-height-max", highest),
            at_most=True,
            step="required.logs-height",
            mend="mend.logs-height",
        ),
    )
    return tuple(limit_finding(limit, plan) for limit in limits)


def _bunks(stack: Article, plan: Plan) -> Finding:
    """(e)(2): longwood lies in so many bunks."""
    limit = Limit(
        rule="us-393.116-bunks",
        clause="393.116(e)(2)",
        article=stack,
        facts=("bunks",),
        given=counted_fact(count_fact(stack, "bunks"), "bunk"),
        limit=printed_count("logs-longwood-bunks", "bunk"),
        at_most=False,
        step="required.logs-bunks",
        mend="mend.logs-bunks",
    )
    return limit_finding(limit, plan)


def _of_wrappers(stack: Article, plan: Plan) -> tuple[Finding, ...]:
    """(f)(2) and (4): how far apart the wrappers are, and more of them for logs above the bunks."""
    findings = []
    number = count_fact(stack, "wrappers")
    if wrapped(stack):
        apart = length_fact(stack, "wrappers_apart")
        limit = Limit(
            rule="us-393.116-wrappers-apart",
            clause="393.116(f)(2)",
            article=stack,
            facts=("wrappers_apart",),
            given=apart,
            limit=printed_length("logs-wrappers-apart-min", apart),
            at_most=False,
            step="required.logs-wrappers-apart",
            mend="mend.logs-wrappers-apart",
        )
        findings.append(limit_finding(limit, plan))
    if yes_fact(stack, "above_bunks"):
        more = int(figure("logs-wrappers-above").value_us)
        tied = counted(plan.tie_downs_on(stack.id), plan)
        first = 0 if tied else int(figure("logs-wrappers").value_us)
        limit = Limit(
            rule="us-393.116-wrappers",
            clause="393.116(f)(4)",
            article=stack,
            facts=("wrappers",),
            given=counted_fact(number, "wrapper"),
            limit=Count(value=first + more, unit="wrapper"),
            at_most=False,
            step="required.logs-wrappers-above",
            mend="mend.logs-wrappers",
        )
        findings.append(limit_finding(limit, plan))
    return tuple(findings)
