"""`triplog photo` at a terminal and in a pipe. The words are our own design, no source."""

import json
from pathlib import Path
from typing import Any

from tests.cli.terminal import Terminal
from tests.cli.typist import Typist
from tests.errors.scenes import set_scene
from tests.pictures import A_TOWN, canvas, exif, jpeg
from triplog.cli.exit_codes import DONE, REFUSED


def in_a(scene: str, folder: Path) -> Terminal:
    """A terminal in a scene, with two photos in its folder."""
    terminal = Terminal(folder=folder)
    set_scene(scene, terminal)
    for name, mark in (("one.jpg", 1), ("two.jpg", 2)):
        taken = exif(taken="2026:03:02 06:15:00", gps=A_TOWN)
        folder.joinpath(name).write_bytes(jpeg(canvas(mark=mark), taken))
    return terminal


def test_at_a_terminal_each_photo_is_asked_what_it_shows(tmp_path: Path) -> None:
    terminal = in_a("a trip stopped", tmp_path)
    said = Typist(terminal).type(
        "photo",
        "add",
        "one.jpg",
        "two.jpg",
        answers=[("one.jpg shows", "1\n"), ("two.jpg shows", "tag\n")],
    )
    assert said.code == DONE
    assert [row["shows"] for row in rows(terminal)] == ["front", "tag"]


def test_while_driving_it_asks_first_whether_the_vehicle_stands(tmp_path: Path) -> None:
    terminal = in_a("a trip rolling", tmp_path)
    said = Typist(terminal).type(
        "photo", "add", "one.jpg", "--shows", "front", answers=[("Stopped off the road?", "n\n")]
    )
    assert said.code == REFUSED
    assert rows(terminal) == []


def test_the_screen_says_what_was_taken_out_and_to_keep_the_original(tmp_path: Path) -> None:
    terminal = in_a("a trip planned", tmp_path)
    said = terminal.type("photo", "add", "one.jpg", "two.jpg", "--shows", "front")
    assert said.code == DONE
    assert said.out.count("coordinates in EXIF") == 1
    assert "Keep the pictures on the phone as they are" in said.out
    assert said.out.count("no time zone stated") == 2
    assert said.out.count("1 h 00 min before the entry if that clock was on UTC-06:00") == 2


def test_where_positions_are_kept_the_screen_says_what_is_kept_as_well(tmp_path: Path) -> None:
    terminal = in_a("a trip planned", tmp_path)
    assert terminal.type("carrier", "--positions", "keep").code == DONE
    said = terminal.type("photo", "add", "one.jpg", "--shows", "front")
    assert "no export holds that unless told --with-positions" in said.out


def test_the_list_has_the_same_words_as_json(tmp_path: Path) -> None:
    terminal = in_a("a trip planned", tmp_path)
    terminal.type("photo", "add", "one.jpg", "--shows", "tag", "--tie-down", "T1", "--gear", "S-1")
    listed = terminal.type("photo", "list").out
    assert listed.startswith("trip T-1, photos: 1 (tag)\n1  tag, T1, S-1; entered 2026-03-02 07:15")
    (row,) = rows(terminal)
    assert row["opened"] == {"name": "one.jpg"}
    assert row["digest"][:16] in listed


def test_a_trip_says_how_many_photos_it_has_and_so_does_departing(tmp_path: Path) -> None:
    terminal = in_a("a trip planned", tmp_path)
    assert "photos" not in terminal.type("trip", "show").out
    terminal.type("photo", "add", "one.jpg", "two.jpg", "--shows", "front")
    assert "photos: 2 (2 x front)" in terminal.type("trip", "show").out
    assert "photos: 2 (2 x front)" in terminal.type("depart", "--odometer", "24130").out


def test_a_key_given_twice_records_once(tmp_path: Path) -> None:
    terminal = in_a("a trip planned", tmp_path)
    words = ("--key", "k1", "photo", "add", "one.jpg", "--shows", "front")
    assert terminal.type(*words).code == DONE
    again = terminal.type(*words)
    assert (again.code, "already recorded" in again.err) == (DONE, True)
    assert len(rows(terminal)) == 1


def rows(terminal: Terminal) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(terminal.type("photo", "list", "--json").out)
    return found
