"""What this journal knows of the hub: up to where each chain is held there, and when it was heard.

A fact about the store, no entry: it can be lost at any time, and the hub's answers give it again.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field

from triplog.desk.desk import Desk
from triplog.desk.hub_pairing import Pairing
from triplog.journal.batch import Place

_FACT = "hub"


@dataclass(frozen=True, slots=True, kw_only=True)
class HubState:
    """`hub`: its key. `heads`: the last entry the hub is known to hold, by chain. `office`: chains
    that came from it. `opened`: which private fields travel. `heard`: when it last answered, RFC
    3339, None: never. `outcome`: what it said of this journal then; `theirs`: the entry it holds
    that this journal lacks. `put_off`: chains of former devices that it did not take, and why.
    """

    hub: str
    opened: tuple[str, ...]
    heads: Mapping[str, Place] = field(default_factory=dict)
    office: tuple[str, ...] = ()
    heard: str | None = None
    outcome: str = "taken"
    theirs: Place | None = None
    put_off: Mapping[str, str] = field(default_factory=dict)


def state_of(desk: Desk, pairing: Pairing) -> HubState:
    """What is known of the hub this journal is paired with; nothing, where it is a new one."""
    fresh = HubState(hub=pairing.key, opened=pairing.opened, office=(pairing.office,))
    told = desk.store.fact(_FACT)
    if told is None:
        return fresh
    kept = json.loads(told)
    if kept["hub"] != pairing.key:
        return fresh
    return HubState(
        hub=kept["hub"],
        opened=tuple(kept["opened"]),
        heads={device: Place(*place) for device, place in kept["heads"].items()},
        office=tuple(dict.fromkeys((pairing.office, *kept["office"]))),
        heard=kept["heard"],
        outcome=kept["outcome"],
        theirs=None if kept["theirs"] is None else Place(*kept["theirs"]),
        put_off=kept["put_off"],
    )


def keep_state(desk: Desk, state: HubState) -> None:
    """Keep it, inside a transaction of the caller."""
    desk.store.set_fact(_FACT, json.dumps(asdict(state)))
