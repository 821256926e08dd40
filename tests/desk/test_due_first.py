"""Of many open trips the checks that are due first, found by their index."""

from tests.builders import Journal, depart, duty_changed, odometer_read
from triplog.desk.due_now import first_due
from triplog.journal.entries import Draft


def test_the_longest_due_comes_first_and_what_stands_still_is_not_among_them(
    journal: Journal,
) -> None:
    """49 CFR 392.9(b)(2): 50 mi, at 65 mph no earlier than 46.2 min after departure."""
    for number in range(1, 4):
        depart(journal, f"trip-{number}", label=f"T-{number}")
    journal.record(duty_changed("on duty", "trip-2"), minutes=3)
    journal.record(odometer_read("24130 mi", "trip-2"))
    found = first_due(journal.store, journal.clock.forward(minutes=41), 3)
    assert [(label, check.counter.kind, check.state) for label, check in found] == [
        ("T-2", "duty_change", "due"),
        ("T-1", "first_distance", "due"),
        ("T-3", "first_distance", "coming up"),
    ]
    moments = [check.due_at for _, check in found if check.due_at is not None]
    assert moments == sorted(moments)
    assert len(moments) == len(found)


def test_a_lifted_check_and_a_trip_that_has_ended_are_not_due(journal: Journal) -> None:
    depart(journal)
    exempt: dict[str, object] = {"grounds": "sealed"}
    trip = journal.store.ids("trip")[0]
    assert first_due(journal.store, journal.clock.read(), 9)
    journal.record(Draft(kind="checks_exempted", trip=trip, body=exempt, by="nobody"))
    assert first_due(journal.store, journal.clock.read(), 9) == ()


def test_the_index_and_not_every_row_is_looked_at(journal: Journal) -> None:
    plan = journal.store.raw.execute(
        "EXPLAIN QUERY PLAN SELECT * FROM due WHERE due_at IS NOT NULL ORDER BY due_at LIMIT 1"
    ).fetchall()
    assert "due_first" in plan[0][3]
