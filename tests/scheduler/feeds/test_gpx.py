"""GPX files: what is read, and what is refused with a sentence."""

from datetime import UTC, datetime, timedelta

import pytest

from scheduler.feeds.gpx import gpx_track
from scheduler.feeds.readings import FeedRefused
from tests.scheduler.feeds.made import START, eastward, gpx

ENTITIES = """<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa">
<!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]><gpx version="1.1"><name>&b;</name></gpx>"""
OUTSIDE = (
    """<?xml version="1.0"?><!DOCTYPE gpx SYSTEM "file:///etc/hostname"><gpx version="1.1"/>"""
)


def test_a_track_written_by_the_library_is_read_point_by_point() -> None:
    track = gpx_track(gpx(eastward(5)))
    assert [fix.at for fix in track.fixes] == [START + timedelta(seconds=30 * n) for n in range(5)]
    assert [fix.lon_deg for fix in track.fixes] == pytest.approx([0, 0.001, 0.002, 0.003, 0.004])
    assert track.noted == ()


def test_points_out_of_order_are_put_in_order_of_time() -> None:
    track = gpx_track(gpx(reversed(eastward(4))))
    assert [fix.row for fix in track.fixes] == [4, 3, 2, 1]


def test_a_point_without_a_time_is_told_and_left_out() -> None:
    track = gpx_track(gpx([*eastward(2), (None, 0.0, 0.5)]))
    assert len(track.fixes) == 2
    assert [str(one) for one in track.noted] == ["row 3: the point carries no time; left out"]


def test_a_track_without_any_time_is_refused() -> None:
    with pytest.raises(FeedRefused, match="no point of a track in it carries a time"):
        gpx_track(gpx([(None, 0.0, 0.0), (None, 0.0, 0.1)]))


def test_a_time_without_its_zone_is_utc_as_gpx_has_it() -> None:
    """GPX 1.1 schema, wptType/time: UTC; from memory."""
    written = b"""<gpx version="1.1"><trk><trkseg><trkpt lat="1" lon="2">
    <time>2026-03-02T13:00:00</time></trkpt></trkseg></trk></gpx>"""
    assert gpx_track(written).fixes[0].at == datetime(2026, 3, 2, 13, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    "written", [ENTITIES.encode(), ENTITIES.encode("utf-16"), OUTSIDE.encode()]
)
def test_entities_and_document_types_are_refused_in_every_encoding(written: bytes) -> None:
    with pytest.raises(FeedRefused, match="document type or entities"):
        gpx_track(written)


@pytest.mark.parametrize(
    ("written", "sentence"),
    [
        (gpx(eastward(3))[:-30], "broken as XML at line"),
        (b"\x00\x01\x02\xff" * 50, "broken as XML"),
        (b"", "broken as XML"),
        (b"<kml></kml>", "begins with <kml>"),
        (b"<gpx version='1.1'></gpx>", "holds no track"),
        (b"<?xml version='1.0' encoding='no-such'?><gpx/>", "encoding"),
        (b"<gpx>" + b"<a>" * 200 + b"</a>" * 200 + b"</gpx>", "more than 64 deep"),
        (b"<gpx>" + b" xmlns" * 200 + b"</gpx>", "more than 64 XML namespaces"),
    ],
)
def test_what_is_no_whole_track_is_refused_with_a_sentence(written: bytes, sentence: str) -> None:
    with pytest.raises(FeedRefused, match=sentence):
        gpx_track(written, "drive.gpx")
