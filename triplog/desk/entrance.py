"""Who may come in by the page: what of it stands in the journal.

The secrets lie elsewhere (`page/entrance/book.py`); here is only that a browser was paired, for
whom, that it was unpaired, and how often somebody was refused.
"""

from dataclasses import dataclass
from datetime import datetime

from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.journal.entries import Entry, time_text
from triplog.journal.store import new_id

ROLES = ("cab", "office")
_LABEL_CHARACTERS_MAX = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Paired:
    """A browser that was let in: `person` is an id, `browser` the id it goes by."""

    browser: str
    label: str
    roles: tuple[str, ...]
    person: str


def roles_named(words: list[str]) -> tuple[str, ...]:
    """The roles of these words, in their order; Refused for other words and for none."""
    unknown = [word for word in words if word not in ROLES]
    if unknown or not words:
        raise Refused(f"a role is {' or '.join(ROLES)}; found {', '.join(unknown) or 'none'}")
    return tuple(role for role in ROLES if role in words)


def browser_label(label: str) -> str:
    """A label people can tell the browser by; Refused for one that says nothing or too much."""
    told = " ".join(label.split())
    if not told or len(told) > _LABEL_CHARACTERS_MAX or not told.isprintable():
        raise Refused(
            f"call the browser something short, such as phone-1 (1 to {_LABEL_CHARACTERS_MAX}"
            " characters)"
        )
    return told


def record_paired(desk: Desk, label: str, roles: tuple[str, ...], person: str) -> Paired:
    """Record that a browser was paired; its id is drawn here."""
    paired = Paired(browser=new_id(), label=label, roles=roles, person=person)
    desk.record(
        desk.draft(
            "browser_paired",
            {
                "browser": paired.browser,
                "label": paired.label,
                "roles": list(roles),
                "person": person,
            },
        )
    )
    return paired


def record_unpaired(desk: Desk, browser: str, why: str) -> Entry:
    """Record that a browser is paired no more."""
    return desk.record(desk.draft("browser_unpaired", {"browser": browser, "why": why}))


def record_refused(desk: Desk, what: str, count: int, since: datetime) -> Entry:
    """Record how often somebody was refused at the entrance since a moment, by kind."""
    body = {"what": what, "count": count, "since": time_text(since)}
    return desk.record(desk.draft("entrance_refused", dict(body)))
