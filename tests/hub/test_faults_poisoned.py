"""A batch made to do harm: refused in one sentence, nothing kept of it, nobody else kept waiting.

After each, another device of the carrier pushes, and what was acknowledged before is still there.
"""

import json
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import pytest

from tests.builders import odometer_read, trip_opened
from tests.hub.holding import Oracle
from tests.hub.logs import Log, answered, asked, drawn_key, new_log, pair_log
from tests.hub.scene import HubScene
from triplog.hub.carriers import add_carrier
from triplog.journal.batch import Batch, Opened, Place, answer_in, pack_batch
from triplog.journal.checkpoint import log_name
from triplog.journal.device_key import DeviceKey
from triplog.journal.entries import canonical, hash_of


@dataclass(slots=True)
class Yard:
    """Two devices of one carrier, both held already; the first is going to send what it should not.

    `other_carrier`: a device of another carrier of the same hub.
    """

    hub: HubScene
    log: Log
    secret: str
    other: Log
    other_secret: str
    other_carrier: Log
    oracle: Oracle


@pytest.fixture
def yard(hub: HubScene) -> Iterator[Yard]:
    """The yard; in the end all that was acknowledged is there, and the other device is served."""
    logs = [new_log("first"), new_log("second"), new_log("third")]
    strangers = add_carrier(hub.database, hub.home, "carrier-2", [], hub.clock.read())
    scenes = [hub, hub, replace(hub, carrier=strangers)]
    secrets = []
    oracle = Oracle(hub.database)
    for scene, log in zip(scenes, logs, strict=True):
        log.append(trip_opened(f"trip{log.device}"))
        log.append(odometer_read(trip=f"trip{log.device}"))
        log.sign()
        secrets.append(pair_log(scene, log))
        assert answered(scene, secrets[-1], pack_batch(log.batch())).outcome == "taken"
        oracle.took(log.device, log.lines)
    made = Yard(hub, logs[0], secrets[0], logs[1], secrets[1], logs[2], oracle)
    _look(made)
    yield made
    logs[1].append(odometer_read(trip="tripsecond"))
    assert answered(hub, secrets[1], pack_batch(logs[1].batch())).outcome == "taken"
    oracle.took("second", logs[1].lines)
    _look(made)


def _look(yard: Yard) -> None:
    yard.oracle.looks(["first", "second", "third"], yard.hub.carrier.witness)


def _refused(yard: Yard, packed: bytes, secret: str | None = None) -> str:
    """What is said of it: one sentence for a person, and nothing was kept."""
    before = _everything(yard.hub)
    status, body = asked(yard.hub, secret or yard.secret, packed)
    assert status == 422, body
    said = json.loads(body)
    assert list(said) == ["refused"]
    assert "\n" not in said["refused"]
    assert 10 < len(said["refused"]) < 300
    assert "Traceback" not in said["refused"]
    assert _everything(yard.hub) == before
    return str(said["refused"])


def _everything(hub: HubScene) -> list[object]:
    with hub.database.work("worker") as connection:
        connection.execute("RESET ROLE")
        return [
            connection.execute(f"SELECT * FROM {table} ORDER BY 1, 2, 3").fetchall()
            for table in ("entry", "chain", "opening", "fork_evidence", "contact", "to_derive")
        ]


def _next(log: Log, **other: object) -> bytes:
    """The log's next entry with some fields other than they should be."""
    copy = log.copy("b")
    fields = json.loads(copy.append(odometer_read(trip="tripfirst")).data)
    return _line(fields | other)


