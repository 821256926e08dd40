"""Private values: what is said when they go, and what that does not reach. English."""

from collections.abc import Mapping
from typing import cast

from triplog.journal.entries import Entry

NOWHERE_ELSE = "the same text stands in no other entry"
LIMITS = (
    "what left this machine is out of reach: copies, prints, messages, other people's journals",
    "the disk itself may hold traces of an older state of the file that a laboratory can read",
)
"""What destroying does not do, whatever is recorded of copies."""


def counted_text(counts: Mapping[str, int]) -> str:
    """How many values of each field: "2 of name, 1 of place"."""
    return ", ".join(f"{count} of {field.replace('_', ' ')}" for field, count in counts.items())


def withheld_text(counts: Mapping[str, int], why: str) -> str:
    """What a reader is told first: what is withheld, why, and what that can mean."""
    return (
        f"Withheld from this export: {counted_text(counts)}. Why: {why}. Where a value"
        " would stand, it says withheld; the entries are whole without. Kind, time and"
        " odometer of every entry stay visible. Withholding can hide something important:"
        " ask for what you need."
    )


def not_listed_text(folder: str, problem: str) -> str:
    """The list of what was destroyed could not be kept in the second place."""
    return (
        f"destroyed and recorded, but the list of it could not be written to {folder}: {problem}."
        " A back-up made before this would bring the values back; make room there and destroy"
        " anything again, or make a new back-up and destroy the old ones"
    )


def elsewhere_text(entry: Entry, field: str | None) -> str:
    """An entry in which the same text stands still; `field` None: in the entry itself."""
    kind = entry.kind.replace("_", " ")
    if field is None:
        return f"the same text stands in {entry.hash[:8]} ({kind}) itself, which is never changed"
    return f"the same text stands still in {entry.hash[:8]}:{field} ({kind})"


def copy_text(entry: Entry, when: str, trip: str | None) -> str:
    """An export or back-up made while the value could be read; `trip` None: the whole store."""
    if entry.kind == "backed_up":
        return f"{when}  back-up of the whole store  [{entry.hash[:8]}]"
    forms = ", ".join(cast(list[str], entry.body.get("form", [])))
    of = "the whole store" if trip is None else f"trip {trip}"
    return f"{when}  export of {of}: {forms}  [{entry.hash[:8]}]"
