"""The browsers of the hub's office: codes that let one in, and the sessions they begin.

They lie in the hub's database, where every hub over it sees them; of each secret only its SHA-256.
"""

import json
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal, TypeAlias, cast

from triplog.hub import own_log
from triplog.hub.carriers import CODE_LASTS, Carrier, carrier_of, digest_of, refuse_label
from triplog.hub.database import Database, Open
from triplog.journal.entries import ClockReading, entry_of
from triplog.journal.store import new_id
from triplog.page.entrance.book import IDLE_MS, WHOLE_MS, Session

Role: TypeAlias = Literal["office", "auditor"]
_SEEN_EVERY = timedelta(minutes=1)
_MS = timedelta(milliseconds=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Visitor(Session):
    """A paired browser of a carrier; an auditor's only reads."""

    carrier: Carrier
    role: Role


def draw_browser_code(
    database: Database, carrier: Carrier, label: str, role: Role, now: datetime
) -> str:
    """A code that lets one browser in, once, within a quarter of an hour. Raises Refused."""
    refuse_label(label)
    code = secrets.token_urlsafe(16)
    with database.work("office", carrier.id) as connection:
        connection.execute(
            "INSERT INTO browser_code (code, carrier, label, role, ends_at)"
            " VALUES (%s, %s, %s, %s, %s)",
            (digest_of(code), carrier.id, label, role, now + CODE_LASTS),
        )
    return code


def let_in(
    database: Database, code: str, before: Visitor | None, reading: ClockReading
) -> str | None:
    """Take a code: the secret of a new session, told once; None: the code lets nobody in.

    An earlier session of the same browser ends.
    """
    with database.work("pairing") as connection:
        row = connection.execute(
            "SELECT carrier FROM browser_code_with(%s, %s)", (digest_of(code), reading.wall)
        ).fetchone()
        if row is None:
            return None
        _of(connection, row[0])
        used = connection.execute(
            "UPDATE browser_code SET used_at = %s WHERE code = %s AND used_at IS NULL"
            " RETURNING label, role",
            (reading.wall, digest_of(code)),
        ).fetchone()
        if used is None:
            return None
        label, role = used
        browser, secret = new_id(), secrets.token_urlsafe(32)
        carrier = carrier_of(connection, row[0])
        told = own_log.as_told(reading, carrier.invented)
        person = _person(connection, carrier, label, told) if role == "office" else ""
        connection.execute(
            "INSERT INTO browser (id, carrier, label, person, role, secret, paired_at, seen_at)"
            " VALUES (%s, %s, %s, %s, %s, %s, %s, %s)",
            (browser, row[0], label, person, role, digest_of(secret), reading.wall, reading.wall),
        )
        body = {"browser": browser, "label": label, "roles": [role], "person": person}
        draft = own_log.by_itself("browser_paired", body)
        own_log.append(connection, carrier.id, carrier.witness, draft, told)
    if before is not None:
        end(database, before.carrier, before.browser, "paired anew", reading)
    return secret


def _person(connection: Open, carrier: Carrier, label: str, reading: ClockReading) -> str:
    """The id of a person by label, whose card is made in the office's own chain where it is new."""
    connection.execute("SELECT 1 FROM chain WHERE device = %s FOR UPDATE", (carrier.office,))
    rows = connection.execute(
        "SELECT data FROM entry WHERE device = ANY(%s) AND kind = 'person_recorded' ORDER BY seq",
        (list(carrier.offices),),
    )
    for body in (entry_of(bytes(data)).body for (data,) in rows):
        if body["label"] == label:
            return str(body["id"])
    person = new_id()
    card: dict[str, object] = {"id": person, "label": label, "roles": ["office"]}
    draft = own_log.by_itself("person_recorded", card)
    own_log.append(connection, carrier.id, carrier.office, draft, reading)
    return person


def visitor(database: Database, secret: str, now: datetime) -> Visitor | None:
    """Whose session a secret is; None: nobody's, or its time is over."""
    with database.work("pairing") as connection:
        found = connection.execute(
            "SELECT carrier FROM browser_with(%s)", (digest_of(secret),)
        ).fetchone()
        if found is None:
            return None
        _of(connection, found[0])
        row = connection.execute(
            "SELECT id, label, person, role, choices, paired_at, seen_at FROM browser"
            " WHERE secret = %s",
            (digest_of(secret),),
        ).fetchone()
        assert row is not None, "it was found just now"
        browser, label, person, role, choices, paired_at, seen_at = row
        if now - seen_at > IDLE_MS * _MS or now - paired_at > WHOLE_MS * _MS:
            connection.execute("UPDATE browser SET ended_at = %s WHERE id = %s", (now, browser))
            return None
        if now - seen_at > _SEEN_EVERY:
            connection.execute("UPDATE browser SET seen_at = %s WHERE id = %s", (now, browser))
        carrier = carrier_of(connection, found[0])
    return Visitor(
        digest=digest_of(secret).hex(),
        browser=browser,
        label=label,
        roles=("office",),
        person=person,
        paired_ms=_ms(paired_at),
        seen_ms=_ms(seen_at),
        choices=json.loads(choices),
        showing=None,
        carrier=carrier,
        role=cast(Role, role),
    )


def choose(database: Database, who: Visitor, choices: dict[str, str]) -> None:
    """Keep what was chosen on a browser: language, units, light."""
    with database.work("pairing", who.carrier.id) as connection:
        connection.execute(
            "UPDATE browser SET choices = %s WHERE id = %s", (json.dumps(choices), who.browser)
        )


def end(database: Database, carrier: Carrier, named: str, why: str, reading: ClockReading) -> int:
    """End the sessions of the browsers of that label or id; how many, each told in the log."""
    with database.work("office", carrier.id) as connection:
        rows = connection.execute(
            "UPDATE browser SET ended_at = %s WHERE (id = %s OR label = %s) AND ended_at IS NULL"
            " RETURNING id",
            (reading.wall, named, named),
        ).fetchall()
        told = own_log.as_told(reading, carrier.invented)
        for (browser,) in rows:
            draft = own_log.by_itself("browser_unpaired", {"browser": browser, "why": why})
            own_log.append(connection, carrier.id, carrier.witness, draft, told)
    return len(rows)


def _of(connection: Open, carrier: str) -> None:
    connection.execute("SELECT set_config('hub.carrier', %s, true)", (carrier,))


def _ms(moment: datetime) -> int:
    return int(moment.timestamp() * 1000)
