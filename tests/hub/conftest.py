"""A server for the run, and for each test a hub's database of its own with one carrier."""

from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from tests.builders import StandingClock
from tests.hub.cluster import Cluster, cluster
from tests.hub.scene import HubScene, hub_scene
from triplog.hub.schema import bring_up

_TEMPLATE = "hub_template"


@pytest.fixture(scope="session")
def server() -> Iterator[Cluster]:
    """The server, with a database the others are copied from."""
    with cluster() as running:
        with psycopg.connect(running.dsn(), autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {_TEMPLATE}")
        with psycopg.connect(running.dsn(_TEMPLATE), autocommit=True) as connection:
            bring_up(connection)
        yield running


@pytest.fixture
def dsn(server: Cluster, request: pytest.FixtureRequest) -> Iterator[str]:
    """A hub's database of this test alone."""
    name = f"hub_{abs(hash(request.node.nodeid)) % 10**12}"
    with psycopg.connect(server.dsn(), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name} TEMPLATE {_TEMPLATE}")
        yield server.dsn(name)
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def hub(dsn: str, tmp_path: Path) -> Iterator[HubScene]:
    """A hub with one carrier, and a clock that the test puts forward."""
    with hub_scene(dsn, tmp_path / "hub", StandingClock()) as scene:
        yield scene
