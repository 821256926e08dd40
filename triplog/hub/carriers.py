"""The carriers of a hub, and how a device is paired with one of them."""

import hashlib
import secrets
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

from triplog.desk.refused import Refused
from triplog.hub import own_log
from triplog.hub.database import Database, Open
from triplog.journal.checkpoint import CheckpointBroken, key_of, log_name
from triplog.journal.device_key import DeviceKey, make_key, read_key
from triplog.journal.entries import ClockReading
from triplog.journal.kinds import KINDS
from triplog.journal.store import new_id
from triplog.version import __version__

CODE_LASTS = timedelta(minutes=15)
ALL_FIELDS = "*"
_LABEL_MAX = 60
_SEED_BYTES = 32
_PRIVATE_FIELDS = frozenset().union(*(kind.private for kind in KINDS.values()))


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrier:
    """A carrier of the hub. `witness`, `office`: its own chains; `opened`: fields that travel.

    `former_witnesses`, `former_offices`: its own chains from before a back-up was put back.
    """

    id: str
    label: str
    witness: str
    office: str
    opened: tuple[str, ...]
    invented: bool
    former_witnesses: tuple[str, ...] = ()
    former_offices: tuple[str, ...] = ()

    @property
    def witnesses(self) -> tuple[str, ...]:
        """The chains that say what was received, the present one first."""
        return (self.witness, *self.former_witnesses)

    @property
    def offices(self) -> tuple[str, ...]:
        """The chains of what the office did on the hub's pages, the present one first."""
        return (self.office, *self.former_offices)

    def opens(self, field: str) -> bool:
        """Whether a private field may travel to and from the hub."""
        return field in self.opened or ALL_FIELDS in self.opened


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Who asks to be paired, by which code. `invented`: its data are, as those of the demo."""

    code: str
    device: str
    key: str
    invented: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Paired:
    """What a device is told when it is paired. `secret`: what it shows from now on; told once."""

    carrier: str
    secret: str
    key: str
    office: str
    opened: tuple[str, ...]


def hub_key(home: Path, carrier: str, chain: str) -> DeviceKey:
    """What the hub signs with for a carrier, under the name of one of its own chains.

    Each carrier's key is made of the hub's (RFC 5869): a cosignature does not tell its signer's
    name, so one key must not sign as several (C2SP tlog-cosignature, *Ed25519 signed message*).
    Raises Refused where the hub has no key.
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.hashes import SHA256
    from cryptography.hazmat.primitives.kdf.hkdf import HKDF

    found = kept_key(home, chain)
    made_of = HKDF(SHA256(), length=_SEED_BYTES, salt=None, info=f"triplog hub {carrier}".encode())
    seed = made_of.derive(found.private.private_bytes_raw())
    return replace(found, private=Ed25519PrivateKey.from_private_bytes(seed))


def kept_key(home: Path, name: str) -> DeviceKey:
    """The hub's own key, which signs nothing itself. Raises Refused where there is none."""
    found = read_key(home, name)
    if found is None:
        raise Refused(f"the hub's key is not in {home}; triplog hub init makes it")
    return found


def keep_hub_key(home: Path) -> None:
    """Make the hub's key where there is none."""
    home.mkdir(parents=True, exist_ok=True)
    if read_key(home, "hub") is None:
        make_key(home, "hub")


def add_carrier(
    database: Database,
    home: Path,
    label: str,
    opened: list[str],
    reading: ClockReading,
    *,
    invented: bool = False,
) -> Carrier:
    """Take a carrier on, with its two own chains. Raises Refused."""
    refuse_label(label)
    unknown = sorted(set(opened) - _PRIVATE_FIELDS - {ALL_FIELDS})
    if unknown:
        raise Refused(f"no private field is called {unknown[0]!r}; there is: {_fields_said()}")
    made = Carrier(
        id=new_id(),
        label=label,
        witness=new_id(),
        office=new_id(),
        opened=tuple(sorted(set(opened))),
        invented=invented,
    )
    reading = own_log.as_told(reading, invented)
    with database.work("office", made.id) as connection:
        connection.execute("RESET ROLE")
        if carrier_called(connection, label) is not None:
            raise Refused(f"there is a carrier {label!r} already")
        connection.execute(
            "INSERT INTO carrier (id, label, witness, office, opened, invented, made_at)"
            " VALUES (%s, %s, %s, %s, %s, %s, %s)",
            (
                made.id,
                made.label,
                made.witness,
                made.office,
                list(made.opened),
                made.invented,
                reading.wall,
            ),
        )
        for chain in (made.witness, made.office):
            key = hub_key(home, made.id, chain).text
            own_log.begin(connection, made.id, chain, key, reading, __version__)
    return made


def carriers(database: Database) -> list[Carrier]:
    """All carriers, by label."""
    with database.work("worker") as connection:
        return _carriers(connection, "true", ())


def carrier_of(connection: Open, carrier: str) -> Carrier:
    """A carrier by its id, as the role in force may see it."""
    found = _carriers(connection, "id = %s", (carrier,))
    assert found, "whoever is let in belongs to a carrier"
    return found[0]


def carrier_called(connection: Open, label: str) -> Carrier | None:
    """A carrier by its label; None: none that the role in force may see."""
    return next(iter(_carriers(connection, "label = %s", (label,))), None)


def carrier_named(database: Database, label: str | None) -> Carrier:
    """The carrier with a label, or the only one. Raises Refused."""
    found = carriers(database)
    there = ", ".join(one.label for one in found) or "none; triplog hub carrier makes one"
    if label is None and len(found) == 1:
        return found[0]
    for one in found:
        if one.label == label:
            return one
    which = "say which carrier" if label is None else f"no carrier is called {label!r}"
    raise Refused(f"{which}; there is: {there}")


