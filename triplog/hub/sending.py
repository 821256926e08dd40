"""The other way: what the office has written, for a device that has it only up to some number."""

from triplog.hub.carriers import Carrier
from triplog.hub.database import Open
from triplog.journal.batch import Opened, Place

_ENTRIES_MAX = 500
_BYTES_MAX = 1 << 20

Sent = tuple[tuple[bytes, ...], tuple[Opened, ...], bool]


def for_device(connection: Open, carrier: Carrier, device: str, known: dict[str, Place]) -> Sent:
    """The entries of the office's chains after those known, their openings, and whether more wait.

    The office's chains are the hub's own of that name, and those of the office's devices.
    """
    entries: list[bytes] = []
    hashes: list[str] = []
    size = 0
    for chain in _office_chains(connection, carrier, device):
        rows = connection.execute(
            "SELECT hash, data FROM entry WHERE device = %s AND seq > %s ORDER BY seq LIMIT %s",
            (chain, known[chain].seq if chain in known else -1, _ENTRIES_MAX + 1),
        )
        for own_hash, data in rows:
            size += len(data)
            if len(entries) == _ENTRIES_MAX or (size > _BYTES_MAX and entries):
                return tuple(entries), _openings(connection, carrier, hashes), True
            entries.append(bytes(data))
            hashes.append(own_hash)
    return tuple(entries), _openings(connection, carrier, hashes), False


def _office_chains(connection: Open, carrier: Carrier, device: str) -> list[str]:
    rows = connection.execute(
        "SELECT chain.device FROM chain LEFT JOIN device ON device.id = chain.device"
        " WHERE chain.device <> %s AND (chain.device = ANY(%s) OR device.is_office) ORDER BY 1",
        (device, list(carrier.offices)),
    )
    return [chain for (chain,) in rows]


def _openings(connection: Open, carrier: Carrier, hashes: list[str]) -> tuple[Opened, ...]:
    if not hashes:
        return ()
    rows = connection.execute(
        "SELECT entry, field, salt, value FROM opening WHERE entry = ANY(%s) ORDER BY 1, 2",
        (hashes,),
    )
    return tuple(
        Opened(entry, field, salt, bytes(value).decode())
        for entry, field, salt, value in rows
        if carrier.opens(field)
    )
