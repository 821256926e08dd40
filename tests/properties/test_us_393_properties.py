"""What holds of the commodity sections and of 49 CFR 393.102 in every plan."""

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.securement.plans import FLATBED, anchor, article, chain, force, plan, strap, tie_down
from triplog.securement.assess import assess, rule_sets_used
from triplog.securement.cargo_facts import ANSWERS, FACTS, QUESTIONS, Fact, FactKind, FactValue
from triplog.securement.finding import SEVERITY, Finding
from triplog.securement.model import (
    Anchor,
    Article,
    Block,
    Body,
    Commodity,
    Direction,
    Path,
    Plan,
    Position,
    TieDown,
)
from triplog.securement.quantity import Dimension, Quantity, parse
from triplog.wording.document import findings_document
from triplog.wording.handbook import findings_lines

SAMPLES = {
    FactKind.LENGTH: ("1 in", "4 in", "45 in", "46 in", "2 m", "12 ft"),
    FactKind.MASS: ("100 lb", "5000 lb"),
    FactKind.FORCE: ("100 lb", "20000 lb"),
}
places = st.builds(
    Position,
    from_front_m=st.sampled_from([Fraction(1), Fraction(3), Fraction(5)]),
    left_m=st.sampled_from([Fraction(-1), Fraction(0), Fraction(1)]),
)
Side = Literal["left", "right", "both"] | None
yes_no = st.sampled_from([True, False, None])


def fact_value(fact: Fact) -> st.SearchStrategy[FactValue]:
    if fact.kind is FactKind.COUNT:
        return st.integers(min_value=0, max_value=5)
    if fact.kind is FactKind.YES_NO:
        return st.booleans()
    if fact.kind is FactKind.WORD:
        return st.sampled_from(fact.words)
    dimension = Dimension(str(fact.kind))
    return st.sampled_from(SAMPLES[fact.kind]).map(lambda text: parse(text, dimension))


@st.composite
def cargo(draw: st.DrawFn, name: str) -> Article:
    """An article of any commodity, with some of the facts and answers its sections ask for."""
    told = draw(st.lists(st.sampled_from(FACTS), unique=True, max_size=12))
    asked = draw(st.lists(st.sampled_from(QUESTIONS), unique=True, max_size=6))
    size = st.sampled_from([None, parse("2 m", Dimension.LENGTH)])
    return article(
        name,
        weighs=draw(st.sampled_from([None, "900 lb", "9999 lb", "10000 lb", "26000 lb"])),
        long=draw(st.sampled_from([None, "4 ft", "25 ft"])),
        width=draw(size),
        height=draw(size),
        at=draw(st.none() | places),
        commodity=draw(st.sampled_from(list(Commodity))),
        section=draw(st.sampled_from([None, None, "general", "393.128", "393.136"])),
        facts={fact.name: draw(fact_value(fact)) for fact in told},
        answers={one.id: draw(st.sampled_from(ANSWERS)) for one in asked},
        friction=draw(st.sampled_from([None, Decimal("0.3")])),
        rolls=draw(yes_no),
        contained=draw(yes_no),
        together=draw(st.sampled_from([None, "one"])),
        blocked=draw(
            st.dictionaries(
                st.sampled_from(list(Direction)),
                st.sampled_from(["nothing", "chocks", "B"]).map(lambda by: Block(by=by)),
            )
        ),
    )


@st.composite
def held(draw: st.DrawFn, number: int, names: list[str]) -> TieDown:
    """A tie-down of any lay on anchors that may be placed."""
    ends = st.sampled_from(["L1", "R1", "M1", None])
    return tie_down(
        f"T{number}",
        gear=draw(st.sampled_from(["C-1", "C-2", "S-1", None])),
        holds=draw(st.lists(st.sampled_from(names), min_size=1, unique=True)),
        path=draw(st.sampled_from([*Path, None])),
        ends=(draw(ends), draw(ends)),
        lay=draw(st.sampled_from([None, "crosswise", "lengthwise", "diagonal"])),
        through_eye=draw(yes_no),
        touches=draw(st.none() | st.lists(places, min_size=1, max_size=2).map(tuple)),
        tension=draw(st.sampled_from([None, force("350 daN")])),
        far_side_share=draw(st.sampled_from([None, Decimal("0.5")])),
        tensioner_side=draw(st.sampled_from([None, "left", "both"])),
    )


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    names = ["A", "B"][: draw(st.integers(min_value=1, max_value=2))]
    articles = [draw(cargo(name)) for name in names]
    ties = [draw(held(number, names)) for number in range(draw(st.integers(0, 5)))]
    gear = [
        chain("C-1", wll="5000 lb", size=parse("1/2 in", Dimension.LENGTH)),
        chain("C-2", wll=None),
        strap("S-1", breaking=force("9900 lb")),
    ]
    at = Position(from_front_m=Fraction(2), left_m=Fraction(1))
    anchors = [
        Anchor(id="L1", at=at, wll=force("5000 lb"), breaking=force("15000 lb")),
        Anchor(id="R1", at=replace(at, left_m=Fraction(-1)), wll=force("5000 lb")),
        anchor("M1", wll=None),
    ]
    vehicle = replace(FLATBED, body=draw(st.sampled_from([*Body, None])))
    return plan(articles, gear, ties, anchors=anchors, vehicle=vehicle, rules=("us-393",))


