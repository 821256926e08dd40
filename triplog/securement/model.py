"""What a plan is made of: vehicle, anchor points, gear, articles of cargo, tie-downs.

Frozen and checked at birth; None is *unknown*, never zero. Names are those of plan format 1
(`PLAN.md`). Deck frame: x forward from the deck front (so `from_front_m` counts backwards),
y to the left of the centre line, z up from the deck.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Literal

from triplog.securement.cargo_facts import Answer, FactValue
from triplog.securement.quantity import Quantity


class PlanRefused(ValueError):
    """A plan that cannot be judged; `where` names the field as `tie_down[2].gear`."""

    def __init__(self, where: str, sentence: str) -> None:
        super().__init__(f"{where}: {sentence}")
        self.where = where


class GearKind(StrEnum):
    RATCHET_STRAP = "ratchet strap"
    WINCH_STRAP = "winch strap"
    CHAIN = "chain"
    WIRE_ROPE = "wire rope"
    CORDAGE = "cordage"
    STEEL_STRAPPING = "steel strapping"
    FRICTION_MAT = "friction mat"
    BAR = "bar"


WEBBING = frozenset({GearKind.RATCHET_STRAP, GearKind.WINCH_STRAP})


class Path(StrEnum):
    """How a tie-down runs: over to the other side, to the article, round back, round a face."""

    OVER = "over"
    DIRECT = "direct"
    SAME_SIDE = "same side"
    SPRING = "spring"


WallCode = Literal["EN 12642 L", "EN 12642 XL", "none"]
Lay = Literal["crosswise", "lengthwise", "diagonal"]


class Direction(StrEnum):
    FORWARD = "forward"
    REARWARD = "rearward"
    LEFT = "left"
    RIGHT = "right"


class Commodity(StrEnum):
    GENERAL = "general"
    LOGS = "logs"
    DRESSED_LUMBER = "dressed lumber"
    METAL_COIL = "metal coil"
    PAPER_ROLL = "paper roll"
    CONCRETE_PIPE = "concrete pipe"
    CONTAINER = "container"
    LIGHT_VEHICLE = "light vehicle"
    MACHINE = "machine"
    FLATTENED_CAR = "flattened car"
    ROLL_OFF = "roll-off"
    BOULDER = "boulder"


class Body(StrEnum):
    """What kind of body or trailer carries the load."""

    FLATBED = "flatbed"
    LOWBOY = "lowboy"
    SIDED = "sided"
    CURTAIN_SIDE = "curtain side"
    FRAME = "frame"
    CRIB_TYPE = "crib-type log trailer"
    POLE_TRAILER = "pole trailer"
    CHASSIS = "container chassis"
    HOIST = "hoist"


class MassBasis(StrEnum):
    WEIGHED = "weighed"
    STATED = "stated"
    ESTIMATED = "estimated"


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """A point on the vehicle. `up_m` None: at the deck."""

    from_front_m: Fraction
    left_m: Fraction
    up_m: Fraction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontStructure:
    """A headboard or bulkhead; `rated` is the static force it withstands."""

    height: Quantity | None = None
    width: Quantity | None = None
    rated: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Walls:
    """What the body's walls are marked to: an EN 12642 code by wall; "none" is an answer."""

    front: WallCode | None = None
    sides: WallCode | None = None
    rear: WallCode | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """`gross_mass`: rating of the vehicle or combination; `front_structure` "none" is an answer.

    `payload` is the mass the body is rated to carry; `registered_in` an ISO 3166-2 code.
    """

    name: str | None = None
    gross_mass: Quantity | None = None
    use: Literal["interstate business", "other"] | None = None
    deck_length: Quantity | None = None
    deck_width: Quantity | None = None
    deck_height: Quantity | None = None
    deck_surface: str | None = None
    front_structure: FrontStructure | Literal["none"] | None = None
    body: Body | None = None
    payload: Quantity | None = None
    registered_in: str | None = None
    walls: Walls = Walls()


