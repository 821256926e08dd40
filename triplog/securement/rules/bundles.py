"""Yes-or-no rules asked of each tie-down or piece of gear: one finding per answer given.

Twenty straps that all meet make one finding that names the twenty; the one that does not stands
in a finding of its own.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from triplog.securement.finding import (
    SEVERITY,
    Citation,
    Finding,
    Input,
    Missing,
    Scope,
    Step,
    Verdict,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The answer for one thing: `about` is its id; `asks` the field of it that is not known.

    `unknown` are facts of other things that are not known.
    """

    about: str
    verdict: Verdict
    steps: tuple[Step, ...] = ()
    asks: str = ""
    unknown: tuple[Missing, ...] = ()
    inputs: tuple[Input, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class YesNoRule:
    """A rule without figures; `mend` is the id of the step that would put it right."""

    rule: str
    rule_set: str
    citation: Citation
    mend: str


def bundled(rule: YesNoRule, scope: Scope, answers: Iterable[Answer]) -> tuple[Finding, ...]:
    """The answers in one finding per verdict, the most severe first."""
    by_verdict: dict[Verdict, list[Answer]] = {}
    for answer in answers:
        by_verdict.setdefault(answer.verdict, []).append(answer)
    findings = []
    for verdict in sorted(by_verdict, key=SEVERITY.__getitem__):
        same = by_verdict[verdict]
        names = ", ".join(answer.about for answer in same)
        mend = Step(id=rule.mend, values={"names": names})
        findings.append(
            Finding(
                rule=rule.rule,
                rule_set=rule.rule_set,
                about=tuple(answer.about for answer in same),
                verdict=verdict,
                scope=scope,
                citation=rule.citation,
                inputs=tuple(each for answer in same for each in answer.inputs),
                steps=_once(step for answer in same for step in answer.steps),
                unknown=tuple(dict.fromkeys(one for answer in same for one in _missing(answer))),
                mend=mend if verdict is Verdict.DOES_NOT_MEET else None,
            )
        )
    return tuple(findings)


def _missing(answer: Answer) -> tuple[Missing, ...]:
    own = (Missing(field=answer.asks, about=answer.about),) if answer.asks else ()
    return (*own, *answer.unknown)


def _once(steps: Iterable[Step]) -> tuple[Step, ...]:
    """The steps in order, alike ones once."""
    kept: list[Step] = []
    for step in steps:
        if step not in kept:
            kept.append(step)
    return tuple(kept)
