"""So many things of a kind that a section asks for: corners held, pieces of timber, contacts."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from triplog.securement.finding import Count, Finding, Input, Missing, Range, Step, Value, Verdict
from triplog.securement.model import Plan
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope


@dataclass(frozen=True, slots=True, kw_only=True)
class Things:
    """`have` against `needed`; None where it is not known, as `unknown` says.

    `unit` is the singular noun; `step` the id of the line that asks for them, filled with `values`,
    `mend` of what would mend a shortfall, `notes` further lines.
    """

    rule: str
    clause: str
    about: tuple[str, ...]
    have: int | None
    needed: int
    unit: str
    step: str
    mend: str
    inputs: tuple[Input, ...] = ()
    unknown: tuple[Missing, ...] = ()
    notes: tuple[Step, ...] = ()
    values: Mapping[str, Value] = field(default_factory=dict)


def things_finding(things: Things, plan: Plan) -> Finding:
    """Whether there are as many as are asked for."""
    have, needed = things.have, things.needed
    if have is None:
        verdict = Verdict.CANNOT_TELL
    else:
        verdict = Verdict.MEETS if have >= needed else Verdict.DOES_NOT_MEET

    def count(number: int) -> Count:
        return Count(value=number, unit=things.unit)

    return Finding(
        rule=things.rule,
        rule_set=RULE_SET,
        about=things.about,
        verdict=verdict,
        scope=law_scope(plan),
        citation=citation(things.clause),
        required=count(needed),
        provided=None if have is None else count(have),
        margin=None if have is None else count(have - needed),
        inputs=things.inputs,
        steps=(Step(id=things.step, values=things.values), *things.notes),
        unknown=things.unknown if have is None else (),
        range=None
        if have is not None
        else Range(worst=count(0), best=None, decides=Step(id="decides.several")),
        mend=Step(id=things.mend) if verdict is Verdict.DOES_NOT_MEET else None,
    )
