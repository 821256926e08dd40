"""What holds of every plan: more and stronger gear never hurts, order and units do not matter."""

from dataclasses import replace
from fractions import Fraction
from typing import Literal

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.securement.plans import (
    FLATBED,
    anchor,
    article,
    found,
    plan,
    strap,
    tie_down,
)
from triplog.securement.assess import assess, rule_sets_used
from triplog.securement.finding import SEVERITY, Finding, Verdict
from triplog.securement.model import (
    Article,
    Block,
    Commodity,
    Damage,
    Direction,
    EdgeProtection,
    FrontStructure,
    GearKind,
    Part,
    Path,
    Plan,
)
from triplog.securement.quantity import Amount, Dimension, Quantity, parse
from triplog.wording.amounts import comparison_texts
from triplog.wording.document import findings_document
from triplog.wording.handbook import findings_lines

NUMBERS = ("us-393.110-count", "us-393.106-aggregate", "house-combined")

pounds = st.integers(min_value=1, max_value=12_000)
ratings = st.one_of(st.none(), pounds.map(lambda value: f"{value} lb"))
paths = st.sampled_from([*Path, None])
blocks: st.SearchStrategy[dict[Direction, Block]] = st.sampled_from(
    [{}, {Direction.FORWARD: Block(by="nothing")}, {Direction.FORWARD: Block(by="timber")}]
)


@st.composite
def articles(draw: st.DrawFn) -> Article:
    heavy = draw(st.one_of(st.none(), st.integers(min_value=1, max_value=50_000)))
    long = draw(st.one_of(st.none(), st.integers(min_value=1, max_value=60)))
    return article(
        weighs=None if heavy is None else f"{heavy} lb",
        long=None if long is None else f"{long} ft",
        blocked=draw(blocks),
    )


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """One article, up to five straps, on four shared anchors, anything unknown now and then."""
    ties, gear = [], []
    for number in range(draw(st.integers(min_value=0, max_value=5))):
        ends = tuple(draw(st.sampled_from(["L1", "L2", "R1", "R2"])) for _ in range(2))
        gear.append(strap(f"S{number}", wll=draw(ratings)))
        ties.append(
            tie_down(f"T{number}", gear=f"S{number}", path=draw(paths), ends=(ends[0], ends[1]))
        )
    anchors = [anchor(name, wll=draw(ratings)) for name in ("L1", "L2", "R1", "R2")]
    return plan([draw(articles())], gear, ties, anchors=anchors)


def severities(whole: Plan) -> list[int]:
    findings = assess(whole)
    return [SEVERITY[found(findings, rule).verdict] for rule in NUMBERS]


def no_worse(before: Plan, after: Plan) -> bool:
    """A verdict may stay, or go from *does not meet* towards *meets*."""
    return all(now >= then for then, now in zip(severities(before), severities(after), strict=True))


@given(whole=plans(), rating=ratings)
@settings(max_examples=150, deadline=None)
def test_one_more_strap_on_anchors_of_its_own_never_makes_a_verdict_worse(
    whole: Plan, rating: str | None
) -> None:
    more = plan(
        whole.articles,
        [*whole.gear, strap("S-more", wll=rating)],
        [*whole.tie_downs, tie_down("T-more", gear="S-more")],
        anchors=whole.anchors,
    )
    assert no_worse(whole, more)


def stronger(rating: Quantity | None) -> Quantity | None:
    """Twice what is known; what is not known stays so."""
    if rating is None:
        return None
    return parse(f"{rating.value * 2} {rating.unit}", Dimension.FORCE)


@given(whole=plans())
@settings(max_examples=150, deadline=None)
def test_a_stronger_part_never_hurts(whole: Plan) -> None:
    gear = tuple(replace(item, wll=stronger(item.wll)) for item in whole.gear)
    anchors = tuple(replace(one, wll=stronger(one.wll)) for one in whole.anchors)
    assert no_worse(whole, replace(whole, gear=gear))
    assert no_worse(whole, replace(whole, anchors=anchors))


@given(whole=plans(), data=st.data())
@settings(max_examples=100, deadline=None)
def test_telling_an_unknown_rating_never_overturns_a_verdict_that_was_given(
    whole: Plan, data: st.DataObject
) -> None:
    told = tuple(
        one
        if one.wll is not None
        else replace(one, wll=parse(f"{data.draw(pounds)} lb", Dimension.FORCE))
        for one in whole.anchors
    )
    before, after = assess(whole), assess(replace(whole, anchors=told))
    for rule in NUMBERS:
        verdict = found(before, rule).verdict
        assert verdict in (Verdict.CANNOT_TELL, found(after, rule).verdict)


@given(whole=plans(), data=st.data())
@settings(max_examples=100, deadline=None)
def test_the_order_of_straps_and_articles_does_not_matter(whole: Plan, data: st.DataObject) -> None:
    two = [*whole.articles, article("B", weighs="900 lb", long="4 ft")]
    before = plan(two, whole.gear, whole.tie_downs, anchors=whole.anchors)
    after = plan(
        data.draw(st.permutations(two)),
        data.draw(st.permutations(whole.gear)),
        data.draw(st.permutations(whole.tie_downs)),
        anchors=data.draw(st.permutations(whole.anchors)),
    )
    for rule in NUMBERS:
        for name in ("A", "B"):
            one, other = found(assess(before), rule, name), found(assess(after), rule, name)
            assert (one.verdict, one.required, one.provided, one.margin) == (
                other.verdict,
                other.required,
                other.provided,
                other.margin,
            )


