"""What a tie-down counts: its weakest part, the anchor points among them (49 CFR 393.108(a)).

A marking stands before the table, higher or lower; the table serves gear with no rating marked
(393.108(b)). Webbing is sold and marked as an assembly, and the table rates the tie-down as a
whole, so a fitting or tensioner of a strap with no rating of its own is covered by it. A listed
binder or hook of chain, rope or strapping with no rating has no table: unknown. An anchor point's
rating is divided equally among the tie-down ends hooked to it; a strap with both ends on one
anchor hooks it twice. Whatever is unknown is worth nothing at worst and the rest at best.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from triplog.securement import figures
from triplog.securement.finding import Basis, Citation
from triplog.securement.model import (
    WEBBING,
    Anchor,
    Article,
    Gear,
    GearKind,
    Part,
    Path,
    Plan,
    TieDown,
)
from triplog.securement.quantity import Amount, Dimension, Quantity

NO_TIE_DOWN = frozenset({GearKind.FRICTION_MAT, GearKind.BAR})
ZERO_FORCE = Amount(value=Fraction(0), unit="N", dimension=Dimension.FORCE)


class PartName(StrEnum):
    """The parts of a tie-down that can be the weakest."""

    BODY = "body"
    TENSIONER = "tensioner"
    FITTING = "fitting"
    ANCHOR = "anchor"
    ATTACHMENT = "attachment"


class Standing(StrEnum):
    """How a part enters the comparison."""

    COUNTED = "counted"
    COVERED = "covered"  # no rating of its own; the assembly's marking or table value covers it
    UNKNOWN = "unknown"
    NOT_LISTED = "not listed"  # the article's own attachment, which the plan does not rate


class NothingFor(StrEnum):
    """Why a tie-down in the plan counts nothing."""

    DAMAGED = "damaged"
    NO_TIE_DOWN = "no tie-down"
    UNMARKED = "unmarked"


class Defaults(StrEnum):
    """What gear with no rating marked counts with."""

    US = "us"  # the tables of 49 CFR 393.108; a size they do not hold is unknown
    CANADA = "canada"  # grade-marked chain by its table; all else counts nothing (NSC 10, s.11)
    NONE = "none"  # no table: unknown


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRating:
    """One part: `about` is its gear's, anchor's or tie-down's id, `kind` what it is, if told.

    `amount` is a force; None where `standing` is not *counted*. `shared_by` is the number of
    tie-down ends that hook an anchor; `amount` is then this end's equal share of `whole`.
    `asks` is the field of the plan that would tell an unknown rating, empty otherwise.
    """

    part: PartName
    about: str
    kind: str
    standing: Standing
    amount: Amount | None
    basis: Basis
    citation: Citation | None = None
    row_id: str | None = None
    whole: Amount | None = None
    shared_by: int = 1
    asks: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyRating:
    """What one tie-down counts, at both ends of what is unknown.

    `worst` is zero where a part is unknown. `best` None: nothing known limits it. `governing` is
    the weakest known part. `nothing_for` says why it counts nothing, None where it counts.
    """

    tie_down: str
    worst: Amount
    best: Amount | None
    governing: PartRating | None
    parts: tuple[PartRating, ...]
    nothing_for: NothingFor | None

    @property
    def known(self) -> bool:
        """Whether both ends are the same."""
        return self.best is not None and self.worst.si == self.best.si

    @property
    def unknown_parts(self) -> tuple[PartRating, ...]:
        """The parts whose rating nobody has given and no table holds."""
        return tuple(part for part in self.parts if part.standing is Standing.UNKNOWN)


def nothing_for(
    tie_down: TieDown, plan: Plan, defaults: Defaults = Defaults.US
) -> NothingFor | None:
    """Why the tie-down counts nothing at all; None where it counts.

    393.104(b) bars gear with damage found, until it is replaced. Mats and bars are no tie-downs.
    """
    gear = plan.gear_item(tie_down.gear)
    if gear is None:
        return None
    if gear.kind in NO_TIE_DOWN:
        return NothingFor.NO_TIE_DOWN
    if gear.damage:
        return NothingFor.DAMAGED
    marked = gear.wll is not None or default_rating(gear, defaults) is not None
    return NothingFor.UNMARKED if defaults is Defaults.CANADA and not marked else None


def ends_on_anchors(tie_down: TieDown) -> tuple[str | None, ...]:
    """The anchor ids of the two ends as planned; None where an end's anchor is not known.

    The far end of a direct tie-down is on the article: it is no anchor of the vehicle.
    """
    if tie_down.path is Path.DIRECT:
        return (tie_down.from_anchor,)
    return (tie_down.from_anchor, tie_down.to)


def uses_us_columns(articles: tuple[Article, ...]) -> bool:
    """Whether table values are taken in lb: the unit the first mass (else length) was given in."""
    for article in articles:
        given = article.mass or article.length
        if given is not None:
            return given.is_us
    return True


def assembly_rating(
    tie_down: TieDown, plan: Plan, *, us: bool, defaults: Defaults = Defaults.US
) -> AssemblyRating:
    """What the tie-down counts before any credit for its path; table values in lb if `us`."""
    gear = plan.gear_item(tie_down.gear)
    parts = (*_gear_parts(tie_down, gear, defaults, us=us), *_end_parts(tie_down, plan))
    amounts = [part for part in parts if part.amount is not None]
    governing = min(amounts, key=lambda part: part.amount.si if part.amount else 0, default=None)
    best = governing.amount if governing else None
    unknown = best is None or any(part.standing is Standing.UNKNOWN for part in parts)
    worst = ZERO_FORCE if unknown or best is None else best
    reason = nothing_for(tie_down, plan, defaults)
    if reason is not None:
        worst = best = ZERO_FORCE
    return AssemblyRating(
        tie_down=tie_down.id,
        worst=worst,
        best=best,
        governing=governing,
        parts=parts,
        nothing_for=reason,
    )


def default_rating(gear: Gear, defaults: Defaults = Defaults.US) -> figures.DefaultRating | None:
    """The table value of gear with no rating marked; None where no table has it."""
    if defaults is Defaults.CANADA:
        graded = gear.kind is GearKind.CHAIN
        return figures.graded_chain_canada(gear.size, gear.grade) if graded else None
    return _us_default(gear) if defaults is Defaults.US else None


def _us_default(gear: Gear) -> figures.DefaultRating | None:
    if gear.kind in WEBBING:
        return figures.webbing_default(gear.width)
    if gear.kind is GearKind.CHAIN:
        return figures.chain_default(gear.size, gear.grade)
    if gear.kind is GearKind.WIRE_ROPE:
        return figures.wire_rope_default(gear.size)
    if gear.kind is GearKind.CORDAGE:
        return figures.cordage_default(gear.material, gear.size)
    if gear.kind is GearKind.STEEL_STRAPPING:
        return figures.steel_strapping_default(gear.width, gear.thickness)
    return None


def _gear_parts(
    tie_down: TieDown, gear: Gear | None, defaults: Defaults, *, us: bool
) -> Iterator[PartRating]:
    if gear is None:
        yield _unknown(PartName.BODY, tie_down.id, "gear", asks="gear")
        return
    body = _body(gear, defaults, us=us)
    yield body
    parts = [(PartName.FITTING, part) for part in gear.fittings or ()]
    if gear.tensioner is not None:
        parts.insert(0, (PartName.TENSIONER, gear.tensioner))
    for name, part in parts:
        yield _hardware(name, part, gear, body)


def _body(gear: Gear, defaults: Defaults, *, us: bool) -> PartRating:
    if gear.wll is not None:
        return _counted(PartName.BODY, gear.id, gear.kind, gear.wll)
    row = default_rating(gear, defaults)
    if row is None:
        return _unknown(PartName.BODY, gear.id, gear.kind, asks="wll")
    return PartRating(
        part=PartName.BODY,
        about=gear.id,
        kind=gear.kind,
        standing=Standing.COUNTED,
        amount=row.amount(us=us),
        basis=Basis.DEFAULT_TABLE,
        citation=row.citation,
        row_id=row.row_id,
    )


def _hardware(name: PartName, part: Part, gear: Gear, body: PartRating) -> PartRating:
    kind = part.kind or ""
    if part.wll is not None:
        return _counted(name, gear.id, kind, part.wll)
    if gear.kind in WEBBING and body.standing is Standing.COUNTED:
        return PartRating(
            part=name,
            about=gear.id,
            kind=kind,
            standing=Standing.COVERED,
            amount=None,
            basis=body.basis,
            citation=body.citation,
        )
    field = "fittings" if name is PartName.FITTING else "tensioner"
    return _unknown(name, gear.id, kind, asks=f"{field}.wll")


def _end_parts(tie_down: TieDown, plan: Plan) -> Iterator[PartRating]:
    for asks, anchor_id in zip(("from", "to"), ends_on_anchors(tie_down), strict=False):
        if (anchor := plan.anchor(anchor_id)) is not None:
            yield _anchor_part(PartName.ANCHOR, anchor, plan.hooks)
        else:
            yield _unknown(PartName.ANCHOR, tie_down.id, "", asks=asks)
    if tie_down.path is not Path.DIRECT:
        return
    # An attachment on the article is an anchor point too (393.5): rated if the plan lists it.
    if (attachment := plan.anchor(tie_down.to)) is not None:
        yield _anchor_part(PartName.ATTACHMENT, attachment, plan.hooks)
    else:
        yield PartRating(
            part=PartName.ATTACHMENT,
            about=tie_down.id,
            kind=tie_down.to or "",
            standing=Standing.NOT_LISTED,
            amount=None,
            basis=Basis.UNKNOWN,
        )


def _anchor_part(name: PartName, anchor: Anchor, hooks: Mapping[str, int]) -> PartRating:
    kind = anchor.kind or ""
    shared_by = hooks[anchor.id]
    if anchor.wll is None:
        return _unknown(name, anchor.id, kind, asks="wll", shared_by=shared_by)
    return _counted(name, anchor.id, kind, anchor.wll, shared_by=shared_by)


def _counted(
    name: PartName, about: str, kind: str, marked: Quantity, *, shared_by: int = 1
) -> PartRating:
    share = Amount(value=marked.value / shared_by, unit=marked.unit, dimension=marked.dimension)
    return PartRating(
        part=name,
        about=about,
        kind=kind,
        standing=Standing.COUNTED,
        amount=marked if shared_by == 1 else share,
        basis=Basis.MARKED,
        whole=marked,
        shared_by=shared_by,
    )


def _unknown(name: PartName, about: str, kind: str, *, asks: str, shared_by: int = 1) -> PartRating:
    return PartRating(
        part=name,
        about=about,
        kind=kind,
        standing=Standing.UNKNOWN,
        asks=asks,
        amount=None,
        basis=Basis.UNKNOWN,
        shared_by=shared_by,
    )


def mat_resistance(mass: Amount | None, mat: Gear) -> Amount | None:
    """The horizontal force a friction mat resists: as marked, else half the weight on it.

    49 CFR 393.108(g); the whole mass is taken to rest on the mat. None: neither is known.
    """
    assert mat.kind is GearKind.FRICTION_MAT
    if mat.wll is not None or mass is None:
        return mat.wll
    unit = "kg" if mass.unit == "g" else mass.unit
    value = mass.in_unit(unit).value * figures.figure("friction-mat-share").value_us
    return Amount(value=value, unit=unit, dimension=Dimension.FORCE)
