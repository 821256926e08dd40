"""What is withheld from an export is in no byte of any of its files, and the export says so."""

import contextlib
import json
import random
import re
import subprocess
import zipfile
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as some

from exports.verify import Outside, verify
from tests.cli.terminal import Terminal
from tests.desk.private_story import TEXTS, tell_story
from tests.desk.seat import Seat
from tests.needs import need
from tests.scheduler.feeds.made import gpx
from triplog.desk.destroying import destroy
from triplog.desk.exporting import FORMS, Exported, export
from triplog.desk.feeding import record_taken
from triplog.desk.feeds import Source, read_feed
from triplog.desk.finding_things import person_named
from triplog.desk.fitting import take
from triplog.desk.own_trips import export_own
from triplog.desk.refused import Refused
from triplog.desk.setting_up import record_carrier
from triplog.desk.withholding import GROUPS, Wish, trips_of, words_in
from triplog.journal.kinds import CORRECTION_FIELDS, KINDS
from triplog.journal.trip import Trip

WHY = "the other side asked for the load only"


@pytest.fixture
def told(tmp_path: Path) -> Iterator[tuple[Terminal, Seat]]:
    terminal, seat = tell_story(tmp_path / "told")
    with contextlib.closing(seat.desk.store):
        yield terminal, seat


def exported(seat: Seat, folder: Path, trip: Trip | None, wish: Wish) -> Exported:
    """Every form of a trip, or of the store, into a folder; the bundle unpacked beside it."""
    made = export(seat.desk, folder, FORMS, trip, wish=wish)
    seat.later(3)
    for path in made.files:
        if path.suffix == ".zip":
            with zipfile.ZipFile(path) as packed:
                packed.extractall(folder / "bag")
    return made


def page_text(path: Path, *pages: str) -> str:
    """The text of a PDF, white space as single spaces; `pages`: options of pdftotext."""
    need(["pdftotext"])
    read = subprocess.run(
        ["pdftotext", *pages, str(path), "-"], capture_output=True, text=True, check=True
    )
    return re.sub(r"\s+", " ", read.stdout)


def texts_of(folder: Path) -> str:
    """All text in all files of a folder, that of PDF pages included."""
    found = []
    for path in sorted(path for path in folder.rglob("*") if path.is_file()):
        found.append(path.read_bytes().decode("utf-8", "replace"))
        if path.suffix == ".pdf":
            found.append(page_text(path))
    return "\n".join(found)


def test_every_private_field_of_every_kind_is_in_one_group() -> None:
    fields = {field for kind in KINDS.values() for field in kind.private} | CORRECTION_FIELDS
    grouped = [field for group in GROUPS.values() for field in group]
    assert sorted(grouped) == sorted(set(grouped))
    assert fields <= set(grouped)


@pytest.mark.parametrize("of_trip", [True, False])
@pytest.mark.parametrize("group", ["names", "notes", "places", "reasons"])
def test_a_group_that_is_withheld_is_in_no_file_and_the_rest_is(
    told: tuple[Terminal, Seat], tmp_path: Path, group: str, of_trip: bool
) -> None:
    _, seat = told
    wish = Wish(words=(group,), reason=WHY)
    made = exported(seat, tmp_path / "out", seat.trip if of_trip else None, wish)
    texts = texts_of(tmp_path / "out")
    rows = list(seat.desk.store.opening_rows())
    hidden = {value for _, field, _, value in rows if field in GROUPS[group]} - {WHY}
    salts = {salt for _, field, salt, value in rows if field in GROUPS[group] and value != WHY}
    shown = {value for _, field, _, value in rows if field not in GROUPS[group]}
    assert hidden
    assert [one for one in (*hidden, *salts) if one in texts] == []
    assert [one for one in shown if one in texts]
    assert made.withheld_why == WHY
    assert sum(made.withheld.values()) > 0


