"""Photos of a trip: their times as the camera states them, their digests, what is refused.

Pictures and their EXIF are made with Pillow. That the camera's time is shown with its difference
and never corrected is what was asked for; the words are our own design, no source.
"""

import hashlib
import os
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.desk.photographed import added, keep_positions, local, offset_text, put
from tests.desk.seat import Seat
from tests.pictures import A_TOWN, canvas, exif, jpeg, png
from triplog.desk.mending import correct, withdraw
from triplog.desk.photos import photo_rows, take_in
from triplog.desk.refused import Refused
from triplog.desk.trips import Opening, open_trip
from triplog.journal import attachments
from triplog.wording.photos import difference_text, taken_text

Sit = Callable[[str], Seat]


@pytest.fixture
def seat(sit: Sit) -> Seat:
    return sit("a trip planned")


# What is recorded


def test_the_entry_names_the_bytes_that_are_kept_and_what_was_read(
    seat: Seat, tmp_path: Path
) -> None:
    data = jpeg(exif=exif(gps=A_TOWN))
    files = put(tmp_path, data)
    ((entry, _),) = added(
        seat, files, "tag", tie_downs=["T1"], gear=["S-1"], place="Fern Hollow"
    ).new
    body = entry.body
    kept = b"".join(attachments.chunks(seat.desk.store, str(body["digest"])))
    assert hashlib.sha256(kept).hexdigest() == body["digest"]
    assert body["file"] == f"photos/{body['digest']}.jpg"
    assert (body["bytes"], body["media_type"]) == (len(kept), "image/jpeg")
    assert (body["width_px"], body["height_px"], body["shows"]) == (96, 72, "tag")
    assert (body["tie_downs"], body["gear"]) == (["T1"], ["S-1"])
    assert body["original_digest"] == hashlib.sha256(data).hexdigest()
    assert body["original_bytes"] == len(data)
    assert body["taken_out"] == ["coordinates in EXIF"]
    assert seat.opened(entry) == {"name": "IMG_1.jpg", "place": "Fern Hollow"}
    assert b"Fern Hollow" not in entry.data and b"IMG_1" not in entry.data


def test_no_coordinate_is_anywhere_in_the_store(seat: Seat, tmp_path: Path) -> None:
    secret = b"38.84N 97.61W"
    data = jpeg(exif=exif(gps=A_TOWN, taking={0x927C: secret})) + secret
    added(seat, put(tmp_path, data))
    assert secret not in seat.desk.store.path.read_bytes()


def test_where_positions_are_kept_the_file_is_kept_beside_the_copy_and_goes_with_it(
    seat: Seat, tmp_path: Path
) -> None:
    data = jpeg(exif=exif(gps=A_TOWN))
    keep_positions(seat)
    ((entry, one),) = added(seat, put(tmp_path, data)).new
    original = hashlib.sha256(data).hexdigest()
    assert entry.body["digest"] == hashlib.sha256(one.picture.data).hexdigest() != original
    assert entry.body["original_file"] == f"photos-as-taken/{original}.jpg"
    store = seat.desk.store
    assert b"".join(attachments.chunks(store, original)) == data
    with store._transaction():
        attachments.remove(store, str(entry.body["digest"]))
    assert not attachments.has(store, original)


def test_a_photo_of_nothing_beside_the_picture_has_no_other_original(
    seat: Seat, tmp_path: Path
) -> None:
    ((entry, _),) = added(seat, put(tmp_path, png())).new
    assert not {"original_digest", "original_bytes", "taken_out", "taken_at"} & entry.body.keys()
    assert entry.body["taken_time_source"] == "none"
    assert difference_text(entry.body) == "cannot tell"


# The camera's time


@pytest.mark.parametrize(
    ("hours", "told"),
    [
        (0, "within a minute of the entry"),
        (1, "1 h 00 min before the entry"),
        (-1, "1 h 00 min after the entry"),
        (24 * 365, "365 d before the entry"),
        (-(24 * 2 + 3), "2 d 3 h 00 min after the entry"),
    ],
)
def test_a_clock_that_is_wrong_is_shown_as_wrong_and_not_put_right(
    hours: int, told: str, seat: Seat, tmp_path: Path
) -> None:
    stated = local(seat, hours=hours)
    files = put(tmp_path, jpeg(exif=exif(taken=stated, offset=offset_text(seat))))
    ((entry, _),) = added(seat, files).new
    assert entry.body["taken_at"] == stated.replace(":", "-", 2)
    assert entry.body["difference_s"] == hours * 3600
    assert entry.body["taken_time_source"] == "exif with offset"
    assert "difference_offset_min" not in entry.body
    assert difference_text(entry.body) == told
    assert entry.event_time == entry.entry_time == seat.clock.wall


