"""The roadside sheet on paper: one page of either size, and further pages where it must."""

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from exports.document import Paragraph
from exports.pdf_sheet import write_pdf
from tests.dossier.scene import GENERAL, Office, Sheet, office
from triplog.desk.checking import Found
from triplog.desk.planning import add_article
from triplog.desk.road import report_event
from triplog.dossier.head import last_head
from triplog.journal.trip import Trip

BOTH_PAPERS = pytest.mark.parametrize("paper", ["letter", "a4"])


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    return office(tmp_path / "home")


def pages(sheet: Sheet, paper: Any, folder: Path, yard: Office) -> int:
    return write_pdf(sheet.document, paper, folder / f"{paper}.pdf", yard.clock.wall)


# On paper

_CODE = re.compile(r"[A-Z2-7]{5}(?:-[A-Z2-7]{5}){3}")


def seven_findings(yard: Office) -> Trip:
    """Four articles, eight tie-downs, seven findings beside those side by side, four checks."""
    trip = yard.opened(origin="the upper yard", destination="an orchard, then a garden builder")
    for number in range(4):
        crate = {
            "what": "crated orchard sprayer",
            "mass": f"{8000 + number} lb",
            "mass_basis": "weighed",
            "length": "12 ft",
            "sharp_edges": number < 2,
            "blocked": {"forward": "nothing"},
        }
        load = {name: value for name, value in GENERAL.items() if name != "rolls"} | crate
        trip = yard.plan(trip, add_article(article=load, article_id=None, count=1))
    for number in range(8):
        tie_down: dict[str, object] = {
            "holds": ["ABCD"[number % 4]],
            "from": f"L{number + 1}",
            "to": f"R{number + 1}",
            "edge_protection": {"needed": 2, "fitted": number % 2},
        }
        gear = ("U-1", "U-2", "S-1", "S-2", "S-3", "S-4", "S-5", "S-6")[number]
        trip = yard.with_strap(trip, gear, **tie_down)
    trip = yard.checked(yard.departed(trip), odometer="24150 mi", T3=Found.SLACK).trip
    yard.clock.forward(minutes=10)
    for what in ("hard braking", "rough road"):
        report_event(yard.desk, trip, what, stopped=True, tie_downs=[], moved=None, at=None,
                     note=None, place=None)  # fmt: skip
    return yard.trip(trip.label)


@BOTH_PAPERS
def test_a_flatbed_with_four_articles_and_eight_tie_downs_fits_one_page(
    paper: str, yard: Office, tmp_path: Path
) -> None:
    sheet = yard.sheet(seven_findings(yard))
    assert len(sheet.table("Article")) == 4
    assert len(sheet.table("Tie-down")) == 8
    assert len(sheet.table("State")) == 4
    assert len(sheet.table("Verdict")) == 7
    # The widest code there can be: which one a log has is chance.
    footer = _CODE.sub("-".join(["WWWWW"] * 4), sheet.document.footer)
    assert "WWWWW" in footer
    invented = Sheet(document=replace(sheet.document, invented=True, footer=footer))
    assert pages(sheet, paper, tmp_path, yard) == 1
    assert pages(invented, paper, tmp_path, yard) == 1


def test_what_nobody_told_of_the_gear_s_fit_is_named_in_one_line(yard: Office) -> None:
    sheet = yard.sheet(seven_findings(yard))
    assert not [row for row in sheet.table("Verdict") if "reach" in row["Finding"]]
    assert (
        "Cannot be told, and no law: end fittings in their anchor points, reach of the tie-down,"
        " protectors at the bends." in sheet.words
    )


def test_gear_that_does_not_fit_has_its_row(yard: Office) -> None:
    """Nothing is known of the crate but that both ends are at one anchor point."""
    trip = yard.with_article(yard.opened(), mass="3000 lb", length="5 ft", width="4 ft",
                             height="4 ft", at=["1 ft", "centre"])  # fmt: skip
    trip = yard.with_strap(trip, "S-1", **{"from": "L1", "to": "L1"})
    rows = yard.sheet(yard.judged(trip)).table("Verdict")
    assert ("does not meet", "T1") in {
        (row["Verdict"], row["About"]) for row in rows if "reach" in row["Finding"]
    }


@BOTH_PAPERS
def test_thirty_tie_downs_go_on_to_a_second_page(paper: str, yard: Office, tmp_path: Path) -> None:
    trip = yard.judged(yard.loaded(6, 30))
    assert pages(yard.sheet(trip), paper, tmp_path, yard) == 2


def test_a_trip_without_anything_still_has_its_sheet(yard: Office, tmp_path: Path) -> None:
    sheet = yard.sheet(yard.opened())
    assert sheet.figures["Articles of cargo, mass in all"] == "none on the plan"
    assert sheet.figures["Tie-downs, by rating"] == "none"
    assert "No article is on the plan." in sheet.words
    assert "No tie-down is on the plan." in sheet.words
    assert "The plan in force has not been judged." in sheet.words
    assert pages(sheet, "letter", tmp_path, yard) == 1


def test_long_words_and_strange_characters_lose_nothing(yard: Office, tmp_path: Path) -> None:
    place = "the yard 🚚 " + "w" * 300 + " " + "and on " * 200
    trip = yard.opened("=1+1 漢\t" + "x" * 200, origin=place, destination=place)
    trip = yard.with_article(trip, what="y" * 400, mass="3000 lb", length="5 ft")
    sheet = yard.sheet(yard.judged(yard.with_strap(trip, "S-1", **{"from": "L1", "to": "R1"})))
    assert sheet.figures["From"] == place.strip()
    assert pages(sheet, "a4", tmp_path, yard) >= 2


def test_no_sheet_says_that_all_is_well_in_one_word(yard: Office) -> None:
    document = yard.sheet(yard.departed(yard.loaded(2, 4))).document
    words = " ".join(
        [document.title, document.subtitle, document.footer, repr(document.blocks)]
    ).lower()
    for word in (" ok", "secure", "compliant", "approved", "certified", "passed"):
        assert word not in words
    assert document.footer.startswith("No promise")
    assert not any(isinstance(one, Paragraph) and one.text == "meets" for one in document.blocks)


def test_the_foot_gives_the_officer_the_code_of_the_log(yard: Office) -> None:
    trip = seven_findings(yard)
    head = last_head(trip)
    assert head is not None
    assert f"{head.size} entries: {head.code}" in yard.sheet(trip).document.footer
