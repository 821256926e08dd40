"""The derived tables kept in step entry by entry are those made anew from the whole journal."""

import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.builders import (
    DRIVER,
    Journal,
    check_completed,
    departed,
    duty_changed,
    gear_inspected,
    gear_recorded,
    gear_standing_set,
    hold,
    new_journal,
    odometer_read,
    person_recorded,
    plan_recorded,
    trip_opened,
    vehicle_recorded,
    withdrawn,
)
from triplog.journal.entries import Body, Draft, Entry
from triplog.journal.store import open_store

TRIPS = ("trip-one", "trip-two")
REVISION = "f" * 64
DUTIES = ("driving", "on duty", "off duty", "sleeper")


def _of_trip(trip: str, kind: str, body: Body) -> Draft:
    return Draft(kind=kind, trip=trip, body=body, by=DRIVER)


@st.composite
def drafts(draw: st.DrawFn, entries: list[Entry]) -> Draft:
    """Any next draft: a fact of a trip, a card, a correction, a withdrawal."""
    trip = draw(st.sampled_from(TRIPS))
    miles = draw(st.integers(24130, 24400))
    raised = [one for one in entries if one.kind == "prompt_raised" and one.trip == trip]
    facts = [
        odometer_read(f"{miles} mi", trip),
        duty_changed(draw(st.sampled_from(DUTIES)), trip),
        check_completed(REVISION, trip, odometer=f"{miles} mi"),
        plan_recorded(trip, mass=f"{miles} lb", number=len(entries)),
        departed(REVISION, trip),
        _of_trip(trip, "event_reported", {"what": "hard braking"}),
        _of_trip(trip, "event_reported", {"what": "kerb", "time_doubt": "ahead of the clock"}),
        _of_trip(trip, "article_delivered", {"articles": ["A1"], "revision": REVISION}),
        _of_trip(trip, "checks_exempted", {"grounds": "sealed"}),
        _of_trip(trip, "prompt_raised", _prompt(trip, len(entries))),
        _of_trip(trip, "trip_withdrawn", {}),
        gear_recorded("g1", "S-1", wll=f"{miles} lb"),
        gear_standing_set("g1", draw(st.sampled_from(["in stock", "set aside", "unfit"]))),
        gear_inspected("g1", draw(st.sampled_from(["nothing found", "set aside", "unfit"]))),
        hold("g1", draw(st.sampled_from(["hold_placed", "hold_lifted"]))),
        person_recorded("p1", "driver"),
        vehicle_recorded(),
    ]
    if raised:
        body: Body = {"raised": draw(st.sampled_from(raised)).hash, "outcomes": ["accepted"]}
        facts.append(_of_trip(trip, "prompt_outcome", body))
    for before in entries:
        if before.kind == "odometer_read":
            assert before.trip is not None
            facts.append(odometer_read(f"{miles} mi", before.trip, follows=before.hash))
        facts.append(withdrawn(before))
    return draw(st.sampled_from(facts))


def _prompt(trip: str, number: int) -> Body:
    return {
        "due": f"{trip}/us-392.9-first/{REVISION}",
        "rule": "us-392.9-first",
        "since": REVISION,
        "stage": "due",
        "channel": "tone",
        "number": number,
        "state": "due",
        "basis": "known",
    }


@settings(max_examples=20)
@given(st.data())
def test_the_tables_made_anew_equal_those_kept_in_step(data: st.DataObject) -> None:
    with tempfile.TemporaryDirectory() as folder:
        journal = new_journal(Path(folder) / "triplog.sqlite3")
        journal.store.raw.execute("PRAGMA synchronous = OFF")  # this is not about power cuts
        for trip in TRIPS:
            journal.record(trip_opened(trip, label=trip), plan_recorded(trip))
            journal.record(departed(REVISION, trip))
        made: list[Entry] = []
        for _ in range(data.draw(st.integers(4, 16))):
            minutes = data.draw(st.integers(0, 90))
            made.append(journal.record(data.draw(drafts(made)), minutes=minutes))
        kept = journal.rows()
        assert kept == journal.rebuilt_rows()
        assert journal.store.check() == []
        _holds_for_the_next_command(journal, kept)
        journal.close()


def _holds_for_the_next_command(
    journal: Journal, kept: dict[str, list[tuple[object, ...]]]
) -> None:
    """A process that opens the file anew reads the same rows."""
    store = open_store(journal.store.path, reading_only=True)
    for name, rows in kept.items():
        assert len(store.raw.execute(f"SELECT 1 FROM {name}").fetchall()) == len(rows)
    store.close()
