"""A seat in any scene, closed when the test is over."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.desk.seat import Seat, take_seat


@pytest.fixture
def sit(tmp_path: Path) -> Iterator[Callable[[str], Seat]]:
    """Sit down in a scene; every desk taken is closed afterwards."""
    with ExitStack() as closing:

        def in_scene(scene: str) -> Seat:
            seat = take_seat(scene, tmp_path)
            closing.callback(seat.desk.store.close)
            return seat

        yield in_scene


@pytest.fixture
def closing_all() -> Iterator[ExitStack]:
    """What is closed when the test is over."""
    with ExitStack() as stack:
        yield stack
