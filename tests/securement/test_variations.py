"""A plan with one small thing different: what differs, and that nothing else does."""

import math
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.securement.en_plans import (
    Place,
    crate,
    dan,
    direct,
    en_plan,
    judged,
    over,
    position,
    ring,
    spread,
    webbing,
)
from tests.securement.plans import force, length
from triplog.securement.assess import assess
from triplog.securement.compared import changes_of
from triplog.securement.geometry import Route, route_of
from triplog.securement.model import Article, Gear, GearKind, Plan, Vehicle
from triplog.securement.variations import (
    NAMES,
    Name,
    Variation,
    at_angle,
    on_mats,
    one_more,
    slack,
    variations_of,
    wet_deck,
    without,
)

LUG: Place = ("1", "1", "0.5")


def tied(article: Article | None = None, number: int = 3) -> Plan:
    """The crate under lashings over the top, upright, with a free pair of anchor points."""
    free = [ring("L9", "4.9", "1"), ring("R9", "4.9", "-1")]
    return en_plan(article or crate(), spread(number), anchors=free)


def only(plan: Plan | None) -> Article:
    assert plan is not None
    return plan.articles[0]


def test_on_a_wet_deck_a_stated_friction_counts_no_more_than_the_cap() -> None:
    # CTU Code 2014, Annex 7, Appendix 2 (from memory): 0.2 for surfaces not clean, or wet with no
    # wet value.
    assert only(wet_deck(tied())).friction == Decimal("0.2")


def test_on_a_wet_deck_the_pair_of_surfaces_is_taken_wet() -> None:
    planks = crate(friction=None, surfaces=("planed wood", "plywood"))
    assert only(wet_deck(tied(planks))) == replace(planks, wet=True)


@pytest.mark.parametrize(
    "dry",
    [
        crate(friction=Decimal("0.15")),
        crate(wet=True),
        crate(friction=None),
        crate(friction=None, surfaces=("planed wood", "plywood"), wet=True),
    ],
)
def test_a_deck_that_is_as_slippery_already_cannot_get_wet(dry: Article) -> None:
    assert wet_deck(tied(dry)) is None


def test_a_mat_keeps_its_own_friction_on_a_wet_deck() -> None:
    mat = Gear(id="M", kind=GearKind.FRICTION_MAT, friction=Decimal("0.6"))
    plan = tied(crate(friction=None, surfaces=("planed wood", "plywood")))
    on_it = replace(plan.articles[0], mat="M")
    assert wet_deck(replace(plan, gear=(*plan.gear, mat), articles=(on_it,))) is None


def test_a_mat_gives_the_friction_of_the_table() -> None:
    # CTU Code 2014, Annex 7, Appendix 2 (from memory): anti-slip rubber 0.6.
    plan = on_mats(tied())
    assert plan is not None
    mat = plan.gear_item(plan.articles[0].mat)
    assert mat is not None
    assert (mat.kind, mat.friction) == (GearKind.FRICTION_MAT, Decimal("0.6"))
    slides = judged(plan, "slide", "rearward")
    assert next(one.value for one in slides.inputs if one.name == "friction") == "0.6"


def test_no_second_mat_and_none_that_would_be_worse() -> None:
    once = on_mats(tied())
    assert once is not None
    assert on_mats(once) is None
    assert on_mats(tied(crate(friction=Decimal("0.6")))) is None


def test_what_stands_on_another_article_is_not_on_the_deck() -> None:
    plan = replace(tied(), articles=(crate(), crate(id="B", on="A")))
    for changed in (wet_deck(plan), on_mats(plan)):
        assert changed is not None
        assert changed.articles[1] == plan.articles[1]


def test_one_more_is_like_the_last_at_the_nearest_free_pair() -> None:
    plan = tied()
    plan = replace(plan, anchors=(*plan.anchors, ring("L8", "1.2", "1"), ring("R8", "1.2", "-1")))
    changed = one_more(plan, "A")
    assert changed is not None
    last, more = changed.tie_downs[-2:]
    assert more == replace(last, id="N1", gear="S3-more", from_anchor="L9", to="R9")
    like = changed.gear_item("S3-more")
    assert like is not None
    assert replace(like, id="S3") == plan.gear_item("S3")


def test_where_no_pair_is_free_one_more_shares_the_anchor_points_of_the_last() -> None:
    changed = one_more(en_plan(crate(), spread(2)), "A")
    assert changed is not None
    last, more = changed.tie_downs[-2:]
    assert (more.from_anchor, more.to) == (last.from_anchor, last.to)