def _line(fields: object) -> bytes:
    return json.dumps(fields, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode(
        "utf-8", "surrogatepass"
    )


def _after(log: Log, *lines: bytes, openings: tuple[Opened, ...] = ()) -> bytes:
    return pack_batch(replace(log.batch(len(log.lines)), entries=lines, openings=openings))


def _other_key(log: Log) -> bytes:
    copy = log.copy("b")
    copy.sign(DeviceKey(log_name(log.device), drawn_key("somebody else's")))
    return pack_batch(copy.batch(len(log.lines)))


def _other_root(log: Log) -> bytes:
    copy = log.copy("b")
    copy.peaks.add(b"something that is not there")
    copy.sign()
    return pack_batch(copy.batch(len(log.lines)))


def _key_out_of_nothing(log: Log) -> bytes:
    copy = log.copy("b")
    copy.key = DeviceKey(log_name(log.device), drawn_key("somebody else's"))
    copy.change_key()
    return pack_batch(copy.batch(len(log.lines)))


def _signature_changed(log: Log) -> bytes:
    copy = log.copy("b")
    entry = copy.sign()
    note = str(entry.body["signed_note"])
    place = len(note) - 10
    other = note[:place] + ("A" if note[place] != "A" else "B") + note[place + 1 :]
    return _after(
        log, _line(json.loads(entry.data) | {"body": entry.body | {"signed_note": other}})
    )


def _deep(log: Log) -> bytes:
    body = b"[" * 200_000 + b"]" * 200_000
    return _after(log, _next(log).replace(b'"body":{', b'"body":{"deep":' + body + b",", 1))


POISON: dict[str, tuple[Callable[[Log], bytes], str]] = {
    "nothing": (lambda _log: b"", "breaks off"),
    "a bomb": (lambda _log: zlib.compress(bytes(64 << 20)), "more than"),
    "bytes changed": (
        lambda log: _after(log, _next(log).replace(b"odometer_read", b"odometer read")),
        "does not know",
    ),
    "not canonical": (lambda log: _after(log, _next(log) + b" "), "canonical"),
    "deep JSON": (_deep, "no journal entry"),
    "half a letter": (lambda log: _after(log, _next(log, by="\ud800")), "no journal entry"),
    "half a letter, by its number": (
        lambda log: _after(log, _next(log, by="HERE").replace(b"HERE", b"\\ud800")),
        "no journal entry",
    ),
    "NUL in a trip": (lambda log: _after(log, _next(log, trip="t\0", trip_prev=None)), "no name"),
    "a trip of 10,000 letters": (
        lambda log: _after(log, _next(log, trip="t" * 10_000, trip_prev=None)),
        "no name",
    ),
    "NUL in a thing": (
        lambda log: _after(
            log, _next(log, kind="gear_recorded", body={"id": "g\0", "label": "S", "item": {}})
        ),
        "no name",
    ),
    "NUL in a kind": (lambda log: _after(log, _next(log, kind="\0")), "does not know"),
    "a newer kind": (lambda log: _after(log, _next(log, kind="beamed_up")), "newer triplog"),
    "a newer version": (lambda log: _after(log, _next(log, v=99)), "newer triplog"),
    "a number below zero": (lambda log: _after(log, _next(log, seq=-1)), "not what it should"),
    "a number beyond all": (lambda log: _after(log, _next(log, seq=10**300)), "no journal entry"),
    "a number with a part": (lambda log: _after(log, _next(log, seq=4.5)), "no place"),
    "a time that is none": (
        lambda log: _after(log, _next(log, event_time="2026-02-30T00:00:00.000Z")),
        "no journal entry",
    ),
    "a list for an entry": (lambda log: _after(log, b"[1,2]"), "no journal entry"),
    "invented data": (
        lambda log: _after(log, _next(log, clock={"boot_id": "x", "boot_ms": 1, "source": "demo"})),
        "invented",
    ),
    "another trip's chain": (
        lambda log: _after(log, _next(log, trip_prev="0" * 64)),
        "entry of its trip",
    ),
    "another trip's end": (lambda log: _after(log, _next(log, trip="tripsecond")), "of its trip"),
    "a gap": (lambda log: _after(log, _next(log, seq=len(log.lines) + 1)), "does not come after"),
    "the same entry twice": (
        lambda log: _after(log, _next(log), _next(log)),
        "does not come after",
    ),
    "an entry out of its place, over what is held": (
        lambda log: pack_batch(replace(log.batch(), entries=(log.lines[0], log.lines[2]))),
        "does not come after",
    ),
    "a head signed with another key": (_other_key, "not signed with the key"),
    "a head over other entries": (_other_root, "do not give the root"),
    "a signature changed": (_signature_changed, "does not fit the checkpoint"),
    "a key that names none before it": (_key_out_of_nothing, "not in force"),
    "a value that is not what was recorded": (
        lambda log: _after(
            log,
            _next(log, private={"note": "0" * 64}),
            openings=(
                Opened(
                    hash_of(_next(log, private={"note": "0" * 64})), "note", "0" * 32, "another"
                ),
            ),
        ),
        "not what",
    ),
}


@pytest.mark.parametrize("name", POISON)
def test_poison_is_refused_in_a_sentence(yard: Yard, name: str) -> None:
    make, word = POISON[name]
    assert word in _refused(yard, make(yard.log))


@pytest.mark.parametrize("whose", ["second", "third", "witness", "office"])
def test_nobody_brings_the_log_of_another(yard: Yard, whose: str) -> None:
    carrier = yard.hub.carrier
    device = {"witness": carrier.witness, "office": carrier.office}.get(whose, whose)
    foreign = new_log(device)
    for batch in (foreign.batch(), Batch(device=device, after=None, sent_ms=0)):
        assert "log" in _refused(yard, pack_batch(batch))


def test_entries_of_another_device_do_not_come_under_ones_own_name(yard: Yard) -> None:
    log = yard.log
    foreign = yard.other_carrier.lines
    _refused(yard, _after(log, foreign[0]))
    _refused(yard, pack_batch(replace(log.batch(), entries=tuple(foreign))))


def test_a_chain_without_entries_is_nobodys(yard: Yard) -> None:
    """Asking for a name claims nothing: its device pairs later, with whichever carrier."""
    asking = Batch(device="later", after=None, sent_ms=0)
    assert answered(yard.hub, yard.secret, pack_batch(asking)).head is None
    after = replace(asking, after=Place(5, "0" * 64))
    assert answered(yard.hub, yard.secret, pack_batch(after)).outcome == "resume"
    with yard.hub.database.work("worker") as connection:
        assert connection.execute("SELECT 1 FROM chain WHERE device = 'later'").fetchone() is None


def test_a_trip_of_another_carrier_by_the_same_id_shows_and_takes_nothing(yard: Yard) -> None:
    """An id belongs to nobody; what is recorded under it stays with whose it is."""
    yard.log.append(odometer_read(trip="tripthird"))
    answer = answered(yard.hub, yard.secret, pack_batch(yard.log.batch()))
    assert answer.outcome == "taken"
    yard.oracle.took("first", yard.log.lines)
    with yard.hub.database.work("office", yard.hub.carrier.id) as connection:
        rows = connection.execute("SELECT device FROM entry WHERE trip = 'tripthird'").fetchall()
    assert rows == [("first",)]


def test_a_value_told_twice_is_kept_once(yard: Yard) -> None:
    yard.log.append(trip_opened("again"))
    batch = yard.log.batch(len(yard.log.lines) - 1)
    doubled = replace(batch, openings=batch.openings * 2)
    assert answered(yard.hub, yard.secret, pack_batch(doubled)).outcome == "taken"
    with yard.hub.database.work("worker") as connection:
        rows = connection.execute(
            "SELECT field FROM opening WHERE entry = %s ORDER BY 1", (yard.log.hashes[-1],)
        ).fetchall()
    assert rows == [("destination",), ("origin",)]


def test_a_value_may_hold_what_no_text_of_the_database_can(yard: Yard) -> None:
    draft = replace(trip_opened("again"), private={"note": "a\0b\U0001f69a"})
    yard.log.append(draft)
    batch = yard.log.batch(len(yard.log.lines) - 1)
    assert answered(yard.hub, yard.secret, pack_batch(batch)).outcome == "taken"
    with yard.hub.database.work("worker") as connection:
        row = connection.execute(
            "SELECT value FROM opening WHERE entry = %s", (yard.log.hashes[-1],)
        ).fetchone()
    assert row is not None
    assert bytes(row[0]).decode() == "a\0b\U0001f69a"


@pytest.mark.parametrize("hours", [-20, -1, 1, 30 * 24])
def test_clocks_hours_apart_are_recorded_and_refuse_nothing(yard: Yard, hours: int) -> None:
    yard.log.append(odometer_read(trip="tripfirst"))
    now_ms = int(yard.hub.clock.wall.timestamp() * 1000)
    apart_ms = hours * 3_600_000
    batch = yard.log.batch(len(yard.log.lines) - 1, sent_ms=now_ms + apart_ms)
    answer = answered(yard.hub, yard.secret, pack_batch(batch))
    assert (answer.outcome, answer.received_ms) == ("taken", now_ms)
    yard.oracle.took("first", yard.log.lines)
    said = json.loads(yard.hub.held(yard.hub.carrier.witness)[-1])["body"]
    assert (said["of"], said["clock_ahead_ms"]) == ("first", apart_ms)
    with yard.hub.database.work("worker") as connection:
        row = connection.execute("SELECT clock_ahead_ms FROM device WHERE id = 'first'").fetchone()
    assert row == (apart_ms,)


def test_more_than_may_travel_is_cut_off_while_it_comes(yard: Yard) -> None:
    """However much is claimed, no more than a batch is read of it."""
    assert "travel at once" in _refused(yard, bytes(12 << 20))


def test_evidence_has_an_end(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("triplog.hub.putting_in.EVIDENCE_MAX", 3)
    for way in "bcdef":
        other = yard.log.copy(way, 3)
        other.append(odometer_read(trip="tripfirst"))
        answer = answered(yard.hub, yard.secret, pack_batch(other.batch()))
        assert answer.outcome == "forked"
    with yard.hub.database.work("ingest", yard.hub.carrier.id) as connection:
        assert connection.execute("SELECT count(*) FROM fork_evidence").fetchone() == (3,)
    found = [line for line in yard.hub.held(yard.hub.carrier.witness) if b"fork_found" in line]
    assert len(found) == 3


def test_the_hub_without_its_key_refuses_nobody_for_it(yard: Yard) -> None:
    """What was brought is right: it is to be tried again, and nothing was kept yet."""
    (key,) = yard.hub.home.glob("*.pem")
    aside = key.rename(key.with_suffix(".aside"))
    yard.log.append(odometer_read(trip="tripfirst"))
    status, body = asked(yard.hub, yard.secret, pack_batch(yard.log.batch()))
    assert status == 503, body
    assert str(yard.hub.home) not in body.decode()
    aside.rename(key)
    assert answered(yard.hub, yard.secret, pack_batch(yard.log.batch())).outcome == "taken"
    yard.oracle.took("first", yard.log.lines)


@pytest.mark.parametrize(
    "told",
    [b"", b"[]", b"{}", b'{"code":1}', b"[" * 3000, b"x" * 5000]
    + [
        json.dumps({"code": text, "device": "d", "key": "k"}).encode()
        for text in ("\ud800", "\0", "x" * 300)
    ]
    + [canonical({"code": "c", "device": "d" * 150, "key": "k" * 150})],
)
def test_a_pairing_that_is_none_is_refused(hub: HubScene, told: bytes) -> None:
    answer = hub.ask("POST", "/pair", content=told)
    assert answer.status_code == 422
    assert 10 < len(answer.json()["refused"]) < 200


@pytest.mark.parametrize(
    "shown", ["", "Bearer", "Bearer ", "Bearer x", "Basic x", "Bearer " + "x" * 999]
)
def test_whoever_shows_nothing_known_is_not_let_in(hub: HubScene, shown: str) -> None:
    answer = hub.ask("POST", "/push", content=b"x", headers={"authorization": shown})
    assert answer.status_code == 401
    assert "pair" in answer.json()["refused"]


def test_whoever_was_unpaired_is_not_let_in(yard: Yard) -> None:
    with yard.hub.database.work("office", yard.hub.carrier.id) as connection:
        connection.execute("UPDATE device SET unpaired_at = now() WHERE id = 'first'")
    assert asked(yard.hub, yard.secret, pack_batch(yard.log.batch()))[0] == 401


def test_a_former_device_is_brought_by_another_of_its_carrier(yard: Yard) -> None:
    """As after a restore, whose chain is a new one: the old one's last entries come with it."""
    former = new_log("former")
    former.sign()
    status, body = asked(yard.hub, yard.secret, pack_batch(former.batch()))
    assert status == 200
    assert answer_in(body).outcome == "taken"
    assert yard.hub.held("former") == former.lines
