"""What was hurt on the road and is on still, and what was replaced without a cause."""

from typing import cast

from triplog.journal.folding import InForce
from triplog.journal.trip import Trip, records_in, text_in
from triplog.wording.happened import BROKEN


def swaps_without_cause(trip: Trip) -> tuple[InForce, ...]:
    """The replacements of which nobody has said why they had to be, neither then nor since."""
    told = {text_in(fact.entry.body, "replacement") for fact in trip.of("cause_told")}
    return tuple(
        fact
        for fact in trip.of("gear_replaced")
        if not fact.entry.body["cause_found"] and fact.original.hash not in told
    )


def damaged_tie_downs(trip: Trip) -> tuple[str, ...]:
    """The tie-downs found damaged or reported broken that nothing has replaced since."""
    hurt: dict[str, None] = {}
    for fact in trip.facts:
        body = fact.entry.body
        if fact.original.kind == "gear_replaced":
            hurt.pop(text_in(body, "tie_down"), None)
        elif fact.original.kind == "event_reported" and body["what"] == BROKEN:
            hurt |= dict.fromkeys(str(one) for one in cast(list[str], body.get("tie_downs") or []))
        for line in records_in(body, "lines"):
            if line["found"] == "damaged":
                hurt[line["tie_down"]] = None
    return tuple(hurt)
