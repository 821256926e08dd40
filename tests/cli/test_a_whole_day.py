"""A whole working day at a terminal: what is typed was named on the screen before it.

From an empty store to the export after closing. A step is either what the screen has just named as
the next, or something the world did, whose command stands in the list that `triplog --help` shows.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from tests.cli.terminal import Terminal
from tests.cli.typist import Conversation, Typist
from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.main import COMMANDS

_SCREEN = 60


@dataclass(slots=True)
class Reader:
    """Somebody who knows the load and the road, and of the program only what it has just said."""

    typist: Typist
    screen: str = ""
    typed: list[tuple[str, ...]] = field(default_factory=list)

    def next(self, *words: str, **knows: str) -> Conversation:
        """Type what the screen named as the next step; where it named nothing, `triplog` says."""
        command = _written(words)
        if command not in self.screen:
            self.screen = _on_one_line(self.typist.follow(knows={}).screen)
        assert command in self.screen, f"{command} was not named; on the screen: {self.screen}"
        return self._type(words, knows)

    def world(self, *words: str, **knows: str) -> Conversation:
        """Type what the world asks for: its command is in the list of all."""
        assert words[0] in COMMANDS
        return self._type(words, knows)

    def later(self, minutes: float) -> None:
        """Let time pass on the road."""
        self.typist.terminal.clock.forward(minutes=minutes)

    def _type(self, words: tuple[str, ...], knows: Mapping[str, str]) -> Conversation:
        self.typed.append(words)
        said = self.typist.follow(
            *words, knows={key.replace("_", " "): one for key, one in knows.items()}
        )
        assert said.code in (DONE, FOUND), said.screen
        assert len(said.screen.splitlines()) < _SCREEN
        self.screen = _on_one_line(said.screen)
        return said


def _written(words: tuple[str, ...]) -> str:
    return " ".join(["triplog", *(f'"{one}"' if " " in one else one for one in words)])


def _on_one_line(screen: str) -> str:
    return " ".join(screen.split())


def set_up(reader: Reader) -> None:
    """From an empty store to a trip with two articles, tied."""
    reader.next("begin", Name_of_the_carrier="the carrier", Your_label="driver-1")
    reader.next(
        "vehicle",
        "add",
        What_people_call="TR-1",
        gross_mass="26000 lb",
        between_states="y",
        Length_of_the_deck="24 ft",
        Width_of_the_deck="8 ft",
        Front_structure="none",
    )
    reader.next(
        *("vehicle", "anchors", "TR-1"),
        The_first="2 ft",
        From_one_to_the_next="4 ft",
        The_rating="5000 lb",
    )
    reader.next(
        *("gear", "add"),
        What_is_written="S-1",
        The_width="2 in",
        Its_hooks="flat hook",
        The_rating="3333 lb",
        length="27 ft",
        alike="8",
    )
    reader.next("trip", "new", From_which_town="Mill Creek", To_which_town="Ferndale")
    _article(reader, "crated sprayer", "6200 lb", "12 ft", "1 ft, centre")
    _article(reader, "pallet of pipe", "900 lb", "4 ft", "15 ft, centre")
    for number, (article, anchor) in enumerate([("A", 1), ("A", 2), ("A", 3), ("B", 5)], start=1):
        reader.next(
            *("tie-down", "add"),
            Which_gear=f"S-{number}",
            Which_article=article,
            From_which_anchor=f"L{anchor}",
            To_which_anchor=f"R{anchor}",
            Edge_protectors="2/2",
            Any_knot="n",
        )


def _article(reader: Reader, what: str, mass: str, length: str, place: str) -> None:
    reader.next(
        *("article", "add"),
        What_is_it=what,
        Its_mass=mass,
        Its_length=length,
        Its_width="6 ft",
        Its_height="5 ft",
        Its_front_face=place,
        What_kind_of_cargo="1",
        Blocked_forward="nothing",
        Sharp_edges="n",
        Can_it_roll="n",
        Fully_contained="n",
        Does_it_stand="y",
    )


def out_to_the_first_check(reader: Reader) -> None:
    """Judged, loaded, departed; the first check, with one strap not looked at at first."""
    reader.next("judge")
    reader.next("loaded", Carried_a_load="y", All_gear_looked_at="y")
    said = reader.next(
        "depart",
        Why_depart="the end fittings are no hooks",
        Top_road_speed="65 mph",
        What_the_odometer_reads="24000",
        Where_you_will_stop="Mill Creek",
        will_read_there="+40 mi",
    )
    assert "by odometer 24,050 mi" in _on_one_line(said.screen)
    reader.later(40)
    reader.next("duty", "on duty")
    said = reader.next(
        "check", All_looked_at="n", But_every="n", T1_1="1", T2_1="2", T3_1="2", T4_1="2"
    )
    assert "not looked at: T1" in said.screen
    said = reader.next("check", All_looked_at="y", What_the_odometer_reads="24038")
    assert "answers: first check" in _on_one_line(said.screen)


def late_and_braking(reader: Reader) -> None:
    """A late second check; hard braking, mistyped; a strap found cut, replaced; the cause later."""
    reader.next("duty", "driving")
    reader.later(200)
    said = reader.next(
        "check",
        Stopped_off="y",
        All_looked_at="y",
        What_the_odometer_reads="24190",
        is_late="queue, no room to stop",
    )
    assert "late by" in said.screen
    reader.next("duty", "driving")
    reader.later(15)
    said = reader.world("event", "hard", "breaking", Stopped_off="y", Is_that_hard_braking="y")
    assert "  hard braking  [" in said.screen
    reader.next(
        "check",
        All_looked_at="n",
        But_every="n",
        T1_1="2",
        T2_1="4",
        T3_1="2",
        T4_1="2",
        reads="24200",
    )
    reader.next("replace", "T2", Which_gear_takes="S-5", is_on_as="y", is_off="y")
    reader.later(5)
    reader.next("cause", "T2", Why_it_had="a bolt head on the deck rail")


def part_delivery_and_hand_over(reader: Reader) -> None:
    """One article off at a stop on the way; then a relief driver with the slip."""
    reader.next("duty", "driving")
    reader.later(30)
    reader.next("duty", "on duty")
    _release(reader)
    said = reader.next("deliver", What_is_delivered="B")
    assert "left: A" in said.screen
    reader.world("person", "add", What_people_call="driver-2", What_they_do="drives types")
    said = reader.world(
        "handover",
        Who_takes_over="driver-2",
        What_the_odometer_reads="24230",
        Did_both_look="y",
        Anything_the_other="the pallet came off here",
    )
    assert "a bolt head on the deck rail" in _on_one_line(said.screen)
    reader.next("check", All_looked_at="y", What_the_odometer_reads="24230")


def _release(reader: Reader) -> None:
    said = reader.world(
        "release", from_a_distance="1", nothing_moved="1", **dict.fromkeys(_RELEASE_WORDS, "1")
    )
    assert "ready to let off" in said.screen


_RELEASE_WORDS = (
    *("Level_ground", "stand_alone", "Nobody_on_the_far", "unloading_machine"),
    *("its_own_mechanism", "No_bar"),
)


def to_the_end(reader: Reader) -> None:
    """The last stop: released, delivered, counted, closed, exported."""
    reader.next("duty", "driving", Duty_status="driving")
    reader.later(45)
    reader.next("duty", "on duty")
    reader.next("release", **dict.fromkeys((*_RELEASE_WORDS, "distance", "nothing_moved"), "1"))
    reader.next("deliver", What_is_delivered="A")
    reader.next("close", all_back="y")
    reader.next("export", "--trip", "T-1")


def test_a_whole_day_is_driven_by_what_the_screen_says(tmp_path: Path) -> None:
    reader = Reader(Typist(Terminal(folder=tmp_path)))
    for part in (
        set_up,
        out_to_the_first_check,
        late_and_braking,
        part_delivery_and_hand_over,
        to_the_end,
    ):
        part(reader)
    assert (tmp_path / "export").is_dir()
    assert "no trip is open" in reader.typist.follow(knows={}).screen
