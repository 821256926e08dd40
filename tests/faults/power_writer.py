"""A process whose writes are logged: it begins a journal, drives a trip, notes each promise.

`python -m tests.faults.power_writer FOLDER COUNT [PRAGMA ...]`: makes FOLDER/triplog.sqlite3 with
the real store code and records COUNT more entries. After each acknowledged transaction its hash
is written to FOLDER/acknowledged, which puts the acknowledgement into the log in its place.
"""

import os
import sys
from pathlib import Path

from tests.builders import (
    Journal,
    begun,
    check_completed,
    departed,
    duty_changed,
    odometer_read,
    plan_recorded,
    tables_of,
    trip_opened,
    withdrawn,
)
from triplog.journal.entries import Draft
from triplog.journal.store import create_store


def main(folder: str, count: str, *pragmas: str) -> None:
    """Write the journal."""
    said = os.open(Path(folder) / "acknowledged", os.O_WRONLY | os.O_CREAT, 0o600)
    store = create_store(Path(folder) / "triplog.sqlite3")
    for pragma in pragmas:
        store.raw.execute(f"PRAGMA {pragma}")
    journal = Journal(store=store, tables=tables_of(store))
    store.rebuild(journal.tables)

    def record(draft: Draft) -> str:
        entry = journal.record(draft)
        os.write(said, entry.hash.encode() + b"\n")
        return entry.hash

    record(begun())
    record(trip_opened())
    plan = record(plan_recorded())
    record(departed(plan))
    for number in range(int(count)):
        reading = odometer_read(f"{24131 + number} mi", note="by the gate")
        match number % 5:
            case 0:
                record(duty_changed("on duty" if number % 2 else "driving"))
            case 3:
                record(check_completed(plan, odometer=f"{24131 + number} mi"))
            case 4:
                record(withdrawn(store.entry(record(reading))))
            case _:
                record(reading)
    journal.close()


if __name__ == "__main__":
    main(*sys.argv[1:])
