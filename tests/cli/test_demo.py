"""The demo: a whole invented day, each step with its exit code, all in one folder of its own."""

import contextlib
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from zipfile import ZipFile

import pytest

from tests.cli.terminal import Terminal
from tests.cli.typist import Typist
from triplog.cli.demo import DemoClock, run_day
from triplog.cli.demo_day import DAY, Step
from triplog.cli.exit_codes import DONE, REFUSED
from triplog.cli.main import COMMANDS, invoke
from triplog.journal.device_key import KEY_NAME

_NOT_IN_THE_STORY = frozenset(
    {"carrier", "plan", "schema", "hear", "exempt", "watch", "withdraw", "restore", "rebuild"}
    | {"advise", "demo", "office", "rules", "vary", "handover", "slip", "readings"}
    | {"late-reason", "cause", "incident", "piece", "hold", "lift-hold", "photo"}
    | {"private", "retention", "take-in", "page"}
    | {"hub", "pair", "push"}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """The day as it was told, step by step."""

    terminal: Terminal
    said: str
    codes: tuple[int, ...]
    wrong: str | None


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    """The demo's day, run once for all tests here, in the folder that the command would make."""
    terminal = Terminal(folder=tmp_path_factory.mktemp("demo"))
    terminal.type("begin", "--carrier", "the carrier", "--person", "owner")
    (terminal.folder / "triplog-demo").mkdir()
    codes: list[int] = []

    def run(words: Sequence[str], clock: DemoClock) -> int:
        codes.append(invoke(words, clock))
        return codes[-1]

    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out), terminal.surroundings():
        wrong = run_day(Path("triplog-demo"), run)
    yield Day(terminal=terminal, said=out.getvalue(), codes=tuple(codes), wrong=wrong)


def test_every_step_of_the_day_ends_as_the_story_says(day: Day) -> None:
    assert day.wrong is None
    steps = [beat for beat in DAY if isinstance(beat, Step)]
    assert list(day.codes) == [step.ends_with for step in steps]


def test_nothing_of_the_demo_lands_outside_its_folder_or_in_a_real_journal(day: Day) -> None:
    assert {path.name for path in day.terminal.folder.iterdir()} == {"triplog-demo", "home"}
    assert set(day.terminal.home.iterdir()) == {day.terminal.store, day.terminal.home / KEY_NAME}
    assert day.terminal.entry_count() == 4
    assert "invented" not in day.terminal.type("due").out


@pytest.mark.parametrize(
    "shown",
    [
        "edge protection: A",
        "does not meet   combined rating, house rule: A",
        "meets           aggregate working load limit: A",
        "no rating marked, counted by the table",
        "weakest part is the anchor point",
        "protector found missing at the walk-round",
        "answers: first check, within 50 mi of setting out with this load",
        "road works, nowhere to stop off the road before",
        "two digits may be swapped",
        "which stays and shows as corrected",
        "DO NOT RELEASE",
        "let off in this order",
        "delivered A",
        "ride-on mower",
        "bundle of fence posts",
        "invented",
    ],
)
def test_the_day_shows_what_it_is_there_to_show(shown: str, day: Day) -> None:
    assert shown in day.said


def test_the_day_uses_most_of_the_commands() -> None:
    used = {word for beat in DAY if isinstance(beat, Step) for word in beat.words}
    assert COMMANDS.keys() - used <= _NOT_IN_THE_STORY


def test_every_file_it_leaves_says_what_it_is_and_that_it_is_invented(day: Day) -> None:
    left = day.terminal.folder / "triplog-demo"
    assert (left / "orchard" / "trip-orchard-sheet.pdf").read_bytes().startswith(b"%PDF-")
    for bundle in ("orchard/trip-orchard-bundle.zip", "whole-store/store-bundle.zip"):
        checked = day.terminal.type("verify", str(left / bundle))
        assert checked.code == DONE
        assert "invented" in checked.out
        with ZipFile(left / bundle) as opened:
            tables = [
                name for name in opened.namelist() if "/csv/" in name and name.endswith(".csv")
            ]
            for name in tables:
                head, *rows = opened.read(name).decode().splitlines()
                assert head.endswith(",invented")
                assert all(row.endswith(",yes") for row in rows)
        assert tables
    calendar = (left / "at-departure" / "trip-orchard-checks.ics").read_text("utf-8")
    assert calendar.count("SUMMARY:Invented: ") == calendar.count("BEGIN:VEVENT") > 0
    for words in (["due"], ["trip", "list", "--json"]):
        assert day.terminal.type("--home", str(left / "store"), *words).code == DONE
    assert "invented" in day.terminal.type("--home", str(left / "store"), "due").out


def test_an_earlier_demo_is_not_replaced_without_a_terminal(day: Day) -> None:
    again = day.terminal.type("demo")
    assert again.code == REFUSED
    assert "holds an earlier demo" in again.err


def test_an_earlier_demo_is_kept_or_replaced_as_the_person_says(day: Day) -> None:
    marker = day.terminal.folder / "triplog-demo" / "a note of mine"
    marker.touch()
    kept = Typist(day.terminal).type("demo", answers=[("Replace it?", "n\n")])
    assert kept.code == REFUSED
    assert "the earlier demo was kept" in kept.screen
    assert marker.exists()
    replaced = Typist(day.terminal).type("demo", answers=[("Replace it?", "y\n")])
    assert replaced.code == DONE
    assert not marker.exists()
    assert "To look at:" in replaced.screen


def test_a_file_in_the_demos_place_is_left_alone(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    (tmp_path / "triplog-demo").write_text("a note\n")
    assert terminal.type("demo").code == REFUSED
    assert (tmp_path / "triplog-demo").read_text() == "a note\n"
