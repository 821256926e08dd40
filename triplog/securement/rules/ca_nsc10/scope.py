"""Whether NSC Standard 10 is law for this plan: the registered gross mass, by province.

Each province makes the standard law. A vehicle whose province is not told, or that is registered
elsewhere, is judged by every line there is; only between them does the place decide.
"""

from triplog.securement.figure_tables import Row
from triplog.securement.figures import open_rows
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
from triplog.securement.quantity import Amount, Dimension, Quantity

RULE_SET = "ca-nsc10"
TABLE = "figures_ca"
_ANY = "CA"


def citation(clause: str, how_sure: str = "second-hand") -> Citation:
    """A section of the standard, in the edition that the pages read speak of."""
    return Citation(source="NSC Standard 10", clause=clause, edition="June 2013", how_sure=how_sure)


def manual(page: str) -> Citation:
    """A page of the manual of British Columbia, where it restates the standard."""
    return Citation(
        source="BC driving manual", clause=page, edition="edition not given", how_sure="second-hand"
    )


def is_law(plan: Plan) -> bool | None:
    """Whether the vehicle is heavy enough by its registered gross mass; None if not known."""
    gross = plan.vehicle.gross_mass
    if gross is None:
        return None
    answers = {_takes(row, gross) for row in _lines(plan)}
    return answers.pop() if len(answers) == 1 else None


def law_scope(plan: Plan) -> Scope:
    """*law* where it is known to be law, otherwise a yardstick."""
    return Scope.LAW if is_law(plan) else Scope.YARDSTICK


def scope_findings(plan: Plan) -> tuple[Finding, ...]:
    """Nothing where the standard is law, else one finding that says why not."""
    law = is_law(plan)
    if law:
        return ()
    vehicle = plan.vehicle
    lines = _lines(plan)
    unknown = []
    if vehicle.gross_mass is None:
        unknown.append(Missing(field="gross_mass", about="vehicle"))
    if len(lines) > 1:
        unknown.append(Missing(field="registered_in", about="vehicle"))
    return (
        Finding(
            rule="ca-nsc10-scope",
            rule_set=RULE_SET,
            about=("vehicle",),
            verdict=Verdict.CANNOT_TELL if law is None else Verdict.DOES_NOT_APPLY,
            scope=Scope.YARDSTICK,
            citation=lines[0].citation,
            inputs=tuple(
                Input(
                    name=name,
                    about="vehicle",
                    value=value,
                    basis=Basis.UNKNOWN if value is None else Basis.STATED,
                )
                for name, value in (
                    ("gross_mass", vehicle.gross_mass),
                    ("registered_in", vehicle.registered_in),
                )
            ),
            steps=tuple(_line_step(row) for row in lines),
            unknown=tuple(unknown) if law is None else (),
        ),
    )


def _lines(plan: Plan) -> tuple[Row, ...]:
    """The lines that may hold: of the province, of the others, or all where it is not told."""
    rows = open_rows("ca_scope")
    place = (plan.vehicle.registered_in or "").strip().upper()
    if not place.startswith(f"{_ANY}-"):
        return rows
    own = tuple(row for row in rows if row.cells["place"] == place)
    return own or tuple(row for row in rows if row.cells["place"] == _ANY)


def _takes(row: Row, gross: Quantity) -> bool:
    line_kg = row.numbers["mass_kg"]
    return gross.si > line_kg if row.cells["compared"] == "over" else gross.si >= line_kg


def _line_step(row: Row) -> Step:
    step_id = "note.ca-over" if row.cells["compared"] == "over" else "note.ca-at-least"
    threshold = Amount(value=row.numbers["mass_kg"], unit="kg", dimension=Dimension.MASS)
    return Step(id=step_id, values={"place": row.cells["place"], "threshold": threshold})
