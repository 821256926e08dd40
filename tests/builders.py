"""Small builders that many tests share: a clock that stands, drafts, a journal, a big store."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sqlalchemy import Select, Table, select
from sqlmodel import SQLModel

from scheduler.recheck_rules import rule_row
from scheduler.rules_combined import rules_for
from triplog.checks import due_rows
from triplog.journal.derived_tables import DerivedTables
from triplog.journal.entries import (
    Body,
    ClockReading,
    Draft,
    Entry,
    entry_bytes,
    entry_of,
    hash_of,
    time_text,
)
from triplog.journal.store import Store, create_store, open_store
from triplog.journal.store_file import PROJECTION_VERSION

START = datetime(2026, 3, 2, 13, 0, tzinfo=UTC)
"""A Monday in March, seven in the morning where the trucks of these tests stand."""
OFFSET_MIN = -360
TRIP = "aaaaaaaaaaaaaaaa"
DRIVER = "bbbbbbbbbbbbbbbb"
VEHICLE = "cccccccccccccccc"
DEVICE = "dddddddddddddddd"


@dataclass(slots=True)
class StandingClock:
    """A clock that stands until it is moved; wall and boot time go together."""

    wall: datetime = START
    boot_ms: int = 60_000
    boot_id: str = "first start"

    def read(self) -> ClockReading:
        """The clocks now."""
        return ClockReading(
            wall=self.wall,
            offset_min=OFFSET_MIN,
            source="machine",
            boot_id=self.boot_id,
            boot_ms=self.boot_ms,
        )

    def forward(self, *, minutes: float = 0, seconds: float = 0) -> ClockReading:
        """Let time pass, then read."""
        passed = timedelta(minutes=minutes, seconds=seconds)
        self.wall += passed
        self.boot_ms += passed // timedelta(milliseconds=1)
        return self.read()


@dataclass(slots=True)
class Journal:
    """A store with its derived tables and a clock: what the desk holds when it works."""

    store: Store
    tables: DerivedTables
    clock: StandingClock = field(default_factory=StandingClock)

    def record(self, *drafts: Draft, minutes: float = 1, repeat_asked: bool = False) -> Entry:
        """Append drafts in one transaction after some minutes; the last one's entry."""
        with self.store.writing(self.clock.forward(minutes=minutes), self.tables) as writing:
            entries = [writing.append(draft, repeat_asked=repeat_asked) for draft in drafts]
        return entries[-1]

    def rows(self) -> dict[str, list[tuple[object, ...]]]:
        """Everything in the derived tables, by table, in the order of their keys."""
        return {
            table.name: [tuple(row) for row in self.tables.connection.execute(_in_order(table))]
            for table in SQLModel.metadata.sorted_tables
        }

    def rebuilt_rows(self) -> dict[str, list[tuple[object, ...]]]:
        """The same after the tables have been dropped and made anew."""
        self.store.rebuild(self.tables)
        return self.rows()

    def close(self) -> None:
        """Close the file."""
        self.store.close()


def _in_order(table: Table) -> Select[tuple[object, ...]]:
    return select(table).order_by(*table.primary_key)


def tables_of(store: Store) -> DerivedTables:
    """The projection the program uses, over a store."""
    return DerivedTables(store, due_rows, PROJECTION_VERSION)


def new_journal(path: Path) -> Journal:
    """A store that has just been begun, its first entry in it."""
    store = create_store(path)
    tables = tables_of(store)
    store.rebuild(tables)
    journal = Journal(store=store, tables=tables)
    journal.record(begun(), minutes=0)
    return journal


def reopened(path: Path, clock: StandingClock | None = None) -> Journal:
    """A store opened again, as the next command would."""
    store = open_store(path)
    return Journal(store=store, tables=tables_of(store), clock=clock or StandingClock())


def depart(journal: Journal, trip: str = TRIP, *, label: str = "T-1") -> Entry:
    """Open a trip, plan two articles under four straps, and drive off; the plan's entry."""
    plan = journal.record(trip_opened(trip, label=label), plan_recorded(trip))
    journal.record(departed(plan.hash, trip))
    return plan


