"""What the envelope is asked about: bodies, what they stand on, tie-downs, stops. No plan.

Newtons, metres, floats; x forward, y left, z up, any origin. Records are not checked at birth:
`refusals.refusal_of` looks a whole scene over and names what cannot be worked with.
"""

from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float, float]

Reason = Literal[
    "not-a-number",
    "no-body",
    "doubled-id",
    "unknown-body",
    "unknown-anchor",
    "weight-not-positive",
    "vertical-factor-not-positive",
    "friction-negative",
    "base-without-area",
    "base-not-level",
    "centre-of-gravity-below-base",
    "strap-without-legs",
    "strap-neither-fixed-nor-limited",
    "tension-negative",
    "limit-not-positive",
    "retained-over-limit",
    "rate-not-positive",
    "share-not-positive",
    "leg-without-length",
    "anchor-over-limit-at-rest",
    "block-without-points",
    "normal-without-length",
    "face-without-points",
    "strap-across-a-stack",
    "strap-across-more-than-two",
    "not-one-stack-or-row",
    "cone-sides-out-of-range",
    "does-not-stand",
    "no-answer-within-limit",
]
"""Why a scene is refused; the sentence for people belongs to the wording."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """No number can be given: why, and the ids of what is at fault."""

    reason: Reason
    about: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A rigid body on the points of its base, all in one level plane.

    `friction`: between the base and what it stands on; `vertical_factor`: share of the weight
    that presses down; `on`: the body below, None for the deck.
    """

    id: str
    weight_n: float
    cog_m: Point
    base_m: tuple[Point, ...]
    friction: float
    vertical_factor: float = 1.0
    on: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """A straight run of a tie-down from where it bears on a body towards its anchor point.

    `share`: this leg's tension over the tie-down's; `anchor`: id of an `Anchor` whose limit
    counts, None where it has none.
    """

    body: str
    cargo_m: Point
    anchor_m: Point
    share: float = 1.0
    anchor: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Strap:
    """A tie-down: at a fixed tension, or up to a limit from the pretension it retains.

    Exactly one of `fixed_n` and `limit_n`; a limited one has `rate_n_per_m`, the force each
    metre of lengthening adds.
    """

    id: str
    legs: tuple[Leg, ...]
    fixed_n: float | None = None
    limit_n: float | None = None
    retained_n: float = 0.0
    rate_n_per_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Anchor:
    """An anchor point and the most all its legs together may pull on it."""

    id: str
    limit_n: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A stop without friction that touches the body and can only push, along `normal`.

    `limit_n`: what it holds in all, an equal part at each point; None: more than will ever come.
    """

    id: str
    body: str
    normal: Point
    points_m: tuple[Point, ...]
    limit_n: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """Where two bodies of a row touch; `normal` points from the first into the second."""

    between: tuple[str, str]
    normal: Point
    points_m: tuple[Point, ...]
    friction: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One body; a stack (each on the one before); or a row (all on the deck, face to face)."""

    bodies: tuple[Body, ...]
    straps: tuple[Strap, ...] = ()
    blocks: tuple[Block, ...] = ()
    faces: tuple[Face, ...] = ()
    anchors: tuple[Anchor, ...] = ()
