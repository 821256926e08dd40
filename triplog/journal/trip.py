"""One trip as the journal knows it at a given time: a pure fold of its entries."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import cast

from triplog.journal.entries import Body, Entry, is_time_doubtful
from triplog.journal.folding import InForce, holds_in, in_force, with_new


class TripState(StrEnum):
    """Where a trip stands; derived, never recorded."""

    PLANNED = "planned"
    LOADED = "loaded"
    ROLLING = "rolling"
    STOPPED = "stopped"
    DELIVERED = "delivered"
    CLOSED = "closed"
    WITHDRAWN = "withdrawn"


RETENTION = "retention"
"""Why private values were destroyed, where the time they had to be kept was over."""
OPEN_STATES = frozenset(
    {TripState.PLANNED, TripState.LOADED, TripState.ROLLING, TripState.STOPPED, TripState.DELIVERED}
)
UNDER_WAY = frozenset({TripState.ROLLING, TripState.STOPPED})


@dataclass(frozen=True, slots=True, kw_only=True)
class Trip:
    """The entries in force of one trip, in the order of their events, and what they amount to.

    `doubtful`: entries in force whose time cannot be right; they are shown and count for nothing.
    """

    id: str
    facts: tuple[InForce, ...]
    doubtful: tuple[InForce, ...] = ()
    _by_kind: dict[str, list[InForce]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Lay the facts out by kind: they are asked for again and again at every entry."""
        by_kind: defaultdict[str, list[InForce]] = defaultdict(list)
        for fact in self.facts:
            by_kind[fact.original.kind].append(fact)
        object.__setattr__(self, "_by_kind", dict(by_kind))

    def of(self, *kinds: str) -> tuple[InForce, ...]:
        """The facts of these kinds, in the order of their events."""
        if len(kinds) == 1:
            return tuple(self._by_kind.get(kinds[0], ()))
        return tuple(fact for fact in self.facts if fact.original.kind in kinds)

    def first(self, kind: str) -> InForce | None:
        """The first fact of a kind; None: there is none."""
        return next(iter(self._by_kind.get(kind, ())), None)

    def last(self, kind: str) -> InForce | None:
        """The last fact of a kind; None: there is none."""
        return next(reversed(self._by_kind.get(kind, ())), None)

    @property
    def label(self) -> str:
        """What people call the trip; the id where its opening is not among the entries."""
        opened = self.first("trip_opened")
        return self.id if opened is None else text_in(opened.entry.body, "label")

    @property
    def plan(self) -> InForce | None:
        """The plan revision in force: the one entered last; None before the first."""
        plans = self.of("plan_recorded")
        return max(plans, key=lambda one: (one.original.entry_time, one.original.seq), default=None)

    @property
    def judgement(self) -> InForce | None:
        """The newest judgement of the plan in force; None: it has not been judged."""
        plan = self.plan
        if plan is None:
            return None
        judged = [
            fact for fact in self.of("plan_judged") if fact.entry.body["revision"] in plan.hashes
        ]
        return judged[-1] if judged else None

    @property
    def document(self) -> Body | None:
        """The plan in force as a plan format 1 document; None before the first."""
        return None if self.plan is None else cast(Body, self.plan.entry.body["document"])

    @property
    def article_ids(self) -> tuple[str, ...]:
        """The articles of the plan in force."""
        return tuple(one["id"] for one in records_in(self.document or {}, "article"))

    @property
    def departure(self) -> InForce | None:
        """The departure; None: the trip has not departed."""
        return self.first("departed")

    @property
    def delivered_ids(self) -> frozenset[str]:
        """The articles of the plan in force that have been delivered from it.

        What an earlier plan held is no matter: its ids may stand for other articles now.
        """
        plan = self.plan
        if plan is None:
            return frozenset()
        return frozenset(
            article
            for fact in self.of("article_delivered")
            if fact.entry.body["revision"] in plan.hashes
            for article in cast(list[str], fact.entry.body["articles"])
        )

    @property
    def duty_by_driver(self) -> dict[str, str]:
        """The last duty status of each driver on board; departing sets the driver to driving."""
        duty: dict[str, str] = {}
        for fact in self.of("departed", "duty_changed"):
            body = fact.entry.body
            status = "driving" if fact.original.kind == "departed" else text_in(body, "status")
            duty[text_in(body, "driver")] = status
        return duty

    @property
    def is_driven(self) -> bool:
        """Whether the last word of any driver on board is that they drive."""
        return "driving" in self.duty_by_driver.values()

    @property
    def state(self) -> TripState:
        """Where the trip stands."""
        if self.first("trip_withdrawn"):
            return TripState.WITHDRAWN
        if self.first("trip_closed"):
            return TripState.CLOSED
        if self.departure is None:
            return TripState.LOADED if self.first("loading_recorded") else TripState.PLANNED
        if self.is_driven:
            return TripState.ROLLING
        delivered = self.delivered_ids
        all_delivered = bool(delivered) and delivered.issuperset(self.article_ids)
        return TripState.DELIVERED if all_delivered else TripState.STOPPED

    @property
    def holds(self) -> tuple[InForce, ...]:
        """The evidence holds the trip is under, each placed and lifted by itself."""
        return holds_in(self.of("hold_placed", "hold_lifted"))

    @property
    def deletion(self) -> InForce | None:
        """When its private values were deleted because their time was over; None: never."""
        destroyed = self.of("openings_destroyed")
        over = [fact for fact in destroyed if "period" in fact.entry.body]
        return over[-1] if over else None

    def as_it_stood(self, at: datetime | None) -> "Trip":
        """The trip without what happened after a moment, whenever it was written down.

        None: as it stands now.
        """
        if at is None:
            return self
        facts = tuple(fact for fact in self.facts if fact.entry.event_time <= at)
        return Trip(id=self.id, facts=facts, doubtful=self.doubtful)

    def having(self, entry: Entry) -> "Trip":
        """The trip with one more entry, that follows none."""
        if is_time_doubtful(entry):
            return Trip(id=self.id, facts=self.facts, doubtful=with_new(self.doubtful, entry))
        return Trip(id=self.id, facts=with_new(self.facts, entry), doubtful=self.doubtful)


def trip_of(trip_id: str, entries: Iterable[Entry], known_at: datetime | None = None) -> Trip:
    """The trip as its entries give it, with what was entered up to `known_at`."""
    standing = in_force(entries, known_at)
    return Trip(
        id=trip_id,
        facts=tuple(fact for fact in standing if not is_time_doubtful(fact.entry)),
        doubtful=tuple(fact for fact in standing if is_time_doubtful(fact.entry)),
    )


def text_in(body: Body, name: str) -> str:
    """A text of a body; AssertionError where it is none."""
    value = body[name]
    assert isinstance(value, str), f"{name} is no text"
    return value


def records_in(body: Body, name: str) -> list[dict[str, str]]:
    """A list of records of a body, empty where there is none; values are read by the caller."""
    return cast(list[dict[str, str]], body.get(name, []))
