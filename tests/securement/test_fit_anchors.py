"""One lashing on one anchor point, and how steeply it comes down."""

import math
from dataclasses import replace

import pytest

from tests.securement.fit_plans import crate, hooked, judged, of, over, pocket, pockets, steps
from tests.securement.plans import chain, length
from triplog.securement.finding import Finding, Scope, Verdict
from triplog.securement.model import Anchor, GearKind, Path


def shared(*names: str, kind: str = "ring") -> list[Finding]:
    """Two straps from one anchor L1 to the points named."""
    ties = [
        over(f"T{number}", f"S-{number}", ends=("L1", name)) for number, name in enumerate(names, 1)
    ]
    anchors = [*pockets()[1:], pocket("L1", kind=kind)]
    return of(judged(ties=ties, anchors=anchors), "fit-anchor-shared")


def test_two_tie_downs_on_one_point_do_not_meet() -> None:
    """UK guide, section 4: more than one lashing must not be on one attachment point."""
    (finding,) = shared("R1", "R2")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert finding.about == ("T1", "T2")
    assert finding.scope is Scope.GUIDANCE
    assert [step.values["tie_downs"] for step in finding.steps] == ["T1, T2"]


@pytest.mark.parametrize("kind", ["rail", "track"])
def test_along_a_rail_there_is_room_for_more(kind: str) -> None:
    (finding,) = shared("R1", "R2", kind=kind)
    assert finding.verdict is Verdict.MEETS


@pytest.mark.parametrize("kind", ["sheeting hook", "Rope hook"])
def test_a_sheeting_or_rope_hook_is_no_anchor_point(kind: str) -> None:
    """UK guide, section 4."""
    (finding,) = shared("R1", kind=kind)
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert steps(finding)[0] == "note.fit-sheeting"


def test_points_of_their_own_meet_and_so_does_one_strap_with_both_ends_on_one() -> None:
    (finding,) = of(judged(), "fit-anchor-shared")
    assert finding.verdict is Verdict.MEETS
    (finding,) = shared("L1")
    assert finding.verdict is Verdict.MEETS


def test_attachments_on_the_article_are_not_asked() -> None:
    ties = [
        over("T1", "S-1", path=Path.DIRECT, ends=("L1", "eye")),
        over("T2", "S-2", path=Path.DIRECT, ends=("R1", "eye")),
    ]
    (finding,) = of(judged(ties=ties, anchors=[*pockets(), Anchor(id="eye")]), "fit-anchor-shared")
    assert finding.verdict is Verdict.MEETS


def test_a_mat_is_hooked_to_nothing() -> None:
    mat = hooked("S-2", kind=GearKind.FRICTION_MAT)
    ties = [over(), over("T2", "S-2", ends=("L1", "R1"))]
    (finding,) = of(judged(gear=[hooked(), mat], ties=ties), "fit-anchor-shared")
    assert finding.verdict is Verdict.MEETS


def flat(high: str, out_m: str = "2") -> list[Finding]:
    """A crate 2 m wide between anchor points so far from the centre line."""
    anchors = [pocket("L1", left_m=out_m), pocket("R1", left_m=f"-{out_m}")]
    return of(judged([crate(height=length(high))], [hooked()], [over()], anchors), "fit-angle")


@pytest.mark.parametrize(
    ("high", "verdict", "degrees"),
    [("0.70 m", Verdict.DOES_NOT_MEET, 34), ("0.71 m", Verdict.MEETS, None),
     ("0.10 m", Verdict.DOES_NOT_MEET, 5)],
)  # fmt: skip
def test_a_line_flatter_than_35_degrees_is_discouraged(
    high: str, verdict: Verdict, degrees: int | None
) -> None:
    """A public German glossary, second-hand. 1 m out: tan 35 degrees is 0.7002."""
    (finding,) = flat(high)
    assert finding.verdict is verdict
    assert math.tan(math.radians(35)) == pytest.approx(0.7002, abs=1e-4)
    if degrees is not None:
        assert finding.steps[0].values["degrees"] == degrees


def test_only_what_goes_over_the_top_and_has_a_route_is_asked() -> None:
    direct = over(path=Path.DIRECT, ends=("L1", "eye"))
    assert of(judged(gear=[chain("S-1")], ties=[direct]), "fit-angle") == []
    assert of(judged([replace(crate(), at=None)]), "fit-angle") == []
