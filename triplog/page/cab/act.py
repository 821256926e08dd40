"""What can be done in the cab: what a form shows, and what it records."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.journal.entries import Entry
from triplog.journal.trip import Trip
from triplog.page.forms import Form
from triplog.wording.due import Say


@dataclass(frozen=True, slots=True)
class Said:
    """What is told once something has been recorded; `entry` is the one it goes by.

    `then`: the name of the page that comes next; "": the trip's own.
    """

    entry: Entry
    lines: tuple[str, ...] = ()
    then: str = ""


Shown = Callable[[Desk, Trip, Say], Mapping[str, object]]
Record = Callable[[Desk, Trip, Form, Say], Said]


def nothing_more(desk: Desk, trip: Trip, say: Say) -> Mapping[str, object]:
    """A form that needs nothing but the trip."""
    del desk, trip, say
    return {}


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One thing that can be done; `while_driven`: even while the duty status is driving."""

    template: str
    record: Record
    shown: Shown = nothing_more
    while_driven: bool = False

    def refuse_at_the_wheel(self, trip: Trip, say: Say) -> None:
        """Refuse what can wait for a stop."""
        if trip.is_driven and not self.while_driven:
            raise Refused(
                say(
                    "The log says that it is driven. Stop off the road at the next safe place, and"
                    " say so first: stopped off the road."
                )
            )
