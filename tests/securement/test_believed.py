"""What a plan tells and cannot be so; our own lines, no published check."""

from dataclasses import replace
from decimal import Decimal

import pytest

from tests.securement.decks import box, over
from tests.securement.en_plans import crate, en_plan, judged, spread
from tests.securement.plans import article, found, plan
from triplog.securement.assess import assess
from triplog.securement.finding import Verdict
from triplog.securement.model import Body, Plan, PlanRefused, Vehicle, Walls
from triplog.securement.plan_file import read_plan
from triplog.wording.findings import unknown_line

BARE = Vehicle(body=Body.FLATBED)


def contained_on(vehicle: Vehicle, *, on: str = "deck") -> Plan:
    below = article("B") if on == "B" else article("B", contained=False)
    rules = ("us-393", "fit")
    return plan([article("A", contained=True, on=on), below], vehicle=vehicle, rules=rules)


def test_nothing_is_contained_by_a_flatbed_without_sides() -> None:
    findings = assess(contained_on(BARE))
    assert found(findings, "fit-contained").about == ("A",)
    assert found(findings, "fit-contained").verdict is Verdict.DOES_NOT_MEET
    down = next(one for one in findings if one.rule == "us-393.102-down" and "A" in one.about)
    assert down.verdict is Verdict.CANNOT_TELL
    assert "what contains A: told to be fully contained, and the body has no sides" in (
        unknown_line(down)
    )


@pytest.mark.parametrize(
    "vehicle",
    [
        Vehicle(),
        Vehicle(body=Body.SIDED),
        Vehicle(body=Body.CURTAIN_SIDE),
        Vehicle(body=Body.FLATBED, walls=Walls(front="EN 12642 L")),
    ],
)
def test_a_body_with_walls_or_of_no_known_kind_is_believed(vehicle: Vehicle) -> None:
    findings = assess(contained_on(vehicle))
    assert not [one for one in findings if one.rule == "fit-contained"]
    down = next(one for one in findings if one.rule == "us-393.102-down" and "A" in one.about)
    assert down.verdict is Verdict.DOES_NOT_APPLY


def test_what_stands_in_another_article_may_be_contained_by_that() -> None:
    assert not [one for one in assess(contained_on(BARE, on="B")) if one.rule == "fit-contained"]


@pytest.mark.parametrize(("friction", "heard"), [("1.5", True), ("1.51", False), ("6", False)])
def test_a_friction_that_no_surfaces_have_is_judged_as_unknown(friction: str, heard: bool) -> None:
    whole = en_plan(crate(friction=Decimal(friction)), spread(4))
    finding = judged(whole, "slide", "forward")
    assert (finding.verdict is Verdict.MEETS) is heard
    asked = [one.field for one in finding.unknown]
    assert asked == ([] if heard else ["friction.beyond"])


@pytest.mark.parametrize("where", ["article", "gear"])
def test_a_plan_file_with_such_a_friction_is_refused(where: str) -> None:
    """The line is ours; the highest row of the CTU Code's table is 0.7."""
    text = 'format = "triplog-plan/1"\n'
    text += {
        "article": '[[article]]\nid = "A"\nfriction = 6\n',
        "gear": '[[gear]]\nid = "M"\nkind = "friction mat"\nfriction = 1.6\n',
    }[where]
    with pytest.raises(
        PlanRefused, match=rf"{where}\[0\].friction: .*more than surfaces ever have"
    ):
        read_plan(text.encode(), "plan.toml")


def test_a_plan_without_such_things_is_judged_as_it_is() -> None:
    whole = over(box(friction="0.4"), tension=["400 daN"], rules=("au-lrg",))
    assert assess(whole) == assess(replace(whole, vehicle=whole.vehicle))