def test_a_clock_of_another_zone_that_says_so_is_not_wrong(seat: Seat, tmp_path: Path) -> None:
    at = (seat.desk.now().wall + timedelta(hours=2)).strftime("%Y:%m:%d %H:%M:%S")
    ((entry, _),) = added(seat, put(tmp_path, jpeg(exif=exif(taken=at, offset="+02:00")))).new
    assert difference_text(entry.body) == "within a minute of the entry"


def test_a_time_without_a_zone_is_compared_as_local_time_and_that_is_said(
    seat: Seat, tmp_path: Path
) -> None:
    ((entry, _),) = added(seat, put(tmp_path, jpeg(exif=exif(taken=local(seat, hours=1))))).new
    body = entry.body
    assert body["taken_time_source"] == "exif without offset"
    assert body["difference_offset_min"] == seat.desk.now().offset_min
    assert "taken_offset_min" not in body
    assert taken_text(body).endswith("by the camera's own clock, no time zone stated")
    assert difference_text(body).startswith("1 h 00 min before the entry if that clock was on UTC")
    assert difference_text(body).endswith("else cannot tell")


@pytest.mark.parametrize("taken", ["0001:01:01 00:00:00", "9999:12:31 23:59:59"])
@pytest.mark.parametrize("offset", [None, "+14:00", "-14:00"])
def test_a_clock_at_the_end_of_the_calendar_is_shown_too(
    taken: str, offset: str | None, seat: Seat, tmp_path: Path
) -> None:
    ((entry, _),) = added(seat, put(tmp_path, jpeg(exif=exif(taken=taken, offset=offset)))).new
    assert entry.body["taken_at"] == taken.replace(":", "-", 2)
    assert abs(int(str(entry.body["difference_s"]))) > 60 * 10**9


# Several, and again


def test_several_are_recorded_together_each_with_its_word(seat: Seat, tmp_path: Path) -> None:
    files = put(tmp_path, *(jpeg(canvas(mark=mark)) for mark in range(3)))
    made = added(seat, files, "front", "rear", "left side").new
    assert [entry.body["shows"] for entry, _ in made] == ["front", "rear", "left side"]
    assert [row["number"] for row in photo_rows(seat.desk, seat.trip)] == [1, 2, 3]


def test_the_same_photo_is_on_a_trip_once(seat: Seat, tmp_path: Path) -> None:
    files = put(tmp_path, jpeg(exif=exif(gps=A_TOWN)), jpeg(exif=exif(gps=A_TOWN)))
    first = added(seat, files)
    assert len(first.new) == 1
    before = seat.count()
    again = added(seat, files, "front")
    assert (again.new, [entry for entry, _ in again.already]) == ((), [first.new[0][0]])
    assert seat.count() == before


def test_the_copy_that_was_kept_and_the_original_are_one_photo(seat: Seat, tmp_path: Path) -> None:
    files = put(tmp_path, jpeg(exif=exif(gps=A_TOWN)))
    ((entry, _),) = added(seat, files).new
    files[0].write_bytes(b"".join(attachments.chunks(seat.desk.store, str(entry.body["digest"]))))
    assert added(seat, files).new == ()


def test_what_is_new_among_what_was_there_is_recorded(seat: Seat, tmp_path: Path) -> None:
    files = put(tmp_path, jpeg(canvas(mark=1)), jpeg(canvas(mark=2)))
    added(seat, files[:1])
    made = added(seat, files)
    assert [one.name for _, one in made.new] == ["IMG_2.jpg"]
    assert [one.name for _, one in made.already] == ["IMG_1.jpg"]


