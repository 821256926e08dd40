"""Source: German insurers' association, 'the facts', ch.2 and 4, examples 4.3 and 4.4.

Used as checks of our mechanics of friction lashing, not as a rule of law: friction under weight and
clamping is the same sum. They take g = 9.81 m/s2; the shares do not depend on it beyond the digits
printed here.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from tests.securement.decks import box, over
from tests.securement.plans import found, value_of
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Verdict
from triplog.securement.model import Plan
from triplog.securement.quantity import Amount


def pallets() -> Plan:
    """Three pallets of 1.0 t under two upright belts, mean tension 2 kN, friction 0.38."""
    row = [replace(box(friction="0.38"), id=name) for name in ("A", "B", "C")]
    return over(*row, tension=["2 kN", "2 kN"])


def newtons_there(finding: Finding) -> Fraction:
    assert isinstance(finding.provided, Amount)
    return finding.provided.si


def short_of(finding: Finding) -> float:
    assert finding.verdict is Verdict.DOES_NOT_MEET
    return 100 * float(-value_of(finding.margin) / value_of(finding.required))


def test_a_belt_of_400_dan_holds_240_dan_by_friction_printed() -> None:
    """'The facts' ch.2: belt of 2,500 daN used over the top at 400 daN, friction 0.3: 240 daN."""
    bare = found(assess(over(box("1000 kg", friction="0.3"), tension=["0 daN"])), "au-lrg-forward")
    held = found(
        assess(over(box("1000 kg", friction="0.3"), tension=["400 daN"])), "au-lrg-forward"
    )
    assert newtons_there(held) - newtons_there(bare) == 2400


def test_three_pallets_are_just_about_forty_percent_short_forward_printed() -> None:
    """Example 4.3: 23.54 kN needed, 14.22 kN there, 39.6 % short."""
    forward = found(assess(pallets()), "au-lrg-forward")
    assert f"{short_of(forward):.1f}" == "39.6"
    assert f"{float(newtons_there(forward)) / 1000:.2f}" == "14.22"


def test_three_pallets_are_a_good_three_percent_short_sideways_printed() -> None:
    """Example 4.4: 14.71 kN needed, 14.22 kN there, 3.3 % short."""
    assert f"{short_of(found(assess(pallets()), 'au-lrg-sideways')):.1f}" == "3.3"


def test_with_the_tension_gone_worked_out_by_us() -> None:
    """From 4.3 and 4.4 with no tension left: 52.5 % and 24.0 % short."""
    whole = pallets()
    loose = replace(
        whole,
        tie_downs=tuple(
            replace(one, tension=replace(one.tension, value=Fraction(0)))
            for one in whole.tie_downs
            if one.tension is not None
        ),
    )
    findings = assess(loose)
    assert f"{short_of(found(findings, 'au-lrg-forward')):.1f}" == "52.5"
    assert f"{short_of(found(findings, 'au-lrg-sideways')):.1f}" == "24.0"


def test_both_legs_in_full_clamp_a_third_more_than_one_and_a_half_printed() -> None:
    """'The facts' ch.4: k of 2.0 instead of 1.5 gives 33 % more."""
    full = over(box("9 t", friction="0.3"), tension=["400 daN"])
    half = over(box("9 t", friction="0.3"), tension=["400 daN"], far_side_share=Decimal("0.5"))
    up = [value_of(found(assess(one), "au-lrg-up").provided) for one in (full, half)]
    assert up[0] / up[1] == Fraction(4, 3)


def test_friction_of_the_weight_alone_printed() -> None:
    """Finnish trade advice series, posting 8: 26 t on friction 0.2 is 5.2 t."""
    bare = over(box("26 t", friction="0.2"), tension=["0 kg"])
    assert value_of(found(assess(bare), "au-lrg-forward").provided) == Fraction("5.2")
