"""A fleet and its hub, lived in small; `python -m tests.hub.simulator` is the whole of it."""

from pathlib import Path

import psycopg
import pytest

from tests.hub import simulator
from tests.hub.cluster import Cluster, cluster
from tests.hub.scene import HubScene
from tests.hub.simulator import ClaimBroken, Told, run


def _lived(server: Cluster, name: str, home: Path, devices: int, days: int) -> Told:
    with psycopg.connect(server.dsn(), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    return run(server.dsn(name), home, devices, days)


def test_a_small_fleet_is_with_its_hub_in_the_end(server: Cluster, tmp_path: Path) -> None:
    told = _lived(server, "small_fleet", tmp_path, 20, 5)
    assert told.forks, "an old copy was among it"
    assert told.off_by_hours > 5
    assert told.entries > 2_000


@pytest.mark.parametrize("fault", ["lost", "changed", "list"])
def test_a_fleet_that_loses_something_is_found(
    server: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: str
) -> None:
    """What the claims are worth: the database is changed behind the hub's back."""
    look = simulator._look

    def spoilt(hub: HubScene, told: Told) -> None:
        with psycopg.connect(hub.dsn, autocommit=True) as connection:
            connection.execute("SET session_replication_role = replica")
            connection.execute(_FAULTS[fault])
        look(hub, told)

    monkeypatch.setattr(simulator, "_look", spoilt)
    with pytest.raises(ClaimBroken, match=_TOLD[fault]):
        _lived(server, f"fleet_{fault}", tmp_path, 2, 2)


_ONE = "(SELECT device, seq FROM hub.entry WHERE device LIKE 'truck%' ORDER BY 1, 2 LIMIT 1)"
_FAULTS = {
    "lost": f"DELETE FROM hub.entry WHERE (device, seq) = {_ONE}",
    "changed": f"UPDATE hub.entry SET data = data || ' ' WHERE (device, seq) = {_ONE}",
    "list": "UPDATE hub.trip SET label = 'another'",
}
_TOLD = {
    "lost": "entries there",
    "changed": "or others",
    "list": "the list trip is another",
}


@pytest.mark.long
def test_a_fleet_is_with_its_hub_in_the_end(tmp_path: Path) -> None:
    with cluster() as server:
        assert _lived(server, "fleet", tmp_path, 100, 10).forks
