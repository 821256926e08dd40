"""Whatever bytes there are: a result or a sentence, never a traceback, and an end in short time."""

from contextlib import suppress

from hypothesis import given
from hypothesis import strategies as st

from scheduler.feeds.duty_file import duty_file
from scheduler.feeds.following import Lines
from scheduler.feeds.gpx import gpx_track
from scheduler.feeds.nmea import NmeaReader
from scheduler.feeds.readings import FeedRefused
from tests.scheduler.feeds import made
from tests.scheduler.feeds.made import START, WORKING_DAY, eastward, gpx, rmc

TRACK = gpx(eastward(4))
DAY = made.duty_file(*WORKING_DAY, nobody=[made.unidentified("1", "030226,063000", "3")])
LOG = "\r\n".join(rmc(START, place / 10) for place in range(4)).encode()
CUTS = st.tuples(st.integers(0, 5000), st.integers(0, 60), st.binary(max_size=40))


def damaged(whole: bytes, cut: tuple[int, int, bytes]) -> bytes:
    """A file with a piece replaced by something else."""
    begin, length, instead = cut
    begin %= len(whole)
    return whole[:begin] + instead + whole[begin + length :]


@given(st.binary(max_size=400) | CUTS.map(lambda cut: damaged(TRACK, cut)))
def test_any_bytes_are_a_track_or_refused(data: bytes) -> None:
    with suppress(FeedRefused):
        assert gpx_track(data).fixes


@given(st.binary(max_size=400) | CUTS.map(lambda cut: damaged(DAY, cut)))
def test_any_bytes_are_a_duty_file_or_refused(data: bytes) -> None:
    with suppress(FeedRefused):
        found = duty_file(data)
        assert [one.at for one in found.duty] == sorted(one.at for one in found.duty)


@given(st.binary(max_size=400) | CUTS.map(lambda cut: damaged(LOG, cut)), st.integers(1, 50))
def test_any_bytes_are_sentences_or_told_however_they_are_cut_up(data: bytes, size: int) -> None:
    def read(pieces: list[bytes]) -> tuple[list[object], list[str]]:
        reader, lines = NmeaReader(near=START), Lines()
        fixes: list[object] = []
        for piece in pieces:
            fixes.extend(reader.read(lines.push(piece)))
        fixes.extend(reader.read(lines.rest()))
        return fixes, [str(one) for one in reader.report()]

    cut_up = [data[place : place + size] for place in range(0, len(data), size)]
    assert read(cut_up) == read([data])


FIELDS = st.lists(st.text("0123456789ABCXM.,-;: ", max_size=12), min_size=1, max_size=20)


@given(st.lists(FIELDS, max_size=8), st.sampled_from(["ELD Event List:", "CMV List:", made.HEADER]))
def test_any_fields_in_any_segment_are_read_or_told(rows: list[list[str]], title: str) -> None:
    written = "\n".join([title, *(",".join(row) for row in rows)]).encode()
    with suppress(FeedRefused):
        duty_file(DAY + b"\r\n" + written)
