"""What a mat resists, and when the downward force is asked."""

from tests.securement.plans import (
    article,
    force,
    found,
    plan,
    strap,
    tie_down,
    value_of,
)
from triplog.securement.assess import assess
from triplog.securement.finding import Scope, Verdict
from triplog.securement.model import (
    Gear,
    GearKind,
)


def test_an_article_on_a_friction_mat_is_told_what_the_mat_resists() -> None:
    mat = Gear(id="M-1", kind=GearKind.FRICTION_MAT, damage=())
    whole = plan([article(weighs="10000 lb", mat="M-1")], [strap(), mat], [tie_down()])
    assert value_of(found(assess(whole), "us-393.108-mat").provided) == 5000


def test_enough_tension_at_best_is_not_short() -> None:
    """Two upright legs of 620 lb would just press down with the 1,240 lb asked for."""
    tie = tie_down(tension=force("620 lb"))
    finding = found(assess(plan([article()], [strap()], [tie])), "us-393.102-down")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in finding.unknown] == ["angle of the legs"]


def test_the_downward_force_is_not_deemed_met_while_something_else_cannot_be_told() -> None:
    gear = [strap(f"S-{number}") for number in (1, 2, 3)]
    ties = [tie_down(f"T{number}", gear=f"S-{number}", knots=None) for number in (1, 2, 3)]
    finding = found(assess(plan([article()], gear, ties)), "us-393.102-down")
    assert (finding.verdict, finding.scope) == (Verdict.CANNOT_TELL, Scope.LAW)
