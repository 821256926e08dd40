"""One acknowledged entry with its derived rows, against a bare commit of a row of its size."""

import sqlite3
from pathlib import Path

from tests.benchmarks.measure import Figure, by_turns
from tests.builders import (
    Journal,
    check_completed,
    depart,
    duty_changed,
    new_journal,
    odometer_read,
)
from triplog.journal.entries import Body, Draft, Entry

TRIPS = 12
EACH = 5
"""Readings recorded on each trip: so few that the trips stay of one length."""
STOPS = 9


def figures(place: Path) -> list[Figure]:
    """A reading on a trip of about sixty entries, as a day on the road gives them."""
    journal = new_journal(place / "triplog.sqlite3")
    (mode,) = journal.store.raw.execute("PRAGMA synchronous").fetchone()
    journal.store.raw.execute("PRAGMA synchronous = OFF")
    trips = [f"trip-{number}" for number in range(TRIPS)]
    miles = [_drive_a_day(journal, trip) for trip in trips][-1]
    journal.store.raw.execute(f"PRAGMA synchronous = {mode}")
    entries = len(journal.store.trip_entries(trips[-1]))
    size = len(journal.store.trip_entries(trips[-1])[-1].data)
    bare = sqlite3.connect(place / "bare.sqlite3", isolation_level=None)
    for pragma in ("journal_mode = DELETE", f"synchronous = {mode}"):
        bare.execute(f"PRAGMA {pragma}").fetchall()
    bare.execute("CREATE TABLE entry (seq INTEGER PRIMARY KEY, data BLOB)")
    readings = iter([(f"{miles + n} mi", trip) for n in range(1, EACH + 1) for trip in trips])

    def ours() -> None:
        journal.record(odometer_read(*next(readings)))

    def floor() -> None:
        bare.execute("BEGIN IMMEDIATE")
        bare.execute("INSERT INTO entry (data) VALUES (?)", (b"x" * size,))
        bare.execute("COMMIT")

    figure = by_turns(
        f"one acknowledged entry with its rows, trip of {entries}",
        ours,
        floor,
        limit=2,
        rounds=TRIPS * EACH,
    )
    journal.close()
    bare.close()
    return [figure]


def _drive_a_day(journal: Journal, trip: str) -> int:
    """Stops with a reading, a prompt that is raised and heard, and a check; the last reading."""
    plan = depart(journal, trip, label=trip)
    miles = 24130
    for number in range(STOPS):
        miles += 40
        journal.record(duty_changed("on duty", trip), minutes=45)
        journal.record(odometer_read(f"{miles} mi", trip))
        raised = journal.record(_raised(plan, trip, number))
        outcome: Body = {"raised": raised.hash, "outcomes": ["accepted"]}
        journal.record(_by_program("prompt_outcome", trip, outcome))
        check = check_completed(plan.hash, trip, odometer=f"{miles} mi")
        journal.record(check, minutes=10)
        journal.record(duty_changed("driving", trip))
    return miles


def _raised(plan: Entry, trip: str, number: int) -> Draft:
    body: Body = {
        "due": f"{trip}/us-392.9-duty/{plan.hash}",
        "rule": "us-392.9-duty",
        "since": plan.hash,
        "stage": "due",
        "channel": "text",
        "number": number,
        "state": "due",
        "basis": "known",
    }
    return _by_program("prompt_raised", trip, body)


def _by_program(kind: str, trip: str, body: Body) -> Draft:
    return Draft(kind=kind, trip=trip, body=body, by="nobody", via="program")
