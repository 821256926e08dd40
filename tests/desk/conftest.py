"""A seat in any scene, closed when the test is over; a time-stamp authority and who asks it."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.desk.authority import Authority, authority
from tests.desk.seat import Seat, take_seat
from tests.desk.stamp_queue import Queue
from tests.dossier.scene import office


@pytest.fixture
def sit(tmp_path: Path) -> Iterator[Callable[[str], Seat]]:
    """Sit down in a scene; every desk taken is closed afterwards."""
    with ExitStack() as closing:

        def in_scene(scene: str) -> Seat:
            seat = take_seat(scene, tmp_path)
            closing.callback(seat.desk.store.close)
            return seat

        yield in_scene


@pytest.fixture(scope="session")
def bureau(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    """A throw-away time-stamp authority."""
    return authority(tmp_path_factory.mktemp("authority") / "own")


@pytest.fixture
def queue(tmp_path: Path) -> Queue:
    """A yard that has just been set up, and a folder for its requests."""
    return Queue(office(tmp_path / "home"), tmp_path / "requests")


@pytest.fixture
def closing_all() -> Iterator[ExitStack]:
    """What is closed when the test is over."""
    with ExitStack() as stack:
        yield stack