@given(whole=plans())
@settings(max_examples=200, deadline=None)
def test_whatever_is_told_of_a_commodity_is_judged_and_can_be_said(whole: Plan) -> None:
    findings = assess(whole)
    assert findings_lines(findings)
    document = findings_document(findings, "0" * 64, "test", rule_sets_used(whole))
    assert len(document["findings"]) == len(findings)
    assert not [one for one in findings if one.rule.endswith("-not-built")]


def forces(whole: Plan) -> dict[str, Finding]:
    """The findings of 393.102 about a group or article, by rule and what they are about."""
    return {
        f"{one.rule} {one.about}": one
        for one in assess(whole)
        if one.rule.startswith("us-393.102-")
    }


def no_worse(before: Plan, after: Plan) -> bool:
    """No verdict of 393.102 got worse; a scope may change with what is deemed met."""
    then, now = forces(before), forces(after)
    return all(SEVERITY[now[key].verdict] >= SEVERITY[then[key].verdict] for key in then)


def twice(rating: Quantity | None) -> Quantity | None:
    return None if rating is None else parse(f"{rating.value * 2} {rating.unit}", rating.dimension)


@given(whole=plans())
@settings(max_examples=100, deadline=None)
def test_a_higher_breaking_strength_never_hurts(whole: Plan) -> None:
    gear = tuple(replace(one, breaking=twice(one.breaking)) for one in whole.gear)
    anchors = tuple(replace(one, breaking=twice(one.breaking)) for one in whole.anchors)
    assert no_worse(whole, replace(whole, gear=gear, anchors=anchors))


def mirrored(at: Position | None) -> Position | None:
    return None if at is None else replace(at, left_m=-at.left_m)


def turned(blocked: Iterable[tuple[Direction, Block]]) -> dict[Direction, Block]:
    other = {Direction.LEFT: Direction.RIGHT, Direction.RIGHT: Direction.LEFT}
    return {other.get(way, way): block for way, block in blocked}


SIDES: dict[Side, Side] = {"left": "right", "right": "left", "both": "both", None: None}


def mirror(whole: Plan) -> Plan:
    return replace(
        whole,
        anchors=tuple(replace(one, at=mirrored(one.at)) for one in whole.anchors),
        articles=tuple(
            replace(one, at=mirrored(one.at), blocked=turned(one.blocked.items()))
            for one in whole.articles
        ),
        tie_downs=tuple(
            replace(
                one,
                touches=None
                if one.touches is None
                else tuple(replace(at, left_m=-at.left_m) for at in one.touches),
                tensioner_side=SIDES[one.tensioner_side],
            )
            for one in whole.tie_downs
        ),
    )


@given(whole=plans())
@settings(max_examples=100, deadline=None)
def test_left_and_right_make_no_difference(whole: Plan) -> None:
    one, other = forces(whole), forces(mirror(whole))
    assert {key: (f.verdict, f.provided, f.margin) for key, f in one.items()} == {
        key: (f.verdict, f.provided, f.margin) for key, f in other.items()
    }


@given(
    friction=st.decimals(min_value=0, max_value=1, places=2),
    more=st.decimals(min_value=0, max_value="0.5", places=2),
    whole=plans(),
)
@settings(max_examples=100, deadline=None)
def test_more_friction_never_hurts_where_every_leg_presses_down(
    friction: Decimal, more: Decimal, whole: Plan
) -> None:
    """The exception is a leg that lifts: it takes friction away."""

    def under(value: Decimal) -> Plan:
        articles = tuple(
            replace(one, friction=value, height=one.height or parse("1 m", Dimension.LENGTH))
            for one in whole.articles
        )
        ties = tuple(replace(one, touches=None) for one in whole.tie_downs)
        return replace(whole, articles=articles, tie_downs=ties)

    assert no_worse(under(friction), under(friction + more))
