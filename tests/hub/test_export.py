"""Exports out of the hub: whole logs and single trips; each verifies by its own checker."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from exports.verify import Outside, Report, verify
from tests.dossier.scene import Office, office
from tests.hub.scene import HubScene, batch_of, openings_of
from triplog.desk.exporting import export as desk_export
from triplog.desk.refused import Refused
from triplog.desk.taking_in import take_in_from
from triplog.hub.carriers import hub_key
from triplog.hub.exporting import Order, Place, asked_for, export_from_hub
from triplog.journal.entries import Draft, entry_of


@pytest.fixture
def yards(hub: HubScene, tmp_path: Path) -> list[Office]:
    """Two trucks with a trip under way each, both called T-1; both have pushed."""
    found = []
    for number in (1, 2):
        yard = office(tmp_path / f"truck-{number}")
        yard.departed(yard.judged(yard.loaded(2, 3)))
        store = yard.desk.store
        hub.push(hub.pair(store, f"truck-{number}"), batch_of(store, openings=openings_of(store)))
        found.append(yard)
    return found


def place_of(hub: HubScene) -> Place:
    """The hub as an export needs it."""
    return Place(database=hub.database, home=hub.home, clock=hub.clock)


def exported(hub: HubScene, to: Path, *forms: str, **asked: object) -> list[Path]:
    """The files of an export."""
    told: dict[str, object] = {"devices": [], "trips": [], "since": None, "until": None}
    wanted = asked_for(place_of(hub), hub.carrier, **(told | asked))  # type: ignore[arg-type]
    order = Order(forms=forms, who="the test")
    made = export_from_hub(place_of(hub), hub.carrier, wanted, order, to)
    return [path for one in made for path in one.files]


def test_whole_logs_verify_with_the_bundle_s_own_checker(
    hub: HubScene, yards: list[Office], tmp_path: Path
) -> None:
    (bundle,) = exported(hub, tmp_path / "out", "bundle")
    with zipfile.ZipFile(bundle) as file:
        file.extractall(tmp_path / "opened")
    (checker,) = (tmp_path / "opened").rglob("verify.py")
    run = [sys.executable, "-I", str(checker), str(bundle)]
    done = subprocess.run(run, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 0, done.stdout
    devices = {one.desk.store.device for one in yards}
    report = verify(bundle)
    assert report.problems == ()
    (lines,) = (tmp_path / "opened").rglob("entries.jsonl")
    entries = [entry_of(line) for line in lines.read_bytes().splitlines()]
    assert devices <= {one.device for one in entries}
    assert {"head_received", "journal_taken_in"} <= {one.kind for one in entries}


def test_one_trip_verifies_and_holds_nothing_of_another_truck(
    hub: HubScene, yards: list[Office], tmp_path: Path
) -> None:
    trip = yards[0].trip("T-1")
    (bundle,) = exported(hub, tmp_path / "out", "bundle", trips=[trip.id])
    report = verify(bundle)
    assert report.problems == ()
    assert report.scope == "trip"
    with zipfile.ZipFile(bundle) as file:
        (name,) = [one for one in file.namelist() if one.endswith("entries.jsonl")]
        text = file.read(name)
    assert yards[0].desk.store.device.encode() in text
    assert yards[1].desk.store.device.encode() not in text


def test_trips_of_one_label_are_named_by_id(
    hub: HubScene, yards: list[Office], tmp_path: Path
) -> None:
    with pytest.raises(Refused, match="several trips are called 'T-1'"):
        exported(hub, tmp_path / "out", "json", trips=["T-1"])
    files = exported(hub, tmp_path / "out", "json", since="2000-01-01")
    assert {path.parent.name for path in files} == {one.trip("T-1").id for one in yards}
    with pytest.raises(Refused, match="no trip anything"):
        exported(hub, tmp_path / "none", "json", since="2999-01-01")
    with pytest.raises(Refused, match="a day is written"):
        exported(hub, tmp_path / "none", "json", since="yesterday")


@pytest.mark.parametrize("form", ["csv", "lines", "json", "sheet", "plan", "checks", "slip"])
def test_every_form_is_written(
    hub: HubScene, yards: list[Office], tmp_path: Path, form: str
) -> None:
    trip = yards[0].trip("T-1")
    (path,) = exported(hub, tmp_path / "out", form, trips=[trip.id])
    assert path.exists()


def test_one_device_until_a_day_ends_with_that_day(
    hub: HubScene, yards: list[Office], tmp_path: Path
) -> None:
    with pytest.raises(Refused, match="nothing of that"):
        exported(hub, tmp_path / "none", "lines", devices=["truck-1"], until="1999-12-31")
    (lines,) = exported(hub, tmp_path / "out", "lines", devices=["truck-1"])
    devices = {entry_of(line).device for line in lines.read_bytes().splitlines()}
    assert yards[0].desk.store.device in devices
    assert yards[1].desk.store.device not in devices


def test_the_carrier_s_own_log_says_what_was_handed_out_and_who_asked(
    hub: HubScene, yards: list[Office], tmp_path: Path
) -> None:
    trip = yards[0].trip("T-1")
    exported(hub, tmp_path / "out", "json", trips=[trip.id])
    last = entry_of(hub.held(hub.carrier.witness)[-1])
    assert last.kind == "exported"
    assert last.body["trip_of"] == trip.id
    assert set(last.private) == {"note"}
    before = len(hub.held(hub.carrier.witness))
    with pytest.raises(Refused, match="is there already"):
        exported(hub, tmp_path / "out", "json", trips=[trip.id])
    assert len(hub.held(hub.carrier.witness)) == before
    assert [one.name for one in (tmp_path / "out").iterdir()] == ["trip-T-1-trail.json"]


def test_the_hub_s_key_from_its_keeper_vouches_for_what_was_received(
    hub: HubScene, yards: list[Office], tmp_path: Path
) -> None:
    (bundle,) = exported(hub, tmp_path / "out", "bundle")
    alone = verify(bundle)
    assert "heads-received" in {one.code for one in alone.notes}
    key = hub_key(hub.home, hub.carrier.id, hub.carrier.witness).text
    report = verify(bundle, Outside(keys=(key,)))
    assert report.problems == ()
    assert "heads-received" not in {one.code for one in report.notes}
    assert {one.desk.store.device for one in yards} <= vouched(report)
    assert vouched(alone) == set()


def vouched(report: Report) -> set[str]:
    """The devices whose log is vouched for by something held outside."""
    return {one.device for one in report.reaches if one.outside is not None}


def test_a_head_that_was_received_betrays_a_log_that_was_written_anew(
    hub: HubScene, yards: list[Office], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A forger writes the truck's log anew, as long as the true one, and keeps the true head."""
    device = yards[0].desk.store.device
    (told,) = [
        entry_of(line).body
        for line in hub.held(hub.carrier.witness)
        if b'"head_received"' in line and device.encode() in line
    ]
    with monkeypatch.context() as patched:
        patched.setattr("triplog.journal.store.new_id", lambda: device)
        forged = office(tmp_path / "forged")
    forged.departed(forged.judged(forged.loaded(2, 3)))
    assert forged.desk.store.device == device
    witness = office(tmp_path / "witness").desk
    take_in_from(witness, forged.desk.store.path)
    with witness.writing() as writing:
        writing.append(Draft(kind="head_received", body=told, by="nobody", via="program"))
    made = desk_export(witness, tmp_path / "out", ("bundle",), None)
    key = hub_key(hub.home, hub.carrier.id, hub.carrier.witness).text
    report = verify(made.files[0], Outside(keys=(key,)))
    assert "checkpoint-differs" in {one.code for one in report.problems}
    assert device not in vouched(report)
