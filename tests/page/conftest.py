"""A page that is served over a trip under way, and browsers before it."""

from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests.dossier.scene import Office, office
from tests.page.served import Served, served
from triplog.desk.checking import Found
from triplog.desk.holding import hold_trip
from triplog.journal.trip import Trip


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    """An office whose clock the test puts forward."""
    return office(tmp_path / "home")


@pytest.fixture
def trip(yard: Office) -> Trip:
    """A trip that has departed: two articles under five straps, a first check at 50 mi."""
    departed = yard.departed(yard.judged(yard.loaded(2, 5)))
    yard.clock.forward(minutes=40)
    return departed


@pytest.fixture
def page(yard: Office, trip: Trip, tmp_path: Path) -> Iterator[Served]:
    """The page over that trip."""
    assert trip.state
    with served(yard, tmp_path / "heads") as running:
        yield running


@pytest.fixture
def client(page: Served) -> httpx.Client:
    """The office's browser."""
    return page.client("office", label="desk")


@pytest.fixture
def busy(yard: Office, trip: Trip) -> Trip:
    """A trip whose check found something, and which is held."""
    checked = yard.checked(trip, odometer="24165 mi", T2=Found.SLACK).trip
    hold_trip(yard.desk, checked, reason="a letter came")
    yard.clock.forward(minutes=1)
    return checked