def test_what_is_withheld_is_counted_in_the_bundle_on_every_page_one_and_in_the_journal(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    _, seat = told
    made = exported(seat, tmp_path / "out", seat.trip, Wish(words=("places",), reason=WHY))
    # Two of the departure and the opening, three of stops on the way.
    counts = {"destination": 1, "next_stop": 1, "origin": 1, "place": 3}
    (bundle,) = (tmp_path / "out").glob("*.zip")
    (card,) = (tmp_path / "out").rglob("bundle.json")
    told_there = json.loads(card.read_text())
    assert (told_there["withheld"], told_there["withheld_why"]) == (counts, WHY)
    assert verify(bundle, Outside()).problems == ()
    assert made.entry.body["withheld"] == counts
    assert seat.opened(made.entry)["reason"] == WHY
    pages = list((tmp_path / "out").rglob("*.pdf"))
    assert len(pages) >= 4
    for path in pages:
        first = page_text(path, "-l", "1")
        assert "Withheld from this export: 1 of destination, 1 of next stop" in first, path
        assert "can hide something important" in first
    sheet = next(path for path in pages if path.name.endswith("sheet.pdf"))
    assert "From withheld" in page_text(sheet, "-l", "1")


def test_the_trail_names_each_field_that_is_withheld(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    _, seat = told
    exported(seat, tmp_path / "out", seat.trip, Wish(words=("origin",), reason=WHY))
    (trail,) = (tmp_path / "out").glob("*trail.json")
    opened = next(one for one in json.loads(trail.read_text()) if one["kind"] == "trip_opened")
    assert opened["withheld"] == ["origin"]
    assert opened["opened"] == {"destination": TEXTS["destination"], "note": TEXTS["trip"]}


def test_the_reason_for_withholding_is_told_even_where_reasons_are_withheld(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    _, seat = told
    made = exported(seat, tmp_path / "out", seat.trip, Wish(words=("reasons",), reason=WHY))
    (openings,) = (tmp_path / "out").rglob("openings.jsonl")
    lines = [json.loads(line) for line in openings.read_text().splitlines()]
    assert [one["value"] for one in lines if one["entry"] == made.entry.hash] == [WHY]


def test_an_export_without_a_wish_says_nothing_of_withholding(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    _, seat = told
    made = exported(seat, tmp_path / "out", seat.trip, Wish())
    assert made.withheld == {}
    assert "withheld" not in made.entry.body
    assert "Withheld from this export" not in texts_of(tmp_path / "out")


def test_afterwards_the_journal_shows_everything_again(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    _, seat = told
    exported(seat, tmp_path / "out", seat.trip, Wish(words=("names", "places"), reason=WHY))
    assert seat.opened(seat.last("trip_opened"))["origin"] == TEXTS["origin"]
    with pytest.raises(Refused, match="is there already"):
        export(seat.desk, tmp_path / "out", ("json",), seat.trip, wish=Wish(with_positions=True))
    assert seat.opened(seat.last("trip_opened"))["origin"] == TEXTS["origin"]


@pytest.mark.parametrize(
    ("words", "reason", "with_positions", "said"),
    [
        (("everything",), WHY, False, "found 'everything'"),
        (("names",), None, False, "--withhold-reason"),
        (("names",), "  ", False, "--withhold-reason"),
        (("positions",), WHY, True, "either --with-positions or"),
    ],
)
def test_what_cannot_be_meant_is_refused(
    words: tuple[str, ...], reason: str | None, with_positions: bool, said: str
) -> None:
    with pytest.raises(Refused, match=said):
        Wish(words=words, reason=reason, with_positions=with_positions)


def test_words_come_with_commas_or_one_by_one() -> None:
    assert words_in(["names, notes", "names", ""]) == ("names", "notes")


@pytest.fixture
def tracked(tmp_path: Path) -> Iterator[tuple[Seat, list[str]]]:
    """A trip whose imported track has its positions kept, with what they look like in text."""
    _, seat = tell_story(tmp_path / "tracked")
    with contextlib.closing(seat.desk.store):
        record_carrier(seat.desk, positions="keep")
        seat.later(3)
        departed = seat.last("departed").event_time
        points = [
            (departed + timedelta(seconds=30 * place), 41.23457 + 0.008 * place, -93.64521)
            for place in range(12)
        ]
        path = tmp_path / "track -93.64521.gpx"
        path.write_bytes(gpx(points))
        feed = read_feed(path, Source.GPX, now=seat.desk.now().wall)
        taken = take(seat.desk, seat.trip, feed, driver=seat.desk.by)
        entry = record_taken(seat.desk, seat.trip, taken, driver=seat.desk.by)
        lines = seat.opened(entry)["positions"].splitlines()
        assert len(lines) > 1
        yield seat, [f"{lat} {lon}" for _, lat, lon in (line.split() for line in lines)]


@pytest.mark.parametrize("of_trip", [True, False])
def test_the_default_export_has_no_coordinates(
    tracked: tuple[Seat, list[str]], tmp_path: Path, of_trip: bool
) -> None:
    seat, places = tracked
    made = exported(seat, tmp_path / "out", seat.trip if of_trip else None, Wish())
    texts = texts_of(tmp_path / "out")
    assert "93.6452" not in texts
    assert [one for one in places if one in texts] == []
    # The name of the file tells a place as well.
    assert made.withheld == {"name": 1, "positions": 1}
    (card,) = (tmp_path / "out").rglob("bundle.json")
    assert json.loads(card.read_text())["withheld"] == {"name": 1, "positions": 1}


def test_with_positions_they_are_there(tracked: tuple[Seat, list[str]], tmp_path: Path) -> None:
    seat, places = tracked
    made = exported(seat, tmp_path / "out", seat.trip, Wish(with_positions=True))
    texts = texts_of(tmp_path / "out")
    assert all(one in texts for one in places)
    assert made.withheld == {}


def test_a_driver_exports_their_own_trips_without_other_peoples_words(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    terminal, seat = told
    terminal.clock.forward(minutes=3)
    lines = (
        ("--as", "helper", "trip", "new", "--from", "here", "--to", "there", "--note", "mine"),
        ("person", "add", "office-1", "--role", "office", "--name", "zz office text"),
        ("--as", "office-1", "trip", "new", "--what", "pallet", "--note", "not theirs"),
    )
    for words in lines:
        terminal.clock.forward(minutes=3)
        assert terminal.type(*words).code == 0
    helper = person_named(seat.desk, "helper").id
    desk = seat.desk
    desk.by = helper
    (own,) = trips_of(desk, helper)
    (made,) = export_own(desk, tmp_path / "own", ("json", "bundle"), Wish(mine=helper))
    assert made.entry.body["trip_of"] == own
    assert made.entry.by == helper
    assert made.withheld_why.startswith("what other people wrote")
    bundle = next(path for path in made.files if path.suffix == ".zip")
    assert verify(bundle, Outside()).problems == ()
    texts = texts_of(tmp_path / "own")
    assert "mine" in texts
    assert TEXTS["owner"] not in texts
    owner = person_named(desk, "owner").id
    assert len(trips_of(desk, owner)) == 1


def test_on_a_shared_trip_ones_own_words_stay_and_the_others_go(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    terminal, seat = told
    # The helper put a word in on the owner's trip, so it is one of theirs.
    terminal.clock.forward(minutes=3)
    entry = terminal.entry_of("odometer_read")
    said = terminal.type("--as", "helper", "correct", entry, "odometer=101", "--reason", "zz mine")
    assert said.code in (0, 1), said.err
    helper = person_named(seat.desk, "helper").id
    export_own(seat.desk, tmp_path / "own", ("json",), Wish(mine=helper))
    texts = texts_of(tmp_path / "own")
    assert "zz mine" in texts
    assert TEXTS["origin"] in texts
    for name in ("owner", "trip", "wind", "departure"):
        assert f'"{TEXTS[name]}"' not in texts, name


def test_somebody_who_took_part_in_nothing_is_told_so(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    _, seat = told
    helper = person_named(seat.desk, "helper").id
    with pytest.raises(Refused, match="helper took part in no trip"):
        export_own(seat.desk, tmp_path / "own", ("bundle",), Wish(mine=helper))


@settings(max_examples=12, phases=[Phase.explicit, Phase.generate])
@given(
    seed=some.integers(0, 2**32),
    words=some.sets(some.sampled_from(["names", "notes", "places", "reasons", "note", "name"])),
    of_trip=some.booleans(),
)
def test_whatever_is_destroyed_or_withheld_everything_verifies_and_nothing_of_it_shows(
    tmp_path_factory: pytest.TempPathFactory, seed: int, words: set[str], of_trip: bool
) -> None:
    folder = tmp_path_factory.mktemp("any")
    _, seat = tell_story(folder / "told", heads=folder / "second place")
    rng = random.Random(seed)
    with contextlib.closing(seat.desk.store):
        pairs = [(entry, field) for entry, field, *_ in seat.desk.store.opening_rows()]
        chosen = rng.sample(pairs, rng.randrange(1, len(pairs)))
        rows = {
            (entry, field): (salt, value)
            for entry, field, salt, value in seat.desk.store.opening_rows()
        }
        destroy(seat.desk, chosen, why="no longer needed", reason="why it went")
        seat.later(3)
        fields = {field for word in words for field in GROUPS.get(word, {word})}
        hidden = {rows[pair] for pair in chosen}
        hidden |= {rows[pair] for pair in rows if pair[1] in fields}
        open_still = {
            value
            for pair, (_, value) in rows.items()
            if pair not in chosen and pair[1] not in fields
        }
        wish = Wish(words=tuple(sorted(words)), reason=WHY if words else None)
        exported(seat, folder / "out", seat.trip if of_trip else None, wish)
        texts = texts_of(folder / "out")
        for salt, value in hidden:
            assert salt not in texts
            others = [one for one in open_still if value in one]
            assert others or value not in texts
        assert "no longer needed" in texts
        (bundle,) = (folder / "out").glob("*.zip")
        report = verify(bundle, Outside())
        assert report.problems == ()
        assert seat.desk.store.check() == []
        raw = seat.desk.store.path.read_bytes()
        assert not [pair for pair in chosen if rows[pair][0].encode() in raw]
