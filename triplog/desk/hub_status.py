"""What the hub is known to hold of this journal, without asking it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone

from triplog.desk.desk import Desk
from triplog.desk.hub_batches import last_place
from triplog.desk.hub_pairing import pairing_of
from triplog.desk.hub_state import state_of
from triplog.journal.batch import Place
from triplog.journal.entries import time_of


@dataclass(frozen=True, slots=True, kw_only=True)
class HubStatus:
    """`held`: the last entry the hub holds of this device's chain; `own`: the last one here.

    `heard`: when the hub last answered, local; None: never. `office`: up to which number each
    chain of the office is here. `outcome`, `theirs`: what the hub said last, and its own last
    entry where that is not ours. `put_off`: former devices it did not take, and why.
    """

    carrier: str
    address: str
    held: Place | None
    own: Place | None
    heard: str | None
    outcome: str
    theirs: Place | None
    office: Mapping[str, int]
    put_off: Mapping[str, str]

    @property
    def as_json(self) -> dict[str, object]:
        """As JSON says it."""
        return {
            "carrier": self.carrier,
            "address": self.address,
            "outcome": self.outcome,
            "held_up_to_entry": None if self.held is None else self.held.seq,
            "last_entry": None if self.own is None else self.own.seq,
            "heard": self.heard,
            "office": dict(self.office),
            "put_off": dict(self.put_off),
        }


def status_of(desk: Desk) -> HubStatus | None:
    """What is known; None: this journal is paired with no hub. Raises Refused."""
    pairing = pairing_of(desk)
    if pairing is None:
        return None
    state = state_of(desk, pairing)
    device = desk.store.device
    heads = {one: desk.store.head(one) for one in state.office}
    return HubStatus(
        carrier=pairing.carrier,
        address=pairing.reached.address,
        held=state.heads.get(device),
        own=last_place(desk, device),
        heard=None if state.heard is None else _local(time_of(state.heard), desk.now().offset_min),
        outcome=state.outcome,
        theirs=state.theirs,
        office={one: head[0] for one, head in heads.items() if head is not None},
        put_off=state.put_off,
    )


def _local(moment: datetime, offset_min: int) -> str:
    return moment.astimezone(timezone(timedelta(minutes=offset_min))).strftime("%Y-%m-%d %H:%M")
