"""What the office records reaches a device at its next contact, and works there.

All of it is our design; no source.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.builders import StandingClock
from tests.desk.exported import exported, faultless
from tests.dossier.scene import STRAP, Office
from tests.hub.scene import HubScene, hub_scene, lines_of
from tests.hub.served import Served, device, relay_to, served
from triplog.desk.company_rules import company_rules, record_company_rules
from triplog.desk.destroying import destroy
from triplog.desk.finding_things import gear_named, person_named, vehicle_named
from triplog.desk.gear import add_gear
from triplog.desk.holding import all_holds, hold_gear, lift_gear_hold
from triplog.desk.hub_push import Pushed, push
from triplog.desk.people import add_person
from triplog.desk.refused import Refused, RefusedAndRecorded
from triplog.desk.setting_up import begin
from triplog.desk.vehicles import add_vehicle
from triplog.hub import own_log
from triplog.journal.entries import Draft, Entry
from triplog.journal.kinds import KINDS
from triplog.journal.store import Store


@pytest.fixture
def hub_served(hub: HubScene) -> Iterator[Served]:
    """The hub of this test, served."""
    with served(hub) as one:
        yield one


@pytest.fixture
def truck(tmp_path: Path, hub_served: Served) -> Office:
    """A device with a trip under way, paired."""
    made = device(tmp_path / "truck")
    hub_served.paired(made, "truck-1")
    return made


@pytest.fixture
def bureau(tmp_path: Path, hub_served: Served) -> Office:
    """The office's installation, whose entries go to every device."""
    made = bare_office(tmp_path / "bureau")
    hub_served.paired(made, "office-1", is_office=True)
    return made


def bare_office(folder: Path) -> Office:
    """An office that has recorded only who sits there."""
    clock = StandingClock()
    desk = begin(
        folder,
        clock,
        carrier="the test carrier",
        person="dispatcher",
        person_name=None,
        roles=["types"],
        units="us",
        paper="letter",
    )
    clock.forward(minutes=3)
    return Office(desk=desk, clock=clock)


def strap(one: Office, label: str) -> None:
    """A piece of gear more."""
    add_gear(one.desk, label=label, item=STRAP | {"wll": "3335 lb"}, count=1)


def of_kind(store: Store, kind: str) -> list[Entry]:
    return list(store.entries("kind = ? AND device = ?", (kind, store.device)))


def held_by_the_hub(hub: HubScene, **where: str | None) -> Entry:
    """A hold that the office places on the hub's own page."""
    draft = Draft(
        kind="hold_placed",
        body={"gear": where["gear"]} if where.get("gear") else {},
        by="nobody",
        via="typed",
        trip=where.get("trip"),
        private={"reason": "an inquiry"},
    )
    with hub.database.work("office", hub.carrier.id) as connection:
        return own_log.append(
            connection, hub.carrier.id, hub.carrier.office, draft, hub.clock.read()
        )


def both(bureau: Office, truck: Office) -> Pushed:
    """The office's contact with the hub, then the truck's."""
    push(bureau.desk)
    return push(truck.desk)


def test_gear_vehicles_people_and_rules_of_the_office_reach_a_device(
    bureau: Office, truck: Office
) -> None:
    strap(bureau, "OFFICE-STRAP")
    add_person(bureau.desk, label="night driver", roles=["drives"], name="a name of their own")
    lowboy: dict[str, object] = {"gross_mass": "70000 lb", "use": "interstate business"}
    add_vehicle(bureau.desk, label="lowboy", document=lowboy, top_speed="65 mph")
    record_company_rules(bureau.desk, first="20 mi", every=None, driving=None)
    found = both(bureau, truck)
    assert found.is_whole
    assert found.came > 0
    assert lines_of(truck.desk.store, bureau.desk.store.device)
    assert gear_named(truck.desk, "OFFICE-STRAP").label == "OFFICE-STRAP"
    assert person_named(truck.desk, "night driver").label == "night driver"
    assert vehicle_named(truck.desk, "lowboy").label == "lowboy"
    assert [rule.limit for rule in company_rules(truck.desk)] == ["20"]
    told = of_kind(truck.desk.store, "journal_taken_in")
    assert {one.body["source"] for one in told} == {"hub"}
    assert push(truck.desk).came == 0
    assert len(of_kind(truck.desk.store, "journal_taken_in")) == len(told)


