"""A small office on a real journal: one carrier, one flatbed, gear, and trips that go as asked."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from exports.document import Document, KeyValues, Paragraph, Table
from tests.builders import StandingClock
from triplog.desk.checking import Checked, Found, Line, record_check, tie_downs_of
from triplog.desk.departing import depart
from triplog.desk.desk import Desk
from triplog.desk.export_forms import sheet_document
from triplog.desk.finding_things import person_named, the_trip
from triplog.desk.gear import add_gear
from triplog.desk.judging import judge_and_record
from triplog.desk.people import add_person
from triplog.desk.planning import Change, add_article, add_tie_down, change_plan
from triplog.desk.setting_up import begin
from triplog.desk.trips import Opening, open_trip, vehicle_change
from triplog.desk.vehicles import add_anchor_row, add_vehicle, change_anchor
from triplog.journal.trip import Trip, TripState

GENERAL: dict[str, Any] = {
    "commodity": "general",
    "sharp_edges": False,
    "rolls": False,
    "contained": False,
    "stands_unaided": True,
}
STRAP: dict[str, Any] = {"kind": "ratchet strap", "width": "2 in", "length": "27 ft", "damage": []}


@dataclass(frozen=True, slots=True)
class Sheet:
    """A roadside sheet, read block by block."""

    document: Document

    @property
    def figures(self) -> dict[str, str]:
        """The key figures by name."""
        blocks = [one for one in self.document.blocks if isinstance(one, KeyValues)]
        return {name: value for block in blocks for name, value in block.pairs}

    @property
    def words(self) -> str:
        """The running text."""
        blocks = [one for one in self.document.blocks if isinstance(one, Paragraph)]
        return "\n".join(one.text for one in blocks)

    def table(self, first_title: str) -> list[dict[str, str]]:
        """The rows of a table by the titles of its columns; none where there is no such table."""
        for block in self.document.blocks:
            if isinstance(block, Table) and block.columns[0].title == first_title:
                titles = [column.title for column in block.columns]
                return [dict(zip(titles, row, strict=True)) for row in block.rows]
        return []


@dataclass(slots=True)
class Office:
    """A desk with a clock that stands until it is moved."""

    desk: Desk
    clock: StandingClock
    used: int = field(default=0)

    def plan(self, trip: Trip, *changes: Change) -> Trip:
        """The trip after each change made a revision of its plan."""
        for change in changes:
            self.clock.forward(minutes=3)
            change_plan(self.desk, self.trip(trip.label), change)
        return self.trip(trip.label)

    def trip(self, label: str) -> Trip:
        """The trip as it stands."""
        return the_trip(self.desk, label, TripState)

    def opened(
        self,
        label: str = "T-1",
        *,
        origin: str | None = None,
        destination: str | None = None,
        note: str | None = None,
    ) -> Trip:
        """A trip on the flatbed without an article yet."""
        self.clock.forward(minutes=3)
        opening = Opening(label=label, origin=origin, destination=destination, note=note)
        return open_trip(self.desk, opening, vehicle_change(self.desk, "flatbed"))

    def loaded(self, articles: int = 4, tie_downs: int = 8, label: str = "T-1") -> Trip:
        """A trip with so many crates, two straps and more over each, in turns."""
        trip = self.opened(label, origin="the yard", destination="the orchard behind the mill")
        for number in range(articles):
            crate = GENERAL | {
                "what": "crated orchard sprayer" if number == 0 else "pallet of bagged lime",
                "mass": f"{3000 + 100 * number} lb",
                "mass_basis": "weighed" if number == 0 else "stated",
                "length": "5 ft",
                "blocked": {"forward": "nothing" if number == 0 else chr(64 + number)},
            }
            trip = self.plan(trip, add_article(article=crate, article_id=None, count=1))
        for number in range(tie_downs):
            self.used += 1
            place = number % 12 + 1
            tie_down = {
                "holds": [trip.article_ids[number % articles]],
                "path": "over",
                "from": f"L{place}",
                "to": f"R{place}",
                "edge_protection": {"needed": 0, "fitted": 0},
                "knots": False,
            }
            change = add_tie_down(
                self.desk, label, tie_down=tie_down, gear=f"S-{self.used}", tie_down_id=None
            )
            trip = self.plan(trip, change)
        return trip

    def with_article(self, trip: Trip, **fields: object) -> Trip:
        """The trip with one more article, general freight."""
        return self.plan(trip, add_article(article=GENERAL | fields, article_id=None, count=1))

    def with_strap(self, trip: Trip, gear: str, **fields: object) -> Trip:
        """The trip with one more strap, over article A unless told otherwise."""
        tie_down = {"holds": ["A"], "path": "over", **fields}
        change = add_tie_down(self.desk, trip.label, tie_down=tie_down, gear=gear, tie_down_id=None)
        return self.plan(trip, change)

    def judged(self, trip: Trip) -> Trip:
        """The trip with its plan judged."""
        self.clock.forward(minutes=3)
        judge_and_record(self.desk, trip)
        return self.trip(trip.label)

    def departed(
        self, trip: Trip, odometer: str | None = "24130 mi", *, through: tuple[str, ...] = ()
    ) -> Trip:
        """The trip under way; `through`: the countries it touches, none named: the carrier's."""
        self.clock.forward(minutes=3)
        driver = person_named(self.desk, "driver").id
        departure = depart(
            self.desk,
            trip,
            driver=driver,
            odometer=odometer,
            top_speed=None,
            next_stop=None,
            reason=None,
            through=through,
        )
        return departure.trip

    def checked(
        self, trip: Trip, *, odometer: str | None = None, minutes: float = 30, **found: Found
    ) -> Checked:
        """A look at the load so much later; tie-downs that are not named are fine."""
        self.clock.forward(minutes=minutes)
        lines = [Line(tie_down=one, found=found.get(one, Found.FINE)) for one in tie_downs_of(trip)]
        return record_check(
            self.desk, trip, lines=lines, looked_at=(), stopped=True, odometer=odometer
        )

    def sheet(self, trip: Trip) -> Sheet:
        """What the roadside sheet of a trip says now."""
        return Sheet(document=sheet_document(self.desk, trip, self.clock.read()))


