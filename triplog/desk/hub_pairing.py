"""With which hub this journal is paired: a file beside the journal, and in no copy of it.

What the device shows the hub lies there too, so it is the owner's alone to read. That the journal
was paired, and that it is no more, are entries.
"""

import json
import re
from dataclasses import dataclass

from triplog.desk.checkpoints import record_key
from triplog.desk.desk import Desk
from triplog.desk.hub_line import HubAway, HubLine, Reached, reached_at
from triplog.desk.refused import Refused
from triplog.desk.staging import give_names, staged, told_in_words
from triplog.journal.checkpoint import CheckpointBroken, key_of
from triplog.journal.entries import Entry
from triplog.journal.store_file import write_durably

SETTING = "hub.json"
_OWNER_ONLY = 0o600
_SECRET = re.compile(r"[\x21-\x7e]{16,150}")
_TEXTS = ("device", "address", "secret", "key", "carrier", "office")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairing:
    """A hub as this device knows it.

    `device`: whose pairing it is; `key`: what the hub signs with; `office`: the chain it writes for
    the devices; `opened`: which private fields might travel when it was paired, * for all.
    """

    device: str
    reached: Reached
    secret: str
    key: str
    carrier: str
    office: str
    opened: tuple[str, ...]


def pair(desk: Desk, address: str, code: str, certificate: str | None) -> tuple[Entry, Pairing]:
    """Pair this device by a code that was drawn at the hub, and record it.

    A pairing from before is replaced. Raises Refused where the hub does not take the code, and
    HubAway where it cannot be reached: nothing was recorded then.
    """
    reached = reached_at(address, certificate)
    with desk.writing() as writing:
        key = record_key(desk, writing)
    told: dict[str, object] = {
        "code": code.strip(),
        "device": desk.store.device,
        "key": key.text,
        "invented": desk.invented,
    }
    with HubLine(reached) as line:
        found = _paired(desk.store.device, reached, line.pair(told))
    with staged(desk.home) as stage:
        with told_in_words(desk.home):
            write_durably(stage / SETTING, _written(found), _OWNER_ONLY)
        draft = desk.draft(
            "hub_paired",
            {
                "carrier": found.carrier,
                "key": found.key,
                "office": found.office,
                "opened": list(found.opened),
            },
            private={"address": reached.address},
        )
        with desk.writing() as writing:
            entry = desk.append(writing, draft, may_repeat=True)
        give_names(stage, desk.home, [SETTING])
    return entry, found


def end_pairing(desk: Desk) -> Entry:
    """Forget the hub here, and record it; what it holds it keeps. Raises Refused without one."""
    path = desk.home / SETTING
    if not path.exists():
        raise Refused("this journal is paired with no hub")
    entry = desk.record(desk.draft("device_unpaired", {"device": desk.store.device}))
    with told_in_words(desk.home):
        path.unlink(missing_ok=True)
    return entry


def pairing_of(desk: Desk) -> Pairing | None:
    """The hub this journal is paired with; None: there is none.

    Raises Refused where the file cannot be read, or is of the device this journal was before.
    """
    path = desk.home / SETTING
    try:
        found = json.loads(path.read_text("utf-8"))
        texts = {name: found[name] for name in _TEXTS}
        opened = [str(one) for one in found["opened"]]
        pin = found["certificate"]
        if not all(isinstance(one, str) for one in (*texts.values(), pin or "")):
            raise ValueError("a line of it is missing")
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, TypeError) as problem:
        raise Refused(f"{path} cannot be read: {problem}; pair this journal anew") from problem
    if texts["device"] != desk.store.device:
        raise Refused(
            f"{path} is the pairing of device {texts['device']}, and this is device"
            f" {desk.store.device}: draw a code at the hub and pair it anew"
        )
    return Pairing(
        device=texts["device"],
        reached=Reached(address=texts["address"], pin=pin),
        secret=texts["secret"],
        key=texts["key"],
        carrier=texts["carrier"],
        office=texts["office"],
        opened=tuple(opened),
    )


def _paired(device: str, reached: Reached, told: dict[str, object]) -> Pairing:
    """What the hub told, looked at. Raises HubAway."""
    texts = {name: told.get(name) for name in ("secret", "key", "carrier", "office")}
    opened = told.get("opened")
    try:
        secret, key, carrier, office = map(_text, texts.values())
        key_of(key)
        if not _SECRET.fullmatch(secret) or not isinstance(opened, list):
            raise ValueError("no secret")
        fields = tuple(map(_text, opened))
    except (ValueError, CheckpointBroken) as problem:
        raise HubAway(f"what answers at {reached.address} is no hub: {problem}") from problem
    return Pairing(
        device=device,
        reached=reached,
        secret=secret,
        key=key,
        carrier=carrier,
        office=office,
        opened=fields,
    )


def _text(told: object) -> str:
    if not isinstance(told, str) or not told.isprintable() or not told:
        raise ValueError("a text is missing in what it tells")
    return told


def _written(found: Pairing) -> bytes:
    told = {
        "device": found.device,
        "address": found.reached.address,
        "certificate": found.reached.pin,
        "secret": found.secret,
        "key": found.key,
        "carrier": found.carrier,
        "office": found.office,
        "opened": list(found.opened),
    }
    return json.dumps(told, indent=1).encode()
