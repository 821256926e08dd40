"""What an incident report draws on beside the trip: labels, and the private values opened."""

from pathlib import Path

from exports.pdf_sheet import Paper, write_pdf
from exports.text_sheet import text_of
from triplog.desk.desk import Desk
from triplog.desk.photos import thumbnails
from triplog.desk.setting_up import carrier_name
from triplog.dossier.incident import incident_report
from triplog.dossier.incident_lists import IncidentFacts
from triplog.dossier.withheld import told_first
from triplog.journal.folding import in_force
from triplog.journal.trip import Trip


def write_incident_report(desk: Desk, trip: Trip, paper: Paper, folder: Path) -> None:
    """Write the draft of a trip's incident report into a folder, as incident.pdf and .txt."""
    facts = incident_facts(desk, trip)
    report = incident_report(trip, facts, thumbnails(desk, trip))
    document = told_first(report, desk.store.withheld.said)
    write_pdf(document, paper, folder / "incident.pdf", facts.now)
    (folder / "incident.txt").write_text(text_of(document), encoding="utf-8")


def incident_facts(desk: Desk, trip: Trip) -> IncidentFacts:
    """The facts a report of this trip's incidents is made with, as the journal has them now."""
    people = dict(desk.store.raw.execute("SELECT id, label FROM person").fetchall())
    reading = desk.now_on(trip)
    return IncidentFacts(
        people=people,
        names={person: name for person in people if (name := _name(desk, person)) is not None},
        opened={fact.entry.hash: desk.store.openings(fact.entry.hash) for fact in trip.facts},
        carrier=carrier_name(desk),
        now=reading.wall,
        offset_min=reading.offset_min,
        invented=desk.invented,
    )


def _name(desk: Desk, person: str) -> str | None:
    """A person's own name, where their card has one that can be opened."""
    cards = in_force(desk.store.thing_entries(person))
    named = [desk.store.openings(fact.entry.hash).get("name") for fact in cards]
    return next((name for name in reversed(named) if name), None)
