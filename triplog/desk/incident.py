"""After an incident: the facts as far as known, a hold at once, later facts, the pieces kept.

What nobody tells is absent, and shown as *unknown*; nothing is filled in.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from triplog.desk.desk import NOBODY, Desk, present
from triplog.desk.finding_things import gear_named, person_named
from triplog.desk.holding import hold_draft
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_while_driving, stopped_draft
from triplog.journal.entries import Body, Draft, Entry
from triplog.journal.folding import InForce
from triplog.journal.trip import UNDER_WAY, Trip, records_in
from triplog.wording.happened import MOVED
from triplog.wording.incident import COUNTS, PIECE_STATES, PIECES, QUESTIONS, TOLD, UNKNOWN

KINDS = frozenset({"incident_reported", "incident_added"})
_COUNT_MAX = 999
_ANSWERS = {"yes": True, "no": False, UNKNOWN: None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What is told of an incident. `answers`: by name, as `read_fact` gives them; None: unknown.

    `driver`: the label of who drove. `told`: who has been told of it, in words of `TOLD`. `place`
    (nearest town and state), `names` and `note` are private.
    """

    answers: dict[str, bool | int | None]
    driver: str | None = None
    told: tuple[str, ...] = ()
    place: str | None = None
    names: str | None = None
    note: str | None = None

    @property
    def says_something(self) -> bool:
        """Whether anything is told at all."""
        known = any(value is not None for value in self.answers.values())
        return known or any((self.driver, self.told, self.place, self.names, self.note))


@dataclass(frozen=True, slots=True, kw_only=True)
class Reported:
    """An incident as recorded, with the holds it placed; `moved`: the load is recorded as moved."""

    entry: Entry
    holds: tuple[Entry, ...]
    moved: bool


def read_fact(name: str, typed: str) -> bool | int | None:
    """A fact as typed: yes, no or unknown; of people a number or unknown. Refused for others."""
    word = typed.strip().lower()
    if name in COUNTS:
        if word == UNKNOWN:
            return None
        if word.isascii() and word.isdecimal() and int(word[:9]) <= _COUNT_MAX:
            return int(word[:9])
        raise Refused(f"{typed!r} is no number of people; write one such as 0 or 2, or unknown")
    if word not in _ANSWERS:
        raise Refused(f"{name.replace('_', ' ')} is yes, no or unknown; found {typed!r}")
    return _ANSWERS[word]


def at_the_wheel(desk: Desk, trip: Trip) -> bool:
    """Whether the person typing may be the one who drives; somebody in the office is not."""
    return trip.is_driven and (desk.by == NOBODY or desk.by in trip.duty_by_driver)


def report(
    desk: Desk,
    trip: Trip,
    facts: Facts,
    *,
    at: datetime | None,
    stopped: bool,
    gear: Sequence[str] = (),
) -> Reported:
    """Record an incident and put the trip under an evidence hold, and `gear` named, at once.

    `at` None: when it happened is unknown. A load that moved or fell is recorded as that too, so
    that it is planned anew before anybody drives on. Refused while whoever types drives.
    """
    drives = at_the_wheel(desk, trip)
    if drives:
        refuse_while_driving(trip, stopped=stopped)
    pieces = [gear_named(desk, label) for label in gear]
    body = _body(desk, facts, at)
    moved = True in (body.get("load_moved"), body.get("load_fell")) and trip.state in UNDER_WAY
    with desk.writing(whatever_came=True) as writing:
        for draft in stopped_draft(desk, trip, at=None) if drives else ():
            writing.append(draft)
        entry = desk.append(
            writing,
            desk.draft("incident_reported", body, trip=trip.id, private=_private(facts), at=at),
        )
        if moved:
            writing.append(_moved_draft(desk, trip, at))
        why = f"incident on trip {trip.label}"
        holds = [hold_draft(desk, reason=why, trip=trip.id, incident=entry.hash)]
        holds += [hold_draft(desk, reason=why, gear=one.id, incident=entry.hash) for one in pieces]
        placed = tuple(writing.append(draft) for draft in holds)
    return Reported(entry=entry, holds=placed, moved=moved)


