"""Any order of recording, contacts, losses and hub restarts ends with the same journals everywhere.

All of it is our design; no source.
"""

import random
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import pytest

from tests.dossier.scene import Office, office
from tests.hub.scene import HubScene, lines_of
from tests.hub.served import Relay, Served, relay_to, served
from triplog.desk import hub_batches
from triplog.desk.hub_line import HubAway
from triplog.desk.hub_push import push
from triplog.desk.people import add_person
from triplog.hub import sending

STEPS = 40


def one_step(rng: random.Random, devices: list[Office], hub: Served, relay: Relay) -> None:
    """Something that happens on a day."""
    one = rng.choice(devices)
    match rng.choice(("record", "record", "push", "lost", "cut", "restart")):
        case "record":
            for _ in range(rng.randint(1, 6)):
                label = f"person {rng.getrandbits(40):x}"
                add_person(one.desk, label=label, roles=["loads"], name=f"the name of {label}")
        case "push":
            push(one.desk)
        case "lost":
            relay.lose = rng.randint(1, 2)
            with suppress(HubAway):
                push(one.desk)
            relay.lose = 0
        case "cut":
            left = iter([False] * rng.randint(0, 3))
            push(one.desk, is_stopped=lambda: next(left, True))
        case "restart":
            hub.stop()
            with pytest.raises(HubAway):
                push(one.desk)
            hub.start()


@pytest.mark.parametrize(
    "seed", [0, 1, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(2, 30))]
)
def test_any_day_ends_with_every_entry_once_wherever_it_belongs(
    hub: HubScene, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    monkeypatch.setattr(hub_batches, "ENTRIES_MAX", 4)
    monkeypatch.setattr(sending, "_ENTRIES_MAX", 5)
    rng = random.Random(seed)
    truck, first, second = (office(tmp_path / name) for name in ("truck", "one", "two"))
    devices = [truck, first, second]
    with served(hub) as one, relay_to(one) as relay:
        for number, device in enumerate(devices):
            one.paired(
                device, f"device-{number}", is_office=device is not truck, address=relay.address
            )
        for _ in range(STEPS):
            one_step(rng, devices, one, relay)
        for device in devices * 3:
            assert push(device.desk).is_whole
    for device in devices:
        own = device.desk.store.device
        assert hub.held(own) == lines_of(device.desk.store)
        for other in devices:
            if device is not truck and other is not device:
                assert lines_of(other.desk.store, own) == lines_of(device.desk.store)
                assert opened(other, own) == opened(device, own)
    assert lines_of(first.desk.store, truck.desk.store.device) == []


def opened(one: Office, device: str) -> list[tuple[str, str, str, str]]:
    """What can be read of a device's chain at another."""
    return list(one.desk.store.opening_rows("device = ?", (device,)))


def test_a_device_needs_nothing_of_what_the_hub_needs() -> None:
    """What `fleet` and `page` install is not imported on the way of pairing and pushing."""
    lines = (
        "import sys, triplog.cli.hub_contact, triplog.cli.watching, triplog.desk.hub_contact",
        "import triplog.desk.hub_pairing, triplog.desk.hub_push, triplog.desk.hub_status",
        "names = {'psycopg', 'psycopg_pool', 'starlette', 'uvicorn', 'jinja2', 'triplog.hub'}",
        "assert not names & set(sys.modules), names & set(sys.modules)",
    )
    subprocess.run([sys.executable, "-c", "\n".join(lines)], check=True, timeout=60)
