"""What a monitoring system is told of a hub, and what the hub's log tells: facts, and no person.

The text is read by another program's strict reader of OpenMetrics 1.0.0: in the specification's
*Text format*, *Overall Structure* (content type, the end), *MetricFamily metadata* (a unit ends a
name), *Metric types* (a counter's `_total`); in its *Data Model*, *Suffixes* and *Unit*.
"""

import http.client
import json
import signal
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import psycopg
import pytest
from prometheus_client import Metric
from prometheus_client.openmetrics import parser

from tests.builders import StandingClock, odometer_read, trip_opened
from tests.hub.logs import answered, asked, new_log, pair_log
from tests.hub.process import hub_process, post
from tests.hub.scene import HubScene, batch_of, hub_scene, openings_of
from tests.hub.served import device
from triplog.hub.app import Hub, application
from triplog.hub.database import open_database
from triplog.hub.hub_log import HubLog
from triplog.hub.schema import steps
from triplog.journal.batch import pack_batch
from triplog.version import __version__

read_strictly: Callable[[str], Iterator[Metric]] = parser.text_string_to_metric_families
Figures = dict[tuple[str, tuple[str, ...]], float]


@pytest.fixture
def lines() -> list[str]:
    """What the hub of a test has written into its log."""
    return []


@pytest.fixture
def hub(dsn: str, tmp_path: Path, lines: list[str]) -> Iterator[HubScene]:
    """A hub that tells its log what it does."""
    with hub_scene(dsn, tmp_path / "hub", StandingClock()) as scene:
        log = HubLog(scene.clock, lines.append)
        scene.app = application(
            Hub(database=scene.database, home=scene.home, clock=scene.clock, log=log)
        )
        yield scene


def _figures(hub: HubScene) -> Figures:
    answer = hub.ask("GET", "/metrics")
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == (
        "application/openmetrics-text; version=1.0.0; charset=utf-8"
    )
    assert answer.text.endswith("# EOF\n")
    return {
        (sample.name, tuple(sample.labels.values())): sample.value
        for family in read_strictly(answer.text)
        for sample in family.samples
    }


def _owner(hub: HubScene, query: str, *values: object) -> None:
    with psycopg.connect(hub.dsn, autocommit=True, options="-c search_path=hub") as connection:
        connection.execute(query, values)


def _a_worker_turned(hub: HubScene, ago: timedelta) -> None:
    at = hub.clock.wall - ago
    _owner(
        hub, "INSERT INTO worker_turn (worker, began_at, turned_at) VALUES ('w', %s, %s)", at, at
    )


def test_a_hub_with_a_worker_is_well(hub: HubScene) -> None:
    _a_worker_turned(hub, timedelta(seconds=4))
    answer = hub.ask("GET", "/health")
    assert answer.status_code == 200
    assert answer.json() == {
        "is_well": True,
        "takes_in": True,
        "database": "reached",
        "schema": "newest",
        "worker_turned_s_ago": 4.0,
        "waiting_to_be_derived": 0,
        "late_checks_not_told": 0,
        "trouble": [],
    }


@pytest.mark.parametrize("ago_s", [None, 301])
def test_without_a_worker_it_takes_in_and_is_not_well(hub: HubScene, ago_s: int | None) -> None:
    if ago_s is not None:
        _a_worker_turned(hub, timedelta(seconds=ago_s))
    answer = hub.ask("GET", "/health")
    assert answer.status_code == 503
    told = answer.json()
    assert (told["takes_in"], told["is_well"]) == (True, False)
    assert [one for one in told["trouble"] if "no worker runs" in one]


def test_what_no_office_took_for_an_hour_is_trouble(hub: HubScene) -> None:
    _a_worker_turned(hub, timedelta(0))
    at = hub.clock.wall - timedelta(minutes=61)
    _owner(
        hub,
        "INSERT INTO outbox (carrier, due_key, stage, trip, message, offset_min, written_at,"
        " next_at) VALUES (%s, 'd', 'late', 't', 'm', 0, %s, %s)",
        hub.carrier.id, at, at,
    )  # fmt: skip
    answer = hub.ask("GET", "/health")
    assert answer.status_code == 503
    assert answer.json()["trouble"] == ["late checks are written down that no office took"]
    figures = _figures(hub)
    assert figures["triplog_hub_waiting", ("tell",)] == 1
    assert figures["triplog_hub_waiting_oldest_seconds", ("tell",)] == 3660


def test_a_database_of_another_program_is_told(hub: HubScene) -> None:
    _owner(hub, "DELETE FROM step WHERE number = %s", steps()[-1].number)
    told = hub.ask("GET", "/health")
    assert told.status_code == 503
    assert (told.json()["schema"], told.json()["takes_in"]) == ("another", False)
    assert _figures(hub)["triplog_hub_schema_newest", ()] == 0


