"""What a person who looks at gear is told: what to look for, and what the look came to."""

from collections.abc import Mapping
from textwrap import wrap
from typing import Any, cast

from triplog.securement.inspection import Against, Look, LookAnswer
from triplog.securement.model import WEBBING, GearKind
from triplog.securement.rules.fit.sources import fit_figure
from triplog.wording.amounts import amount_text

NOT_FOR_LIFTING = "Tie-down gear is not for lifting."
PLACES = {
    "us": "United States",
    "ca": "Canada",
    "eu": "European Union",
    "au": "Australia",
}
ANSWERS = {
    LookAnswer.NOTHING_FOUND: "nothing found",
    LookAnswer.WITHIN: "not above what was named; the label, the maker and a competent person"
    " decide whether it stays in use",
    LookAnswer.SET_ASIDE: "set aside: above what is allowed where it may be used",
    LookAnswer.UNFIT: "unfit: above the line at which an inspector takes it out of service",
}
_WHATEVER_ITS_SIZE = (
    "set aside: damage that was not measured across a known width of webbing, or of another sort"
)
_WIDTH = 100
_WEBBING = (
    "label there and readable",
    "cuts, burns, holes, wear: measured across the width and added up",
    "stitching whole",
    "no knot, no splice, nothing melted, charred, crushed or eaten by chemicals",
    "ratchet or winch turns, its pawl catches, nothing bent or rusted",
    "end fittings not cracked, bent or opened",
)
_HARDWARE = "hooks and binder not cracked, bent, opened or welded"
LOOK_FOR: dict[GearKind, tuple[str, ...]] = {
    GearKind.RATCHET_STRAP: _WEBBING,
    GearKind.WINCH_STRAP: _WEBBING,
    GearKind.CHAIN: (
        "rating or grade mark readable",
        "no link broken, cracked, twisted, bent, stretched, nicked or gouged",
        "no knot; no repair with a bolt, a lap link or a field weld",
        _HARDWARE,
    ),
    GearKind.WIRE_ROPE: (
        "rating readable",
        "no kink, no bird-cage, no core pushed out, no mark of heat",
        "broken wires counted, along the rope and at the fittings",
        _HARDWARE,
    ),
    GearKind.CORDAGE: (
        "rating readable",
        "not burned, not worn thin; no knot; repaired by splice only",
        _HARDWARE,
    ),
    GearKind.STEEL_STRAPPING: ("not rusted, kinked or torn", "seals whole and crimped"),
    GearKind.FRICTION_MAT: ("not torn, not worn through", "clean: no grease, ice or dust"),
    GearKind.BAR: ("not bent or cracked", "its ends hold, its lock catches"),
}
"""By kind of gear, what to look for: webbing, chain and rope as inspectors look at them."""


def look_for(kind: str) -> tuple[str, ...]:
    """What to look for on gear of a kind."""
    return LOOK_FOR[GearKind(kind)]


def wraps_line() -> str:
    """How much webbing has to lie on the mandrel."""
    least = fit_figure("wraps-min")
    return (
        f"At least {least.value_us} wraps of webbing on the mandrel, and not many more"
        f" ({least.citation.source}, {least.citation.how_sure})."
    )


def gear_notes(kind: str) -> list[str]:
    """The sentences that go with a piece of gear wherever somebody looks at it."""
    return [*([wraps_line()] if kind in WEBBING else []), NOT_FOR_LIFTING]


def look_lines(look: Look, item: Mapping[str, Any]) -> list[str]:
    """What a look came to, limit by limit, the answer first."""
    lines = [ANSWERS[look.answer]]
    if look.answer is LookAnswer.SET_ASIDE and look.across is None:
        lines = [_WHATEVER_ITS_SIZE]
    if look.across is not None:
        lines.append(f"  found across the width   {amount_text(look.across, 'up')}")
    lines += [f"  {_against_line(one)}" for one in look.against]
    line = look.inspector_line
    if line is not None and look.answer is not LookAnswer.NOTHING_FOUND:
        above = {True: "above it", False: "not above it", None: "not measured"}
        lines.append(
            f"  an inspector takes {item['width']} webbing out of service above"
            f" {amount_text(line.damage, 'down')}: {above[look.above_inspector_line]};"
            f" no licence to use ({line.citation.source}, {line.citation.how_sure})"
        )
    return [part for line in lines for part in _wrapped(line)]


def _wrapped(line: str) -> list[str]:
    return wrap(line, _WIDTH, subsequent_indent="    ", break_on_hyphens=False)


def against_record(one: Against) -> dict[str, object]:
    """A limit as it is kept with an inspection; `most` None: no damage is allowed."""
    most = None if one.most is None else amount_text(one.most, "down")
    named = (
        {"allowed_by": "label or maker, as stated"}
        if one.limit is None
        else {
            "used_in": one.limit.used_in,
            "source": one.limit.citation.source,
            "clause": one.limit.citation.clause,
            "how_sure": one.limit.citation.how_sure,
        }
    )
    return {"most": most, "exceeded": one.is_exceeded, **named}


def _against_line(one: Against) -> str:
    most = "none allowed" if one.most is None else f"less than {amount_text(one.most, 'down')}"
    word = "exceeded" if one.is_exceeded else "not exceeded"
    if one.limit is None:
        most = amount_text(cast(Any, one.most), "down")
        return f"label or maker, as stated: {most}: {word}"
    citation = one.limit.citation
    return (
        f"{PLACES[one.limit.used_in]}: {most}: {word}"
        f" ({citation.source} {citation.clause}, {citation.how_sure})"
    )
