"""What the tests of faults share: a device that goes on, another hub, and that all is whole."""

from collections.abc import Iterator
from contextlib import contextmanager

from tests.builders import odometer_read, trip_opened
from tests.hub.holding import Oracle
from tests.hub.logs import Log, answered, new_log, pair_log
from tests.hub.scene import HubScene
from triplog.hub.app import Hub, application
from triplog.hub.database import open_database


def a_device(hub: HubScene, name: str, entries: int = 6) -> tuple[Log, str]:
    """A device with a trip, paired; its log and what it shows."""
    log = new_log(name)
    log.append(trip_opened(f"trip{name}"))
    goes_on(log, entries)
    return log, pair_log(hub, log)


def goes_on(log: Log, entries: int = 3) -> None:
    """Readings on its trip, and a signed head."""
    for number in range(entries):
        log.append(odometer_read(f"{1000 + number} mi", f"trip{log.device}"))
    log.sign()


def whole(hub: HubScene, oracle: Oracle, log: Log, secret: str) -> None:
    """The device pushes again, all arrives, and everything holds."""
    answer = log.push(lambda packed: answered(hub, secret, packed), lambda left: left)
    assert answer is not None
    assert answer.outcome == "taken"
    oracle.took(log.device, log.lines)
    oracle.looks(list(oracle.acknowledged), hub.carrier.witness)
    assert oracle.held[log.device] == log.lines


@contextmanager
def another_hub(hub: HubScene, dsn: str | None = None) -> Iterator[HubScene]:
    """Another hub on the same database."""
    database = open_database(dsn or hub.dsn, connections=4)
    try:
        app = application(Hub(database=database, home=hub.home, clock=hub.clock))
        yield HubScene(hub.dsn, database, hub.home, hub.clock, hub.carrier, app)
    finally:
        database.close()
