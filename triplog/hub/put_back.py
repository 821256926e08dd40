"""After a hub's database was put back from a back-up: its own chains go on under new names.

What a chain held after the back-up is gone from here, and lies with devices and in bundles. Were
the chain gone on with, another entry would get a number that was given: two histories of one log.
"""

from pathlib import Path

from triplog.hub import own_log
from triplog.hub.carriers import Carrier, carriers, hub_key
from triplog.hub.database import Database
from triplog.journal.entries import ClockReading
from triplog.journal.store import new_id
from triplog.version import __version__


def go_on_anew(database: Database, home: Path, reading: ClockReading) -> list[Carrier]:
    """Begin new own chains for each carrier, which name where those before end; the carriers.

    Raises Refused where the hub's key is not there, and HubUnusable.
    """
    found = carriers(database)
    for carrier in found:
        told = own_log.as_told(reading, carrier.invented)
        with database.work("office", carrier.id) as connection:
            connection.execute("RESET ROLE")
            new = {"witness": new_id(), "office": new_id()}
            for name, before in (("witness", carrier.witness), ("office", carrier.office)):
                key = hub_key(home, carrier.id, new[name]).text
                (head,) = connection.execute(
                    "SELECT hash FROM chain WHERE device = %s FOR UPDATE", (before,)
                ).fetchone() or (None,)
                own_log.begin(connection, carrier.id, new[name], key, told, __version__)
                body = {"from_heads": {before: head}, "told_heads": [], "program": __version__}
                draft = own_log.by_itself("store_restored", body)
                own_log.append(connection, carrier.id, new[name], draft, told)
            connection.execute(
                "UPDATE carrier SET witness = %s, office = %s,"
                " former_witnesses = %s || former_witnesses, former_offices = %s || former_offices"
                " WHERE id = %s",
                (new["witness"], new["office"], [carrier.witness], [carrier.office], carrier.id),
            )
    return found
