"""The pre-tension of a tie-down: as told, else by its tensioner.

A figure from memory never helps a plan: it is what the tensioner may reach at best.
"""

from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.figure_tables import Row
from triplog.securement.figures import open_rows
from triplog.securement.finding import Basis, Citation, Input, Missing
from triplog.securement.model import WEBBING, Gear, GearKind, Plan, TieDown
from triplog.securement.quantity import UNITS, Amount, Dimension, Quantity
from triplog.securement.rating import nothing_for
from triplog.securement.rules.counted_tension import counted_tension_n
from triplog.securement.rules.downward import NOTHING, UNLIMITED, Ends

_KGF_N = UNITS[Dimension.FORCE]["kg"]
_MILLIMETRE_M = UNITS[Dimension.LENGTH]["mm"]
_RATCHETS = frozenset({"push-up ratchet", "pull-down ratchet"})
# A ratchet that is not called one or the other may be either.
_CALLED = {
    "ratchet": _RATCHETS,
    "hand ratchet": _RATCHETS,
    "drum winch": frozenset({"winch"}),
    "truck winch": frozenset({"winch"}),
    "lever binder": frozenset({"lever dog"}),
    "ratchet binder": frozenset({"turnbuckle"}),
}
_BY_KIND = {GearKind.RATCHET_STRAP: _RATCHETS, GearKind.WINCH_STRAP: frozenset({"winch"})}
_BASIS = {"measured": Basis.MEASURED, "assumed": Basis.ESTIMATED}


@dataclass(frozen=True, slots=True, kw_only=True)
class PreTension:
    """The pre-tension at both ends, what it rests on, and what leaves it open."""

    ends: Ends
    input: Input
    missing: tuple[Missing, ...]


def pre_tension(tie_down: TieDown, plan: Plan) -> PreTension:
    """As told, else by the table; damaged gear and mats pull nothing."""
    gear = plan.gear_item(tie_down.gear)
    if nothing_for(tie_down, plan) is not None:
        return _of(tie_down, NOTHING, None, Basis.STATED)
    counted_n = counted_tension_n(tie_down, plan)
    if counted_n is not None:
        told = Ends(worst=counted_n, best=counted_n)
        basis = _BASIS.get(tie_down.tension_basis or "", Basis.STATED)
        if tie_down.retained is not None:
            return _of(tie_down, told, tie_down.retained, Basis.MEASURED)
        return _of(tie_down, told, tie_down.tension, basis)
    rows = [] if gear is None else _rows(gear)
    if not rows:
        return _of(tie_down, UNLIMITED, None, Basis.UNKNOWN, "tension")
    read = [row for row in rows if row.citation.how_sure != "memory"]
    ends = Ends(
        worst=min((_newtons(row) for row in read), default=Fraction(0)),
        best=max(_newtons(row) for row in rows),
    )
    asks = ""
    if not ends.settled:
        several = len({row.cells["tensioner"] for row in rows}) > 1
        asks = "tensioner" if several else "tension"
    least = min(read or rows, key=lambda row: row.numbers["kgf"])
    amount = Amount(value=least.numbers["kgf"], unit="kg", dimension=Dimension.FORCE)
    return _of(tie_down, ends, amount, Basis.DEFAULT_TABLE, asks, least.citation)


def _of(
    tie_down: TieDown,
    ends: Ends,
    value: Amount | Quantity | None,
    basis: Basis,
    asks: str = "",
    citation: Citation | None = None,
) -> PreTension:
    return PreTension(
        ends=ends,
        input=Input(name="tension", about=tie_down.id, value=value, basis=basis, citation=citation),
        missing=(Missing(field=asks, about=tie_down.id),) if asks else (),
    )


def _newtons(row: Row) -> Fraction:
    return row.numbers["kgf"] * _KGF_N


def _rows(gear: Gear) -> list[Row]:
    """The rows of the table that may be about this piece of gear."""
    family = "webbing" if gear.kind in WEBBING else str(gear.kind)
    listed = gear.tensioner.kind if gear.tensioner is not None else None
    name = (listed or "").strip().lower()
    names = _CALLED.get(name, frozenset({name})) if name else _BY_KIND.get(gear.kind, frozenset())
    size = gear.width if gear.kind in WEBBING else gear.size
    size_mm = None if size is None else size.si / _MILLIMETRE_M
    return [
        row
        for row in open_rows("au_pretension")
        if row.cells["gear"] == family
        and row.cells["tensioner"] in names
        and ("from_mm" not in row.numbers or _within(row, size_mm))
    ]


def _within(row: Row, size_mm: Fraction | None) -> bool:
    return size_mm is not None and row.numbers["from_mm"] <= size_mm <= row.numbers["to_mm"]
