"""The plan sheet: pictures, and each finding with rule set, edition and basis."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from exports.document import Heading, Paragraph, Picture, Table
from exports.pdf_sheet import write_pdf
from tests.dossier.scene import Office, office
from triplog.dossier.plan_sheet import plan_sheet
from triplog.journal.trip import Trip

NOW = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    return office(tmp_path)


@pytest.fixture
def trip(yard: Office) -> Trip:
    return yard.judged(yard.loaded(2, 4))


def test_every_finding_carries_rule_set_edition_and_basis(trip: Trip) -> None:
    sheet = plan_sheet(trip, NOW, -360, invented=False)
    assert trip.judgement is not None
    findings = trip.judgement.entry.body["findings"]
    assert isinstance(findings, dict)
    headings = [one for one in sheet.blocks if isinstance(one, Heading)]
    assert "us-393, edition: text of late 2021 or later" in [one.text for one in headings]
    recorded = findings["findings"]
    assert isinstance(recorded, list)
    idle = [one for one in recorded if one["verdict"] == "does not apply"]
    told_in_full = [one for one in headings if one.level == 2 and ": " in one.text]
    assert len(told_in_full) == len(recorded) - len(idle)
    rows = [row for one in sheet.blocks if isinstance(one, Table) for row in one.rows]
    assert sorted(row[0] for row in rows) == sorted(str(one["rule"]) for one in idle)
    told = "\n".join(one.text for one in sheet.blocks if isinstance(one, Paragraph))
    assert "edition: text of late 2021 or later; read in the source" in told
    assert "(marked)" in told


def test_the_deck_is_on_it_from_above_and_from_the_side(trip: Trip) -> None:
    sheet = plan_sheet(trip, NOW, -360, invented=False)
    assert [one.alt.split(";")[0] for one in sheet.blocks if isinstance(one, Picture)] == [
        "The deck from above",
        "The deck from its left side",
    ]


def test_a_trip_without_an_article_or_a_judgement_says_so(yard: Office) -> None:
    sheet = plan_sheet(yard.opened(), NOW, -360, invented=True)
    assert [one.text for one in sheet.blocks if isinstance(one, Paragraph)] == [
        "No article is on the plan.",
        "This plan has not been judged.",
    ]


def test_it_can_be_set_on_paper(trip: Trip, tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    write_pdf(plan_sheet(trip, NOW, -360, invented=True), "a4", path, NOW)
    assert path.read_bytes().startswith(b"%PDF")