def test_a_database_from_before_these_questions_is_told(hub: HubScene) -> None:
    _owner(hub, "DROP FUNCTION last_step()")
    assert hub.ask("GET", "/health").json()["schema"] == "another"


def test_lists_of_another_version_are_told(hub: HubScene) -> None:
    _owner(hub, "COMMENT ON TABLE trip IS 'version 0'")
    assert hub.ask("GET", "/health").json()["schema"] == "another"


def test_a_hub_without_its_key_takes_nothing_in(hub: HubScene) -> None:
    (key,) = hub.home.glob("*.pem")
    key.rename(key.with_suffix(".aside"))
    told = hub.ask("GET", "/health").json()
    assert told["takes_in"] is False
    assert any("key" in one for one in told["trouble"])


def test_a_database_that_is_away_is_told_and_figures_are_given_all_the_same(hub: HubScene) -> None:
    hub.database.close()
    answer = hub.ask("GET", "/health")
    assert answer.status_code == 503
    told = answer.json()
    assert (told["database"], told["schema"], told["takes_in"]) == ("away", None, False)
    figures = _figures(hub)
    assert figures["triplog_hub_database_up", ()] == 0
    assert figures["triplog_hub_batches_total", ("taken",)] == 0


def test_the_figures_are_those_of_what_happened(hub: HubScene) -> None:
    log = new_log("first")
    log.append(trip_opened("t"))
    secret = pair_log(hub, log)
    assert answered(hub, secret, pack_batch(log.batch())).outcome == "taken"
    other = log.copy("b", 2)
    other.append(trip_opened("u"))
    assert answered(hub, secret, pack_batch(other.batch())).outcome == "forked"
    assert asked(hub, secret, b"no batch")[0] == 422
    assert asked(hub, "nobody's", b"no batch")[0] == 401
    refused = hub.ask("POST", "/pair", json={"code": "c", "device": "d", "key": "k"})
    assert refused.status_code == 422
    _owner(hub, "UPDATE to_derive SET queued_at = now() - interval '90 s'")
    _owner(hub, "UPDATE device SET seen_at = %s", hub.clock.wall - timedelta(hours=3))
    _a_worker_turned(hub, timedelta(seconds=7))
    found = _figures(hub)
    wanted = {
        ("triplog_hub_batches_total", ("taken",)): 1,
        ("triplog_hub_batches_total", ("forked",)): 1,
        ("triplog_hub_batches_total", ("refused",)): 1,
        ("triplog_hub_batches_total", ("not_let_in",)): 1,
        ("triplog_hub_batches_total", ("fault",)): 0,
        ("triplog_hub_pairings_total", ("paired",)): 1,
        ("triplog_hub_pairings_total", ("refused",)): 1,
        ("triplog_hub_devices", ("hour",)): 0,
        ("triplog_hub_devices", ("day",)): 1,
        ("triplog_hub_devices", ("longer",)): 0,
        ("triplog_hub_workers", ()): 1,
        ("triplog_hub_worker_turn_age_seconds", ()): 7,
        ("triplog_hub_database_up", ()): 1,
        ("triplog_hub_schema_newest", ()): 1,
        ("triplog_hub_put_aside", ()): 0,
    }
    assert {key: found[key] for key in wanted} == wanted
    held = len(hub.held("first")) + len(hub.held(hub.carrier.witness))
    held += len(hub.held(hub.carrier.office))
    assert found["triplog_hub_entries_total", ()] == held
    with hub.database.work("worker") as connection:
        (queued,) = connection.execute("SELECT count(*) FROM to_derive").fetchone() or (0,)
    assert found["triplog_hub_waiting", ("derive",)] == queued > 0
    assert 90 <= found["triplog_hub_waiting_oldest_seconds", ("derive",)] < 90 + 60
    assert 0 < found["triplog_hub_database_answer_seconds", ()] < 60


@pytest.mark.parametrize("path", ["/health", "/metrics"])
@pytest.mark.parametrize(
    ("caller", "told", "status"),
    [
        ("127.0.0.1", (), 503),
        ("::1", (), 503),
        ("::ffff:127.0.0.1", (), 503),
        ("192.168.1.20", (), 503),
        ("192.168.1.9", (), 403),
        ("192.168.1.9", ("192.168.1.9",), 503),
        ("::ffff:192.168.1.9", ("192.168.1.9",), 503),
        ("192.168.1.90", ("192.168.1.9",), 403),
        ("", ("192.168.1.9",), 403),
    ],
)
def test_only_this_machine_and_who_was_told_of_may_ask(
    hub: HubScene, path: str, caller: str, told: tuple[str, ...], status: int
) -> None:
    """The hub is at 192.168.1.20; no worker runs, so it is not well where it answers at all."""
    watched = Hub(
        database=hub.database, home=hub.home, clock=hub.clock, watched_from=frozenset(told)
    )
    answer = replace(hub, app=application(watched)).ask_from(caller, "GET", path)
    assert answer.status_code == (200 if path == "/metrics" and status == 503 else status)
    if status == 403:
        assert "watched-from" in answer.text