def draw_code(
    database: Database, carrier: Carrier, label: str, *, is_office: bool, now: datetime
) -> str:
    """A code that pairs one device, once, within a quarter of an hour. Raises Refused."""
    refuse_label(label)
    code = secrets.token_urlsafe(16)
    with database.work("office", carrier.id) as connection:
        connection.execute(
            "INSERT INTO pairing (code, carrier, label, is_office, ends_at)"
            " VALUES (%s, %s, %s, %s, %s)",
            (digest_of(code), carrier.id, label, is_office, now + CODE_LASTS),
        )
    return code


def pair(database: Database, home: Path, asked: Asked, reading: ClockReading) -> Paired:
    """Pair the device that asks. Raises Refused: a code is good once and not for long."""
    try:
        name, _ = key_of(asked.key)
    except CheckpointBroken as problem:
        raise Refused(f"{problem}") from problem
    if name != log_name(asked.device):
        raise Refused("the key is not this device's")
    secret = secrets.token_urlsafe(32)
    with database.work("pairing") as connection:
        row = connection.execute(
            "SELECT carrier FROM pairing_with(%s, %s)", (digest_of(asked.code), reading.wall)
        ).fetchone()
        if row is None:
            raise Refused("this code pairs nothing: it was used, is over, or was never drawn")
        connection.execute("SELECT set_config('hub.carrier', %s, true)", (row[0],))
        used = connection.execute(
            "UPDATE pairing SET used_at = %s WHERE code = %s AND used_at IS NULL"
            " RETURNING label, is_office",
            (reading.wall, digest_of(asked.code)),
        ).fetchone()
        if used is None:
            raise Refused("this code pairs nothing: it was used, is over, or was never drawn")
        carrier = carrier_of(connection, row[0])
        _refuse_other_data(carrier, asked)
        _pair(connection, carrier, asked, secret, (used[0], used[1]), reading)
        body: dict[str, object] = {"device": asked.device, "key": asked.key, "label": used[0]}
        told = own_log.by_itself("device_paired", body)
        reading = own_log.as_told(reading, carrier.invented)
        own_log.append(connection, carrier.id, carrier.witness, told, reading)
    return Paired(
        carrier=carrier.label,
        secret=secret,
        key=hub_key(home, carrier.id, carrier.witness).text,
        office=carrier.office,
        opened=carrier.opened,
    )


def _refuse_other_data(carrier: Carrier, asked: Asked) -> None:
    if asked.invented != carrier.invented:
        theirs, ours = ("real", "invented") if carrier.invented else ("invented", "real")
        how = "without" if carrier.invented else "with"
        raise Refused(
            f"what this journal holds is {theirs}, and the data of {carrier.label} are {ours}: draw"
            f" a code for a carrier that was made {how} --invented"
        )


def _pair(
    connection: Open,
    carrier: Carrier,
    asked: Asked,
    secret: str,
    drawn: tuple[str, bool],
    reading: ClockReading,
) -> None:
    """The device's row, a new one or one paired anew; its secret from before is good no more."""
    (of,) = connection.execute("SELECT carrier_of_chain(%s)", (asked.device,)).fetchone() or (None,)
    if of is not None and of != carrier.id:
        raise Refused("this device is paired with another carrier of this hub")
    connection.execute(
        "INSERT INTO device (id, carrier, label, is_office, secret, key, paired_at)"
        " VALUES (%s, %s, %s, %s, %s, %s, %s) ON CONFLICT (id) DO UPDATE SET"
        " label = excluded.label, is_office = excluded.is_office, secret = excluded.secret,"
        " key = excluded.key, paired_at = excluded.paired_at, unpaired_at = NULL,"
        " is_behind = false",
        (asked.device, carrier.id, *drawn, digest_of(secret), asked.key, reading.wall),
    )


def unpair(database: Database, carrier: Carrier, label: str, reading: ClockReading) -> int:
    """End the pairing of the devices of that label or id; how many. What came from them stays."""
    with database.work("office", carrier.id) as connection:
        rows = connection.execute(
            "UPDATE device SET unpaired_at = %s WHERE (label = %s OR id = %s)"
            " AND unpaired_at IS NULL RETURNING id",
            (reading.wall, label, label),
        ).fetchall()
        told = own_log.as_told(reading, carrier.invented)
        for (device,) in rows:
            draft = own_log.by_itself("device_unpaired", {"device": device})
            own_log.append(connection, carrier.id, carrier.witness, draft, told)
    return len(rows)


def digest_of(shown: str) -> bytes:
    """What is kept of a code or a secret: its SHA-256."""
    return hashlib.sha256(shown.encode()).digest()


def _carriers(connection: Open, where: str, values: tuple[object, ...]) -> list[Carrier]:
    rows = connection.execute(
        "SELECT id, label, witness, office, opened, invented, former_witnesses, former_offices"
        " FROM carrier WHERE"
        f" {where} ORDER BY label",
        values,
    )
    return [
        Carrier(
            id=own,
            label=label,
            witness=witness,
            office=office,
            opened=tuple(opened),
            invented=made_up,
            former_witnesses=tuple(witnesses),
            former_offices=tuple(offices),
        )
        for own, label, witness, office, opened, made_up, witnesses, offices in rows
    ]


def refuse_label(label: str) -> None:
    """Refuse a label that says nothing, or more than a list has room for."""
    if not label.strip() or len(label) > _LABEL_MAX or not label.isprintable():
        raise Refused(f"a label has 1 to {_LABEL_MAX} letters in one line, found {label[:80]!r}")


def _fields_said() -> str:
    return ", ".join([*sorted(_PRIVATE_FIELDS), "and * for all"])
