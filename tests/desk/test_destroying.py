"""Private values destroyed for good: gone from every byte of the file, and everything verifies."""

import contextlib
import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from exports.verify import Outside, verify
from tests.builders import new_journal
from tests.cli.terminal import Terminal
from tests.desk.private_story import TEXTS, tell_story
from tests.desk.seat import Seat
from triplog.desk.desk import NOBODY, open_desk
from triplog.desk.destroying import Destroyed, destroy, destroy_again
from triplog.desk.exporting import export
from triplog.desk.finding_things import person_named
from triplog.desk.holding import hold_gear, hold_trip
from triplog.desk.keeping import back_up, restore
from triplog.desk.refused import Refused, RefusedAndRecorded
from triplog.desk.taking_in import take_in_from
from triplog.journal.entries import Draft
from triplog.journal.erasing import erase, left_in_file

WHY = "asked for by the person"


@pytest.fixture
def told(tmp_path: Path) -> Iterator[tuple[Terminal, Seat]]:
    terminal, seat = tell_story(tmp_path, heads=tmp_path / "second place")
    with contextlib.closing(seat.desk.store):
        yield terminal, seat


def pairs_of(seat: Seat, *names: str) -> list[tuple[str, str]]:
    """The openings that hold these texts of the story."""
    wanted = {TEXTS[name] for name in names}
    return [
        (entry, field)
        for entry, field, _, value in seat.desk.store.opening_rows()
        if value in wanted
    ]


def salts_of(seat: Seat, pairs: list[tuple[str, str]]) -> list[str]:
    return [
        salt for entry, field, salt, _ in seat.desk.store.opening_rows() if (entry, field) in pairs
    ]


def destroyed(seat: Seat, *names: str) -> Destroyed:
    return destroy(seat.desk, pairs_of(seat, *names), why=WHY, reason="a letter")


def held_in(folder: Path, texts: list[str]) -> list[tuple[str, str]]:
    """The files of a folder in whose bytes one of these texts stands."""
    return [
        (path.name, text)
        for path in folder.rglob("*")
        if path.is_file()
        for text in texts
        if text.encode() in path.read_bytes()
    ]


def test_nothing_of_it_is_left_in_any_file(told: tuple[Terminal, Seat], tmp_path: Path) -> None:
    _, seat = told
    names = ("helper", "origin", "wind", "wind place", "gear")
    pairs = pairs_of(seat, *names)
    gone = [*salts_of(seat, pairs), *(TEXTS[name] for name in names if name != "wind")]
    assert len(pairs) == 5
    assert held_in(tmp_path, gone)
    done = destroyed(seat, *names)
    assert (done.gone, done.is_left) == (5, False)
    seat.desk.store.close()
    assert held_in(tmp_path, gone) == []
    assert held_in(tmp_path, [TEXTS["destination"]]) == [("triplog.sqlite3", TEXTS["destination"])]


def test_the_act_names_entry_and_field_and_why_and_never_the_value(
    told: tuple[Terminal, Seat],
) -> None:
    _, seat = told
    pairs = pairs_of(seat, "helper", "origin")
    done = destroyed(seat, "helper", "origin")
    assert [entry.kind for entry in done.entries] == ["openings_destroyed"] * 2
    of_person, of_trip = sorted(done.entries, key=lambda one: one.trip or "")
    helper = person_named(seat.desk, "helper").id
    assert (of_person.body["about"], of_person.trip) == (helper, None)
    assert of_trip.trip == seat.trip.id
    told_pairs = [one for entry in done.entries for one in entry.body["openings"]]  # type: ignore[attr-defined]
    assert sorted((one["entry"], one["field"]) for one in told_pairs) == sorted(pairs)
    for entry in done.entries:
        assert entry.body["why"] == WHY
        assert seat.opened(entry) == {"reason": "a letter"}
        assert TEXTS["origin"].encode() not in entry.data
    assert seat.desk.store.check() == []