def test_nothing_that_anybody_wrote_stands_in_log_health_or_figures(
    hub: HubScene, lines: list[str], tmp_path: Path
) -> None:
    """A whole day with its private values; then everything a device can be refused for."""
    truck = device(tmp_path / "truck")
    paired = hub.pair(truck.desk.store, "the label of a truck")
    hub.push(paired, batch_of(truck.desk.store, openings=openings_of(truck.desk.store)))
    log = new_log("secretive")
    secret = pair_log(hub, log)
    strange = json.loads(log.copy("b").append(odometer_read(trip="a trip of somebody")).data)
    strange["kind"] = "a kind that quotes the mill"
    line = json.dumps(strange, sort_keys=True, separators=(",", ":")).encode()
    whole = replace(log.batch(), entries=(*log.lines, line))
    assert asked(hub, secret, pack_batch(whole))[0] == 422
    assert asked(hub, secret, pack_batch(log.batch()))[0] == 200
    forked = log.copy("c", 1)
    forked.append(trip_opened("a trip of somebody"))
    assert asked(hub, secret, pack_batch(forked.batch()))[0] == 200
    hub.ask("POST", "/pair", json={"code": "the mill", "device": "the mill", "key": "the mill"})
    hub.ask("GET", "/office", headers={"host": "the.mill.example"})
    told = "".join(lines)
    seen = told + hub.ask("GET", "/health").text + hub.ask("GET", "/metrics").text
    hub.database.close()
    assert asked(hub, secret, b"")[0] == 503
    seen += lines[-1]
    words = {
        *("the mill", "the.mill", "orchard", "the yard", "driver", "truck", "flatbed", "somebody"),
        *("test carrier", hub.carrier.label, hub.carrier.id, "T-1", "S-1", "W-1"),
        *(truck.desk.store.device, "secretive", secret, paired.secret),
        *(value for _, _, _, value in openings_of(truck.desk.store)),
    }
    assert not [word for word in words if word in seen]
    told_lines = [json.loads(one) for one in lines]
    assert all(one.endswith("\n") and one.count("\n") == 1 for one in lines)
    whats = [one["what"] for one in told_lines]
    assert whats == [
        *("device paired", "device paired", "batch refused", "another history came"),
        *("pairing refused", "refused at the pages", "nothing can be taken in"),
    ]
    refused = told_lines[2]
    assert (refused["device"], refused["why"]) == ("secr", "NotTaken")
    assert refused["at_code"].startswith("chain.py:")


def test_a_hub_that_fails_says_where_and_quotes_nobody(
    hub: HubScene, lines: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    log = new_log("first")
    secret = pair_log(hub, log)

    def fails(*_: object) -> None:
        raise ValueError("what somebody wrote")

    monkeypatch.setattr("triplog.hub.app.take", fails)
    assert asked(hub, secret, pack_batch(log.batch()))[0] == 500
    told = json.loads(lines[-1])
    assert (told["what"], told["kind"], told["device"]) == ("our fault", "ValueError", "firs")
    assert "somebody" not in lines[-1]
    assert "test_watched.py:" in told["at_code"]
    assert _figures(hub)["triplog_hub_batches_total", ("fault",)] == 1


def test_a_database_is_reached_again_by_the_next_question(hub: HubScene) -> None:
    """The answer of before is not kept."""
    _a_worker_turned(hub, timedelta(0))
    hub.database.close()
    assert hub.ask("GET", "/health").status_code == 503
    hub.database.pool = open_database(hub.dsn).pool
    assert hub.ask("GET", "/health").status_code == 200


def test_a_served_hub_writes_lines_of_json_and_ends_when_it_is_told_to(
    hub: HubScene, tmp_path: Path
) -> None:
    """As a service has it: standard error is the log, SIGTERM ends it with 0."""
    path = tmp_path / "log"
    with path.open("wb") as file:
        process, port = hub_process(hub.dsn, hub.home, file)
        try:
            with pytest.raises(OSError):
                post(port, "nobody's", b"")
            with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=30)) as line:
                line.request("GET", "/health")
                assert json.loads(line.getresponse().read())["takes_in"] is True
            process.send_signal(signal.SIGTERM)
            assert process.wait(30) == 0
        finally:
            process.kill()
            process.wait(30)
    told = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
    assert [one["what"] for one in told] == ["serving", "serving no more"]
    assert told[0]["version"] == __version__
