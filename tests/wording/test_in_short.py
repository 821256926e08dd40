"""A judgement on one screen: what is open with what it lacks, the rest named or counted."""

from dataclasses import replace
from pathlib import Path

from tests.cli.terminal import Terminal
from tests.cli.typist import Typist
from tests.errors.scenes import set_scene
from triplog.desk.desk import open_desk
from triplog.desk.finding_things import the_trip
from triplog.desk.judging import Judgement, judge_trip
from triplog.journal.trip import TripState
from triplog.securement.finding import Verdict
from triplog.wording.in_short import open_lines, settled_lines

_SCREEN = 60
_COLUMNS = 80


def judged(terminal: Terminal) -> Judgement:
    """The plan in force of T-1, judged."""
    desk = open_desk(terminal.home, terminal.clock)
    try:
        return judge_trip(the_trip(desk, "T-1", TripState))
    finally:
        desk.store.close()


def a_trip_with_much_open(folder: Path) -> Terminal:
    """A planned trip with thirty articles of which nothing but the mass is known."""
    terminal = Terminal(folder=folder)
    set_scene("a trip planned", terminal)
    terminal.type("article", "add", "box", "--mass", "900 lb", "--count", "30", "--id", "BOX")
    return terminal


def test_on_a_terminal_a_judgement_takes_one_screen_and_names_where_the_rest_is(
    tmp_path: Path,
) -> None:
    terminal = a_trip_with_much_open(tmp_path)
    lines = Typist(terminal).type("judge", answers=[]).screen.splitlines()
    assert len(lines) < _SCREEN < len(terminal.type("judge").out.splitlines())
    assert all(len(line) <= _COLUMNS for line in lines)
    assert any("triplog judge --full" in line for line in lines)


def test_what_is_cut_off_is_counted(tmp_path: Path) -> None:
    unsettled = judged(a_trip_with_much_open(tmp_path)).unsettled
    (number,) = [
        int(line.split()[1]) for line in open_lines(unsettled, _COLUMNS) if line.endswith(" more")
    ]
    assert 0 < number < len(unsettled)


def test_what_does_not_meet_stands_before_what_cannot_be_told(tmp_path: Path) -> None:
    known, other, *_ = judged(a_trip_with_much_open(tmp_path)).unsettled
    cannot = replace(known, verdict=Verdict.CANNOT_TELL, margin=None)
    lines = open_lines((cannot, replace(other, verdict=Verdict.DOES_NOT_MEET)), _COLUMNS)
    verdicts = [line[:16].strip() for line in lines if line[:1].strip()]
    assert verdicts == ["does not meet", "cannot tell"]


def test_each_rule_that_meets_has_its_line_with_its_figures(tmp_path: Path) -> None:
    terminal = Terminal(folder=tmp_path)
    set_scene("a trip planned", terminal)
    findings = judged(terminal).findings
    lines = settled_lines(findings, 200)
    assert any("aggregate working load limit: A, " in line and " lb for " in line for line in lines)
    meets = [one for one in findings if one.verdict is Verdict.MEETS]
    assert len([line for line in lines if line.startswith("meets")]) == len(
        {one.rule for one in meets}
    )


def test_a_departure_at_a_terminal_says_what_is_open_and_where_its_sums_are(tmp_path: Path) -> None:
    terminal = a_trip_with_much_open(tmp_path)
    said = Typist(terminal).type(
        "depart",
        answers=[
            ("Carried a load like this", "y\n"),
            ("with their sums: triplog judge --unsettled", ""),
            ("Why depart all the same", "\x03"),
        ],
    )
    assert len(said.screen.splitlines()) < _SCREEN
