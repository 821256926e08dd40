"""What the hub's derived tables hold, beside those of a journal that took the same entries in."""

from typing import Any

import psycopg

from tests.builders import Journal
from tests.hub.scene import HubScene, PairedStore, batch_of, lines_of
from triplog.hub.derived import bring_up_derived
from triplog.hub.deriving import Queued, derive_some

Rows = dict[str, list[tuple[Any, ...]]]
ROUNDS_MAX = 1000


def work_off(scene: HubScene) -> list[tuple[Queued, str]]:
    """Make rows until nothing waits; what was put aside on the way."""
    aside: list[tuple[Queued, str]] = []
    for _ in range(ROUNDS_MAX):
        if not derive_some(scene.database, scene.clock, lambda *told: aside.append(told)):
            return aside
    raise AssertionError("the queue does not end")


def hub_rows(scene: HubScene, tables: list[str]) -> Rows:
    """All rows of these tables without their first column, the carrier."""
    with psycopg.connect(scene.dsn) as connection:
        found = {
            name: connection.execute(f"SELECT * FROM hub.{name}").fetchall() for name in tables
        }
    carriers = {row[0] for rows in found.values() for row in rows}
    assert carriers <= {scene.carrier.id}
    return {name: sorted((row[1:] for row in rows), key=repr) for name, rows in found.items()}


def journal_rows(journal: Journal) -> Rows:
    """All rows of a journal's derived tables, made anew."""
    return {name: sorted(rows, key=repr) for name, rows in journal.rebuilt_rows().items()}


def rebuilt(scene: HubScene, tables: list[str]) -> Rows:
    """The hub's rows after its tables were dropped and made anew."""
    with psycopg.connect(scene.dsn) as connection:
        connection.execute("COMMENT ON TABLE hub.trip IS 'derived, version 0'")
        assert bring_up_derived(connection)
    assert not any(hub_rows(scene, tables).values())
    assert work_off(scene) == []
    return hub_rows(scene, tables)


def push_in_cuts(scene: HubScene, one: PairedStore, *, at_once: int) -> None:
    """Bring a store's own chain in batches, and make rows after each."""
    for begin in range(0, len(lines_of(one.store)), at_once):
        assert scene.push(one, batch_of(one.store, begin, begin + at_once)).outcome == "taken"
        assert work_off(scene) == []
