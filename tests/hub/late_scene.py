"""Trucks under way that bring what they recorded, by clocks that may be off, and what is told."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from scheduler.notify import Outcome
from tests.builders import (
    DRIVER,
    StandingClock,
    check_completed,
    departed,
    duty_changed,
    plan_recorded,
    trip_opened,
)
from tests.hub.derived_scene import work_off
from tests.hub.logs import Log, answered, new_log, pair_log
from tests.hub.scene import HubScene
from triplog.hub.carriers import draw_code
from triplog.hub.late import tell_late
from triplog.hub.margins import Margins
from triplog.journal.batch import pack_batch
from triplog.journal.entries import Draft

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MARGIN = "5 mi"


@dataclass(slots=True)
class Truck:
    """A device and its log; its clock is that far ahead of the hub's."""

    hub: HubScene
    log: Log
    secret: str
    ahead: timedelta = timedelta(0)
    brought: int = 0
    revision: str = ""

    def record(self, *drafts: Draft) -> None:
        """Write entries, a minute each, by its own clock, and bring them."""
        for draft in drafts:
            self.log.clock = StandingClock(wall=self.hub.clock.wall + self.ahead)
            self.log.append(draft)
            self.hub.clock.forward(minutes=1)
        self.bring()

    def bring(self) -> None:
        """Bring what is new, and let the hub's lists be made of it."""
        sent_ms = (self.hub.clock.wall + self.ahead - _EPOCH) // timedelta(milliseconds=1)
        batch = self.log.batch(self.brought, sent_ms=sent_ms)
        assert answered(self.hub, self.secret, pack_batch(batch)).outcome == "taken"
        self.brought = len(self.log.lines)
        work_off(self.hub)

    def depart(self, trip: str, label: str) -> None:
        """Plan a trip and drive off, at 24130 mi."""
        self.record(trip_opened(trip, label=label), plan_recorded(trip))
        self.revision = self.log.hashes[-1]
        self.record(departed(self.revision, trip), duty_changed("driving", trip))

    def check(self, trip: str) -> None:
        """Stop, look at every tie-down 10 mi after departure, and drive on."""
        self.record(
            duty_changed("on duty", trip),
            check_completed(self.revision, trip, odometer="24140 mi"),
            duty_changed("driving", trip),
        )


def truck(hub: HubScene, device: str, *, ahead: timedelta = timedelta(0)) -> Truck:
    """A device of the scene's carrier, paired."""
    log = new_log(device)
    return Truck(hub, log, pair_log(hub, log), ahead)


def office(hub: HubScene, device: str, margin: str | None = MARGIN) -> Truck:
    """An office's device that has brought the carrier's card."""
    log = new_log(device)
    code = draw_code(hub.database, hub.carrier, device, is_office=True, now=hub.clock.wall)
    told = {"code": code, "device": device, "key": log.key.text}
    secret = str(hub.ask("POST", "/pair", json=told).json()["secret"])
    made = Truck(hub, log, secret)
    made.record(card(margin))
    return made


def card(margin: str | None) -> Draft:
    """The carrier's card; None: it says nothing of a margin."""
    body: dict[str, object] = {"units": "us", "paper": "letter"}
    if margin is not None:
        body["office_margin"] = margin
    return Draft(kind="carrier_recorded", body=body, private={"name": "a carrier"}, by=DRIVER)


def look(hub: HubScene, margins: Margins | None = None) -> int:
    """Look for what is late; how many messages were written down."""
    return tell_late(hub.database, hub.clock, margins or Margins())


def outbox(hub: HubScene) -> list[tuple[str, str]]:
    """Each message: the carrier's id and the first line, as they were written down."""
    with hub.database.work("worker") as connection:
        rows = connection.execute("SELECT carrier, message FROM outbox ORDER BY id").fetchall()
    return [(carrier, message.splitlines()[0]) for carrier, message in rows]


def attempts(hub: HubScene) -> list[tuple[int, str | None, bool]]:
    """Each attempt: its number, what came of it, and whether it said that it may have come."""
    with hub.database.work("worker") as connection:
        return connection.execute(
            "SELECT number, came, repeated FROM outbox_attempt ORDER BY message, number"
        ).fetchall()


@dataclass(slots=True)
class Mouth:
    """A way out that keeps what it was given; `came`: what it answers."""

    given: list[tuple[str, str]]
    came: Outcome = Outcome.ACCEPTED
    name: str = "mouth"

    def hand_over(self, name: str, message: str, /) -> Outcome:
        """Keep it."""
        self.given.append((name, message))
        return self.came
