"""Intermodal containers: 49 CFR 393.126."""

from typing import Any

import pytest

from tests.securement.plans import FLATBED, article, found, length, value_of
from tests.securement.sections import all_yes, judged, said, ties
from triplog.securement.finding import Finding
from triplog.securement.model import Article, Body, Commodity, Vehicle
from triplog.wording.findings import sum_lines, unknown_line

COUNT, ANSWERS = "us-393.126-count", "us-393.126-answers"
CHASSIS = Vehicle(body=Body.CHASSIS)


def box(**facts: Any) -> Article:
    """A container of 40,000 lb about which all is answered with yes."""
    return article(
        commodity=Commodity.CONTAINER,
        weighs="40000 lb",
        long="40 ft",
        facts=facts,
        answers=all_yes("126"),
    )


def on(vehicle: Vehicle, *tie_downs: dict[str, Any], **facts: Any) -> tuple[Finding, ...]:
    """The findings of a container on a vehicle, held by chains of 4,999 lb."""
    return judged([box(**facts)], ties(*tie_downs), vehicle=vehicle, wll="4999 lb")


def test_on_a_chassis_all_lower_corners_are_held() -> None:
    whole = found(on(CHASSIS, lower_corners=4), COUNT)
    assert (str(whole.verdict), whole.citation.clause) == ("meets", "393.126(b)(1)")
    assert "Driver's Handbook" in sum_lines(whole)[-1]
    three = found(on(CHASSIS, lower_corners=3), COUNT)
    assert str(three.verdict) == "does not meet"
    assert value_of(three.provided) == 3
    assert said(on(CHASSIS, upper_corners=4), COUNT) == "cannot tell"


@pytest.mark.parametrize(
    ("fact", "rule", "kept", "beyond"),
    [
        ("corner_play", "us-393.126-play", "1/2 in", "9/16 in"),
        ("corner_play", "us-393.126-play", "1.27 cm", "1.3 cm"),
        ("corner_lift", "us-393.126-lift", "1 in", "1 1/16 in"),
    ],
)
def test_on_a_chassis_it_hardly_moves(fact: str, rule: str, kept: str, beyond: str) -> None:
    assert said(on(CHASSIS, **{fact: length(kept)}), rule) == "meets"
    assert said(on(CHASSIS, **{fact: length(beyond)}), rule) == "does not meet"
    assert said(on(CHASSIS), rule) == "cannot tell"


def test_loaded_on_another_vehicle_the_lower_or_the_upper_corners_are_held() -> None:
    for corners in ("lower_corners", "upper_corners"):
        assert said(on(FLATBED, loaded=True, **{corners: 4}), COUNT) == "meets"
        one = found(on(FLATBED, loaded=True, **{corners: 3}), COUNT)
        assert str(one.verdict) == "cannot tell"
    both = found(on(FLATBED, loaded=True, lower_corners=3, upper_corners=2), COUNT)
    assert str(both.verdict) == "does not meet"
    assert value_of(both.provided) == 3


def test_empty_on_another_vehicle_it_does_not_overhang_by_more_than_5_ft() -> None:
    def empty(overhang: str) -> tuple[Finding, ...]:
        return on(FLATBED, loaded=False, overhang=length(overhang))

    assert said(empty("5 ft"), "us-393.126-overhang") == "meets"
    assert said(empty("5 ft 1 in"), "us-393.126-overhang") == "does not meet"
    assert said(on(FLATBED, loaded=False), "us-393.126-overhang") == "cannot tell"
    assert said(empty("5 ft"), COUNT) == "does not apply"


def test_what_is_asked_depends_on_how_it_is_carried() -> None:
    def asked(whole: tuple[Finding, ...]) -> set[str]:
        return {one.name.removeprefix("answers.") for one in found(whole, ANSWERS).inputs}

    assert asked(on(CHASSIS)) == {"126-independent"}
    assert asked(on(FLATBED, loaded=True)) == {"126-supported", "126-independent"}
    assert asked(on(FLATBED, loaded=False)) == {
        "126-balanced",
        "126-interference",
        "126-shifting",
    }


def test_a_vehicle_or_load_nobody_told_leaves_it_open() -> None:
    bare = found(on(Vehicle()), COUNT)
    assert str(bare.verdict) == "cannot tell"
    assert "what kind of body" in unknown_line(bare)
    assert "whether A is loaded" in unknown_line(bare)
    assert said(on(FLATBED), COUNT) == "cannot tell"


def test_corners_held_by_locks_have_no_rating_to_add_and_chains_have() -> None:
    locked = on(CHASSIS, lower_corners=4)
    assert said(locked, "us-393.126-aggregate") == "does not apply"
    assert not [one for one in locked if one.rule in ("us-393.106-aggregate", "us-393.110-count")]
    crossed: tuple[dict[str, Any], ...] = ({"lay": "diagonal"},) * 4
    chained = on(FLATBED, *crossed, loaded=True, upper_corners=4)
    assert said(chained, "us-393.106-aggregate") == "does not meet"
    loose = on(CHASSIS, lower_corners=3)
    assert said(loose, "us-393.106-aggregate") == "does not meet"


def test_a_container_held_by_locks_is_not_said_to_lack_the_force_of_tie_downs() -> None:
    """393.102(c)(3): what the section asks is there, and no sum of tie-downs sees the locks."""
    short = {"corner_play": length("1/4 in"), "corner_lift": length("1/2 in")}
    locked = on(CHASSIS, lower_corners=4, **short)
    asked = [one for one in locked if one.rule.startswith("us-393.102-")]
    assert {str(one.verdict) for one in asked} == {"does not apply"}
    assert "held without tie-downs" in " ".join(sum_lines(asked[0]))
    loose = on(CHASSIS, lower_corners=3, **short)
    assert said(loose, "us-393.102-down") == "does not meet"