def test_one_more_direct_pulls_at_the_same_places() -> None:
    plan = en_plan(crate(), [direct(1, ("0", "1"), LUG)], anchors=tied().anchors[-2:])
    changed = one_more(plan, "A")
    assert changed is not None
    last, more = changed.tie_downs
    assert more == replace(last, id="N1", gear="S1-more")


def test_there_is_no_one_more_where_there_is_none() -> None:
    assert one_more(en_plan(crate()), "A") is None
    assert variations_of(en_plan(crate()), ("one-more", "slack", "gone"), 60) == ()


def test_articles_under_one_last_tie_down_get_one_more_together() -> None:
    tie, ends = over(1, "3")
    plan = en_plan(crate(), [(replace(tie, holds=("A", "B")), ends)],
                   more=[crate(id="B", at=position("6", "0"))])  # fmt: skip
    assert [one.about for one in variations_of(plan, ("one-more",), 60)] == [("A",)]


def test_a_slack_tie_down_has_no_tension_left() -> None:
    plan = tied()
    plan = replace(plan, tie_downs=tuple(
        replace(one, tension=force("300 daN"), retained=force("200 daN")) for one in plan.tie_downs
    ))  # fmt: skip
    changed = slack(plan, "T2")
    assert changed is not None
    empty = force("0 N")
    assert [(one.tension, one.retained) for one in changed.tie_downs] == [
        (force("300 daN"), force("200 daN")),
        (empty, empty),
        (force("300 daN"), force("200 daN")),
    ]
    assert slack(changed, "T2") is None


def test_a_slack_strap_over_the_top_adds_no_friction() -> None:
    # EN 12195-1:2010 5.4.2: what a lashing over the top adds goes with its tension.
    changed, gone = slack(tied(), "T2"), without(tied(), "T2")
    assert changed is not None and gone is not None
    held = [judged(one, "slide", "forward").provided for one in (changed, gone)]
    assert held[0] == held[1]


def test_a_tie_down_gone_leaves_its_gear_and_anchor_points() -> None:
    plan = tied()
    changed = without(plan, "T2")
    assert changed is not None
    assert [one.id for one in changed.tie_downs] == ["T1", "T3"]
    assert (changed.gear, changed.anchors) == (plan.gear, plan.anchors)
    assert without(changed, "T2") is None


@pytest.mark.parametrize("angle_deg", [20, 45, 60, 83, 90])
def test_the_legs_have_the_angle(angle_deg: int) -> None:
    tie, _ = over(1, "3")
    plan = en_plan(crate(), [(tie, [ring("L1", "2.9", "1.1"), ring("R1", "3", "-1.4")])])
    changed = at_angle(plan, angle_deg)
    assert changed is not None
    route = route_of(changed.tie_downs[0], changed)
    assert isinstance(route, Route)
    for leg in route.legs:
        assert math.degrees(leg.angle_rad) == pytest.approx(angle_deg, abs=0.01)


def test_a_flatter_strap_presses_by_the_sine_of_its_angle() -> None:
    # EN 12195-1:2010 5.4.2: k mu F_T sin(alpha) / f_s beside mu c_z G.
    whole = judged(tied(), "slide", "forward").provided
    bare = judged(en_plan(crate()), "slide", "forward").provided
    changed = at_angle(tied(), 60)
    assert changed is not None
    expected = dan(bare) + (dan(whole) - dan(bare)) * math.sin(math.radians(60))
    assert dan(judged(changed, "slide", "forward").provided) == pytest.approx(expected, abs=0.1)


def test_straps_that_have_the_angle_are_not_turned() -> None:
    assert at_angle(tied(), 90) is None
    once = at_angle(tied(), 60)
    assert once is not None
    assert at_angle(once, 60) is None


def test_a_strap_that_shares_an_anchor_point_with_a_direct_one_stays() -> None:
    chain, _ = direct(1, ("1", "1"), LUG)
    plan = en_plan(crate(), [*spread(2), (replace(chain, from_anchor="L1"), [])])
    assert [one.about for one in variations_of(plan, ("angle",), 60)] == [("T2",)]


def test_without_places_no_strap_is_turned() -> None:
    assert at_angle(tied(crate(at=None)), 60) is None


def test_anchor_points_beyond_the_edge_are_named() -> None:
    plan = replace(tied(number=1), vehicle=Vehicle(deck_width=length("2.5 m")))
    flat, steep = (variations_of(plan, ("angle",), one)[0].beyond_deck for one in (45, 80))
    assert (flat, steep) == (("L1", "R1"), ())


