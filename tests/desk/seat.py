"""A seat at a desk in a test: a copy of a scene, its journal open, its clock in hand."""

from dataclasses import dataclass
from pathlib import Path

from tests.builders import StandingClock
from tests.cli.terminal import Terminal
from tests.errors.scenes import set_scene
from triplog.desk.desk import Desk, open_desk
from triplog.desk.finding_things import the_trip
from triplog.desk.planning import Document, add_article, add_tie_down, change_plan
from triplog.journal.entries import Body, Entry
from triplog.journal.trip import Trip, TripState


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """An open desk with the clock it reads."""

    desk: Desk
    clock: StandingClock

    @property
    def trip(self) -> Trip:
        """The trip T-1 as it stands now."""
        return self.trip_called("T-1")

    def trip_called(self, label: str) -> Trip:
        """A trip as it stands now."""
        return the_trip(self.desk, label, TripState)

    def later(self, minutes: float) -> None:
        """Let time pass."""
        self.clock.forward(minutes=minutes)

    def entries(self, kind: str) -> list[Entry]:
        """All entries of a kind, oldest first."""
        return list(self.desk.store.entries("kind = ?", (kind,)))

    def last(self, kind: str) -> Entry:
        """The newest entry of a kind."""
        return self.entries(kind)[-1]

    def opened(self, entry: Entry) -> dict[str, str]:
        """The private values of an entry."""
        return self.desk.store.openings(entry.hash)

    def count(self) -> int:
        """How many entries there are."""
        (found,) = self.desk.store.raw.execute("SELECT count(*) FROM entry").fetchone()
        return int(found)


def take_seat(scene: str, folder: Path) -> Seat:
    """Sit down in a copy of a scene; the caller closes the desk's store."""
    terminal = Terminal(folder=folder)
    set_scene(scene, terminal)
    return Seat(desk=open_desk(terminal.home, terminal.clock), clock=terminal.clock)


def lines_of(body: Body) -> dict[str, str]:
    """What a check's body says of each tie-down."""
    lines = body["lines"]
    assert isinstance(lines, list)
    return {line["tie_down"]: line["found"] for line in lines}


def with_a_pallet(seat: Seat, **more: object) -> Seat:
    """Put a second article on the plan, under a strap of its own."""
    article: Document = {"what": "pallet", "mass": "900 lb", "length": "4 ft", **more}
    change_plan(seat.desk, seat.trip, add_article(article=article, article_id="B", count=1))
    strap = {"holds": ["B"], "path": "over", "from": "L4", "to": "R4"}
    change_plan(
        seat.desk,
        seat.trip,
        add_tie_down(seat.desk, "T-1", tie_down=strap, gear="S-3", tie_down_id=None),
    )
    return seat
