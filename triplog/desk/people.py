"""The people: who types, who drives, who loads. By label and role; the name, and how to reach them,
stay private.
"""

from collections.abc import Sequence

from triplog.desk.desk import Desk
from triplog.desk.finding_things import refuse_label
from triplog.desk.refused import Refused
from triplog.journal.derived import PersonRow
from triplog.journal.entries import Entry
from triplog.journal.store import new_id

ROLES = ("types", "drives", "loads", "office")


def add_person(
    desk: Desk, *, label: str, roles: list[str], name: str | None, reach: str | None = None
) -> Entry:
    """Make a person's card; `reach`: how to reach them, such as a telephone number."""
    refuse_unknown_roles(roles)
    refuse_label(desk, PersonRow, label)
    return desk.record(
        desk.draft(
            "person_recorded",
            {"id": new_id(), "label": label, "roles": list(roles)},
            private={"name": name, "reach": reach},
        )
    )


def refuse_unknown_roles(roles: Sequence[str]) -> None:
    """Refuse a role that is none, and a person without one."""
    unknown = [role for role in roles if role not in ROLES]
    if unknown or not roles:
        raise Refused(
            f"a person has roles out of {', '.join(ROLES)}; found {', '.join(unknown) or 'none'}"
        )
