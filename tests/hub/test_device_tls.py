"""HTTPS to the hub: whose certificate is pinned is looked at before anything is sent.

All of it is our design; no source.
"""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.dossier.scene import Office
from tests.hub.scene import HubScene, lines_of
from tests.hub.served import Served, device, served, stranger
from triplog.desk.hub_line import HubAway
from triplog.desk.hub_pairing import SETTING, pair, pairing_of
from triplog.desk.hub_push import push
from triplog.desk.refused import Refused


@pytest.fixture
def hub_served(hub: HubScene) -> Iterator[Served]:
    """The hub of this test, served by HTTPS with a certificate of its own."""
    with served(hub, is_tls=True) as one:
        yield one


@pytest.fixture
def truck(tmp_path: Path) -> Office:
    """A device that is not paired yet."""
    return device(tmp_path / "truck")


def test_the_hub_with_the_pinned_certificate_is_brought_everything(
    hub: HubScene, hub_served: Served, truck: Office
) -> None:
    assert hub_served.pin is not None
    written = ":".join(hub_served.pin[at : at + 2].upper() for at in range(0, 64, 2))
    pair(truck.desk, hub_served.address, hub_served.code("truck-1"), written)
    assert push(truck.desk).is_whole
    assert hub.held(truck.desk.store.device) == lines_of(truck.desk.store)


def test_another_certificate_at_pairing_is_sent_no_code(
    hub_served: Served, truck: Office, tmp_path: Path
) -> None:
    (tmp_path / "stranger").mkdir()
    with (
        stranger(tmp_path / "stranger") as (address, got),
        pytest.raises(Refused, match="another certificate"),
    ):
        pair(truck.desk, address, hub_served.code("truck-1"), hub_served.pin)
    assert got == [b""], "it hung up without a byte"
    assert pairing_of(truck.desk) is None


def test_another_certificate_later_is_sent_no_secret(
    hub_served: Served, truck: Office, tmp_path: Path
) -> None:
    hub_served.paired(truck, "truck-1")
    path = truck.desk.home / SETTING
    (tmp_path / "stranger").mkdir()
    with stranger(tmp_path / "stranger") as (address, got):
        path.write_text(json.dumps({**json.loads(path.read_text()), "address": address}))
        with pytest.raises(Refused, match="Nothing was sent"):
            push(truck.desk)
    assert got == [b""], "it hung up without a byte"


def test_without_a_pin_the_machines_own_trust_decides(
    hub: HubScene, hub_served: Served, truck: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(Refused, match="does not trust"):
        pair(truck.desk, hub_served.address, hub_served.code("truck-1"), None)
    monkeypatch.setenv("SSL_CERT_FILE", str(hub_served.certificate))
    pair(truck.desk, hub_served.address, hub_served.code("truck-1"), None)
    assert push(truck.desk).is_whole
    assert hub.held(truck.desk.store.device) == lines_of(truck.desk.store)


def test_a_hub_that_does_not_speak_https_is_away(
    hub: HubScene, truck: Office, hub_served: Served
) -> None:
    with served(hub) as plain:
        address = plain.address.replace("http:", "https:")
        with pytest.raises(HubAway, match="cannot be reached"):
            pair(truck.desk, address, hub_served.code("truck-1"), hub_served.pin)
