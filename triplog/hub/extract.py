"""What the hub holds of some devices or trips, as an ordinary journal in a folder for a while.

Whole chains are taken in, each from its beginning, so that everything that reads, checks or exports
a journal does so here, unchanged. The rows stream by; nothing is held in memory.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from triplog.desk.checkpoints import record_key
from triplog.desk.desk import Desk
from triplog.desk.destroying import destroy_again
from triplog.desk.refused import Refused
from triplog.desk.setting_up import carrier_name, paper_of, units_of
from triplog.hub.carriers import Carrier
from triplog.hub.database import Database, Open, Role
from triplog.hub.own_log import as_told
from triplog.journal.device_key import KEY_NAME, did_sign
from triplog.journal.entries import Clock, ClockReading, time_text
from triplog.journal.forks import Evidence
from triplog.journal.store import create_store
from triplog.journal.store_file import STORE_NAME
from triplog.journal.taking_in import NotTaken, OpeningRow, Taken, take_in
from triplog.version import __version__

_AT_ONCE = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked for, by ids: the logs of `devices`, all where none is named; or `trips`.

    `until`: no log goes beyond its last entry that was written by then, by its own clock.
    """

    devices: tuple[str, ...] = ()
    trips: tuple[str, ...] = ()
    until: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldClock:
    """A clock whose readings stand in the log of a carrier, whose data are invented or not."""

    clock: Clock
    invented: bool

    def read(self) -> ClockReading:
        """The clocks now."""
        return as_told(self.clock.read(), self.invented)


@contextmanager
def extract(
    database: Database, role: Role, home: Path, carrier: Carrier, asked: Asked, clock: Clock
) -> Iterator[Desk]:
    """A desk over the extract; its folder goes in the end. `home`: where the hub's key lies.

    Raises Refused where there is nothing of it, or what is held does not hold together.
    """
    with TemporaryDirectory(prefix="triplog-extract-") as name:
        folder = Path(name)
        # Its heads are signed by the hub, whose key is not copied for that.
        (folder / KEY_NAME).symlink_to((home / KEY_NAME).absolute())
        with closing(create_store(folder / STORE_NAME)) as store:
            told = ToldClock(clock=clock, invented=carrier.invented)
            desk = Desk(home=folder, store=store, clock=told, via="program", again=True)
            _begin(desk, carrier)
            with database.work(role, carrier.id) as connection:
                _fill(desk, connection, carrier, asked)
            _name_carrier(desk, carrier)
            yield desk


def _begin(desk: Desk, carrier: Carrier) -> None:
    assert desk.tables, "the rows stand before anything is written"
    body: dict[str, object] = {"format": 1, "invented": carrier.invented, "program": __version__}
    with desk.writing() as writing:
        writing.append(desk.draft("store_begun", body))
        record_key(desk, writing, "set up")
        desk.store.set_fact("invented", "yes" if carrier.invented else "no")


def _fill(desk: Desk, connection: Open, carrier: Carrier, asked: Asked) -> None:
    ends = _ends(connection, carrier, asked)
    if not ends:
        raise Refused("nothing of that has arrived at the hub")
    with desk.writing() as writing:
        try:
            taken = take_in(
                desk.store,
                _FromHub(connection, ends),
                rows=desk.tables,
                did_sign=did_sign,
                source="hub",
                taken_at=time_text(writing.reading.wall),
                invented=carrier.invented,
            )
        except NotTaken as problem:
            raise Refused(f"what the hub holds does not hold together: {problem}") from problem
        writing.append(desk.draft("journal_taken_in", _told(taken)))
        destroy_again(desk, writing)


def _told(taken: Taken) -> dict[str, object]:
    received = {
        device: {"seq": one.seq, "hash": one.hash, "new": one.new}
        for device, one in sorted(taken.devices.items())
    }
    return {"source": "hub", "received": received, "openings": taken.openings}


def _name_carrier(desk: Desk, carrier: Carrier) -> None:
    """Where the carrier's name did not travel, its label at the hub stands for it."""
    if carrier_name(desk) is None:
        body: dict[str, object] = {"units": units_of(desk), "paper": paper_of(desk)}
        desk.record(desk.draft("carrier_recorded", body, private={"name": carrier.label}))


def _ends(connection: Open, carrier: Carrier, asked: Asked) -> list[tuple[str, int]]:
    """The chains that are taken, by device, each with its last number.

    The office's go with all. What was received when stands in a chain of its own, which goes with
    whole logs; between the entries of one trip it would have gaps.
    """
    rows = connection.execute(
        "SELECT chain.device, CASE WHEN %(until)s::text IS NULL THEN chain.seq ELSE"
        " (SELECT max(seq) FROM entry WHERE entry.device = chain.device"
        " AND entry.entry_time <= %(until)s) END AS last"
        " FROM chain LEFT JOIN device ON device.id = chain.device WHERE chain.seq >= 0 AND ("
        " chain.device = ANY(%(offices)s) OR device.is_office"
        " OR cardinality(%(trips)s::text[]) = 0 AND (chain.device = ANY(%(witnesses)s)"
        " OR cardinality(%(devices)s::text[]) = 0 OR chain.device = ANY(%(devices)s))"
        " OR chain.device IN (SELECT entry.device FROM entry WHERE trip = ANY(%(trips)s)))"
        " ORDER BY 1",
        {
            "until": None if asked.until is None else time_text(asked.until),
            "offices": list(carrier.offices),
            "witnesses": list(carrier.witnesses),
            "devices": list(asked.devices),
            "trips": list(asked.trips),
        },
    )
    return [(device, last) for device, last in rows if last is not None]


@dataclass(frozen=True, slots=True)
class _FromHub:
    """The chains up to their ends, as they stream from the database."""

    connection: Open
    ends: Sequence[tuple[str, int]]

    def lines(self) -> Iterable[bytes]:
        """The entries, by device and number."""
        for device, last in self.ends:
            query = "SELECT data FROM entry WHERE device = %s AND seq <= %s ORDER BY seq"
            for (data,) in self._rows(query, (device, last)):
                yield bytes(data)

    def openings(self) -> Iterable[OpeningRow]:
        """What has travelled and can be read of them."""
        for device, last in self.ends:
            rows = self._rows(
                "SELECT o.entry, o.field, o.salt, o.value FROM entry AS e JOIN opening AS o"
                " ON o.entry = e.hash WHERE e.device = %s AND e.seq <= %s",
                (device, last),
            )
            for entry, field, salt, value in rows:
                yield entry, field, salt, bytes(value).decode()

    def evidence(self) -> Iterable[Evidence]:
        """What was kept of other histories of these devices."""
        rows = self._rows(
            "SELECT device, seq, hash, data, taken_at FROM fork_evidence WHERE device = ANY(%s)"
            " ORDER BY device, seq, hash",
            ([device for device, _ in self.ends],),
        )
        for device, seq, own_hash, data, taken_at in rows:
            yield Evidence(
                device=device,
                seq=seq,
                hash=own_hash,
                data=bytes(data),
                taken_at=time_text(taken_at),
                source="pushed",
            )

    def _rows(self, query: str, values: tuple[object, ...]) -> Iterator[tuple[Any, ...]]:
        with self.connection.cursor(name="extract") as cursor:
            cursor.itersize = _AT_ONCE
            yield from cursor.execute(query, values)