numbers = st.integers(min_value=1, max_value=4)
frictions = st.one_of(st.none(), st.decimals("0.05", "0.9", places=2))


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    surfaces = draw(st.sampled_from([None, ("planed wood", "plywood"), ("brick", "glass")]))
    return tied(
        crate(
            friction=draw(frictions),
            surfaces=surfaces,
            wet=draw(st.sampled_from([None, False, True])),
            at=draw(st.sampled_from([None, position("1", "0")])),
        ),
        draw(numbers),
    )


def _undone(changed: Variation, plan: Plan) -> Plan:
    """The changed plan with what the variation is there to change put back."""
    after, before = changed.plan, plan
    told = {one.id: one for one in before.articles}
    put_back: dict[Name, Callable[[], Plan]] = {
        "wet": lambda: replace(after, articles=tuple(
            replace(one, friction=told[one.id].friction, wet=told[one.id].wet)
            for one in after.articles)),
        "mat": lambda: replace(after, gear=after.gear[: len(before.gear)], articles=tuple(
            replace(one, friction=told[one.id].friction, mat=None) for one in after.articles)),
        "one-more": lambda: replace(
            after, gear=after.gear[:-1], tie_downs=after.tie_downs[:-1]),
        "slack": lambda: replace(after, tie_downs=tuple(
            replace(one, tension=was.tension, tension_basis=was.tension_basis)
            for one, was in zip(after.tie_downs, before.tie_downs, strict=True))),
        "gone": lambda: replace(after, tie_downs=before.tie_downs),
        "angle": lambda: replace(after, anchors=tuple(
            replace(one, at=was.at)
            for one, was in zip(after.anchors, before.anchors, strict=True))),
    }  # fmt: skip
    return put_back[changed.name]()


@given(plan=plans())
def test_a_variation_changes_one_thing_and_nothing_else(plan: Plan) -> None:
    for changed in variations_of(plan, NAMES, 50):
        assert changed.plan != plan
        assert _undone(changed, plan) == plan


@given(plan=plans(), order=st.permutations(NAMES))
def test_the_order_of_asking_does_not_matter(plan: Plan, order: list[Name]) -> None:
    assert variations_of(plan, order, 50) == variations_of(plan, NAMES, 50)
    turned = replace(plan, anchors=plan.anchors[::-1], gear=plan.gear[::-1])
    before, after = (
        [(one.name, one.about) for one in variations_of(each, NAMES, 50)] for each in (plan, turned)
    )
    assert before == after


@given(plan=plans())
def test_two_variations_give_the_same_in_either_order(plan: Plan) -> None:
    steps: list[Callable[[Plan], Plan]] = [
        lambda one: wet_deck(one) or one,
        lambda one: slack(one, "T1") or one,
        lambda one: at_angle(one, 50) or one,
    ]
    for first in steps:
        for second in steps:
            assert first(second(plan)) == second(first(plan))


def test_findings_are_compared_thing_by_thing() -> None:
    """A list of tie-downs in one finding is not another question when one more joins it."""
    plan = replace(tied(), rules=("us-393", "house", "fit"))
    changed = one_more(plan, "A")
    assert changed is not None
    told = changes_of(assess(plan), assess(changed))
    assert {(one.finding.rule, one.about) for one in told} == {
        ("us-393.110-count", ("A",)),
        ("house-combined", ("A",)),
    }
    assert not any(one.is_of_verdict for one in told)
    assert changes_of(assess(plan), assess(plan)) == ()


def test_what_a_thing_brings_with_it_is_told_only_where_it_is_unsettled_and_new() -> None:
    plan = replace(tied(number=2), rules=("us-393",))
    torn = webbing("S2", damage=None)
    worn = replace(plan, gear=(plan.gear[0], torn))
    changed = one_more(plan, "A")
    assert changed is not None
    spoiled = replace(changed, gear=(*plan.gear, replace(torn, id="S2-more")))
    news = [(one.finding.rule, one.about) for one in changes_of(assess(plan), assess(spoiled))]
    assert ("us-393.104-condition", ("S2-more",)) in news
    known = replace(spoiled, gear=(*worn.gear, spoiled.gear[-1]))
    told = changes_of(assess(worn), assess(known))
    assert not any(one.finding.rule == "us-393.104-condition" for one in told)


def test_of_a_thing_that_is_gone_nothing_is_told() -> None:
    plan = replace(tied(), rules=("us-393",))
    changed = without(plan, "T3")
    assert changed is not None
    about = {thing for one in changes_of(assess(plan), assess(changed)) for thing in one.about}
    assert about == {"A"}
