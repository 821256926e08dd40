"""What holds under the rules of Canada, Australia and New Zealand, whatever the plan.

More friction, more tension, one more tie-down on anchor points of its own, a stronger part never
make a verdict worse. (On an anchor point in use a further tie-down can: it takes its share.)
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.properties.test_plan_properties import plans
from tests.securement.decks import blocks, box, direct, over
from tests.securement.plans import anchor, chain, force, found, strap, tie_down
from triplog.securement.assess import assess
from triplog.securement.finding import SEVERITY, Finding, Verdict
from triplog.securement.model import Gear, Plan, Position
from triplog.wording.findings import question, rows, title

CANADA = ("ca-nsc10-count", "ca-nsc10-aggregate")
AUSTRALIA = ("au-lrg-forward", "au-lrg-rearward", "au-lrg-sideways", "au-lrg-up")
ALL = ("us-393", "ca-nsc10", "au-lrg", "nz-code")

kilograms = st.integers(min_value=1, max_value=5_000)
maybe_kilograms = st.one_of(st.none(), kilograms)
frictions = st.integers(min_value=0, max_value=9).map(lambda tenths: f"0.{tenths}")


@st.composite
def boxes(draw: st.DrawFn) -> Plan:
    """One box under up to three tie-downs, blocked or not, some of it not known."""
    weighs = draw(maybe_kilograms)
    blocking = draw(st.one_of(st.none(), maybe_kilograms))
    one = box(
        None if weighs is None else f"{weighs} kg",
        friction=draw(st.one_of(st.none(), frictions)),
        blocked={}
        if draw(st.booleans())
        else blocks(forward=None if blocking is None else f"{blocking} kg"),
    )
    pulls = draw(st.lists(maybe_kilograms, min_size=1, max_size=3))
    return over(
        one,
        tension=[None if pull is None else f"{pull} kg" for pull in pulls],
        angle_deg=draw(st.sampled_from([90, 60, 45, 30])),
        rules=("au-lrg",),
    )


def severities(whole: Plan, rules: tuple[str, ...]) -> list[int]:
    findings = assess(whole)
    return [SEVERITY[found(findings, rule).verdict] for rule in rules]


def no_worse(before: Plan, after: Plan, rules: tuple[str, ...]) -> bool:
    """A verdict may stay, or go from *does not meet* towards *meets*."""
    pairs = zip(severities(before, rules), severities(after, rules), strict=True)
    return all(then <= now for then, now in pairs)


@given(plans())
@settings(max_examples=60, deadline=None)
def test_every_plan_is_judged_and_said_under_every_rule_set(whole: Plan) -> None:
    for one in assess(replace(whole, rules=ALL)):
        assert title(one) and question(one).endswith("?")
        assert all("{" not in row.text for row in rows(one))
        if one.verdict is Verdict.CANNOT_TELL:
            assert one.unknown


@given(plans())
@settings(max_examples=60, deadline=None)
def test_one_more_marked_strap_on_anchors_of_its_own_never_hurts_in_canada(whole: Plan) -> None:
    whole = replace(whole, rules=("ca-nsc10",))
    more = replace(
        whole,
        gear=(*whole.gear, strap("MORE", wll="2000 lb")),
        anchors=(*whole.anchors, anchor("LX"), anchor("RX")),
        tie_downs=(*whole.tie_downs, tie_down("TX", gear="MORE", ends=("LX", "RX"))),
    )
    assert no_worse(whole, more, CANADA)


@given(plans())
@settings(max_examples=60, deadline=None)
def test_a_marking_never_hurts_in_canada(whole: Plan) -> None:
    whole = replace(whole, rules=("ca-nsc10",))
    marked = replace(
        whole,
        gear=tuple(
            one if one.wll is not None else replace(one, wll=force("1 lb")) for one in whole.gear
        ),
    )
    assert no_worse(whole, marked, CANADA)


@given(plans())
@settings(max_examples=60, deadline=None)
def test_canada_never_counts_a_strap_for_more_than_its_rating_or_for_a_table(whole: Plan) -> None:
    """Without a rating a strap counts in the United States and not in Canada; with one the path
    may halve it there and never here."""
    unmarked = replace(whole, gear=tuple(replace(one, wll=None) for one in whole.gear))
    sums = found(assess(replace(unmarked, rules=("ca-nsc10",))), "ca-nsc10-aggregate")
    assert sums.verdict in (Verdict.DOES_NOT_MEET, Verdict.DOES_NOT_APPLY)


def with_friction(whole: Plan, more: int) -> Plan:
    return replace(
        whole,
        articles=tuple(
            one
            if one.friction is None
            else replace(one, friction=one.friction + Decimal(more) / 10)
            for one in whole.articles
        ),
    )


@given(boxes(), st.integers(min_value=1, max_value=5))
@settings(max_examples=60, deadline=None)
def test_more_friction_never_hurts(whole: Plan, more: int) -> None:
    assert no_worse(whole, with_friction(whole, more), AUSTRALIA)


@given(boxes())
@settings(max_examples=60, deadline=None)
def test_one_more_tie_down_over_the_top_never_hurts(whole: Plan) -> None:
    (one,) = whole.articles
    extra = over(one, tension=["400 kg"])
    more = replace(
        whole,
        gear=(*whole.gear, replace(extra.gear[0], id="MORE")),
        anchors=(
            *whole.anchors,
            *(replace(point, id=f"{point.id}-MORE") for point in extra.anchors),
        ),
        tie_downs=(
            *whole.tie_downs,
            replace(
                extra.tie_downs[0],
                id="TX",
                gear="MORE",
                from_anchor="L1-MORE",
                to="R1-MORE",
            ),
        ),
    )
    assert no_worse(whole, more, AUSTRALIA)


@given(boxes(), st.integers(min_value=1, max_value=9))
@settings(max_examples=60, deadline=None)
def test_more_tension_never_hurts(whole: Plan, times: int) -> None:
    tighter = replace(
        whole,
        tie_downs=tuple(
            one
            if one.tension is None
            else replace(one, tension=replace(one.tension, value=one.tension.value * times))
            for one in whole.tie_downs
        ),
    )
    assert no_worse(whole, tighter, AUSTRALIA)


def mirrored(whole: Plan) -> Plan:
    """Left for right."""

    def across(place: Position | None) -> Position | None:
        return None if place is None else replace(place, left_m=-place.left_m)

    return replace(
        whole,
        anchors=tuple(replace(one, at=across(one.at)) for one in whole.anchors),
        articles=tuple(replace(one, at=across(one.at)) for one in whole.articles),
    )


def told(findings: tuple[Finding, ...]) -> list[tuple[object, ...]]:
    return [(one.rule, one.verdict, one.required, one.provided) for one in findings]


@given(boxes())
@settings(max_examples=40, deadline=None)
def test_left_and_right_mirror(whole: Plan) -> None:
    assert told(assess(whole)) == told(assess(mirrored(whole)))


@given(kilograms, frictions, kilograms)
@settings(max_examples=40, deadline=None)
def test_the_unit_system_does_not_matter(weighs: int, friction: str, pull: int) -> None:
    pound = Fraction("0.45359237")
    metric = over(box(f"{weighs} kg", friction=friction), tension=[f"{pull} kg"])
    (one,), (tie,) = metric.articles, metric.tie_downs
    assert one.mass is not None and tie.tension is not None
    in_pounds = replace(
        metric,
        articles=(replace(one, mass=replace(one.mass, value=weighs / pound, unit="lb")),),
        tie_downs=(replace(tie, tension=replace(tie.tension, value=pull / pound, unit="lb")),),
    )
    assert severities(metric, AUSTRALIA) == severities(in_pounds, AUSTRALIA)


@given(kilograms, kilograms, st.integers(min_value=1, max_value=4))
@settings(max_examples=40, deadline=None)
def test_a_stronger_lashing_never_hurts_but_ends_the_need_of_clamping(
    weighs: int, capacity: int, times: int
) -> None:
    """*Up* goes from asked to not asked, which is no worse either."""

    def lashed(kilos: int) -> Plan:
        runs = [(back, left, 0.2) for back in (1.5, -1.5) for left in (1.5, -1.5)]
        gear: Gear = chain(lc=force(f"{kilos} kg"))
        return direct(box(f"{weighs} kg"), runs, gear)

    assert no_worse(lashed(capacity), lashed(capacity * times), AUSTRALIA)


@given(kilograms, kilograms, kilograms)
@settings(max_examples=40, deadline=None)
def test_a_stronger_chain_and_a_lighter_load_never_hurt_in_new_zealand(
    weighs: int, breaking: int, more: int
) -> None:
    def held(kilos: int, breaks: int) -> Plan:
        gear = chain(breaking=force(f"{breaks} kg"))
        return over(box(f"{kilos} kg"), gear=gear, rules=("nz-code",))

    rule = ("nz-code-multiple",)
    assert no_worse(held(weighs, breaking), held(weighs, breaking + more), rule)
    assert no_worse(held(weighs + more, breaking), held(weighs, breaking), rule)