def _moved_draft(desk: Desk, trip: Trip, at: datetime | None) -> Draft:
    """The event of a load that moved; dated now where it would stand before departure."""
    departure = trip.departure
    early = at is not None and departure is not None and at < departure.entry.event_time
    return desk.draft("event_reported", {"what": MOVED}, trip=trip.id, at=None if early else at)


def add_facts(desk: Desk, trip: Trip, facts: Facts, *, at: datetime | None) -> Entry:
    """Record what became known of the trip's last incident since, or who was told of it and when.

    Refused where there is no incident, and where nothing is told.
    """
    found = trip.last("incident_reported")
    if found is None:
        raise Refused(f"trip {trip.label} has no incident; `triplog incident` reports one")
    if not facts.says_something:
        raise Refused("say what is known now, such as --injured 1, or --told police")
    body = _body(desk, facts, at) | {"incident": found.original.hash}
    draft = desk.draft("incident_added", body, trip=trip.id, private=_private(facts), at=at)
    with desk.writing(whatever_came=True) as writing:
        return desk.append(writing, draft)


def keep_piece(
    desk: Desk,
    trip: Trip,
    piece: str,
    *,
    state: str = "kept",
    tie_down: str | None = None,
    gear: str | None = None,
    place: str | None = None,
    note: str | None = None,
) -> Entry:
    """Record that a piece is kept as evidence, was not found, or was handed over; by who types."""
    if piece not in PIECES:
        raise Refused(f"a piece is one of: {', '.join(PIECES)}; found {piece!r}")
    if state not in PIECE_STATES:
        raise Refused(f"a piece is {', '.join(PIECE_STATES)}; found {state!r}")
    if tie_down is not None and tie_down not in _tie_downs(trip):
        raise Refused(f"there is no tie-down {tie_down} on a plan of trip {trip.label}")
    body = present(
        piece=piece,
        state=state,
        tie_down=tie_down,
        gear=None if gear is None else gear_named(desk, gear).label,
    )
    draft = desk.draft("piece_kept", body, trip=trip.id, private={"place": place, "note": note})
    with desk.writing(whatever_came=True) as writing:
        return desk.append(writing, draft)


def corrected(entry: Entry, body: Body, name: str, value: str) -> Body | None:
    """The body of an incident's entry with one fact corrected; None: it is no fact of it."""
    if entry.kind not in KINDS or name not in QUESTIONS:
        return None
    rest = {field: told for field, told in body.items() if field != name}
    return rest | present(**{name: read_fact(name, value)})


def incidents(trip: Trip) -> tuple[InForce, ...]:
    """The incidents of a trip, in the order they happened."""
    return trip.of("incident_reported")


def _body(desk: Desk, facts: Facts, at: datetime | None) -> Body:
    unknown = [who for who in facts.told if who not in TOLD]
    if unknown:
        raise Refused(f"--told is one of: {', '.join(TOLD)}; found {unknown[0]!r}")
    driver = None if facts.driver is None else person_named(desk, facts.driver).id
    answers = dict(facts.answers)
    for who, name in (("police", "police_called"), ("insurer", "insurer_called")):
        if who in facts.told and answers.get(name) is False:
            raise Refused(f"--told {who} and --no-{who} contradict each other")
        if who in facts.told:
            answers[name] = True
    return present(
        **answers,
        driver=driver,
        told=list(facts.told) or None,
        time_told=True if at is not None else None,
    )


def _private(facts: Facts) -> dict[str, str | None]:
    return {"place": facts.place, "names": facts.names, "note": facts.note}


def _tie_downs(trip: Trip) -> Iterable[str]:
    return {
        one["id"]
        for fact in trip.of("plan_recorded")
        for one in records_in(_document(fact), "tie_down")
    }


def _document(fact: InForce) -> Body:
    document = fact.entry.body["document"]
    assert isinstance(document, dict), "a plan has a document"
    return document
