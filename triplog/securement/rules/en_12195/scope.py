"""Whether EN 12195-1 holds for the vehicle, and how far it binds: it is a standard, not a law.

Annex III of Directive 2014/47/EU names it for roadside inspections of cargo securing; each
country's law decides whether it must be kept.
"""

from fractions import Fraction

from triplog.securement.finding import Basis, Finding, Input, Missing, Scope, Step, Verdict
from triplog.securement.model import Plan
from triplog.securement.rules.en_12195.en_figures import RULE_SET, citation, en_mass, en_row


def in_scope(plan: Plan) -> bool | None:
    """Whether the vehicle is heavier than the standard's line; None where that is not known.

    The cargo's own mass is part of the vehicle's total.
    """
    line = en_mass("gross-mass-above")
    cargo_kg = sum((one.mass.si for one in plan.articles if one.mass is not None), Fraction(0))
    if cargo_kg > line.si:
        return True
    gross = plan.vehicle.gross_mass
    return None if gross is None else gross.si > line.si


def scope_of(plan: Plan) -> Scope:
    """*guidance*, and a yardstick for a vehicle the standard leaves out."""
    return Scope.YARDSTICK if in_scope(plan) is False else Scope.GUIDANCE


def scope_finding(plan: Plan) -> Finding:
    """Whether the standard holds for this vehicle, and what the findings rest on."""
    known = in_scope(plan)
    gross = plan.vehicle.gross_mass
    verdicts = {None: Verdict.CANNOT_TELL, True: Verdict.MEETS, False: Verdict.DOES_NOT_APPLY}
    steps = {None: "note.en-scope-open", True: "note.en-scope", False: "note.en-scope-light"}
    row = en_row("gross-mass-above")
    line = en_mass("gross-mass-above")
    return Finding(
        rule="en-12195-1-scope",
        rule_set=RULE_SET,
        about=("vehicle",),
        verdict=verdicts[known],
        scope=scope_of(plan),
        citation=citation(row.cells["clause"]),
        inputs=(
            Input(
                name="gross_mass",
                about="vehicle",
                value=gross,
                basis=Basis.UNKNOWN if gross is None else Basis.STATED,
            ),
        ),
        steps=(
            Step(id=steps[known], values={"line": line}),
            Step(id="note.en-force", values={"edition": row.citation.edition}),
        ),
        unknown=() if known is not None else (Missing(field="gross_mass", about="vehicle"),),
    )
