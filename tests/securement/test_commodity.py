"""Which section of 49 CFR 393.116 to 393.136 takes an article, or may (393.106(a))."""

from typing import Any

import pytest

from tests.securement.plans import FLATBED, article, length, plan, strapped
from triplog.securement.assess import assess
from triplog.securement.finding import Verdict
from triplog.securement.model import Article, Body, Commodity, Vehicle
from triplog.securement.rules.us_393.commodity import section_answer
from triplog.wording.findings import question, title


def sections(*articles: Article, vehicle: Vehicle = FLATBED) -> list[str | None]:
    """The section of each article; with the word of what is open, as "393.120 applies"."""
    whole = plan(articles, vehicle=vehicle)
    answers = [section_answer(one, whole) for one in articles]
    return [None if one is None else f"{one.section} {one.word}".strip() for one in answers]


@pytest.mark.parametrize(
    ("told", "section"),
    [
        ({"commodity": None}, "393.106 commodity"),
        ({"commodity": Commodity.LOGS}, "393.116"),
        ({"commodity": Commodity.CONCRETE_PIPE}, "393.124"),
        ({"commodity": Commodity.CONTAINER}, "393.126"),
        ({"commodity": Commodity.FLATTENED_CAR}, "393.132"),
        ({"commodity": Commodity.ROLL_OFF}, "393.134"),
        ({"commodity": Commodity.METAL_COIL, "weighs": "5000 lb"}, "393.120"),
        ({"commodity": Commodity.METAL_COIL, "weighs": "2268 kg"}, "393.120"),
        ({"commodity": Commodity.METAL_COIL, "weighs": "4999 lb"}, None),
        (
            {"commodity": Commodity.METAL_COIL, "weighs": "4999 lb", "section": "393.120"},
            "393.120",
        ),
        ({"commodity": Commodity.METAL_COIL, "weighs": None}, "393.120 applies"),
        ({"commodity": Commodity.PAPER_ROLL, "weighs": "5000 lb"}, "393.122"),
        ({"commodity": Commodity.PAPER_ROLL, "weighs": "4999 lb"}, None),
        ({"commodity": Commodity.MACHINE, "weighs": "10000 lb"}, "393.130"),
        ({"commodity": Commodity.MACHINE, "weighs": "4536 kg"}, "393.130"),
        ({"commodity": Commodity.MACHINE, "weighs": "9999 lb"}, "393.130 choice"),
        ({"commodity": Commodity.MACHINE, "weighs": "9999 lb", "section": "general"}, None),
        ({"commodity": Commodity.MACHINE, "weighs": "9999 lb", "section": "393.130"}, "393.130"),
        ({"commodity": Commodity.MACHINE, "weighs": None}, "393.130 applies"),
        ({"commodity": Commodity.LIGHT_VEHICLE, "weighs": "4000 lb"}, "393.128"),
        (
            {"commodity": Commodity.LIGHT_VEHICLE, "weighs": "4000 lb", "section": "393.128"},
            "393.128",
        ),
        ({"commodity": Commodity.BOULDER, "weighs": "11001 lb"}, "393.136"),
        ({"commodity": Commodity.BOULDER, "weighs": "219 lb"}, None),
        ({"commodity": Commodity.BOULDER, "weighs": "900 lb"}, "393.136 applies"),
        ({"commodity": Commodity.DRESSED_LUMBER}, None),
        ({"commodity": Commodity.GENERAL}, None),
    ],
)
def test_commodity_sections_ask_first(told: dict[str, Any], section: str | None) -> None:
    assert sections(article(**told)) == [section]


def test_a_boulder_between_the_lines_leaves_a_choice_if_it_is_small() -> None:
    size: dict[str, Any] = {"long": "3 ft", "width": length("3 ft"), "height": length("3 ft")}
    rock = article(commodity=Commodity.BOULDER, weighs="900 lb", **size)
    assert sections(rock) == ["393.136 choice"]
    chosen = article(commodity=Commodity.BOULDER, weighs="900 lb", section="general", **size)
    assert sections(chosen) == [None]
    wide = article(commodity=Commodity.BOULDER, weighs="900 lb", **{**size, "long": "9 ft"})
    assert sections(wide) == ["393.136 applies"]


def test_coils_count_together() -> None:
    """49 CFR 393.120: 5,000 lb, individually or grouped."""
    coils = [article(name, commodity=Commodity.METAL_COIL, weighs="2500 lb") for name in ("A", "B")]
    assert sections(*coils) == ["393.120"] * 2


def logs(name: str = "A", **facts: Any) -> Article:
    return article(name, commodity=Commodity.LOGS, section="general", facts=facts)


def test_unitized_and_few_processed_logs_may_go_by_the_general_rules_if_that_is_recorded() -> None:
    """49 CFR 393.116(a)(1) and (2): no more than four processed logs on the whole load."""
    assert sections(article(commodity=Commodity.LOGS, facts={"unitized": True})) == ["393.116"]
    assert sections(logs(unitized=True)) == [None]
    few: dict[str, Any] = {"unitized": False, "processed": True}
    assert sections(logs(pieces=4, **few)) == [None]
    assert sections(logs(pieces=5, **few)) == ["393.116"]
    assert sections(logs("A", pieces=3, **few), logs("B", pieces=2, **few)) == ["393.116"] * 2
    assert sections(logs(pieces=4, unitized=False, processed=False)) == ["393.116"]
    assert sections(logs()) == ["393.116 applies"]
    assert (
        sections(logs("A", pieces=2, **few), logs("B", unitized=False)) == ["393.116 applies"] * 2
    )


def test_paper_rolls_unitized_on_a_pallet_may_go_by_the_general_rules_if_that_is_recorded() -> None:
    """49 CFR 393.122(a)."""
    told: dict[str, Any] = {"commodity": Commodity.PAPER_ROLL, "weighs": "9000 lb"}
    assert sections(article(**told, facts={"unitized": True})) == ["393.122"]
    general = {**told, "section": "general"}
    assert sections(article(**general, facts={"unitized": True})) == [None]
    assert sections(article(**general, facts={"unitized": False})) == ["393.122"]
    assert sections(article(**general)) == ["393.122 applies"]


def test_lumber_in_more_than_one_tier_on_an_open_vehicle_needs_its_section() -> None:
    """49 CFR 393.118(c) and (e): one tier, or a sided vehicle, goes by the general rules."""
    bottom = article("A", commodity=Commodity.DRESSED_LUMBER)
    top = article("B", commodity=Commodity.DRESSED_LUMBER, on="A")
    assert sections(bottom, top) == ["393.118"] * 2
    sided = Vehicle(body=Body.SIDED)
    assert sections(bottom, top, vehicle=sided) == [None] * 2
    assert sections(bottom, top, vehicle=Vehicle()) == ["393.118 applies"] * 2
    stack = article(commodity=Commodity.DRESSED_LUMBER, facts={"tiers": 2})
    assert sections(stack) == ["393.118"]


def test_what_is_open_is_a_finding_in_words_that_names_what_would_settle_it() -> None:
    (finding,) = [
        one
        for one in assess(strapped(None, ["3300 lb"], commodity=Commodity.METAL_COIL))
        if one.rule.startswith("us-393.12")
    ]
    assert (finding.rule, finding.verdict) == ("us-393.120-applies", Verdict.CANNOT_TELL)
    assert [one.field for one in finding.unknown] == ["mass"]
    assert title(finding) == "section that may hold"
    assert question(finding) == "Does this section hold for A?"