def office(
    home: Path, *, units: Literal["us", "si"] = "us", carrier: str = "the test carrier"
) -> Office:
    """An office that has just been set up: a flatbed with 24 anchor points, 40 straps."""
    clock = StandingClock()
    desk = begin(
        home,
        clock,
        carrier=carrier,
        person="driver",
        person_name="the driver's own name",
        roles=["types", "drives"],
        units=units,
        paper="letter",
    )
    add_person(desk, label="yard hand", roles=["loads"], name=None)
    flatbed: dict[str, object] = {
        "gross_mass": "80000 lb",
        "use": "interstate business",
        "deck_length": "48 ft",
        "deck_width": "8 ft 6 in",
        "front_structure": "none",
    }
    add_vehicle(desk, label="flatbed", document=flatbed, top_speed="65 mph")
    fields: dict[str, object] = {"kind": "stake pocket", "wll": "5000 lb"}
    add_anchor_row(
        desk, "flatbed", side="both", first="2 ft", every="4 ft", count=12, fields=fields,
        across=None,
    )  # fmt: skip
    change_anchor(desk, "flatbed", "L3", fields={"wll": "1500 lb"})
    add_gear(desk, label="S-1", item=STRAP | {"wll": "3335 lb"}, count=40)
    add_gear(desk, label="U-1", item=STRAP, count=2)
    add_gear(desk, label="W-1", item=STRAP | {"width": "1 in"}, count=2)
    clock.forward(minutes=3)
    return Office(desk=desk, clock=clock)