@dataclass(frozen=True, slots=True, kw_only=True)
class Anchor:
    """A place on the vehicle where a tie-down attaches; `accepts` None: not known what fits."""

    id: str
    at: Position | None = None
    kind: str | None = None
    opening: Quantity | None = None
    accepts: tuple[str, ...] | None = None
    wll: Quantity | None = None
    breaking: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """An end fitting or a tensioner of a tie-down."""

    kind: str | None = None
    wll: Quantity | None = None
    breaking: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Damage:
    """What was found on a piece of gear; `size` None: not measured."""

    kind: str
    size: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Gear:
    """One piece of tie-down gear. `wll` as marked on it; None: no legible marking known.

    `width` of webbing, `size` of chain, rope and strapping; `lc`, `stf`, `shf` of a European label.
    `fittings` None: not known; a plan file may list one or both ends. `mass` is the gear's own;
    `friction` what a mat is marked with.
    """

    id: str
    kind: GearKind
    width: Quantity | None = None
    size: Quantity | None = None
    thickness: Quantity | None = None
    grade: str | None = None
    material: str | None = None
    length: Quantity | None = None
    wll: Quantity | None = None
    breaking: Quantity | None = None
    lc: Quantity | None = None
    stf: Quantity | None = None
    shf: Quantity | None = None
    tracer_lines: int | None = None
    fittings: tuple[Part, ...] | None = None
    tensioner: Part | None = None
    damage: tuple[Damage, ...] | None = None
    mass: Quantity | None = None
    friction: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """What stops an article in one direction; `by` "nothing" is an answer."""

    by: str
    rated: Quantity | None = None
    up: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CentreOfGravity:
    """From the article's own front face, middle and base."""

    back_m: Fraction
    left_m: Fraction
    up_m: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Article:
    """An article of cargo. `section` is the choice made where the law leaves one.

    `facts` and `answers` are what its commodity's section asks for (`cargo_facts`).
    """

    id: str
    what: str | None = None
    commodity: Commodity | None = None
    section: str | None = None
    mass: Quantity | None = None
    mass_basis: MassBasis | None = None
    length: Quantity | None = None
    width: Quantity | None = None
    height: Quantity | None = None
    at: Position | None = None
    cog: CentreOfGravity | None = None
    on: str = "deck"
    friction: Decimal | None = None
    surfaces: tuple[str, str] | None = None
    wet: bool | None = None
    mat: str | None = None
    blocked: Mapping[Direction, Block] = field(default_factory=dict)
    sharp_edges: bool | None = None
    rolls: bool | None = None
    contained: bool | None = None
    stands_unaided: bool | None = None
    together: str | None = None
    facts: Mapping[str, FactValue] = field(default_factory=dict)
    answers: Mapping[str, Answer] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeProtection:
    """Number of contacts that need a protector and number fitted."""

    needed: int | None = None
    fitted: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TieDown:
    """One tie-down: the gear, where its ends are, what it holds and how it runs.

    `to` is an anchor's id, or for a direct tie-down the article's own attachment. `lay` is its
    line over the article seen from above; `retained` the tension found at the last look.
    """

    id: str
    holds: tuple[str, ...]
    path: Path | None = None
    gear: str | None = None
    from_anchor: str | None = None
    to: str | None = None
    touches: tuple[Position, ...] | None = None
    tension: Quantity | None = None
    tension_basis: Literal["measured", "hand force label", "assumed"] | None = None
    tensioner_side: Literal["left", "right", "both"] | None = None
    far_side_share: Decimal | None = None
    edge_protection: EdgeProtection | None = None
    knots: bool | None = None
    lay: Lay | None = None
    through_eye: bool | None = None
    retained: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumptions:
    """Stated assumptions of the static estimate; None: the estimate's own default.

    `transmission_k` is the sum of both legs' forces over the tensioner's, for EN 12195-1.
    """

    gravity_m_s2: Decimal | None = None
    vertical_factor: Decimal | None = None
    friction_divided_by: Decimal | None = None
    face_friction: Decimal | None = None
    transmission_k: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A whole plan; ids are unique within their kind and every reference is answered."""

    rules: tuple[str, ...] = ("us-393", "house")
    vehicle: Vehicle = field(default_factory=Vehicle)
    anchors: tuple[Anchor, ...] = ()
    gear: tuple[Gear, ...] = ()
    articles: tuple[Article, ...] = ()
    tie_downs: tuple[TieDown, ...] = ()
    assumptions: Assumptions = field(default_factory=Assumptions)
    hooks: Mapping[str, int] = field(init=False, repr=False, compare=False)
    """How many tie-down ends are hooked to each anchor point, in use or set aside alike."""
    _anchors: Mapping[str, Anchor] = field(init=False, repr=False, compare=False)
    _gear: Mapping[str, Gear] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        ends = (end for one in self.tie_downs for end in (one.from_anchor, one.to))
        hooks = Counter(anchor_id for anchor_id in ends if anchor_id is not None)
        object.__setattr__(self, "hooks", hooks)
        object.__setattr__(self, "_anchors", {anchor.id: anchor for anchor in self.anchors})
        object.__setattr__(self, "_gear", {item.id: item for item in self.gear})
        for name, things in (
            ("anchor", self.anchors),
            ("gear", self.gear),
            ("article", self.articles),
            ("tie_down", self.tie_downs),
        ):
            _refuse_doubles(name, [thing.id for thing in things])
        for number, tie_down in enumerate(self.tie_downs):
            self._refuse_dangling(f"tie_down[{number}]", tie_down)
        for number, article in enumerate(self.articles):
            if article.mat is not None and self.gear_item(article.mat) is None:
                raise PlanRefused(
                    f"article[{number}].mat", f"there is no gear {article.mat!r} in this plan"
                )
        self._refuse_unsupported_articles()

    def anchor(self, anchor_id: str | None) -> Anchor | None:
        """The anchor point of that id; None where the plan has none."""
        return None if anchor_id is None else self._anchors.get(anchor_id)

    def gear_item(self, gear_id: str | None) -> Gear | None:
        """The gear of that id; None where the plan has none."""
        return None if gear_id is None else self._gear.get(gear_id)

    def tie_downs_on(self, article_id: str) -> tuple[TieDown, ...]:
        """The tie-downs that hold an article, in the plan's order."""
        return tuple(tie_down for tie_down in self.tie_downs if article_id in tie_down.holds)

    def _refuse_dangling(self, where: str, tie_down: TieDown) -> None:
        articles = {article.id for article in self.articles}
        for held in tie_down.holds:
            if held not in articles:
                raise PlanRefused(f"{where}.holds", f"there is no article {held!r} in this plan")
        if not tie_down.holds:
            raise PlanRefused(f"{where}.holds", "a tie-down holds at least one article")
        if tie_down.gear is not None and self.gear_item(tie_down.gear) is None:
            raise PlanRefused(f"{where}.gear", f"there is no gear {tie_down.gear!r} in this plan")
        if tie_down.from_anchor is not None and self.anchor(tie_down.from_anchor) is None:
            raise PlanRefused(
                f"{where}.from", f"there is no anchor point {tie_down.from_anchor!r} in this plan"
            )
        if (
            tie_down.to is not None
            and tie_down.path is not Path.DIRECT
            and self.anchor(tie_down.to) is None
        ):
            raise PlanRefused(
                f"{where}.to", f"there is no anchor point {tie_down.to!r} in this plan"
            )

    def _refuse_unsupported_articles(self) -> None:
        below = {article.id: article.on for article in self.articles}
        for number, article in enumerate(self.articles):
            seen = {article.id}
            support = article.on
            while support != "deck":
                if support not in below:
                    raise PlanRefused(
                        f"article[{number}].on", f"there is no article {support!r} to stand on"
                    )
                if support in seen:
                    raise PlanRefused(
                        f"article[{number}].on", "the articles stand on each other in a circle"
                    )
                seen.add(support)
                support = below[support]


def _refuse_doubles(name: str, ids: list[str]) -> None:
    for number, one in enumerate(ids):
        if not one.strip():
            raise PlanRefused(f"{name}[{number}].id", "the id is empty")
        if one in ids[:number]:
            raise PlanRefused(f"{name}[{number}].id", f"the id {one!r} is given twice")
