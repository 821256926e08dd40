"""A process that appends readings to a journal and names each one once it is acknowledged.

`python -m tests.faults.appender PATH TRIP KEY FIRST COUNT [PRAGMA]`: entries KEY-FIRST and on, one
transaction each; the hash of each is printed after its transaction has returned. Given again, a
key that is recorded already is printed as what it recorded. PRAGMA is set on the connection.
"""

import sys
from pathlib import Path

from tests.builders import odometer_read, reopened
from triplog.journal.repeats import AlreadyRecorded


def main(path: str, trip: str, key: str, first: str, count: str, *pragmas: str) -> None:
    """Append, and print `KEY-NUMBER HASH` for each acknowledged entry."""
    journal = reopened(Path(path))
    for pragma in pragmas:
        journal.store.raw.execute(f"PRAGMA {pragma}")
    for number in range(int(first), int(first) + int(count)):
        idem = f"{key}-{number}"
        draft = odometer_read(f"{24131 + number} mi", trip, idem=idem, note="by the gate")
        try:
            entry = journal.record(draft)
        except AlreadyRecorded as already:
            entry = already.entry
        sys.stdout.write(f"{idem} {entry.hash}\n")
        sys.stdout.flush()
    journal.close()


if __name__ == "__main__":
    main(*sys.argv[1:])
