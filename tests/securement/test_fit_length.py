"""Does it reach: plane trigonometry worked out by hand beside each case.

Two wraps on the drum: a webbing supplier's sheet, second-hand. The length of a wrap and of the tail
are assumptions of this program (`figures/figures_fit.csv`), so totals are regression values.
"""

import math
from dataclasses import replace

import pytest

from tests.securement.fit_plans import asked, at, crate, hooked, judged, of, over, pockets, steps
from tests.securement.plans import chain, length, value_of
from triplog.securement.finding import Finding, Verdict
from triplog.securement.model import Gear, GearKind, Path, TieDown

# From the pocket 0.25 m out and 1.5 m down to the crate's edge, over 2 m, and down again.
ROUTE_M = 2 * math.hypot(0.25, 1.5) + 2


def one(gear: Gear | None = None, tie: TieDown | None = None) -> Finding:
    findings = judged(gear=[gear or hooked()], ties=[tie or over()])
    (finding,) = of(findings, "fit-length")
    return finding


def test_route_wraps_and_tail_are_what_is_asked() -> None:
    finding = one()
    assert finding.verdict is Verdict.MEETS
    assert float(value_of(finding.required)) == pytest.approx(ROUTE_M + 2 * 0.1 + 0.3)
    assert float(value_of(finding.margin)) == pytest.approx(8 - ROUTE_M - 0.5)


def test_each_run_is_shown_with_its_parts() -> None:
    runs = [step for step in one().steps if step.id.startswith("other.")]
    assert [step.id for step in runs] == ["other.fit-run", "other.fit-across", "other.fit-run"]
    assert [value_of(runs[0].values[name]) for name in ("back", "across", "up")] == [0, 0.25, 1.5]
    assert float(value_of(runs[0].values["run"])) == pytest.approx(math.hypot(0.25, 1.5))


@pytest.mark.parametrize(
    ("long", "verdict"), [("5.55 m", Verdict.MEETS), ("5.54 m", Verdict.DOES_NOT_MEET)]
)
def test_a_centimetre_decides(long: str, verdict: Verdict) -> None:
    """2 x 1.52069 + 2 + 0.2 + 0.3 = 5.5414 m."""
    finding = one(hooked(length=length(long)))
    assert finding.verdict is verdict
    assert (finding.mend is None) is (verdict is Verdict.MEETS)


def test_feet_go_with_feet() -> None:
    """A strap told in feet is compared with the allowances in inches: 2 x 4 in and 12 in."""
    finding = one(hooked(length=length("27 ft")))
    required = finding.required
    assert required is not None and required.unit == "ft"
    assert float(value_of(required)) == pytest.approx(ROUTE_M / 0.3048 + 20 / 12)


def test_a_winch_drum_takes_more() -> None:
    ratchet, winch = one(), one(hooked(kind=GearKind.WINCH_STRAP))
    assert value_of(winch.required) - value_of(ratchet.required) == pytest.approx(0.2)


def test_chain_has_neither_wraps_nor_tail() -> None:
    finding = one(chain("S-1", length=length("6 m")))
    assert float(value_of(finding.required)) == pytest.approx(ROUTE_M)
    assert "required.fit-plain" in steps(finding)


def test_gear_of_unknown_length_is_told_how_long_it_must_be() -> None:
    finding = one(hooked(length=None))
    assert finding.verdict is Verdict.CANNOT_TELL
    assert asked(finding) == {("S-1", "length")}
    assert float(value_of(finding.steps[0].values["at_least"])) == pytest.approx(ROUTE_M + 0.5)


def test_all_that_is_missing_stands_in_one_finding() -> None:
    findings = judged([crate(width=None, at=None)])
    (finding,) = of(findings, "fit-length")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert finding.about == ("T1", "T2")
    assert asked(finding) == {("A", "width"), ("A", "at")}


def test_gear_that_is_not_named_is_asked_for() -> None:
    assert asked(one(tie=over(gear=None))) == {("T1", "gear")}


@pytest.mark.parametrize(
    ("ends", "why"),
    [
        ((at("6", "1.25"), at("6", "-1.25")), "note.fit-beside"),
        ((at("2", "1.25"), at("2", "1.25")), "note.fit-one-point"),
        ((at("2", "1.25", "2"), at("2", "-1.25", "2")), "note.fit-no-leg"),
        ((at("2", "0.5"), at("2", "-1.25")), "note.fit-through"),
    ],
)
def test_what_cannot_be_rigged_as_written_does_not_meet(ends: object, why: str) -> None:
    """Beside the crate, on one point, above the crate, from under it."""
    assert isinstance(ends, tuple)
    anchors = pockets()
    anchors[0], anchors[1] = (
        replace(anchor, at=place) for anchor, place in zip(anchors[:2], ends, strict=True)
    )
    findings = judged(gear=[hooked()], ties=[over()], anchors=anchors)
    (finding,) = of(findings, "fit-length")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert why in steps(finding)


def test_a_leg_through_another_article_does_not_meet() -> None:
    box = crate("B", at=at("1", "1.15"), width=length("0.1 m"), height=length("1 m"))
    findings = judged([crate(), box])
    (finding,) = of(findings, "fit-length")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert finding.steps[0].values["names"] == "B"


def test_a_direct_chain_to_an_axle_within_the_box_is_measured() -> None:
    """3 m along, 1.25 m across, 1 m up: the root of 11.5625 is 3.4004 m."""
    tie = over(path=Path.DIRECT, ends=("L1", "axle"), touches=(at("5", "0", "1"),))
    finding = one(chain("S-1", length=length("16 ft")), tie)
    assert finding.verdict is Verdict.MEETS
    assert float(value_of(finding.required)) * 0.3048 == pytest.approx(math.sqrt(11.5625))


def test_a_loop_whose_touches_are_not_told_names_them() -> None:
    assert ("T1", "touches") in asked(one(tie=over(path=Path.SAME_SIDE)))