def test_a_label_of_the_office_that_a_device_has_too_is_shown_with_its_device(
    bureau: Office, truck: Office
) -> None:
    strap(bureau, "S-1")
    with pytest.raises(Refused, match="no gear"):
        gear_named(truck.desk, f"S-1@{bureau.desk.store.device[:4]}")
    both(bureau, truck)
    with pytest.raises(Refused, match="S-1@"):
        gear_named(truck.desk, "S-1")
    assert gear_named(truck.desk, f"S-1@{bureau.desk.store.device[:4]}").label == "S-1"


def test_a_hold_placed_by_an_office_installation_keeps_a_deletion_off(
    bureau: Office, truck: Office
) -> None:
    strap(bureau, "OFFICE-STRAP")
    both(bureau, truck)
    trip = truck.with_strap(
        truck.loaded(1, 1, label="T-2"), "OFFICE-STRAP", **{"from": "L9", "to": "R9"}
    )
    (opened,) = truck.desk.store.entries("kind = 'trip_opened' AND trip = ?", (trip.id,))
    hold_gear(bureau.desk, "OFFICE-STRAP", reason="an inquiry")
    both(bureau, truck)
    assert [one.on for one in all_holds(truck.desk)] == ["OFFICE-STRAP"]
    fields = [(opened.hash, name) for name in truck.desk.store.openings(opened.hash)]
    assert fields
    with pytest.raises(RefusedAndRecorded):
        destroy(truck.desk, fields, why="recorded by mistake", reason="not needed")
    lift_gear_hold(bureau.desk, "OFFICE-STRAP", hold=None, reason="the inquiry is over")
    both(bureau, truck)
    assert all_holds(truck.desk) == []
    assert destroy(truck.desk, fields, why="recorded by mistake", reason="not needed").gone


def test_a_hold_placed_at_the_hub_keeps_a_deletion_off(hub: HubScene, truck: Office) -> None:
    push(truck.desk)
    trip = truck.trip("T-1")
    held_by_the_hub(hub, trip=trip.id)
    found = push(truck.desk)
    assert found.is_whole
    assert truck.trip("T-1").holds
    (opened,) = truck.desk.store.entries("kind = 'trip_opened' AND trip = ?", (trip.id,))
    fields = [(opened.hash, name) for name in truck.desk.store.openings(opened.hash)]
    with pytest.raises(RefusedAndRecorded):
        destroy(truck.desk, fields, why="recorded by mistake", reason="not needed")
    assert push(truck.desk).is_whole


def test_a_hold_on_what_another_device_recorded_changes_nothing_here(
    hub: HubScene, hub_served: Served, truck: Office, tmp_path: Path
) -> None:
    other = device(tmp_path / "other")
    hub_served.paired(other, "truck-2")
    push(other.desk)
    push(truck.desk)
    held_by_the_hub(hub, trip=other.trip("T-1").id)
    held_by_the_hub(hub, gear=gear_named(other.desk, "S-1").id)
    found = push(truck.desk)
    assert found.trouble == []
    assert found.came == 2
    assert [trip.label for trip in [truck.trip("T-1")]] == ["T-1"]
    truck.desk.store.rebuild(truck.desk.tables)
    assert push(other.desk).is_whole
    assert len(all_holds(other.desk)) == 2


def test_two_offices_do_not_tell_each_other_without_an_end(
    bureau: Office, hub_served: Served, tmp_path: Path
) -> None:
    second = bare_office(tmp_path / "second")
    hub_served.paired(second, "office-2", is_office=True)
    for _ in range(3):
        push(bureau.desk)
        push(second.desk)
    counts = [len(list(one.desk.store.entries())) for one in (bureau, second)]
    for _ in range(3):
        push(bureau.desk)
        push(second.desk)
    assert [len(list(one.desk.store.entries())) for one in (bureau, second)] == counts


def test_what_was_destroyed_in_the_office_does_not_come_with_its_entries(
    bureau: Office, truck: Office
) -> None:
    added = add_person(bureau.desk, label="night driver", roles=["drives"], name="their own name")
    push(bureau.desk)
    destroy(bureau.desk, [(added.hash, "name")], why="asked for by the person", reason="they asked")
    both(bureau, truck)
    assert truck.desk.store.entry(added.hash).hash == added.hash
    assert truck.desk.store.openings(added.hash) == {}


