"""What tests of photos share: files of pictures, photos added, the time as a camera writes it."""

from datetime import timedelta
from pathlib import Path
from typing import Any

from tests.desk.seat import Seat
from triplog.desk.photos import Added, add_photos, take_in


def put(folder: Path, *pictures: bytes) -> list[Path]:
    """Files of pictures, by number."""
    files = []
    for number, data in enumerate(pictures, start=1):
        path = folder / f"IMG_{number}.{'png' if data.startswith(bytes([0x89])) else 'jpg'}"
        path.write_bytes(data)
        files.append(path)
    return files


def added(seat: Seat, files: list[Path], *shows: str, to: str = "T-1", **more: Any) -> Added:
    """Add photos to a trip as somebody would who stands."""
    told: dict[str, Any] = {"tie_downs": [], "gear": [], "stopped": False, "note": None}
    told |= {"place": None, **more}
    taken_in = take_in(files)
    return add_photos(seat.desk, seat.trip_called(to), taken_in, shows=shows or ("other",), **told)


def local(seat: Seat, **apart: float) -> str:
    """The local time of the seat, put back so much, as a camera writes it."""
    reading = seat.desk.now()
    moment = reading.wall + timedelta(minutes=reading.offset_min) - timedelta(**apart)
    return moment.strftime("%Y:%m:%d %H:%M:%S")


def offset_text(seat: Seat) -> str:
    minutes = seat.desk.now().offset_min
    return f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def keep_positions(seat: Seat) -> None:
    """Switch on that positions are kept."""
    with seat.desk.store._transaction():
        seat.desk.store.set_fact("positions", "kept")
