"""Following a receiver's log as it grows: each part of the way is recorded once."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from tests.desk.seat import Seat
from tests.desk.test_feeding import at_noon
from tests.scheduler.feeds.made import START, rmc
from triplog.desk.following import Follower, source_named
from triplog.desk.refused import Refused
from triplog.journal.imported_ways import imported_ways

Sit = Callable[[str], Seat]
SET_OUT = START + timedelta(minutes=20)
"""When the trip of the scene departed."""


def lines(begin: int, end: int) -> str:
    """Sentences of every half minute, 890 m apart."""
    told = [
        rmc(SET_OUT + timedelta(seconds=30 * place), 0.48 * place) for place in range(begin, end)
    ]
    return "".join(f"{one}\r\n" for one in told)


def followed(seat: Seat, path: Path, more: str = "") -> list[str]:
    """Follow a log to its end, let it grow once, and press Ctrl-C at its second end."""
    told: list[str] = []
    waits = iter([more])

    def wait(_: float) -> None:
        grown = next(waits, None)
        if grown is None:
            raise KeyboardInterrupt
        with path.open("a", newline="") as log:
            log.write(grown)

    with source_named(str(path), told.append) as (source, live):
        Follower(
            desk=seat.desk,
            trip_id=seat.trip.id,
            name=path.name,
            live=live,
            tell=told.append,
            wait=wait,
        ).run(source)
    return told


def test_a_growing_log_is_one_way_and_following_it_again_adds_nothing(
    sit: Sit, tmp_path: Path
) -> None:
    seat, path = at_noon(sit), tmp_path / "log.nmea"
    path.write_text(lines(0, 40), newline="")
    assert followed(seat, path, lines(40, 80)) == []
    (way,) = imported_ways(seat.trip)
    at, metres = way.samples[-1]
    assert at == SET_OUT + timedelta(seconds=30 * 79)
    assert abs(metres - 79 * 889.6) < 10
    assert len(way.entries) > 1
    assert {one.via for one in seat.entries("readings_imported")} == {"imported"}
    before = seat.count()
    followed(seat, path)
    assert seat.count() == before


def test_what_cannot_be_followed_is_refused_with_what_to_write(tmp_path: Path) -> None:
    for name, sentence in (
        (str(tmp_path / "nowhere"), "is no file"),
        ("tcp://127.0.0.1", "tcp://HOST:PORT"),
        ("tcp://127.0.0.1:99999", "tcp://HOST:PORT"),
    ):
        with pytest.raises(Refused, match=sentence), source_named(name, print):
            pass
