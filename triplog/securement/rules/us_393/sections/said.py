"""A finding of a section without figures: a prohibition, or that nothing is asked here."""

from triplog.securement.finding import Finding, Input, Missing, Step, Verdict
from triplog.securement.model import Plan
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope


def said(
    rule: str,
    clause: str,
    about: tuple[str, ...],
    plan: Plan,
    verdict: Verdict,
    *steps: str,
    unknown: tuple[Missing, ...] = (),
    inputs: tuple[Input, ...] = (),
    mend: str | None = None,
) -> Finding:
    """The verdict with the lines of these ids; `mend` only where it does not meet."""
    return Finding(
        rule=rule,
        rule_set=RULE_SET,
        about=about,
        verdict=verdict,
        scope=law_scope(plan),
        citation=citation(clause),
        inputs=inputs,
        steps=tuple(Step(id=one) for one in steps),
        unknown=unknown if verdict is Verdict.CANNOT_TELL else (),
        mend=Step(id=mend) if mend is not None and verdict is Verdict.DOES_NOT_MEET else None,
    )
