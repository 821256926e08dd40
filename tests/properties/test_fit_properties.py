"""What holds of the fit of gear: longer and better protected is never worse; left is like right."""

from dataclasses import replace
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.properties.test_geometry_properties import mirrored, over_crates
from tests.securement.fit_plans import HOOKS, hooked
from triplog.securement.assess import assess
from triplog.securement.finding import SEVERITY, Verdict
from triplog.securement.model import Anchor, EdgeProtection, Part, Plan
from triplog.securement.quantity import Dimension, Quantity

kinds = st.sampled_from(["flat hook", "snap hook", "grab hook"])
accepted = st.one_of(st.none(), st.lists(kinds, max_size=3).map(tuple))


def metres(value: Fraction) -> Quantity:
    return Quantity(value=value, unit="m", dimension=Dimension.LENGTH, typed=f"{float(value)} m")


@st.composite
def rigged(draw: st.DrawFn) -> Plan:
    """Crates under a strap about which anything may be known or not."""
    whole = draw(over_crates())
    long = draw(st.one_of(st.none(), st.integers(1, 30)))
    hooks = draw(st.one_of(st.none(), st.lists(kinds, max_size=2)))
    gear = hooked(
        length=None if long is None else metres(Fraction(long)),
        fittings=None if hooks is None else tuple(Part(kind=kind) for kind in hooks),
    )
    fitted = draw(st.one_of(st.none(), st.integers(0, 6)))
    tie = replace(whole.tie_downs[0], gear=gear.id, edge_protection=EdgeProtection(fitted=fitted))
    return replace(
        whole,
        rules=("fit",),
        gear=(gear,),
        tie_downs=(tie,),
        anchors=tuple(replace(one, accepts=draw(accepted)) for one in whole.anchors),
        articles=tuple(
            replace(one, sharp_edges=draw(st.sampled_from([True, False, None])))
            for one in whole.articles
        ),
    )


def verdicts(whole: Plan) -> dict[str, set[Verdict]]:
    found: dict[str, set[Verdict]] = {}
    for one in assess(whole):
        found.setdefault(one.rule, set()).add(one.verdict)
    return found


def no_worse(before: Plan, after: Plan, rule: str) -> bool:
    """The gravest verdict of a rule stays or gets milder."""

    def gravest(whole: Plan) -> int:
        return min((SEVERITY[one] for one in verdicts(whole).get(rule, ())), default=99)

    return gravest(after) >= gravest(before)


@given(whole=rigged())
@settings(max_examples=100)
def test_left_and_right_and_the_order_of_things_do_not_matter(whole: Plan) -> None:
    assert verdicts(whole) == verdicts(mirrored(whole))
    turned = replace(whole, articles=whole.articles[::-1], anchors=whole.anchors[::-1])
    assert verdicts(whole) == verdicts(turned)


@given(whole=rigged(), more=st.integers(0, 20))
@settings(max_examples=100)
def test_a_longer_strap_is_never_worse(whole: Plan, more: int) -> None:
    (gear,) = whole.gear
    if gear.length is not None:
        longer = replace(gear, length=metres(gear.length.value + more))
        assert no_worse(whole, replace(whole, gear=(longer,)), "fit-length")


@given(whole=rigged(), more=st.integers(0, 6))
@settings(max_examples=100)
def test_one_more_protector_is_never_worse(whole: Plan, more: int) -> None:
    (tie,) = whole.tie_downs
    assert tie.edge_protection is not None
    if tie.edge_protection.fitted is not None:
        protected = EdgeProtection(fitted=tie.edge_protection.fitted + more)
        after = replace(whole, tie_downs=(replace(tie, edge_protection=protected),))
        assert no_worse(whole, after, "fit-edges")


@given(whole=rigged(), kind=kinds)
@settings(max_examples=100)
def test_an_anchor_point_that_takes_one_more_kind_is_never_worse(whole: Plan, kind: str) -> None:
    def wider(one: Anchor) -> Anchor:
        return one if one.accepts is None else replace(one, accepts=(*one.accepts, kind))

    after = replace(whole, anchors=tuple(map(wider, whole.anchors)))
    assert no_worse(whole, after, "fit-hook")


@given(whole=rigged())
@settings(max_examples=60)
def test_hooks_that_are_told_can_only_settle_what_was_open(whole: Plan) -> None:
    """Told of both ends, and what each anchor point takes, nothing is left unknown."""
    told = replace(
        whole,
        gear=tuple(replace(one, fittings=HOOKS) for one in whole.gear),
        anchors=tuple(replace(one, accepts=one.accepts or ()) for one in whole.anchors),
    )
    assert Verdict.CANNOT_TELL not in verdicts(told)["fit-hook"]
