"""What a form brings: texts, ticks, its key, and how long ago it was made.

A form that was kept on the phone while there was no connection says how long ago it was made, by
the phone's own clock alone: so it does not matter what that clock is set to.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TypeVar

from triplog.desk.desk import Desk
from triplog.desk.odometer import ReadingTold, doubts, odometer_text, read_at
from triplog.desk.refused import Refused
from triplog.journal.trip import Trip

_TEXT_MAX = 4_000
_AGO_MS_MAX = 30 * 24 * 3_600_000
_AS_IT_HAPPENED_MS = 5_000
_KEY = re.compile(r"[A-Za-z0-9_-]{16,64}")
Choice = TypeVar("Choice")


class OddReading(Refused):
    """An odometer reading that has to be asked about before it is recorded."""


@dataclass(frozen=True, slots=True)
class Form:
    """The fields of a posted form, in order; a field may come several times."""

    fields: Sequence[tuple[str, str]]

    def text(self, name: str) -> str | None:
        """The first text of a name without what surrounds it; None: nothing was typed.

        Raises Refused for a text that is too long to be meant.
        """
        found = next((value.strip() for key, value in self.fields if key == name), "")
        if len(found) > _TEXT_MAX:
            raise Refused(
                f"{name} has {len(found):,} characters; at most {_TEXT_MAX:,} are kept. Shorten it"
            )
        return found or None

    def texts(self, name: str) -> list[str]:
        """Every text of a name that says something."""
        return [value.strip() for key, value in self.fields if key == name and value.strip()]

    def is_ticked(self, name: str) -> bool:
        """Whether a box was ticked."""
        return self.text(name) == "yes"

    def yes_or_no(self, name: str) -> bool | None:
        """A yes or a no; None: neither was said."""
        return {"yes": True, "no": False}.get(self.text(name) or "")

    def one_of(self, name: str, known: Callable[[str], Choice], words: Sequence[str]) -> Choice:
        """One of a list of words. Raises Refused for any other."""
        said = self.text(name)
        if said is None or said not in words:
            raise Refused(f"{name} is one of: {', '.join(words)}; found {said!r}")
        return known(said)

    @property
    def key(self) -> str:
        """The key the form is recorded under once. Raises Refused where it has none."""
        found = self.text("key") or ""
        if not _KEY.fullmatch(found):
            raise Refused("the form has lost its key; open the page again and fill it in anew")
        return f"page-{found}"

    def happened_at(self, now: datetime) -> datetime | None:
        """When it was made; None: now. Raises Refused for what is no time."""
        said = self.text("made_ago_ms")
        if said is None:
            return None
        if not said.isdecimal() or len(said) > 12 or int(said) > _AGO_MS_MAX:
            raise Refused("how long ago it was made cannot be read; fill it in anew")
        ago_ms = int(said)
        return None if ago_ms <= _AS_IT_HAPPENED_MS else now - timedelta(milliseconds=ago_ms)

    @property
    def typed(self) -> Mapping[str, str]:
        """What was typed, to be shown again; of each name the first."""
        found: dict[str, str] = {}
        for name, value in self.fields:
            if name not in ("key", "token", "made_ago_ms"):
                found.setdefault(name, value[:_TEXT_MAX])
        return found


def reading_told(desk: Desk, trip: Trip, form: Form, at: datetime | None) -> ReadingTold:
    """The odometer reading of a form; empty where none was typed. Raises OddReading."""
    typed = form.text("odometer")
    if typed is None:
        return {}
    sure, replaced = form.is_ticked("sure"), form.is_ticked("new_instrument")
    if not (sure or replaced):
        reading = odometer_text(desk, typed)
        odd = doubts(trip, reading, read_at(desk, trip, at))
        if odd:
            raise OddReading(f"{reading}: {'; '.join(odd)}")
    first = form.text("typed_first")
    return {
        "odometer": typed,
        "sure": sure,
        "new_instrument": replaced,
        "typed_first": None if first in (None, typed) else first,
    }