def test_a_bundle_made_afterwards_verifies_and_holds_nothing_of_it(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    _, seat = told
    names = ("origin", "wind place", "owner")
    destroyed(seat, *names)
    for trip in (seat.trip, None):
        folder = tmp_path / f"out-{trip is None}"
        made = export(seat.desk, folder, ("json", "bundle"), trip)
        bundle = next(path for path in made.files if path.suffix == ".zip")
        report = verify(bundle, Outside())
        assert report.problems == ()
        unpacked(bundle, folder / "bag")
        assert held_in(folder, [TEXTS[name] for name in names]) == []


def unpacked(bundle: Path, folder: Path) -> None:
    import zipfile

    with zipfile.ZipFile(bundle) as packed:
        packed.extractall(folder)


def test_lists_made_anew_afterwards_are_the_same(told: tuple[Terminal, Seat]) -> None:
    _, seat = told
    rows = "SELECT * FROM trip_event ORDER BY 1, 2"
    destroyed(seat, "origin", "wind", "check")
    before = seat.desk.store.raw.execute(rows).fetchall()
    seat.desk.store.rebuild(seat.desk.tables)
    assert seat.desk.store.raw.execute(rows).fetchall() == before


def test_what_is_under_a_hold_stays_and_that_it_was_asked_for_is_recorded(
    told: tuple[Terminal, Seat],
) -> None:
    _, seat = told
    pairs = pairs_of(seat, "origin")
    hold_trip(seat.desk, seat.trip, reason="a letter asks for it")
    count = seat.count()
    with pytest.raises(RefusedAndRecorded, match="this private value stays: trip T-1 is under"):
        destroyed(seat, "origin")
    assert pairs_of(seat, "origin") == pairs
    assert seat.count() == count + 1
    refusal = seat.last("deletion_refused")
    assert refusal.trip == seat.trip.id
    # The name of somebody who took part is kept by the hold as well; that of a bystander is not.
    with pytest.raises(RefusedAndRecorded):
        destroyed(seat, "owner")
    assert destroyed(seat, "helper").gone == 1


def test_a_hold_on_gear_keeps_what_was_noted_about_it(told: tuple[Terminal, Seat]) -> None:
    _, seat = told
    hold_gear(seat.desk, "S-1", reason="for the insurer")
    with pytest.raises(RefusedAndRecorded, match="S-1 is under an evidence hold"):
        destroyed(seat, "gear")
    assert destroyed(seat, "vehicle").gone == 1


@pytest.mark.parametrize(
    ("why", "reason", "by", "words"),
    [
        ("no idea", "a letter", None, "--why is one of"),
        ("destroyed before", "a letter", None, "--why is one of"),
        (WHY, "  ", None, "with a reason"),
        (WHY, "a letter", NOBODY, "by a named person"),
    ],
)
def test_an_act_without_its_reason_or_its_person_is_refused(
    told: tuple[Terminal, Seat], why: str, reason: str, by: str | None, words: str
) -> None:
    _, seat = told
    seat.desk.by = by or seat.desk.by
    count = seat.count()
    with pytest.raises(Refused, match=words):
        destroy(seat.desk, pairs_of(seat, "origin"), why=why, reason=reason)
    assert seat.count() == count
    assert pairs_of(seat, "origin")


def test_what_is_destroyed_already_is_refused(told: tuple[Terminal, Seat]) -> None:
    _, seat = told
    pairs = pairs_of(seat, "origin")
    destroyed(seat, "origin")
    with pytest.raises(Refused, match="or it is destroyed already"):
        destroy(seat.desk, pairs, why=WHY, reason="a letter")


def test_copies_made_before_are_named_and_those_made_after_are_not(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    _, seat = told
    out = tmp_path / "out"
    export(seat.desk, out, ("json",), seat.trip)
    seat.later(1)
    back_up(seat.desk, tmp_path / "kept.sqlite3")
    seat.later(1)
    done = destroyed(seat, "origin", "owner")
    assert [(one.entry.kind, one.forms, one.trip) for one in done.copies] == [
        ("exported", ("json",), seat.trip.id),
        ("backed_up", (), None),
    ]
    seat.later(1)
    # The helper took no part in the trip, so the export of it does not hold that name.
    assert [one.entry.kind for one in destroyed(seat, "helper").copies] == ["backed_up"]


def test_the_same_text_elsewhere_is_found_in_notes_and_in_what_is_never_changed(
    told: tuple[Terminal, Seat],
) -> None:
    terminal, seat = told
    name = TEXTS["helper"].upper()
    assert terminal.type("person", "add", "other", "--role", "loads", "--name", f"x {name} y")
    assert terminal.type("gear", "add", TEXTS["helper"]).code == 0
    found = {(entry.kind, field) for entry, field in destroyed(seat, "helper").elsewhere}
    assert found == {("person_recorded", "name"), ("gear_recorded", None)}


def test_a_back_up_made_before_does_not_bring_it_back(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    _, seat = told
    kept = tmp_path / "kept.sqlite3"
    back_up(seat.desk, kept)
    pairs = pairs_of(seat, "origin", "helper")
    salts = salts_of(seat, pairs)
    destroyed(seat, "origin", "helper")
    home = tmp_path / "new home"
    found = restore(
        kept,
        home,
        seat.clock,
        told_heads=[],
        heads_kept=tmp_path / "second place",
        although_behind=True,
    )
    desk = found.desk
    assert found.destroyed_again == 2
    with contextlib.closing(desk.store):
        acts = list(desk.store.entries("kind = 'openings_destroyed'"))
        assert {one.body["why"] for one in acts} == {"destroyed before"}
        assert len(acts) == 2
        assert not left_in_file(desk.store.path, [one.encode() for one in salts])
        assert desk.store.check() == []
        for entry, field in pairs:
            assert field not in desk.store.openings(entry)
        with desk.writing() as writing:
            assert destroy_again(desk, writing) == 0


def test_the_list_in_the_second_place_is_made_good_by_the_next_act(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    _, seat = told
    second = tmp_path / "second place"
    destroyed(seat, "origin")
    (listed,) = second.glob("*.destroyed")
    whole = listed.read_bytes()
    listed.unlink()
    second.rmdir() if not list(second.iterdir()) else None
    destroyed(seat, "wind")
    assert len(listed.read_bytes().splitlines()) == 2
    assert whole in listed.read_bytes()


def test_a_second_place_that_cannot_be_written_is_told_and_undoes_nothing(
    tmp_path: Path,
) -> None:
    in_the_way = tmp_path / "a file"
    in_the_way.write_text("no folder")
    _, seat = tell_story(tmp_path, heads=in_the_way)
    with contextlib.closing(seat.desk.store):
        assert destroyed(seat, "origin").gone == 1
        assert seat.desk.head_trouble is not None
        assert "the list of it could not be written" in seat.desk.head_trouble


def test_photos_go_in_the_same_act(told: tuple[Terminal, Seat]) -> None:
    from triplog.desk.destroying import destroy_in
    from triplog.journal import attachments

    _, seat = told
    data = random.Random(5).randbytes(20_000)
    with seat.desk.writing() as writing:
        digest = attachments.add(seat.desk.store, data, "image/jpeg")
        other = attachments.add(seat.desk.store, data[::-1], "image/jpeg")
    with seat.desk.writing() as writing:
        entries, gone = destroy_in(seat.desk, writing, [], why="retention", photos=[digest])
    assert gone == []
    assert [one.body for one in entries] == [
        {"openings": [], "why": "retention", "attachments": [digest]}
    ]
    assert not attachments.has(seat.desk.store, digest)
    assert b"".join(attachments.chunks(seat.desk.store, other)) == data[::-1]
    assert not left_in_file(
        seat.desk.store.path, [data[at : at + 64] for at in range(0, 20_000, 64)]
    )


@pytest.mark.parametrize("seed", range(6))
def test_pages_that_were_split_keep_no_copy_of_it(tmp_path: Path, seed: int) -> None:
    """Without writing the table anew, about one value in three hundred stays in the file."""
    rng = random.Random(seed)
    journal = new_journal(tmp_path / "triplog.sqlite3")
    pairs = []
    with contextlib.closing(journal.store):
        drafts = [
            Draft(
                kind="person_recorded",
                body={"id": f"{number:016d}", "label": f"p-{number}", "roles": ["drives"]},
                by="somebody",
                private={"name": f"NAME {number} " + "x" * rng.choice([3, 40, 300, 1500])},
            )
            for number in range(400)
        ]
        with journal.store.writing(journal.clock.read(), journal.tables) as writing:
            pairs = [(writing.append(draft).hash, "name") for draft in drafts]
        chosen = rng.sample(pairs, 150)
        with journal.store.writing(journal.clock.read(), journal.tables) as writing:
            gone = erase(writing, chosen)
        assert len(gone) == 150
        needles = [one.encode() for erased in gone for one in (erased.salt, erased.value[:9])]
        assert not left_in_file(journal.store.path, [one.salt.encode() for one in gone])
        assert needles
        left = {entry for entry, *_ in journal.store.opening_rows()}
        assert left == {entry for entry, _ in set(pairs) - set(chosen)}


def test_what_another_installation_brings_back_is_destroyed_again(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    terminal, seat = told
    kept = tmp_path / "kept.sqlite3"
    back_up(seat.desk, kept)
    terminal.clock.forward(minutes=3)
    assert terminal.type("--home", str(tmp_path / "other"), "restore", str(kept)).code in (0, 1)
    pairs = pairs_of(seat, "origin", "helper")
    salts = [one.encode() for one in salts_of(seat, pairs)]
    terminal.clock.forward(minutes=3)
    destroyed(seat, "origin", "helper")
    # The other one still has them, and hands over all it has.
    other = open_desk(tmp_path / "other", terminal.clock)
    with contextlib.closing(other.store):
        brought = export(other, tmp_path / "brought", ("bundle",), None).files[0]
        take_in_from(seat.desk, brought)
        assert pairs_of(seat, "origin", "helper") == []
        assert not left_in_file(seat.desk.store.path, salts)
        # What was destroyed here is destroyed there too, once its entry has come.
        terminal.clock.forward(minutes=3)
        back = export(seat.desk, tmp_path / "back", ("bundle",), None).files[0]
        take_in_from(other, back)
        assert not left_in_file(other.store.path, salts)
        assert other.store.check() == seat.desk.store.check() == []


def test_what_a_hold_keeps_here_is_not_destroyed_for_another_installation(
    told: tuple[Terminal, Seat], tmp_path: Path
) -> None:
    terminal, seat = told
    kept = tmp_path / "kept.sqlite3"
    back_up(seat.desk, kept)
    terminal.clock.forward(minutes=3)
    assert terminal.type("--home", str(tmp_path / "other"), "restore", str(kept)).code in (0, 1)
    destroyed(seat, "origin")
    other = open_desk(tmp_path / "other", terminal.clock)
    with contextlib.closing(other.store):
        hold_trip(other, other.trip(seat.trip.id), reason="a letter asks for it")
        terminal.clock.forward(minutes=3)
        take_in_from(other, export(seat.desk, tmp_path / "back", ("bundle",), None).files[0])
        opened = seat.last("trip_opened").hash
        assert other.store.openings(opened)["origin"] == TEXTS["origin"]
