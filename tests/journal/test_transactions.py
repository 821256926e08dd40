"""Only the store ends its transactions."""

from pathlib import Path

import pytest
from sqlmodel import Session, select

from tests import builders
from triplog.journal.derived import TripRow


def test_a_session_closed_in_the_middle_does_not_end_the_stores_transaction(
    tmp_path: Path,
) -> None:
    builders.new_journal(tmp_path / "triplog.sqlite3").close()
    journal = builders.reopened(tmp_path / "triplog.sqlite3")
    store, tables = journal.store, journal.tables
    before = store.heads()

    def write_half() -> None:
        with store.writing(journal.clock.forward(minutes=1), tables) as writing:
            with Session(bind=tables.connection) as session:
                session.exec(select(TripRow)).all()
            writing.append(builders.trip_opened())
            assert store.raw.in_transaction
            raise RuntimeError("the power goes")

    with pytest.raises(RuntimeError):
        write_half()
    assert store.heads() == before