def entry_made(
    draft: Draft,
    *,
    seq: int = 0,
    minutes: float = 0,
    device: str = DEVICE,
    prev: str | None = None,
) -> Entry:
    """An entry without a store, made so many minutes after the start."""
    clock = StandingClock()
    return entry_of(
        entry_bytes(
            draft,
            device=device,
            seq=seq,
            prev=prev,
            trip_prev=None,
            version=1,
            reading=clock.forward(minutes=minutes),
            commitments=dict.fromkeys(draft.private, "0" * 64),
            idem=f"{device}-{seq}",
        )
    )


def begun() -> Draft:
    """The first entry of a store."""
    body: Body = {"format": 1, "invented": False, "program": "triplog 0.1.0"}
    return Draft(kind="store_begun", body=body, by="nobody")


def trip_opened(trip: str = TRIP, *, label: str = "T-1", idem: str | None = None) -> Draft:
    """A trip with two private fields."""
    return Draft(
        kind="trip_opened",
        trip=trip,
        body={"id": trip, "label": label},
        private={"origin": "the upper yard", "destination": "the orchard behind the mill"},
        by=DRIVER,
        idem=idem,
    )


def plan_document(mass: str = "6200 lb") -> Body:
    """A plan with two articles under four straps, in plan format 1."""
    return {
        "format": "triplog-plan/1",
        "article": [
            {"id": "A1", "what": "orchard sprayer", "mass": mass, "length": "9 ft"},
            {"id": "A2", "what": "bagged lime", "mass": "2000 lb", "length": "4 ft"},
        ],
        "tie_down": [
            {"id": f"T{number}", "holds": ["A1" if number < 3 else "A2"], "gear": f"S-{number}"}
            for number in range(1, 5)
        ],
    }


def plan_recorded(
    trip: str = TRIP, *, mass: str = "6200 lb", number: int = 1, follows: str | None = None
) -> Draft:
    """A plan revision; a correction of one where `follows` names it."""
    return Draft(
        kind="plan_recorded",
        trip=trip,
        body={"document": plan_document(mass), "sources": [], "number": number},
        by=DRIVER,
        follows=follows,
        private={"correction_reason": "the ticket was misread"} if follows else {},
    )


def departed(revision: str, trip: str = TRIP) -> Draft:
    """A departure under the United States rules, nothing left unmet."""
    return Draft(
        kind="departed",
        trip=trip,
        body={
            "revision": revision,
            "rules": [rule_row(rule) for rule in rules_for(["us-392.9"], START.date())],
            "driver": DRIVER,
            "odometer": "24130 mi",
            "top_speed": "65 mph",
            "judgement": None,
            "unmet": [],
            "vehicle": VEHICLE,
        },
        by=DRIVER,
    )


def odometer_read(
    odometer: str = "24131 mi",
    trip: str = TRIP,
    *,
    follows: str | None = None,
    idem: str | None = None,
    event_time: datetime | None = None,
    note: str | None = None,
) -> Draft:
    """A reading; a correction of one where `follows` names it."""
    private = {"note": note} if note else {}
    if follows:
        private["correction_reason"] = "two digits were swapped"
    return Draft(
        kind="odometer_read",
        trip=trip,
        body={"odometer": odometer},
        by=DRIVER,
        private=private,
        follows=follows,
        idem=idem,
        event_time=event_time,
    )


def duty_changed(status: str, trip: str = TRIP, *, driver: str = DRIVER) -> Draft:
    """A change of duty status."""
    return Draft(
        kind="duty_changed",
        trip=trip,
        body={"driver": driver, "status": status},
        private={"place": "the rest area past the bridge"},
        by=driver,
    )


def check_completed(revision: str, trip: str = TRIP, *, odometer: str = "24170 mi") -> Draft:
    """A completed check: one strap was slack and has been tightened."""
    lines: list[Body] = [
        {"tie_down": "T1", "found": "fine"},
        {"tie_down": "T2", "found": "slack, tightened", "notches": 2},
        {"tie_down": "T3", "found": "fine"},
        {"tie_down": "T4", "found": "fine"},
    ]
    body: Body = {
        "lines": lines,
        "looks": [],
        "closes": [],
        "revision": revision,
        "odometer": odometer,
    }
    return Draft(kind="check_completed", trip=trip, body=body, by=DRIVER)


def withdrawn(entry: Entry) -> Draft:
    """Taking an entry back."""
    return Draft(
        kind="entry_withdrawn",
        trip=entry.trip,
        body={},
        private={"reason": "recorded on the wrong trip"},
        by=DRIVER,
        follows=entry.hash,
    )