def test_a_photo_taken_back_may_be_added_again(seat: Seat, tmp_path: Path) -> None:
    files = put(tmp_path, jpeg())
    added(seat, files, "front")
    withdraw(seat.desk, None, reason="of another load")
    assert photo_rows(seat.desk, seat.trip) == []
    seat.later(5)
    assert len(added(seat, files, "rear").new) == 1


def test_what_it_shows_is_corrected_and_the_picture_is_not(seat: Seat, tmp_path: Path) -> None:
    ((entry, _),) = added(seat, put(tmp_path, jpeg()), "front").new
    with pytest.raises(Refused, match="not corrected like this"):
        correct(seat.desk, entry.hash, changes={"digest": "0" * 64}, at=None, reason="why not")
    with pytest.raises(Refused, match="a photo shows one of"):
        correct(seat.desk, entry.hash, changes={"shows": "nose"}, at=None, reason="slip")
    correct(seat.desk, entry.hash, changes={"shows": "rear"}, at=None, reason="slip")
    (row,) = photo_rows(seat.desk, seat.trip)
    assert (row["shows"], row["digest"]) == ("rear", entry.body["digest"])


def test_a_picture_on_two_trips_lies_there_once_and_is_told(seat: Seat, tmp_path: Path) -> None:
    files = put(tmp_path, jpeg())
    added(seat, files)
    open_trip(seat.desk, Opening(label="T-2"), [])
    made = added(seat, files, to="T-2")
    assert (len(made.new), made.elsewhere) == (1, ("T-1",))
    assert seat.desk.store.raw.execute("SELECT count(*) FROM attachment").fetchone() == (1,)


# Refused, nothing recorded


def test_one_file_that_cannot_be_kept_keeps_all_of_them_out(seat: Seat, tmp_path: Path) -> None:
    files = put(tmp_path, jpeg(), jpeg(canvas(mark=3))[:300])
    before = seat.count()
    with pytest.raises(Refused, match=r"IMG_2\.jpg: its end is missing"):
        added(seat, files)
    assert seat.count() == before


def test_only_plain_files_are_read(tmp_path: Path) -> None:
    pipe, socket_like = tmp_path / "pipe.jpg", tmp_path / "nothing.jpg"
    os.mkfifo(pipe)
    for path, told in (
        (pipe, "a pipe or a device"),
        (Path("/dev/zero"), "a pipe or a device"),
        (tmp_path, "is a folder"),
        (socket_like, "cannot be read: No such file"),
    ):
        with pytest.raises(Refused, match=told):
            take_in([path])
    with pytest.raises(Refused, match="name the file"):
        take_in([])


@pytest.mark.parametrize(
    ("shows", "more", "told"),
    [
        (("nose",), {}, "a photo shows one of: front, rear"),
        (("front", "rear"), {}, "2 times for 3 photos"),
        (("front",), {"tie_downs": ["T9"]}, "no tie-down T9 on this plan; there is: T1, T2"),
        (("front",), {"gear": ["S-99"]}, "no gear is called 'S-99'"),
    ],
)
def test_what_is_not_there_is_refused(
    shows: tuple[str, ...], more: dict[str, Any], told: str, seat: Seat, tmp_path: Path
) -> None:
    files = put(tmp_path, *(jpeg(canvas(mark=mark)) for mark in range(3)))
    before = seat.count()
    with pytest.raises(Refused, match=told):
        added(seat, files, *shows, **more)
    assert seat.count() == before
    assert not seat.desk.store.raw.execute(
        "SELECT 1 FROM sqlite_master WHERE name = 'attachment'"
    ).fetchone()


def test_nothing_is_added_while_driving_and_saying_that_it_stands_is_recorded(
    sit: Sit, tmp_path: Path
) -> None:
    seat = sit("a trip rolling")
    files = put(tmp_path, jpeg())
    with pytest.raises(Refused, match="stop off the road"):
        added(seat, files)
    added(seat, files, stopped=True)
    assert [entry.kind for entry in seat.desk.store.entries()][-2:] == [
        "duty_changed",
        "photo_added",
    ]


def test_a_photo_that_was_there_already_stops_nobody(sit: Sit, tmp_path: Path) -> None:
    seat = sit("a trip rolling")
    files = put(tmp_path, jpeg())
    added(seat, files, stopped=True)
    before = seat.count()
    added(seat, files, stopped=True)
    assert seat.count() == before
