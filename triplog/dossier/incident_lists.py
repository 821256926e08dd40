"""The lists after an incident: the register's fields, pictures, pieces, who was told. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import cast

from triplog.dossier.trip_sheet import when_text
from triplog.journal.entries import Entry
from triplog.journal.folding import InForce
from triplog.journal.trip import Trip, text_in
from triplog.wording.entries import moment_text
from triplog.wording.incident import PICTURES, PIECES, REGISTER, UNKNOWN, fact_text

OF_INCIDENT = ("incident_reported", "incident_added")


@dataclass(frozen=True, slots=True, kw_only=True)
class IncidentFacts:
    """What a report needs beside the trip.

    `people`: labels by id; `names`: own names by id, where they can be opened; `opened`: the
    private values of an entry by its hash; `now`, `offset_min`: when and where it is made.
    """

    people: Mapping[str, str]
    names: Mapping[str, str]
    opened: Mapping[str, Mapping[str, str]]
    carrier: str | None
    now: datetime
    offset_min: int
    invented: bool


def register_rows(trip: Trip, facts: IncidentFacts) -> list[tuple[str, str]]:
    """The six fields of the register, each as told last, or *unknown*; of the last incident."""
    told = _last_incident(trip)
    if not told:
        return [(title, UNKNOWN) for _, title in REGISTER]
    values = {
        "date": _date(told[0]),
        "place": _last_opened(told, facts, "place"),
        "driver": _driver(trip, told, facts),
    }
    for name in ("injured", "killed", "hazardous_release"):
        known = [fact.entry.body[name] for fact in told if name in fact.entry.body]
        values[name] = fact_text(known[-1] if known else None)
    return [(title, values[name]) for name, title in REGISTER]


def picture_rows(trip: Trip) -> list[tuple[str, str, str]]:
    """Each picture that should be taken, how many there are since the incident, and of what."""
    told = _last_incident(trip)
    since = told[0].entry.event_time if told else None
    taken = [
        fact.entry.body.get("shows")
        for fact in trip.of("photo_added")
        if since is None or fact.entry.event_time >= since
    ]
    return [(word, str(taken.count(word) or "not yet"), what) for word, what in PICTURES]


def piece_rows(trip: Trip, facts: IncidentFacts) -> list[tuple[str, ...]]:
    """Each piece that was recorded, then the kinds of piece of which nothing is."""
    found = trip.of("piece_kept")
    rows: list[tuple[str, ...]] = []
    for fact in found:
        body, opened = fact.entry.body, facts.opened.get(fact.entry.hash, {})
        of = ", ".join(str(body[name]) for name in ("tie_down", "gear") if name in body)
        rows.append(
            (
                text_in(body, "piece"),
                text_in(body, "state"),
                of or "not told",
                ", ".join(opened[name] for name in ("place", "note") if name in opened)
                or "not told",
                f"{person(facts, fact.entry.by)}, {when_text(fact.entry)}",
            )
        )
    named = {fact.entry.body["piece"] for fact in found}
    return rows + [(one, "nothing recorded", "", "", "") for one in PIECES if one not in named]


def told_rows(trip: Trip, facts: IncidentFacts) -> list[tuple[str, str, str]]:
    """Who was told of it, when, and who recorded that; what the office was sent too."""
    rows = []
    for fact in trip.of(*OF_INCIDENT):
        for who in cast(list[str], fact.entry.body.get("told", [])):
            first = fact.original.kind == "incident_reported"
            known = not first and fact.entry.body.get("time_told")
            when = (
                when_text(fact.entry)
                if known
                else f"not after {entered(fact.entry)}, time not told"
            )
            rows.append((who, when, person(facts, fact.entry.by)))
    for fact in trip.of("office_message_tried"):
        came = str(fact.entry.body["came"]).replace("_", " ")
        rows.append((f"office, by message: {came}", when_text(fact.entry), "the program"))
    return rows


def _last_incident(trip: Trip) -> list[InForce]:
    """The incident that happened last, then what was added to it, in the order written down."""
    found = trip.last("incident_reported")
    if found is None:
        return []
    added = [
        fact for fact in trip.of("incident_added") if fact.entry.body["incident"] in found.hashes
    ]
    return [found, *sorted(added, key=lambda fact: (fact.original.entry_time, fact.original.seq))]


def _date(incident: InForce) -> str:
    if not incident.entry.body.get("time_told"):
        return f"{UNKNOWN}; written down {entered(incident.entry)}"
    return when_text(incident.entry)


def _last_opened(told: list[InForce], facts: IncidentFacts, name: str) -> str:
    """A private value as told last; *unknown* where none was, *withheld* where it is not open."""
    for fact in reversed(told):
        value = facts.opened.get(fact.entry.hash, {}).get(name)
        if value is not None:
            return value
        if name in fact.entry.private:
            return "withheld"
    return UNKNOWN


def _driver(trip: Trip, told: list[InForce], facts: IncidentFacts) -> str:
    """Who drove as told; else the only driver on board by the log, which is then said."""
    named = [fact.entry.body["driver"] for fact in told if "driver" in fact.entry.body]
    if named:
        return _own_name(facts, str(named[-1]))
    drivers = list(trip.duty_by_driver)
    if len(drivers) == 1:
        return f"{_own_name(facts, drivers[0])}, the only driver on board by the log"
    if drivers:
        return f"{UNKNOWN}; on board by the log: {', '.join(_own_name(facts, d) for d in drivers)}"
    return UNKNOWN


def _own_name(facts: IncidentFacts, person_id: str) -> str:
    name, label = facts.names.get(person_id), person(facts, person_id)
    return f"{label}, name not recorded or withheld" if name is None else f"{name} ({label})"


def person(facts: IncidentFacts, person_id: str) -> str:
    """A person's label; the id where there is no card."""
    return facts.people.get(person_id, person_id)


def entered(entry: Entry) -> str:
    """When an entry was written down, local."""
    return str(moment_text(entry.entry_time.isoformat(), entry.event_offset_min))
