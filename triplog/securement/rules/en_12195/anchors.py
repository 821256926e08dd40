"""What the ends of a lashing hold: rated as the plan says, or a lashing point of EN 12640.

An anchor point named for EN 12640 in its kind, and not rated, counts with the least figure of the
standard for the vehicle's gross mass. All tie-down ends hooked to it share what it holds.
"""

from dataclasses import dataclass

from triplog.securement.finding import Basis, Input, Missing
from triplog.securement.model import Plan, TieDown
from triplog.securement.quantity import Dimension, amount_worked_out
from triplog.securement.rating import PartName, PartRating, Standing, assembly_rating
from triplog.securement.rules.en_12195.en_figures import lashing_point_n
from triplog.securement.rules.en_12195.span import ANYTHING, Span, exactly

_STANDARD = "en 12640"
_FRONT_WALL = "front wall"


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """A part that bounds the force of a lashing; `missing` what would tell it, None if known."""

    about: str
    force: Span
    input: Input
    missing: Missing | None


def ends_of(tie_down: TieDown, plan: Plan) -> tuple[End, ...]:
    """Anchor points and attachment, and end fittings or a tensioner with a rating of their own.

    The label's LC covers a fitting or tensioner without one.
    """
    return tuple(
        _end(part, plan)
        for part in assembly_rating(tie_down, plan, us=False).parts
        if _bounds(part)
    )


def _bounds(part: PartRating) -> bool:
    if part.part in (PartName.TENSIONER, PartName.FITTING):
        return part.standing is Standing.COUNTED
    return part.part is not PartName.BODY and part.standing is not Standing.NOT_LISTED


def _end(part: PartRating, plan: Plan) -> End:
    name = f"{part.part} rating"
    if part.amount is not None:
        told = Input(name=name, about=part.about, value=part.whole, basis=part.basis)
        return End(about=part.about, force=exactly(float(part.amount.si)), input=told, missing=None)
    missing = Missing(field=part.asks, about=part.about)
    kind = part.kind.lower()
    if _STANDARD in kind:
        gross = plan.vehicle.gross_mass
        if gross is None:
            missing = Missing(field="gross_mass", about="vehicle")
        elif (held := lashing_point_n(gross.si, front_wall=_FRONT_WALL in kind)) is not None:
            whole_n, cited = held
            told = Input(
                name=name,
                about=part.about,
                value=amount_worked_out(whole_n, "daN", Dimension.FORCE),
                basis=Basis.DEFAULT_TABLE,
                citation=cited,
            )
            each = exactly(whole_n / part.shared_by)
            return End(about=part.about, force=each, input=told, missing=None)
    nothing = Input(name=name, about=part.about, value=None, basis=Basis.UNKNOWN)
    return End(about=part.about, force=ANYTHING, input=nothing, missing=missing)
