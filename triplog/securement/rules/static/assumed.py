"""What the static estimate assumes: the cautious values, and those of the closed forms beside."""

from dataclasses import dataclass, replace

from triplog.securement.figures import figure_row
from triplog.securement.finding import Citation
from triplog.securement.model import Plan

RULE_SET = "static"
CITATION = Citation(
    source="assumption", clause="static estimate", edition="of this version", how_sure="no source"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumed:
    """Pure numbers and m/s²; `far_share`: the far leg's tension where the plan does not tell it."""

    gravity_m_s2: float
    vertical_factor: float
    friction_divided_by: float
    face_friction: float
    far_share: float


def static_figure(name: str) -> float:
    """One of the single figures of the estimate."""
    row = figure_row(name, "figures_static")
    return float(row.numbers["value"])


def cautious(plan: Plan) -> Assumed:
    """What the plan says, else the estimate's own."""
    told = plan.assumptions

    def number(value: object, name: str) -> float:
        return static_figure(name) if value is None else float(str(value))

    return Assumed(
        gravity_m_s2=number(told.gravity_m_s2, "gravity"),
        vertical_factor=number(told.vertical_factor, "vertical-factor"),
        friction_divided_by=number(told.friction_divided_by, "friction-divided-by"),
        face_friction=0.0 if told.face_friction is None else float(told.face_friction),
        far_share=static_figure("far-share"),
    )


def as_closed_forms(assumed: Assumed) -> Assumed:
    """Friction as it is, both legs alike: what the closed forms of a standard take."""
    return replace(assumed, friction_divided_by=1.0, far_share=1.0)