def in_kilograms(quantity: Quantity) -> Quantity:
    exact = quantity.in_unit("kg")
    return Quantity(
        value=exact.value, unit="kg", dimension=exact.dimension, typed=f"{exact.value} kg"
    )


def si(measure: object) -> Fraction | None:
    return measure.si if isinstance(measure, Amount) else None


@given(
    weighs=st.integers(min_value=1, max_value=50_000),
    marked=st.lists(pounds, min_size=1, max_size=5),
)
@settings(max_examples=100, deadline=None)
def test_the_unit_system_does_not_matter_where_every_rating_is_marked(
    weighs: int, marked: list[int]
) -> None:
    gear = [strap(f"S{number}", wll=f"{wll} lb") for number, wll in enumerate(marked)]
    ties = [tie_down(f"T{number}", gear=f"S{number}") for number in range(len(marked))]
    pounds_plan = plan([article(weighs=f"{weighs} lb")], gear, ties)
    mass = pounds_plan.articles[0].mass
    assert mass is not None
    kilograms = (replace(pounds_plan.articles[0], mass=in_kilograms(mass)),)
    for rule in ("us-393.106-aggregate", "house-combined"):
        one = found(assess(pounds_plan), rule)
        other = found(assess(replace(pounds_plan, articles=kilograms)), rule)
        assert one.verdict is other.verdict
        assert si(one.margin) == si(other.margin)


def number(text: str) -> Fraction:
    return Fraction(text.split(maxsplit=1)[0].replace(",", ""))


def agrees(finding: Finding) -> bool:
    required, provided = comparison_texts(finding)
    if not required or not provided or finding.verdict is Verdict.CANNOT_TELL:
        return True
    return (number(provided) >= number(required)) is (finding.verdict is Verdict.MEETS)


@given(whole=plans())
@settings(max_examples=150, deadline=None)
def test_the_figures_shown_never_contradict_the_verdict(whole: Plan) -> None:
    for finding in assess(whole):
        if finding.rule in NUMBERS:
            assert agrees(finding)


answers = st.sampled_from([True, False, None])
counts = st.one_of(st.none(), st.integers(min_value=0, max_value=4))


@st.composite
def odd_plans(draw: st.DrawFn) -> Plan:
    """Any mixture of kinds, commodities, ends and things nobody has told."""
    names = ["A", "B", "C"][: draw(st.integers(min_value=0, max_value=3))]
    cargo = [
        replace(
            draw(articles()),
            id=name,
            commodity=draw(st.sampled_from([*Commodity, None])),
            section=draw(st.sampled_from([None, "general", "393.130"])),
            blocked=draw(
                st.dictionaries(
                    st.sampled_from(list(Direction)),
                    st.sampled_from(["nothing", "chocks", "front structure"]).map(
                        lambda by: Block(by=by)
                    ),
                )
            ),
            rolls=draw(answers),
            contained=draw(answers),
            sharp_edges=draw(answers),
            together=draw(st.sampled_from([None, "one"])),
        )
        for name in names
    ]
    gear, ties = [], []
    for number in range(draw(st.integers(min_value=0, max_value=4)) if names else 0):
        gear.append(
            strap(
                f"S{number}",
                kind=draw(st.sampled_from(list(GearKind))),
                wll=draw(ratings),
                damage=draw(st.sampled_from([None, (), (Damage(kind="cut"),)])),
                tensioner=draw(st.sampled_from([None, Part(), Part(kind="none")])),
            )
        )
        ends = st.sampled_from(["L1", "R1", None])
        ties.append(
            tie_down(
                f"T{number}",
                gear=draw(st.sampled_from([f"S{number}", None])),
                holds=draw(st.lists(st.sampled_from(names), min_size=1, unique=True)),
                path=draw(paths),
                ends=(draw(ends), draw(ends)),
                knots=draw(answers),
                edge_protection=EdgeProtection(needed=draw(counts), fitted=draw(counts)),
                tension=draw(st.sampled_from([None, parse("350 daN", Dimension.FORCE)])),
            )
        )
    front: st.SearchStrategy[FrontStructure | Literal["none"] | None] = st.sampled_from(
        [None, "none", FrontStructure(), FrontStructure(rated=parse("9 kN", Dimension.FORCE))]
    )
    use = st.sampled_from([FLATBED.use, "other", None])
    vehicle = replace(FLATBED, front_structure=draw(front), use=draw(use))
    anchors = [anchor("L1", wll=draw(ratings), left_m=1), anchor("R1", wll=draw(ratings))]
    return plan(cargo, gear, ties, anchors=anchors, vehicle=vehicle)


@given(whole=odd_plans())
@settings(max_examples=150, deadline=None)
def test_every_plan_that_can_be_built_is_judged_and_the_answer_can_be_said(whole: Plan) -> None:
    findings = assess(whole)
    assert findings
    assert findings_lines(findings)
    document = findings_document(findings, "0" * 64, "test", rule_sets_used(whole))
    assert len(document["findings"]) == len(findings)
    for finding in findings:
        if finding.margin is not None and finding.verdict in (
            Verdict.MEETS,
            Verdict.DOES_NOT_MEET,
        ):
            assert (finding.margin.value >= 0) is (finding.verdict is Verdict.MEETS)
