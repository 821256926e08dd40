"""The draft of an incident report: facts from the journal, unknown for the rest."""

import contextlib
import subprocess
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from exports.document import Table
from exports.verify import verify
from tests.desk.exported import member
from tests.desk.seat import Seat, take_seat
from tests.needs import need
from triplog.desk.exporting import FORMS, export
from triplog.desk.incident import Facts, add_facts, keep_piece, report
from triplog.desk.incident_report import incident_facts
from triplog.desk.judging import judge_and_record
from triplog.desk.mending import correct
from triplog.desk.refused import Refused
from triplog.desk.road import report_event
from triplog.dossier.incident import incident_report
from triplog.wording.incident import DRAFT, QUESTIONS, REGISTER, UNKNOWN

FACTS = Facts(
    answers={**dict.fromkeys(QUESTIONS), "injured": 1, "load_moved": True},
    place="Fern Hollow, Ohio",
    note="the crate slid to the right",
)


@pytest.fixture
def seat(tmp_path: Path) -> Iterator[Seat]:
    """A trip with a check, a late event and an incident a while later."""
    taken = take_seat("a first check made", tmp_path)
    with contextlib.closing(taken.desk.store):
        taken.later(20)
        at = taken.clock.wall - timedelta(minutes=15)
        report_event(
            taken.desk,
            taken.trip,
            "rough road",
            stopped=True,
            tie_downs=[],
            moved=None,
            at=at,
            note=None,
            place=None,
        )
        taken.later(5)
        at = taken.clock.wall - timedelta(minutes=10)
        report(taken.desk, taken.trip, FACTS, at=at, stopped=True)
        taken.later(1)
        yield taken


def written(seat: Seat, folder: Path) -> str:
    """The report as text, on one line, so that words are found wherever a line was broken."""
    seat.later(1)
    made = export(seat.desk, folder, ("incident",), seat.trip)
    return " ".join((made.files[0] / "incident.txt").read_text().split())


def test_it_is_marked_a_draft_and_unsigned_on_every_page(seat: Seat, tmp_path: Path) -> None:
    text = written(seat, tmp_path / "out")
    assert DRAFT in text.replace("| ", "")
    assert "Left blank for whoever signs" in text
    need(["pdftotext"])
    pdf = tmp_path / "out" / "trip-T-1-incident" / "incident.pdf"
    told = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, check=True)
    pages = told.stdout.decode().rstrip("\f").split("\f")
    assert len(pages) > 1
    for page in pages:
        assert "Draft, unsigned, made from a tamper-evident log" in page


def test_every_field_of_the_register_is_filled_or_unknown(seat: Seat, tmp_path: Path) -> None:
    text = written(seat, tmp_path / "out")
    for _, title in REGISTER:
        assert title.split(" (")[0].split(", other")[0] in text
    assert "City or town, or the nearest, and state Fern Hollow, Ohio" in text
    assert "Number of injuries 1" in text
    assert f"Number of fatalities {UNKNOWN}" in text
    assert f"Unknown, told by nobody: some of it fell, damage, people who died, {''}" in text


def test_it_tells_what_was_known_at_departure(seat: Seat, tmp_path: Path) -> None:
    text = written(seat, tmp_path / "out")
    assert "odometer 24130 mi, driver owner. Plan 3" in text
    assert "A crated pump 5200 lb" in text
    assert "T1 S-1, ratchet strap 3335 lb A L2 to R2" in text
    departed = seat.trip.departure
    assert departed is not None
    (judged,) = [fact for fact in seat.trip.of("plan_judged")
                 if departed.entry.body["judgement"] in fact.hashes]  # fmt: skip
    findings = judged.entry.body["findings"]["findings"]  # type: ignore[index]
    meets = sum(one["verdict"] == "meets" for one in findings)
    assert f"{meets} meets, " in text


def test_a_judgement_made_afterwards_is_not_what_was_known(seat: Seat, tmp_path: Path) -> None:
    before = written(seat, tmp_path / "out")
    judge_and_record(seat.desk, seat.trip)
    after = written(seat, tmp_path / "later")
    start = "Findings as recorded before departure"
    assert _sentence(before, start) == _sentence(after, start)


def _sentence(text: str, start: str) -> str:
    return text[text.index(start) :].partition("does not apply")[0]


def test_checks_late_entries_and_corrections_are_shown_as_such(seat: Seat, tmp_path: Path) -> None:
    first = seat.last("incident_reported")
    correct(seat.desk, first.hash, changes={"injured": "2"}, at=None, reason="a second person")
    text = written(seat, tmp_path / "out")
    assert "2 tie-downs looked at, none slack" in text
    document = incident_report(seat.trip, incident_facts(seat.desk, seat.trip), {})
    (late,) = [
        block
        for block in document.blocks
        if isinstance(block, Table) and block.columns[0].title == "Happened"
    ]
    marks = {(what, how) for _, what, _, how in late.rows}
    assert ("event reported", "written down 15 min later") in marks
    assert ("incident reported", "corrected, 2026-03-02 08:26; 1 earlier stay") in marks
    assert "Number of injuries 2" in text


def test_pieces_people_told_and_the_hold_stand_in_it(seat: Seat, tmp_path: Path) -> None:
    keep_piece(seat.desk, seat.trip, "strap", tie_down="T2", place="office safe")
    at = seat.clock.wall - timedelta(minutes=3)
    told = Facts(answers=dict.fromkeys(QUESTIONS), told=("police",), names="a witness")
    add_facts(seat.desk, seat.trip, told, at=at)
    text = written(seat, tmp_path / "out")
    assert "Under an evidence hold since 2026-03-02" in text.replace("| ", "")
    assert "strap kept T2 office safe" in text
    assert "names: a witness" in text
    assert "police 2026-03-02 " in text[text.index("Who was told") :]
    assert text.count("not yet") > 10


def test_without_a_departure_it_says_so(tmp_path: Path) -> None:
    taken = take_seat("a trip planned", tmp_path)
    with contextlib.closing(taken.desk.store):
        report(taken.desk, taken.trip, FACTS, at=None, stopped=True)
        text = written(taken, tmp_path / "out")
    assert "No departure is recorded." in text
    assert "Nobody has recorded whom they told." in text
    assert f"Date {UNKNOWN}; written down 2026-03-02" in text


def test_it_is_in_the_bundle_after_an_incident_and_only_then(seat: Seat, tmp_path: Path) -> None:
    made = export(seat.desk, tmp_path / "out", ("bundle",), seat.trip)
    (bundle,) = made.files
    assert verify(bundle).problems == ()
    assert b"Incident report, draft, trip T-1" in member(bundle, "incident.txt")
    assert member(bundle, "incident.pdf").startswith(b"%PDF")


def test_without_an_incident_there_is_no_report(tmp_path: Path) -> None:
    taken = take_seat("a first check made", tmp_path)
    with contextlib.closing(taken.desk.store):
        with pytest.raises(Refused, match="trip T-1 has no incident"):
            export(taken.desk, tmp_path / "out", ("incident",), taken.trip)
        made = export(taken.desk, tmp_path / "all", FORMS, taken.trip)
        assert not [path for path in made.files if "incident" in path.name]
        with pytest.raises(KeyError):
            member(next(path for path in made.files if path.suffix == ".zip"), "incident.txt")
