"""The European tables looked up: EN 12195-1, EN 12640, EN 12642 and the CTU Code's friction."""

from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.figure_tables import Row
from triplog.securement.figures import figure_row, open_rows
from triplog.securement.finding import Citation
from triplog.securement.model import Direction
from triplog.securement.quantity import UNITS, Amount, Dimension

RULE_SET = "en-12195-1"
EVERY_SURFACE = "any"
NOT_CLEAN = "not swept clean"
_DEKANEWTON_N = float(UNITS[Dimension.FORCE]["daN"])
_TONNE_KG = UNITS[Dimension.MASS]["t"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WallRow:
    """A wall by its code: the share of the payload's weight it holds, and the most, if capped."""

    share: float
    at_most_n: float | None
    citation: Citation


def en_row(figure_id: str) -> Row:
    """One row of `figures_en.csv`."""
    return figure_row(figure_id, "figures_en")


def en_figure(figure_id: str) -> float:
    """The value of one of the single figures."""
    return float(en_row(figure_id).numbers["value"])


def en_mass(figure_id: str) -> Amount:
    """One of the single figures that is a mass."""
    row = en_row(figure_id)
    return Amount(value=row.numbers["value"], unit=row.cells["unit"], dimension=Dimension.MASS)


def citation(clause: str) -> Citation:
    """A section of EN 12195-1, in the edition of the figures; the standard itself was not read."""
    cited = en_row("f-mu").citation
    return Citation(
        source=cited.source, clause=clause, edition=cited.edition, how_sure=cited.how_sure
    )


def acceleration_of(direction: Direction) -> float:
    """c for sliding, in g; forward and rearward it serves for tipping too."""
    ids = {Direction.FORWARD: "c-forward", Direction.REARWARD: "c-rearward"}
    return en_figure(ids.get(direction, "c-sideways"))


def friction_lashing_factor(direction: Direction) -> float:
    """f_s of a direction."""
    return en_figure("f-s-forward" if direction is Direction.FORWARD else "f-s-other")


def friction_row(one: str, other: str) -> Row | None:
    """The row of two surfaces, in either order; None where the table has none."""
    for row in open_rows("friction_ctu"):
        named = row.cells["surface_a"].split("/"), row.cells["surface_b"].split("/")
        for first, second in ((one, other), (other, one)):
            if first in named[0] and (second in named[1] or named[1] == [EVERY_SURFACE]):
                return row
    return None


def lashing_point_n(gross_mass_kg: Fraction, *, front_wall: bool) -> tuple[float, Citation] | None:
    """What a lashing point of EN 12640 holds; None for a vehicle too light for the standard."""
    place = "front wall" if front_wall else "platform"
    for row in open_rows("lashing_points_en12640"):
        above_kg = row.numbers.get("above_t", Fraction(0)) * _TONNE_KG
        to_kg = row.numbers["to_t"] * _TONNE_KG if "to_t" in row.numbers else None
        if row.cells["place"] != place or gross_mass_kg <= above_kg:
            continue
        if to_kg is None or gross_mass_kg <= to_kg:
            return float(row.numbers["force_dan"]) * _DEKANEWTON_N, row.citation
    return None


def wall_row(code: str, wall: str) -> WallRow:
    """The row of a wall ("front", "sides", "rear") of a body built to an EN 12642 code."""
    for row in open_rows("walls_en12642"):
        if (row.cells["code"], row.cells["wall"]) == (code, wall):
            most = row.numbers.get("at_most_dan")
            return WallRow(
                share=float(row.numbers["share"]),
                at_most_n=None if most is None else float(most) * _DEKANEWTON_N,
                citation=row.citation,
            )
    raise AssertionError(f"no wall {wall} of {code}")