def test_what_a_device_destroys_later_on_the_offices_word_goes(
    bureau: Office, truck: Office
) -> None:
    added = add_person(bureau.desk, label="night driver", roles=["drives"], name="their own name")
    both(bureau, truck)
    assert truck.desk.store.openings(added.hash) == {"name": "their own name"}
    destroy(bureau.desk, [(added.hash, "name")], why="asked for by the person", reason="they asked")
    both(bureau, truck)
    assert truck.desk.store.openings(added.hash) == {}


def test_what_the_office_keeps_private_does_not_travel_unless_the_carrier_said_so(
    dsn: str, tmp_path: Path
) -> None:
    with (
        hub_scene(dsn, tmp_path / "hub", StandingClock(), opened=()) as hub,
        served(hub) as one,
    ):
        bureau, truck = bare_office(tmp_path / "bureau"), device(tmp_path / "truck")
        one.paired(bureau, "office-1", is_office=True)
        one.paired(truck, "truck-1")
        added = add_person(bureau.desk, label="night driver", roles=["drives"], name="their name")
        both(bureau, truck)
    assert person_named(truck.desk, "night driver").label == "night driver"
    assert truck.desk.store.openings(added.hash) == {}


def test_more_than_travels_at_once_comes_all_the_same(
    bureau: Office, truck: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    from triplog.hub import sending

    monkeypatch.setattr(sending, "_ENTRIES_MAX", 3)
    both(bureau, truck)
    assert lines_of(truck.desk.store, bureau.desk.store.device) == lines_of(bureau.desk.store)


def test_what_cannot_be_taken_in_is_told_and_pushing_goes_on(
    hub: HubScene, bureau: Office, truck: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    from triplog.journal import taking_in

    push(bureau.desk)
    known = {name: kind for name, kind in KINDS.items() if name != "carrier_recorded"}
    with monkeypatch.context() as newer:
        newer.setattr(taking_in, "KINDS", known)
        found = push(truck.desk)
        assert any("a newer triplog wrote it" in one for one in found.trouble)
        assert hub.held(truck.desk.store.device) == lines_of(truck.desk.store)
        assert lines_of(truck.desk.store, bureau.desk.store.device) == []
    assert push(truck.desk).is_whole
    assert lines_of(truck.desk.store, bureau.desk.store.device) == lines_of(bureau.desk.store)


def test_the_hub_knows_up_to_where_a_device_has_the_offices_chains(
    hub: HubScene, bureau: Office, truck: Office
) -> None:
    both(bureau, truck)
    push(truck.desk)
    with hub.database.work("worker") as connection:
        rows = dict(
            connection.execute(
                "SELECT chain, seq FROM contact WHERE device = %s", (truck.desk.store.device,)
            ).fetchall()
        )
    for chain in (bureau.desk.store.device, hub.carrier.office):
        assert rows[chain] == truck.desk.store.head(chain)[0]  # type: ignore[index]


def test_a_relay_that_loses_what_the_office_sent_brings_it_once(
    bureau: Office, hub_served: Served, tmp_path: Path
) -> None:
    push(bureau.desk)
    truck = device(tmp_path / "late")
    with relay_to(hub_served) as relay:
        hub_served.paired(truck, "truck-9", address=relay.address)
        for _ in range(2):
            relay.lose = 1
            with pytest.raises(OSError, match="cannot be reached"):
                push(truck.desk)
        assert push(truck.desk).is_whole
    assert lines_of(truck.desk.store, bureau.desk.store.device) == lines_of(bureau.desk.store)


def test_a_bundle_of_a_device_that_knows_the_hub_matches(
    hub: HubScene, bureau: Office, truck: Office, tmp_path: Path
) -> None:
    push(truck.desk)
    held_by_the_hub(hub, trip=truck.trip("T-1").id)
    both(bureau, truck)
    trip = truck.trip("T-1")
    of_trip = exported(truck, tmp_path / "trip", trip, "bundle").files[0]
    faultless(of_trip)
    push(truck.desk)
    of_store = exported(truck, tmp_path / "store", None, "bundle").files[0]
    faultless(of_store)
