"""What the bundles that are made to trouble the checker are made of."""

from collections.abc import Callable
from pathlib import Path

from tests.exports.attacks.signed_day import bag, signed_day
from tests.exports.mutations.bag import Files, read_archive, relisted

Bomb = Callable[[Path], list[str]]

DEEP = 100_000
MANY = 1_000_000


def a_day(home: Path, *, trip: bool = True) -> Files:
    path = home / "whole.zip"
    return read_archive(path if path.exists() else bag(path, signed_day(), trip=trip))


def as_folder(home: Path, files: Files) -> list[str]:
    for name, data in files.items():
        target = home / "bundle" / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    return [str(home / "bundle")]


def with_file(home: Path, name: str, data: bytes, *, trip: bool = True) -> list[str]:
    """The day with one file replaced, the lists made anew."""
    return as_folder(home, relisted(a_day(home, trip=trip) | {name: data}))


def with_line(home: Path, name: str, line: bytes) -> list[str]:
    return with_file(home, name, a_day(home)[name] + line + b"\n")
