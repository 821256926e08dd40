"""Whether 49 CFR part 393 is law for this plan: the vehicle's use and its gross mass decide."""

from fractions import Fraction

from triplog.securement.figures import figure
from triplog.securement.finding import (
    Basis,
    Citation,
    Finding,
    Input,
    Missing,
    Scope,
    Step,
    Verdict,
)
from triplog.securement.model import Plan
from triplog.securement.quantity import Dimension, Quantity

RULE_SET = "us-393"
INTERSTATE = "interstate business"


def citation(clause: str) -> Citation:
    """A paragraph of 49 CFR, in the edition the figures were read in."""
    read = figure("aggregate-share").citation
    return Citation(source=read.source, clause=clause, edition=read.edition, how_sure="read")


def is_law(plan: Plan) -> bool | None:
    """Whether the vehicle is one of 390.5T by its use and mass; None where that is not known.

    The mass that counts is the greater of rating and actual; the cargo's own is part of the
    actual one. Passengers and placarded materials are not asked here.
    """
    if plan.vehicle.use is not None and plan.vehicle.use != INTERSTATE:
        return False
    heavy = _is_heavy(plan)
    if heavy is False:
        return False
    return heavy if plan.vehicle.use is not None else None


def law_scope(plan: Plan) -> Scope:
    """*law* where it is known to be law, otherwise a yardstick."""
    return Scope.LAW if is_law(plan) else Scope.YARDSTICK


def scope_findings(plan: Plan) -> tuple[Finding, ...]:
    """393.100 with 390.5T: nothing where the rules are law, else one finding that says why not."""
    law = is_law(plan)
    if law:
        return ()
    gross, use = plan.vehicle.gross_mass, plan.vehicle.use
    threshold = figure("cmv-gross-mass-min").amount(Dimension.MASS, us=gross is None or gross.is_us)
    unknown = tuple(
        Missing(field=name, about="vehicle")
        for name, value in (("gross_mass", gross), ("use", use))
        if value is None
    )
    other = use is not None and use != INTERSTATE
    if law is None:
        step = Step(id="note.scope-unknown", values={"threshold": threshold})
    elif other:
        step = Step(id="note.scope-use", values={"use": str(use)})
    else:
        step = Step(id="note.scope-mass", values={"threshold": threshold})
    return (
        Finding(
            rule="us-393.100-scope",
            rule_set=RULE_SET,
            about=("vehicle",),
            verdict=Verdict.CANNOT_TELL if law is None else Verdict.DOES_NOT_APPLY,
            scope=Scope.YARDSTICK,
            citation=citation("393.100(a), 390.5T"),
            inputs=(_input("gross_mass", gross), _input("use", use)),
            steps=(step,),
            unknown=unknown if law is None else (),
        ),
    )


def _input(name: str, value: str | Quantity | None) -> Input:
    basis = Basis.UNKNOWN if value is None else Basis.STATED
    return Input(name=name, about="vehicle", value=value, basis=basis)


def _is_heavy(plan: Plan) -> bool | None:
    threshold = figure("cmv-gross-mass-min")
    cargo = [article.mass for article in plan.articles if article.mass is not None]
    cargo_kg = sum((mass.si for mass in cargo), Fraction(0))
    us = cargo[0].is_us if cargo else True
    if cargo_kg >= threshold.amount(Dimension.MASS, us=us).si:
        return True
    gross = plan.vehicle.gross_mass
    if gross is None:
        return None
    return gross.si >= threshold.amount(Dimension.MASS, us=gross.is_us).si