def gear_recorded(gear: str, label: str, *, wll: str = "3335 lb") -> Draft:
    """A strap in stock."""
    item: Body = {"kind": "webbing strap", "width": "2 in", "length": "27 ft", "wll": wll}
    return Draft(kind="gear_recorded", body={"id": gear, "label": label, "item": item}, by=DRIVER)


def gear_standing_set(gear: str, standing: str) -> Draft:
    """Setting a piece of gear aside, or back into stock."""
    return Draft(
        kind="gear_standing_set",
        body={"gear": gear, "standing": standing},
        private={"reason": "a cut in the edge"},
        by=DRIVER,
    )


def gear_inspected(gear: str, answer: str, *, kind: str | None = None) -> Draft:
    """A look at a piece of gear and what it came to."""
    damage = [] if kind is None else [{"kind": kind}]
    body: Body = {"gear": gear, "damage": damage, "answer": answer, "limits": []}
    return Draft(kind="gear_inspected", body=body, by=DRIVER)


def hold(gear: str, kind: str) -> Draft:
    """An evidence hold on a piece of gear, placed or lifted."""
    return Draft(kind=kind, body={"gear": gear}, private={"reason": "evidence"}, by=DRIVER)


def person_recorded(person: str, label: str, *, name: str = "the driver's own name") -> Draft:
    """A driver, whose name is private."""
    return Draft(
        kind="person_recorded",
        body={"id": person, "label": label, "roles": ["driver"]},
        private={"name": name},
        by=DRIVER,
    )


def vehicle_recorded(vehicle: str = VEHICLE, label: str = "flatbed") -> Draft:
    """A flatbed with two anchor points."""
    return Draft(
        kind="vehicle_recorded",
        body={
            "id": vehicle,
            "label": label,
            "document": {"gross_mass": "26000 lb", "use": "business", "deck_length": "24 ft"},
            "anchors": [
                {"id": "L1", "kind": "stake pocket", "at": ["2 ft", "left"], "wll": "5000 lb"},
                {"id": "R1", "kind": "stake pocket", "at": ["2 ft", "right"], "wll": "5000 lb"},
            ],
            "top_speed": "65 mph",
        },
        by=DRIVER,
    )


BULK_TRIP_ENTRIES = 100
"""Entries of each trip of a bulk store; the first opens the trip, the others read odometers."""


def bulk_store(path: Path, count: int) -> Store:
    """A store of so many entries, written straight into its table; the derived tables are bare.

    The bytes are those that `entry_bytes` would give (a test compares), only made faster.
    """
    store = create_store(path)
    store.rebuild(tables_of(store))
    raw = store.raw
    raw.execute("PRAGMA synchronous = OFF")
    raw.execute("PRAGMA cache_size = -400000")
    raw.execute("BEGIN IMMEDIATE")
    raw.executemany(
        "INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, NULL, ?, ?)", bulk_rows(store.device, count)
    )
    raw.execute("COMMIT")
    store.close()
    return open_store(path)


def bulk_rows(device: str, count: int) -> Iterator[tuple[str, int, str, str, str, str, str, bytes]]:
    """(device, seq, hash, idem, kind, trip, entry_time, data) of entries a second apart."""
    prev = trip_prev = "null"
    for seq in range(count):
        number, place = divmod(seq, BULK_TRIP_ENTRIES)
        trip = f"bulk{number:012d}"
        if place == 0:
            kind, body, trip_prev = "trip_opened", f'"id":"{trip}","label":"T-{number}"', "null"
        else:
            kind, body = "odometer_read", f'"odometer":"{24130 + place} mi"'
        moment = time_text(START + timedelta(seconds=seq))
        idem = f"bulk-{seq:09d}"
        data = (
            f'{{"body":{{{body}}},"by":"{DRIVER}","clock":{{"boot_id":"first start",'
            f'"boot_ms":{60_000 + seq * 1000},"source":"machine"}},"device":"{device}",'
            f'"entry_time":"{moment}","event_offset_min":{OFFSET_MIN},"event_time":"{moment}",'
            f'"follows":null,"idem":"{idem}","kind":"{kind}","prev":{prev},"private":{{}},'
            f'"seq":{seq},"trip":"{trip}","trip_prev":{trip_prev},"v":1,"via":"typed"}}'
        ).encode()
        own_hash = hash_of(data)
        yield device, seq, own_hash, idem, kind, trip, moment, data
        prev = trip_prev = f'"{own_hash}"'
