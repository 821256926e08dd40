"""Gear, vehicles, people and the carrier as the journal knows them: pure folds."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import cast

from triplog.journal.entries import Body, Entry
from triplog.journal.folding import InForce, holds_in, in_force
from triplog.journal.trip import text_in


class Standing(StrEnum):
    """Where a piece of gear stands; *on a trip* follows from the open trips, not from here."""

    IN_STOCK = "in stock"
    SET_ASIDE = "set aside"
    UNFIT = "unfit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """One gear item, vehicle or person: its card in force and the entries about it."""

    id: str
    card: InForce
    facts: tuple[InForce, ...]

    @property
    def label(self) -> str:
        """What people call it."""
        return text_in(self.card.entry.body, "label")

    @property
    def body(self) -> Body:
        """The card's body: the last one recorded."""
        return self.card.entry.body

    @property
    def item(self) -> Body:
        """A gear card's plan format record, with the damage that was found since."""
        item = cast(Body, self.body["item"])
        look = self.last_look
        if look is None or self.facts.index(look) < self.facts.index(self.card):
            return item
        return item | {"damage": look.entry.body["damage"]}

    @property
    def standing(self) -> Standing:
        """Gear: in stock unless set aside or unfit."""
        fact = self.standing_fact
        return Standing.IN_STOCK if fact is None else _standing_by(fact) or Standing.IN_STOCK

    @property
    def standing_fact(self) -> InForce | None:
        """The entry that gave the standing, set by somebody or by an inspection; None: never set.

        An inspection takes gear out of use; it never brings it back, nor makes unfit gear better.
        """
        given: InForce | None = None
        for fact in self.facts:
            standing = _standing_by(fact)
            unfit = given is not None and _standing_by(given) is Standing.UNFIT
            if standing is not None and not (unfit and fact.original.kind == "gear_inspected"):
                given = fact
        return given

    @property
    def last_look(self) -> InForce | None:
        """Gear: the last inspection; None: none recorded."""
        return self._last("gear_inspected")

    @property
    def holds(self) -> tuple[InForce, ...]:
        """Gear: the evidence holds it is under, each placed and lifted by itself."""
        return holds_in(self.facts)

    @property
    def hold(self) -> InForce | None:
        """Gear: the last evidence hold it is under; None: none, or lifted."""
        return next(reversed(self.holds), None)

    @property
    def inspect_by(self) -> str | None:
        """Gear: the day it is to be looked at again, by the company's own rule; None: none set."""
        fact = self._last("gear_recorded", "gear_inspected")
        return None if fact is None else cast(str | None, fact.entry.body.get("inspect_by"))

    def _last(self, *kinds: str) -> InForce | None:
        facts = [fact for fact in self.facts if fact.original.kind in kinds]
        return facts[-1] if facts else None


def _standing_by(fact: InForce) -> Standing | None:
    """The standing that an entry gives; None: it says nothing of it."""
    field = {"gear_standing_set": "standing", "gear_inspected": "answer"}.get(fact.original.kind)
    said = None if field is None else fact.entry.body[field]
    return next((standing for standing in Standing if standing == said), None)


def thing_from(thing_id: str, entries: Iterable[Entry]) -> Thing | None:
    """The thing its entries give; None: its card was never made or has been withdrawn."""
    facts = in_force(entries)
    cards = [fact for fact in facts if fact.original.kind.endswith("_recorded")]
    return Thing(id=thing_id, card=cards[-1], facts=facts) if cards else None
