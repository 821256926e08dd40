"""Small invented logs, and bundles made from them.

Pure but for `bag`: the same calls give the same bytes. Times run in steps of five minutes.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from exports.bundle import Part, write_bundle

MADE_AT = "2026-05-04T18:00:00.000Z"
TRIP = "trip-a"
_START = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)


def canonical(value: Any) -> bytes:
    """The canonical bytes of a value of the restricted set."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def stamp(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"


@dataclass(slots=True)
class Log:
    """Entries in the order they were written, with the openings of their private fields."""

    entries: list[dict[str, Any]] = field(default_factory=list)
    openings: list[dict[str, Any]] = field(default_factory=list)
    source: str = "system"

    def add(
        self,
        kind: str,
        *,
        device: str = "dev-1",
        trip: str | None = TRIP,
        body: Mapping[str, Any] | None = None,
        private: Mapping[str, str] | None = None,
        follows: str | None = None,
        late_min: int = 0,
    ) -> str:
        """Write an entry; the answer is its hash."""
        own = [each for each in self.entries if each["device"] == device]
        of_trip = [each for each in own if trip is not None and each["trip"] == trip]
        written = _START + timedelta(minutes=5 * len(self.entries))
        entry: dict[str, Any] = {
            "device": device,
            "seq": len(own),
            "prev": entry_hash(own[-1]) if own else None,
            "trip_prev": entry_hash(of_trip[-1]) if of_trip else None,
            "kind": kind,
            "v": 1,
            "event_time": stamp(written - timedelta(minutes=late_min)),
            "event_offset_min": -300,
            "entry_time": stamp(written),
            "clock": {
                "source": self.source,
                "boot_id": f"boot-{device}",
                "boot_ms": 300_000 * len(self.entries),
            },
            "by": "person-driver",
            "via": "typed",
            "trip": trip,
            "body": dict(body or {}),
            "private": {},
            "follows": follows,
            "idem": f"idem-{len(self.entries)}",
        }
        salts = {name: f"{len(self.entries):030x}{i:02x}" for i, name in enumerate(private or {})}
        for name, value in (private or {}).items():
            entry["private"][name] = sha256(canonical([salts[name], name, value]))
        self.entries.append(entry)
        digest = entry_hash(entry)
        self.openings += [
            {"entry": digest, "field": name, "salt": salts[name], "value": value}
            for name, value in (private or {}).items()
        ]
        return digest

    def lines(self, trip: str | None = None, beside: Iterable[str] = ()) -> list[bytes]:
        """The stored bytes by device and number: all, or a trip's and those beside it."""
        wanted = set(beside)
        ordered = sorted(self.entries, key=lambda entry: (entry["device"], entry["seq"]))
        return [
            canonical(entry)
            for entry in ordered
            if trip is None or entry["trip"] == trip or entry_hash(entry) in wanted
        ]

    def lines_as_written(self) -> list[bytes]:
        """The bytes of each entry in the order they were added, whatever it holds."""
        return [canonical(entry) for entry in self.entries]

    def card(self, trip: str | None = None, beside: Iterable[str] = ()) -> dict[str, Any]:
        """What bundle.json says of this log."""
        heads: dict[str, Any] = {}
        for entry in self.entries:
            if trip is None or entry["trip"] == trip:
                before = heads.get(entry["device"], {"entries": 0})
                heads[entry["device"]] = {
                    "seq": entry["seq"],
                    "hash": entry_hash(entry),
                    "entries": before["entries"] + 1,
                }
        exports = [one["entry_time"] for one in self.entries if one.get("kind") == "exported"]
        return {
            "format": "triplog-bundle/1",
            "scope": "store" if trip is None else "trip",
            "trip": trip,
            "heads": heads,
            "beside": sorted(beside),
            "made_at": exports[-1] if exports else MADE_AT,
            "invented": self.source == "demo",
        }


def entry_hash(entry: Mapping[str, Any]) -> str:
    return sha256(canonical(entry))


def rehashed(entries: list[dict[str, Any]]) -> Log:
    """The whole log written anew, every link put right: what a forger with the machine can do."""
    log = Log()
    for entry in entries:
        own = [each for each in log.entries if each["device"] == entry["device"]]
        of_trip = [each for each in own if each["trip"] == entry["trip"] is not None]
        log.entries.append(
            entry
            | {
                "prev": entry_hash(own[-1]) if own else None,
                "trip_prev": entry_hash(of_trip[-1]) if of_trip else None,
            }
        )
    return log


def a_day() -> Log:
    """An invented day: two devices, a trip with a check, a correction and a hand-over."""
    log = Log()
    log.add("person_added", trip=None, private={"name": "driver"})
    log.add("trip_opened", body={"label": "T-1"})
    log.add("plan_recorded", body={"plan": {"straps": ["S-1", "S-2"], "length": "27'"}})
    log.add("departed", body={"odometer": "120,345 mi"})
    log.add("gear_set_aside", trip=None, body={"label": "S-9"})
    reading = log.add("odometer_read", body={"odometer": "120,395 mi"})
    log.add("odometer_read", body={"odometer": "120,393 mi"}, follows=reading, late_min=5)
    check = log.add(
        "check_completed",
        body={"S-1": "fine", "S-2": "slack, tightened"},
        private={"place": "the lay-by – north side", "note": "one notch"},
    )
    log.add("handed_over", body={"trip_heads": {"dev-1": check}})
    taken = log.add("trip_taken", device="dev-2", body={"trip_heads": {"dev-1": check}})
    log.add("released", device="dev-2")
    log.add("trip_closed", device="dev-2", body={"trip_heads": {"dev-1": check, "dev-2": taken}})
    return log


def parts(
    lines: Iterable[bytes], card: Mapping[str, Any], openings: Iterable[Mapping[str, Any]] = ()
) -> list[Part]:
    """The three files of a bundle that this checker reads, and one it only hashes."""
    return [
        Part(path="entries.jsonl", data=b"".join(line + b"\n" for line in lines)),
        Part(path="openings.jsonl", data=b"".join(canonical(each) + b"\n" for each in openings)),
        Part(path="bundle.json", data=canonical(card)),
        Part(path="tables/checks.csv", data=b"line,state\r\nS-1,fine\r\n"),
    ]


def bag(
    target: Path,
    lines: Iterable[bytes],
    card: Mapping[str, Any],
    openings: Iterable[Mapping[str, Any]] = (),
    more: Mapping[str, bytes] | None = None,
) -> Path:
    """Write a bundle, with more files by name; an archive if the target ends in .zip."""
    added = [Part(path=name, data=data) for name, data in (more or {}).items()]
    write_bundle(
        target,
        [*parts(lines, card, openings), *added],
        {"External-Description": "invented"},
        MADE_AT,
        as_zip=target.suffix == ".zip",
    )
    return target


def bag_day(target: Path, log: Log | None = None) -> Path:
    """The whole day, undamaged, as a store bundle."""
    day = log or a_day()
    return bag(target, day.lines(), day.card(), day.openings)


def bag_trip(target: Path, log: Log | None = None) -> Path:
    """The day's trip, undamaged, as a trip bundle with the two entries of no trip beside it."""
    day = log or a_day()
    beside = [entry_hash(entry) for entry in day.entries if entry["trip"] is None]
    return bag(target, day.lines(TRIP, beside), day.card(TRIP, beside), day.openings)
