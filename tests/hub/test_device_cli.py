"""`triplog pair` and `triplog push` as they are typed. All of it is our design; no source."""

import json
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

import pytest

from tests.builders import StandingClock
from tests.hub.scene import HubScene, lines_of
from tests.hub.served import Served, device, served
from triplog.cli.main import invoke
from triplog.desk.desk import open_desk
from triplog.desk.hub_pairing import SETTING
from triplog.hub.carriers import unpair


@dataclass(slots=True)
class Truck:
    """A home folder in which commands are typed."""

    home: Path
    clock: StandingClock
    capsys: pytest.CaptureFixture[str]

    def type(self, *words: str) -> tuple[int, str]:
        """The exit code, and all that was printed."""
        code = invoke(["--home", str(self.home), *words], self.clock)
        told = self.capsys.readouterr()
        return code, told.out + told.err


@pytest.fixture
def hub_served(hub: HubScene) -> Iterator[Served]:
    """The hub of this test, served."""
    with served(hub) as one:
        yield one


@pytest.fixture
def truck(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Truck:
    """A device with a trip under way, not paired."""
    made = device(tmp_path / "truck")
    made.desk.store.close()
    return Truck(tmp_path / "truck", made.clock, capsys)


def test_a_day_with_a_hub(hub: HubScene, hub_served: Served, truck: Truck) -> None:
    code, told = truck.type("push")
    assert (code, "paired with no hub" in told) == (2, True)
    assert truck.type("push", "--status")[0] == 0
    assert json.loads(truck.type("push", "--status", "--json")[1]) is None
    code, told = truck.type("pair", hub_served.address, "--code", hub_served.code("truck-1"))
    assert code == 0, told
    assert "paired with the hub of carrier-1" in told
    secret = json.loads((truck.home / SETTING).read_text())["secret"]
    assert secret not in told
    code, told = truck.type("push", "--status")
    assert "with no entry yet" in told
    code, told = truck.type("push")
    assert code == 0, told
    assert "pushed to the hub of carrier-1" in told
    assert "the hub signed the head of this log" in told
    code, told = truck.type("push")
    assert (code, "nothing new" in told) == (0, True)
    code, told = truck.type("push", "--status")
    assert code == 0
    assert "0 entries wait here" in told
    desk = open_desk(truck.home, truck.clock)
    assert hub.held(desk.store.device) == lines_of(desk.store)
    code, told = truck.type("push", "--json")
    assert json.loads(told)["chains"][0]["up_to_entry"] == desk.store.head(desk.store.device)[0]  # type: ignore[index]
    desk.store.close()
    code, told = truck.type("entries", "--json")
    assert secret not in told
    code, told = truck.type("pair", "--end")
    assert (code, (truck.home / SETTING).exists()) == (0, False)


def test_a_hub_that_is_away_ends_with_1_and_nothing_is_lost(
    hub_served: Served, truck: Truck
) -> None:
    truck.type("pair", hub_served.address, "--code", hub_served.code("truck-1"))
    hub_served.stop()
    code, told = truck.type("push")
    assert code == 1
    assert "nothing is lost" in told
    assert "tries again by itself" in told
    code, told = truck.type("pair", hub_served.address, "--code", "anything")
    assert (code, "Nothing was recorded" in told) == (1, True)


def test_an_old_copy_and_one_that_went_on_are_told_what_to_do(
    hub: HubScene, hub_served: Served, truck: Truck, tmp_path: Path
) -> None:
    truck.type("pair", hub_served.address, "--code", hub_served.code("truck-1"))
    truck.type("push")
    copy = Truck(tmp_path / "copy", truck.clock, truck.capsys)
    shutil.copytree(truck.home, copy.home)
    truck.type("hold", "T-1", "--reason", "an inquiry")
    truck.type("push")
    for words in (("push",), ("push", "--status")):
        code, told = copy.type(*words)
        assert code == (1 if words == ("push",) else 0)
        assert "this journal is an old copy" in told
    known = re.search(r"--known-head (\S+)", told)
    assert known is not None
    device, seq, own_hash = known[1].split(":")
    last = hub.held(device)[-1]
    assert (int(seq), own_hash) == (len(hub.held(device)) - 1, sha256(last).hexdigest())
    copy.type("hold", "T-1", "--reason", "another inquiry")
    code, told = copy.type("push")
    assert (code, "another history of this device from entry" in told) == (1, True)
    answer = json.loads(copy.type("push", "--json")[1])
    assert answer["chains"][0]["outcome"] == "forked"
    assert truck.type("push")[0] == 0


def test_a_device_that_is_not_paired_any_more_ends_with_2(
    hub: HubScene, hub_served: Served, truck: Truck
) -> None:
    truck.type("pair", hub_served.address, "--code", hub_served.code("truck-1"))
    unpair(hub.database, hub.carrier, "truck-1", hub.clock.read())
    code, told = truck.type("push")
    assert (code, "draw a code" in told) == (2, True)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("pair",), "say where the hub is"),
        (("pair", "http://127.0.0.1:1"), "say where the hub is"),
        (("pair", "--end"), "paired with no hub"),
        (("pair", "http://127.0.0.1:1", "--code", "x", "--end"), "stands alone"),
        (("pair", "http://10.0.0.1", "--code", "x"), "https only"),
        (("--key", "k-1", "pair", "--end"), "paired with no hub"),
    ],
)
def test_what_is_typed_wrong_is_refused(truck: Truck, words: tuple[str, ...], said: str) -> None:
    code, told = truck.type(*words)
    assert (code, said in told) == (2, True), told


def test_a_wrong_code_is_refused(hub_served: Served, truck: Truck) -> None:
    code, told = truck.type("pair", hub_served.address, "--code", "a-wrong-one")
    assert code == 2
    assert "this code pairs nothing" in told


def test_a_host_that_is_no_name_is_away(truck: Truck) -> None:
    code, told = truck.type("pair", "https://a..b:1", "--code", "x", "--certificate", "0" * 64)
    assert (code, "cannot be reached" in told) == (1, True), told
