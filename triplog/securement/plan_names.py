"""The names and fixed words of plan format 1: what each table may hold (`PLAN.md`)."""

from typing import Literal

from triplog.securement.cargo_facts import FACTS_BY_NAME, QUESTIONS_BY_ID
from triplog.securement.model import Direction, Lay, WallCode

PLAN_FORMAT = "triplog-plan/1"
RULE_SETS = (
    "us-393", "house", "fit", "static", "ca-nsc10", "en-12195-1", "au-lrg", "nz-code",
)  # fmt: skip
RULE_SETS_BY_DEFAULT = ("us-393", "house")
SECTIONS = (
    "general", "393.116", "393.118", "393.120", "393.122", "393.124", "393.126", "393.128",
    "393.130", "393.132", "393.134", "393.136",
)  # fmt: skip
USES: tuple[Literal["interstate business", "other"], ...] = ("interstate business", "other")
TENSION_BASES: tuple[Literal["measured", "hand force label", "assumed"], ...] = (
    "measured", "hand force label", "assumed",
)  # fmt: skip
TENSIONER_SIDES: tuple[Literal["left", "right", "both"], ...] = ("left", "right", "both")
LAYS: tuple[Lay, ...] = ("crosswise", "lengthwise", "diagonal")
WALL_CODES: tuple[WallCode, ...] = ("EN 12642 L", "EN 12642 XL", "none")

_BLOCKED = [f"{direction}{what}" for direction in Direction for what in ("", "_rated", "_up")]
# The names each table may hold, by where it stands; the schema and PLAN.md name the same.
NAMES: dict[str, frozenset[str]] = {
    table: frozenset(names.split())
    for table, names in {
        "": "format rules vehicle anchor gear article tie_down assumptions",
        "vehicle": "name gross_mass use deck_length deck_width deck_height deck_surface"
        " front_structure body payload registered_in walls",
        "vehicle.walls": "front sides rear",
        "vehicle.front_structure": "height width rated",
        "anchor": "id at kind opening accepts wll breaking",
        "gear": "id kind width size thickness grade material length wll breaking lc stf shf"
        " tracer_lines fittings tensioner damage mass friction",
        "gear.fittings": "kind wll breaking",
        "gear.tensioner": "kind wll breaking",
        "gear.damage": "kind size",
        "article": "id what commodity section mass mass_basis length width height at cog on"
        " friction surfaces wet mat blocked sharp_edges rolls contained stands_unaided together"
        " facts answers",
        "article.cog": "back across up",
        "article.facts": " ".join(FACTS_BY_NAME),
        "article.answers": " ".join(QUESTIONS_BY_ID),
        "article.blocked": " ".join(_BLOCKED),
        "tie_down": "id holds path gear from to touches tension tension_basis tensioner_side"
        " far_side_share edge_protection knots lay through_eye retained",
        "tie_down.edge_protection": "needed fitted",
        "assumptions": "gravity_m_s2 vertical_factor friction_divided_by face_friction"
        " transmission_k",
    }.items()
}
