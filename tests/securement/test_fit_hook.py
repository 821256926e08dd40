"""Does the end fitting go into the anchor point: by kind, and by clear width where it is known.

Common practice, no source: a fitting wider than the opening does not hold.
"""

from dataclasses import replace
from typing import Any

import pytest

from tests.securement.fit_plans import asked, hooked, judged, of, over, pocket, pockets, steps
from tests.securement.plans import length
from triplog.securement.finding import Finding, Verdict
from triplog.securement.model import GearKind, Part, Path

FLAT, GRAB, SNAP = (Part(kind=kind) for kind in ("flat hook", "grab hook", "snap hook"))


def one(*, end: dict[str, Any] | None = None, **gear: Any) -> Finding:
    """The finding about T1 with its gear, or with its left anchor point, changed."""
    anchors = [pocket("L1", **(end or {})), *pockets()[1:]]
    (finding,) = of(judged(gear=[hooked(**gear)], ties=[over()], anchors=anchors), "fit-hook")
    return finding


def test_hooks_that_the_anchor_points_take_meet() -> None:
    (finding,) = of(judged(), "fit-hook")
    assert finding.verdict is Verdict.MEETS
    assert finding.about == ("T1", "T2")


def test_a_hook_of_another_kind_does_not_meet_and_names_what_fits() -> None:
    finding = one(end={"accepts": ("snap hook", "grab hook")})
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert finding.steps[0].id == "note.fit-other-hook"
    assert finding.steps[0].values["names"] == "snap hook, grab hook"


def test_a_flat_hook_wider_than_the_opening_does_not_meet() -> None:
    finding = one(end={"opening": length("16 mm"), "kind": "loop"})
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert "note.fit-narrow" in steps(finding)


@pytest.mark.parametrize(("clear", "verdict"), [("50 mm", Verdict.MEETS),
                                                ("49.9 mm", Verdict.DOES_NOT_MEET)])  # fmt: skip
def test_an_opening_just_as_wide_as_the_hook_takes_it(clear: str, verdict: Verdict) -> None:
    assert one(end={"opening": length(clear)}).verdict is verdict


def test_an_opening_says_nothing_of_a_hook_whose_width_is_not_known() -> None:
    finding = one(
        fittings=(SNAP, FLAT), end={"opening": length("16 mm"), "accepts": ("snap hook",)}
    )
    assert finding.verdict is Verdict.MEETS


def test_gear_may_be_laid_either_way_round() -> None:
    takes_snap_hooks = {"accepts": ("snap hook",)}
    assert one(fittings=(FLAT, SNAP), end=takes_snap_hooks).verdict is Verdict.MEETS
    assert one(fittings=(GRAB, SNAP), end=takes_snap_hooks).verdict is Verdict.DOES_NOT_MEET


def test_case_spaces_and_plural_do_not_matter() -> None:
    said = (Part(kind="Flat  hook"), FLAT)
    assert one(fittings=said, end={"accepts": ("flat hooks",)}).verdict is Verdict.MEETS


@pytest.mark.parametrize(
    ("changed", "missing"),
    [
        ({"end": {"accepts": None}}, ("L1", "accepts")),
        ({"fittings": None}, ("S-1", "fittings")),
        ({"fittings": (FLAT,)}, ("S-1", "fittings")),
        ({"fittings": (Part(), FLAT)}, ("S-1", "fittings.kind")),
    ],
)
def test_what_is_not_known_of_a_hook_is_named(
    changed: dict[str, Any], missing: tuple[str, str]
) -> None:
    finding = one(**changed)
    assert finding.verdict is Verdict.CANNOT_TELL
    assert missing in asked(finding)


def test_an_end_that_cannot_fit_stands_whatever_the_other_is() -> None:
    anchors = [pocket("L1", accepts=("grab hook",)), pocket("R1", left_m="-1.25", accepts=None)]
    (finding,) = of(judged(gear=[hooked()], ties=[over()], anchors=anchors), "fit-hook")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert finding.unknown == ()


def test_a_winch_takes_webbing_without_a_hook() -> None:
    gear = hooked(kind=GearKind.WINCH_STRAP, fittings=(FLAT,))
    anchors = [pocket("L1", kind="winch", accepts=None), pocket("R1", left_m="-1.25")]
    (finding,) = of(judged(gear=[gear], ties=[over()], anchors=anchors), "fit-hook")
    assert finding.verdict is Verdict.MEETS


def test_gear_without_fittings_is_not_asked() -> None:
    assert one(kind=GearKind.CORDAGE, fittings=()).verdict is Verdict.DOES_NOT_APPLY


def test_the_end_on_the_article_is_asked_only_if_the_plan_lists_it() -> None:
    unlisted = over(path=Path.DIRECT, ends=("L1", None))
    (finding,) = of(judged(gear=[hooked()], ties=[unlisted]), "fit-hook")
    assert finding.verdict is Verdict.MEETS
    tie = over(path=Path.DIRECT, ends=("L1", "tow eye"))
    listed = [*pockets(), pocket("tow eye", accepts=("grab hook",))]
    (finding,) = of(judged(gear=[hooked()], ties=[tie], anchors=listed), "fit-hook")
    assert finding.verdict is Verdict.DOES_NOT_MEET


def test_gear_and_anchor_points_that_are_not_named_cannot_be_told() -> None:
    ties = [over(gear=None), replace(over("T2"), to=None)]
    (finding,) = of(judged(ties=ties), "fit-hook")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert asked(finding) == {("T1", "gear"), ("T2", "to")}


def test_a_friction_mat_has_no_hooks_to_ask_about() -> None:
    mat = hooked("M-1", kind=GearKind.FRICTION_MAT, fittings=None)
    findings = judged(gear=[hooked(), mat], ties=[over(), over("T2", "M-1")])
    assert [finding.about for finding in of(findings, "fit-hook")] == [("T1",)]
