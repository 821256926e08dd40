"""Gear, vehicles, people and the carrier as the journal knows them: pure folds."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import cast

from triplog.journal.entries import Body, Entry
from triplog.journal.folding import InForce, in_force
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
        """A gear card's plan format record."""
        return cast(Body, self.body["item"])

    @property
    def standing(self) -> Standing:
        """Gear: in stock unless set aside or unfit."""
        set_facts = [fact for fact in self.facts if fact.original.kind == "gear_standing_set"]
        return (
            Standing(text_in(set_facts[-1].entry.body, "standing"))
            if set_facts
            else (Standing.IN_STOCK)
        )

    @property
    def standing_fact(self) -> InForce | None:
        """The entry that gave the standing; None: never set."""
        set_facts = [fact for fact in self.facts if fact.original.kind == "gear_standing_set"]
        return set_facts[-1] if set_facts else None


def thing_from(thing_id: str, entries: Iterable[Entry]) -> Thing | None:
    """The thing its entries give; None: its card was never made or has been withdrawn."""
    facts = in_force(entries)
    cards = [fact for fact in facts if fact.original.kind.endswith("_recorded")]
    return Thing(id=thing_id, card=cards[-1], facts=facts) if cards else None
