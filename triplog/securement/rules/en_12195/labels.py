"""What looks odd on a label of EN 12195-2, -3 or -4: STF out of its range, a harder hand force."""

from fractions import Fraction

from triplog.securement.finding import Step, Value
from triplog.securement.model import WEBBING, Gear, GearKind
from triplog.securement.quantity import UNITS, Amount, Dimension
from triplog.securement.rules.en_12195.en_figures import en_row

_MILLIMETRE_M = UNITS[Dimension.LENGTH]["mm"]


def label_notes(gear: Gear) -> tuple[Step, ...]:
    """Notes that send a person back to the label; none changes what the lashing counts."""
    return (*_stf_notes(gear), *_hand_force_notes(gear))


def _stf_notes(gear: Gear) -> tuple[Step, ...]:
    """STF against LC: webbing from a tenth to half, chain and wire rope from a share of it up."""
    if gear.stf is None or gear.lc is None:
        return ()
    share = gear.stf.si / gear.lc.si
    if gear.kind in WEBBING:
        odd = not _value("stf-min-strap") <= share <= _value("stf-max-strap")
        return (Step(id="note.en-stf-odd", values={"name": gear.id}),) if odd else ()
    if gear.kind not in (GearKind.CHAIN, GearKind.WIRE_ROPE):
        return ()
    least = _least_share(gear)
    if share >= least:
        return ()
    values: dict[str, Value] = {"name": gear.id, "least": f"{float(least):g}"}
    return (Step(id="note.en-stf-low", values=values),)


def _least_share(gear: Gear) -> Fraction:
    """The least STF over LC; the lower one for a chain whose size is not known."""
    if gear.kind is GearKind.WIRE_ROPE:
        return _value("stf-min-wire-rope")
    thin = gear.size is not None and gear.size.si <= _value("stf-thin-chain") * _MILLIMETRE_M
    return _value("stf-min-chain" if thin else "stf-min-chain-thick")


def _hand_force_notes(gear: Gear) -> tuple[Step, ...]:
    """An STF that needs a harder pull than the usual hand force."""
    if gear.stf is None or gear.shf is None:
        return ()
    narrow = (
        gear.kind in WEBBING
        and gear.width is not None
        and gear.width.si <= _value("shf-narrow-width") * _MILLIMETRE_M
    )
    row = en_row("shf-narrow" if narrow else "shf")
    usual = Amount(value=row.numbers["value"], unit=row.cells["unit"], dimension=Dimension.FORCE)
    if gear.shf.si <= usual.si:
        return ()
    values: dict[str, Value] = {"name": gear.id, "shf": gear.shf, "usual": usual}
    return (Step(id="note.en-hand-force", values=values),)


def _value(figure_id: str) -> Fraction:
    return en_row(figure_id).numbers["value"]
