"""Several at once: hubs, devices, a month's first batches; nobody waits in a circle."""

from concurrent.futures import ThreadPoolExecutor
from random import Random

from tests.builders import odometer_read, trip_opened
from tests.hub.faulty import a_device, another_hub, whole
from tests.hub.holding import Oracle
from tests.hub.logs import Log, answered, new_log
from tests.hub.scene import HubScene
from triplog.hub.carriers import draw_code
from triplog.journal.batch import pack_batch

PATIENCE_S = 30.0


def test_two_hubs_at_once_on_one_device_and_on_many(hub: HubScene) -> None:
    oracle = Oracle(hub.database)
    devices = [a_device(hub, f"many{number}", 20) for number in range(5)]
    devices += [devices[0]] * 4
    with another_hub(hub) as other, ThreadPoolExecutor(len(devices)) as threads:
        going = []
        for number, (log, secret) in enumerate(devices):
            rng, at = Random(number), (hub, other)[number % 2]
            going.append(threads.submit(_brought_in_pieces, at, log, secret, rng))
        for one in going:
            one.result(PATIENCE_S * 4)
    for log, secret in devices:
        whole(hub, oracle, log, secret)
    said = [line for line in hub.held(hub.carrier.witness) if b"fork_found" in line]
    assert said == []


def _brought_in_pieces(hub: HubScene, log: Log, secret: str, rng: Random) -> None:
    """From its own idea of where it is, each piece perhaps once more or out of its order."""
    for _ in range(25):
        begin = rng.randrange(len(log.lines))
        end = rng.randrange(begin, len(log.lines)) + 1
        answer = answered(hub, secret, pack_batch(log.batch(begin, end)))
        assert answer.outcome in ("taken", "behind", "resume")
    last = log.push(lambda packed: answered(hub, secret, packed), lambda left: min(left, 5))
    assert last is not None
    assert last.outcome == "taken"


def test_a_fork_and_a_former_log_at_once_do_not_wait_in_a_circle(hub: HubScene) -> None:
    """Both lock the sender's row and the carrier's own log, so in one order."""
    oracle = Oracle(hub.database)
    log, secret = a_device(hub, "sender")
    former = new_log("former")
    for _ in range(15):
        former.append(trip_opened("tripformer"))
    whole(hub, oracle, log, secret)

    def forks() -> None:
        for number in range(15):
            other = log.copy(f"way{number}", 3)
            other.append(odometer_read(trip="tripsender"))
            assert answered(hub, secret, pack_batch(other.batch(3))).outcome == "forked"

    def formers() -> None:
        for number in range(len(former.lines)):
            answered(hub, secret, pack_batch(former.batch(number, number + 1)))

    with ThreadPoolExecutor(2) as both:
        for one in [both.submit(forks), both.submit(formers)]:
            one.result(PATIENCE_S)
    assert hub.held("former") == former.lines
    whole(hub, oracle, log, secret)


def test_the_first_batches_of_a_month_come_at_once(hub: HubScene) -> None:
    oracle = Oracle(hub.database)
    devices = [a_device(hub, f"month{number}") for number in range(6)]
    hub.clock.forward(minutes=60 * 24 * 30)
    with another_hub(hub) as other, ThreadPoolExecutor(len(devices)) as threads:
        going = [
            threads.submit(answered, (hub, other)[number % 2], secret, pack_batch(log.batch()))
            for number, (log, secret) in enumerate(devices)
        ]
        assert [one.result(PATIENCE_S).outcome for one in going] == ["taken"] * len(devices)
    for log, secret in devices:
        whole(hub, oracle, log, secret)
    hub.clock.forward(minutes=60 * 24 * 30)
    a_device(hub, "later")
    with hub.database.work("worker") as connection:
        rows = connection.execute("SELECT DISTINCT tableoid::regclass::text FROM entry").fetchall()
    assert sorted(rows) == [("entry_2026_03",), ("entry_2026_04",), ("entry_2026_05",)]


def test_a_code_is_good_once_also_at_two_hubs_at_once(hub: HubScene) -> None:
    code = draw_code(hub.database, hub.carrier, "twice", is_office=False, now=hub.clock.wall)
    logs = [new_log("twicea"), new_log("twiceb")]
    with another_hub(hub) as other, ThreadPoolExecutor(2) as both:
        going = [
            both.submit(
                at.ask,
                "POST",
                "/pair",
                json={"code": code, "device": log.device, "key": log.key.text},
            )
            for at, log in zip((hub, other), logs, strict=True)
        ]
        assert sorted(one.result(PATIENCE_S).status_code for one in going) == [200, 422]
