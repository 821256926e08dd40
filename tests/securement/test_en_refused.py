"""What the closed forms of EN 12195-1 do not cover is refused with its reason, never reckoned."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from tests.securement.en_plans import (
    crate,
    dan,
    direct,
    en_plan,
    four_chains,
    judged,
    over,
    position,
    ring,
    spread,
    steps_of,
    webbing,
)
from tests.securement.plans import force, length, mass
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Verdict
from triplog.securement.model import (
    Anchor,
    Block,
    CentreOfGravity,
    Direction,
    GearKind,
    Plan,
    TieDown,
)

Lashed = list[tuple[TieDown, list[Anchor]]]
STRONG = force("20000 daN")


def refused(finding: Finding, reason: str) -> bool:
    return (
        finding.verdict is Verdict.CANNOT_TELL
        and finding.unknown[0].field == "closed form"
        and f"note.en-refused-{reason}" in steps_of(finding)
    )


def strong(lashed: Lashed, lc: str = "20000 daN", **told: GearKind) -> Plan:
    """Lashings strong enough by far, so that only the form stands in the way."""
    ends = [replace(one, wll=STRONG) for _, each in lashed for one in each]
    names = {tie.gear for tie, _ in lashed if tie.gear is not None}
    gear = [webbing(name, lc=lc, stf="5000 daN", **told) for name in sorted(names)]
    return en_plan(crate(), lashed, anchors=ends, gear=gear)


def test_pressing_down_and_pulling_are_not_mixed() -> None:
    whole = strong([*four_chains(), over(9, "3")])
    assert refused(judged(whole, "slide", "forward"), "mix")
    assert judged(whole, "slide", "left").verdict is Verdict.MEETS


def test_where_friction_alone_is_enough_a_mixture_is_no_obstacle() -> None:
    whole = strong([*four_chains(), over(9, "3")])
    smooth = replace(whole, articles=(crate(friction=Decimal("0.9")),))
    assert judged(smooth, "slide", "forward").verdict is Verdict.MEETS


def test_a_mixture_that_falls_short_with_everything_counted_in_full_is_short() -> None:
    whole = en_plan(crate(mass=mass("60 t")), [*four_chains(), over(9, "3")])
    finding = judged(whole, "slide", "forward")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert "note.en-refused-mix" in steps_of(finding)


def test_chain_beside_webbing_is_not_added() -> None:
    lashed = [over(1, "2"), over(2, "4", gear="K")]
    whole = strong(lashed)
    mixed = replace(
        whole,
        gear=tuple(
            replace(one, kind=GearKind.CHAIN) if one.id == "K" else one for one in whole.gear
        ),
    )
    assert refused(judged(mixed, "slide", "left"), "stiffness")
    assert judged(whole, "slide", "left").verdict is Verdict.MEETS


def test_direct_lashings_of_unequal_length_are_not_added() -> None:
    lashed = [
        direct(1, ("0", "1"), ("1", "1", "0.5")), direct(2, ("0", "-1"), ("1", "-1", "0.5")),
        direct(3, ("0", "0.5"), ("4", "0.5", "1")), direct(4, ("0", "-0.5"), ("4", "-0.5", "1")),
    ]  # fmt: skip
    assert refused(judged(strong(lashed), "slide", "rearward"), "unlike")


def test_direct_lashings_of_unequal_rating_are_not_added() -> None:
    whole = strong(four_chains())
    weak = [
        replace(one, wll=force("18000 daN")) if one.id == "D1" else one for one in whole.anchors
    ]
    assert refused(judged(replace(whole, anchors=tuple(weak)), "slide", "rearward"), "unlike")
    assert judged(whole, "slide", "rearward").verdict is Verdict.MEETS


@pytest.mark.parametrize(("number", "lies_beside"), [(1, True), (2, False)])
def test_lashings_on_one_side_of_the_centre_of_gravity_would_turn_it(
    number: int, lies_beside: bool
) -> None:
    whole = strong(four_chains()[:number])
    assert refused(judged(whole, "slide", "rearward"), "beside") is lies_beside


@pytest.mark.parametrize(("back_m", "lies_beside"), [("2.19", False), ("2.21", True)])
def test_a_twentieth_of_its_size_out_of_line_is_our_own_line(
    back_m: str, lies_beside: bool
) -> None:
    cog = CentreOfGravity(back_m=Fraction(back_m), left_m=Fraction(0), up_m=Fraction("0.5"))
    whole = replace(strong([over(1, "3")]), articles=(crate(cog=cog),))
    assert refused(judged(whole, "slide", "left"), "beside") is lies_beside


def test_a_block_beside_direct_lashings_is_not_added_to_them() -> None:
    by = Block(by="stanchions", rated=force("1500 daN"))
    stopped = crate(blocked={**crate().blocked, Direction.REARWARD: by})
    whole = en_plan(stopped, four_chains(), gear=[webbing("S1", lc="400 daN", stf=None)])
    finding = judged(whole, "slide", "rearward")
    assert refused(finding, "block")
    enough = judged(replace(whole, gear=(webbing("S1"),)), "slide", "rearward")
    assert enough.verdict is Verdict.MEETS
    assert "provided.en-stop-beside" in steps_of(enough)


def test_a_block_beside_straps_over_the_top_is_not_added_against_tipping() -> None:
    """Straps alone are 17 kNm short at 0.5 with STF; the block would bring 25."""
    by = Block(by="stanchions", rated=force("5000 daN"), up=length("500 mm"))
    cog = CentreOfGravity(back_m=Fraction(2), left_m=Fraction(0), up_m=Fraction(3))
    tall = crate(cog=cog, blocked={**crate().blocked, Direction.LEFT: by})
    assert refused(judged(en_plan(tall, spread(5)), "tip", "left"), "block-over")
    assert judged(en_plan(tall, spread(8)), "tip", "left").verdict is Verdict.MEETS


def test_an_anchor_point_above_the_place_it_pulls_down_is_refused() -> None:
    high = [
        replace(ring(name, "3", y, wll="20000 daN"), at=position("3", y, "2"))
        for name, y in (("L1", "2"), ("R1", "-2"))
    ]
    tie, _ = over(1, "3", touches=(position("3", "1", "1"), position("3", "-1", "1")))
    whole = en_plan(crate(), [(tie, high)], gear=[webbing("S1", stf="9000 daN", lc="20000 daN")])
    finding = judged(whole, "slide", "left")
    assert "note.en-refused-upward" in steps_of(finding)
    assert finding.verdict is not Verdict.MEETS


def test_a_strap_through_another_article_is_refused() -> None:
    beside = replace(crate(), id="B", at=position("1", "2"), width=length("1 m"))
    tie, ends = over(1, "3", half_m="3")
    strong_ends = tuple(replace(one, wll=STRONG) for one in ends)
    label = webbing("S1", stf="9000 daN", lc="20000 daN")
    whole = en_plan(crate(), [(tie, list(strong_ends))], gear=[label])
    assert judged(whole, "slide", "left").verdict is Verdict.MEETS
    through = replace(whole, articles=(*whole.articles, beside))
    assert refused(judged(through, "slide", "left"), "pierced")


def every(whole: Plan) -> Sequence[Finding]:
    return [one for one in assess(whole) if one.rule != "en-12195-1-scope"]


def test_several_articles_held_as_one_are_refused_in_all_eight() -> None:
    tie, ends = over(1, "3")
    other = replace(crate(), id="B", at=position("6", "0"))
    whole = en_plan(crate(), [(replace(tie, holds=("A", "B")), ends)], more=[other])
    findings = every(whole)
    assert len(findings) == 8
    assert all(refused(one, "several") and one.about == ("A", "B") for one in findings)


def test_a_stack_is_refused_below_and_above() -> None:
    findings = every(en_plan(crate(), more=[replace(crate(), id="B", on="A")]))
    assert len(findings) == 16
    assert all(refused(one, "stacked") for one in findings)


def test_what_can_roll_is_refused() -> None:
    assert all(refused(one, "rolls") for one in every(en_plan(crate(rolls=True))))


def test_the_box_of_a_lashed_article_has_to_be_known_to_see_a_turn() -> None:
    tie, ends = over(1, "3", touches=(position("3", "1", "1"), position("3", "-1", "1")))
    whole = strong([(tie, ends)])
    finding = judged(replace(whole, articles=(crate(at=None),)), "slide", "left")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [(one.field, one.about) for one in finding.unknown] == [("at", "A")]
    assert dan(finding.required) == pytest.approx(4905)
