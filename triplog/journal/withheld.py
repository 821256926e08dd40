"""Which private values an export does not show: asked wherever a value would be opened. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass

WORD = "withheld"
"""What stands where the value would stand."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Withheld:
    """Private values that are not shown, though they are there.

    `fields`: names of fields that no entry shows. `pairs`: single values, as (hash of the entry,
    field). `spared`: hashes of entries that show theirs all the same. `said`: what a reader is
    told about it first, empty where there is nothing to tell.
    """

    fields: frozenset[str] = frozenset()
    pairs: frozenset[tuple[str, str]] = frozenset()
    spared: frozenset[str] = frozenset()
    said: str = ""

    def hides(self, entry: str, field: str) -> bool:
        """Whether a value is not to be shown."""
        hidden = field in self.fields or (entry, field) in self.pairs
        return hidden and entry not in self.spared

    def shown(self, entry: str, opened: Mapping[str, str]) -> dict[str, str]:
        """The values of an entry, the word *withheld* in place of each that is."""
        return {
            field: WORD if self.hides(entry, field) else value for field, value in opened.items()
        }


NOTHING_WITHHELD = Withheld()
