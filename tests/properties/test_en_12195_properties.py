"""What holds of every plan under EN 12195-1, and where it does not.

More friction, one more alike strap, a higher STF and a lower centre of gravity never make a verdict
worse; left and right mirror; units and order do not matter. Exceptions, by design: one more strap
beside the pattern moves its middle, and a stronger direct lashing beside a weaker one shares
unequally; both are then refused, as the closed form does not cover them.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.securement.en_plans import (
    UNBLOCKED,
    crate,
    direct,
    en_plan,
    over,
    ring,
    spread,
    webbing,
)
from tests.securement.plans import force, length, mass
from triplog.securement.assess import assess
from triplog.securement.finding import SEVERITY, Finding, Verdict
from triplog.securement.model import (
    Anchor,
    Article,
    Assumptions,
    Block,
    CentreOfGravity,
    Direction,
    GearKind,
    Path,
    Plan,
    Position,
    TieDown,
)
from triplog.securement.quantity import Amount, Dimension, Quantity, parse
from triplog.wording.handbook import findings_lines

SWAPPED = {"left": "right", "right": "left"}


def tenths(least: int, most: int) -> st.SearchStrategy[Fraction]:
    return st.integers(least, most).map(lambda value: Fraction(value, 10))


@st.composite
def articles(draw: st.DrawFn) -> Article:
    high = draw(tenths(5, 40))
    return crate(
        mass=mass(f"{draw(st.integers(1, 30))} t"),
        width=length(f"{draw(st.integers(6, 25))}00 mm"),
        height=length(f"{high.numerator * 1000 // high.denominator} mm"),
        friction=Decimal(draw(st.integers(0, 90))) / 100,
        blocked=draw(st.sampled_from([
            UNBLOCKED,
            {**UNBLOCKED, Direction.LEFT: Block(by="stanchions", rated=force("900 daN"),
                                                up=length("400 mm"))},
            {},
        ])),
    )  # fmt: skip


Lashed = list[tuple[TieDown, list[Anchor]]]


@st.composite
def lashings(draw: st.DrawFn, article: Article) -> Lashed:
    """Straps over the top in line with the middle, or chains pulling both ways."""
    assert article.width is not None and article.height is not None
    half = article.width.si / 2 + draw(tenths(0, 8))
    number = draw(st.integers(0, 6))
    if draw(st.booleans()):
        return spread(number, half_m=str(half))
    beside, up = str(article.width.si / 2), str(article.height.si * draw(tenths(1, 10)))
    places = [("0", "1"), ("0", "-1"), ("6", "1"), ("6", "-1")]
    return [
        direct(
            n + 1, (x, str(half * int(y))),
            ("1" if x == "0" else "5", beside if y == "1" else f"-{beside}", up),
        )
        for n, (x, y) in enumerate(places)
    ]  # fmt: skip


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    article = draw(articles())
    lashed = draw(lashings(article))
    k = draw(st.sampled_from([None, Decimal("1.5"), Decimal("1.82")]))
    stf = draw(st.integers(100, 1000))
    gear = [webbing(name, stf=f"{stf} daN", lc=draw(st.sampled_from(["2500 daN", "2000 daN"])))
            for name in sorted({tie.gear for tie, _ in lashed if tie.gear})]  # fmt: skip
    return en_plan(article, lashed, gear=gear, assumptions=Assumptions(transmission_k=k))


def severities(whole: Plan) -> dict[str, int]:
    return {one.rule: SEVERITY[one.verdict] for one in assess(whole)}


def no_worse(before: Plan, after: Plan) -> None:
    """A verdict may stay, or go from *does not meet* towards *meets*."""
    then, now = severities(before), severities(after)
    assert {rule: now[rule] for rule in then if now[rule] < then[rule]} == {}


def with_article(whole: Plan, article: Article) -> Plan:
    return replace(whole, articles=(article,))


@given(whole=plans(), more=st.integers(1, 30))
@settings(max_examples=60, deadline=None)
def test_more_friction_never_makes_a_verdict_worse(whole: Plan, more: int) -> None:
    (article,) = whole.articles
    assert article.friction is not None
    rougher = replace(article, friction=article.friction + Decimal(more) / 100)
    no_worse(whole, with_article(whole, rougher))


@given(whole=plans(), less=tenths(1, 9))
@settings(max_examples=60, deadline=None)
def test_a_lower_centre_of_gravity_never_makes_a_verdict_worse(whole: Plan, less: Fraction) -> None:
    (article,) = whole.articles
    assert article.height is not None
    lower = CentreOfGravity(
        back_m=Fraction(2), left_m=Fraction(0), up_m=article.height.si / 2 * less
    )
    no_worse(whole, with_article(whole, replace(article, cog=lower)))


@given(data=st.data(), number=st.integers(0, 6), stf=st.integers(250, 1000))
@settings(max_examples=60, deadline=None)
def test_one_more_alike_strap_over_the_middle_never_makes_a_verdict_worse(
    data: st.DataObject, number: int, stf: int
) -> None:
    """Over the middle: it keeps the pattern in line with the centre of gravity."""
    article = data.draw(articles())
    assert article.width is not None
    half = str(article.width.si / 2)
    labels = [webbing(f"S{n}", stf=f"{stf} daN") for n in [*range(1, number + 1), 99]]
    fewer = en_plan(article, spread(number, half_m=half), gear=labels)
    more = en_plan(article, [*spread(number, half_m=half), over(99, "3", half_m=half)], gear=labels)
    no_worse(fewer, more)


@given(whole=plans(), more=st.integers(1, 250))
@settings(max_examples=60, deadline=None)
def test_a_higher_stf_never_makes_a_verdict_worse(whole: Plan, more: int) -> None:
    gear = [
        replace(one, stf=parse(f"{one.stf.value + more} daN", Dimension.FORCE))
        for one in whole.gear if one.stf is not None
    ]  # fmt: skip
    no_worse(whole, replace(whole, gear=tuple(gear)))


@given(whole=plans(), tension=st.integers(100, 400))
@settings(max_examples=40, deadline=None)
def test_telling_what_is_not_known_never_overturns_a_verdict_that_was_given(
    whole: Plan, tension: int
) -> None:
    labels = [replace(one, stf=parse(f"{tension} daN", Dimension.FORCE)) for one in whole.gear]
    told = replace(whole, gear=tuple(labels))
    unread = replace(whole, gear=tuple(replace(one, stf=None, lc=None) for one in whole.gear))
    known = {one.rule: one.verdict for one in assess(told)}
    for finding in assess(unread):
        assert finding.verdict in (Verdict.CANNOT_TELL, known[finding.rule])


def mirrored(whole: Plan) -> Plan:
    def other_side(place: Position | None) -> Position | None:
        return None if place is None else replace(place, left_m=-place.left_m)

    def turned(tie: TieDown) -> TieDown:
        touches = tie.touches and tuple(replace(one, left_m=-one.left_m) for one in tie.touches)
        return replace(tie, touches=touches)

    def turned_article(article: Article) -> Article:
        blocked = {
            Direction(SWAPPED.get(direction, direction)): block
            for direction, block in article.blocked.items()
        }
        cog = article.cog and replace(article.cog, left_m=-article.cog.left_m)
        return replace(article, at=other_side(article.at), blocked=blocked, cog=cog)

    return replace(
        whole,
        articles=tuple(turned_article(one) for one in whole.articles),
        anchors=tuple(replace(one, at=other_side(one.at)) for one in whole.anchors),
        tie_downs=tuple(turned(one) for one in whole.tie_downs),
    )


def numbers(finding: Finding) -> tuple[object, ...]:
    def shown(measure: object) -> float | None:
        return round(float(measure.si), 5) if isinstance(measure, Amount) else None

    return (finding.verdict, shown(finding.required), shown(finding.provided))


@given(whole=plans(), across=tenths(-5, 5))
@settings(max_examples=60, deadline=None)
def test_left_and_right_mirror(whole: Plan, across: Fraction) -> None:
    (article,) = whole.articles
    cog = CentreOfGravity(back_m=Fraction(2), left_m=across / 5, up_m=Fraction("0.4"))
    whole = with_article(whole, replace(article, cog=cog))
    one = {finding.rule: numbers(finding) for finding in assess(whole)}
    other = {finding.rule: numbers(finding) for finding in assess(mirrored(whole))}
    for rule, answer in one.items():
        stem, _, direction = rule.rpartition("-")
        assert other[f"{stem}-{SWAPPED.get(direction, direction)}"] == answer


def in_pounds(quantity: Quantity | None) -> Quantity | None:
    if quantity is None:
        return None
    exact = quantity.in_unit("lb")
    return Quantity(
        value=exact.value, unit="lb", dimension=exact.dimension, typed=f"{exact.value} lb"
    )


@given(whole=plans())
@settings(max_examples=40, deadline=None)
def test_the_unit_system_does_not_matter(whole: Plan) -> None:
    (article,) = whole.articles
    other = replace(
        whole,
        articles=(replace(article, mass=in_pounds(article.mass)),),
        gear=tuple(replace(g, stf=in_pounds(g.stf), lc=in_pounds(g.lc)) for g in whole.gear),
        anchors=tuple(replace(one, wll=in_pounds(one.wll)) for one in whole.anchors),
    )
    assert [numbers(one) for one in assess(whole)] == [numbers(one) for one in assess(other)]


@given(whole=plans(), data=st.data())
@settings(max_examples=40, deadline=None)
def test_the_order_does_not_matter(whole: Plan, data: st.DataObject) -> None:
    other = replace(
        whole,
        tie_downs=tuple(data.draw(st.permutations(whole.tie_downs))),
        gear=tuple(data.draw(st.permutations(whole.gear))),
        anchors=tuple(data.draw(st.permutations(whole.anchors))),
    )
    assert [numbers(one) for one in assess(whole)] == [numbers(one) for one in assess(other)]


maybe = st.sampled_from([True, False, None])


@st.composite
def odd_plans(draw: st.DrawFn) -> Plan:
    """Anything unknown, anything crossed, every path and kind."""
    article = crate(
        mass=draw(st.sampled_from([None, mass("1 kg"), mass("900 t")])),
        height=draw(st.sampled_from([None, length("1 m"), length("10 m")])),
        at=draw(st.sampled_from([None, crate().at])),
        friction=draw(st.sampled_from([None, Decimal(0), Decimal("0.4"), Decimal(2)])),
        surfaces=draw(st.sampled_from([None, ("ice", "ice"), ("big bag", "wooden pallet")])),
        wet=draw(maybe),
        rolls=draw(st.sampled_from([False, None])),
        contained=draw(maybe),
        blocked=draw(st.dictionaries(
            st.sampled_from(list(Direction)),
            st.sampled_from(["nothing", "wall", "headboard", "timber"]).map(
                lambda by: Block(by=by)
            ),
        )),
        cog=draw(st.sampled_from([None, CentreOfGravity(
            back_m=Fraction(9), left_m=Fraction(-3), up_m=Fraction(0))])),
    )  # fmt: skip
    place = st.integers(-2, 8).map(str)
    lashed: Lashed = []
    gear = []
    for n in range(draw(st.integers(0, 4))):
        rating = draw(st.sampled_from([None, "9 kN"]))
        ends = [ring(f"{side}{n}", draw(place), draw(place), wll=rating) for side in "LR"]
        path = draw(st.sampled_from([*Path, None]))
        touches = draw(st.sampled_from([None, (), 1, 2]))
        points = None if touches is None else tuple(
            Position(
                from_front_m=Fraction(draw(place)), left_m=Fraction(draw(place)), up_m=Fraction(1)
            )
            for _ in range(touches or 0)
        )  # fmt: skip
        lashed.append((
            TieDown(
                id=f"T{n}", holds=("A",), path=path, from_anchor=ends[0].id, touches=points,
                to="lug" if path is Path.DIRECT else ends[1].id,
                gear=draw(st.sampled_from([f"S{n}", None])),
                far_side_share=draw(st.sampled_from([None, Decimal(0), Decimal("0.3")])),
            ),
            ends,
        ))  # fmt: skip
        gear.append(webbing(
            f"S{n}", kind=draw(st.sampled_from(list(GearKind))),
            lc=draw(st.sampled_from([None, "2500 daN"])),
            stf=draw(st.sampled_from([None, "9 daN"])),
        ))  # fmt: skip
    return en_plan(article, lashed, gear=gear)


@given(whole=odd_plans())
@settings(max_examples=120, deadline=None)
def test_every_plan_that_can_be_built_is_judged_and_the_answer_can_be_said(whole: Plan) -> None:
    findings = assess(whole)
    assert len(findings) == 9
    assert findings_lines(findings)
    for finding in findings:
        if finding.verdict in (Verdict.MEETS, Verdict.DOES_NOT_MEET) and finding.margin is not None:
            assert (finding.margin.value >= 0) is (finding.verdict is Verdict.MEETS)
        if finding.verdict is Verdict.CANNOT_TELL:
            assert finding.unknown
