"""What an attack is, for the tests that look whether it is found."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Attack:
    """A bundle after an attack.

    `alone`: codes that the checker gives without anything from outside; none means that nothing
    in the bundle can show it, and `limit` is a part of the sentence that says so. `outside`: what
    somebody may hold, as arguments, to codes it then gives; no codes: it fits, as it should.
    """

    path: Path
    alone: frozenset[str] = frozenset()
    limit: str = ""
    outside: dict[tuple[str, ...], frozenset[str]] = field(default_factory=dict)


Made = Callable[[Path], Attack]

REWRITTEN = "could have written the whole log anew"
AFTER_THE_LAST = "after the last entry here cannot be seen"
FOR_READING = "Where one differs from the entries, the entries hold"
