"""What a damaged bundle is, for the tests that look for its fault."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Specimen:
    """A damaged bundle: where it is, what the verifier is told, and what it must name.

    `codes` is every code it must give and no other; `place` must stand in one of the places.
    """

    path: Path
    codes: frozenset[str]
    place: str
    arguments: tuple[str, ...] = ()
    exit_code: int = 1


Fault = Callable[[Path], Specimen]
