"""What a disk may hold after a power cut, from the log of what a process did to it.

Stricter than most file systems: until a file is synced, each of its writes may be kept, lost, or
kept in some of its 512-byte sectors only; until the folder is synced, each name may still stand as
it stood before any of the changes made to it since.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Literal

SECTOR = 512
_HEAD = struct.Struct("=c4Q")
Keep = Literal["all", "none", "some"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One thing a process did: `what` is the letter of the log, `name` the file in the folder."""

    what: str
    name: str
    offset: int
    data: bytes


def operations(log: bytes, folder: Path) -> Iterator[Operation]:
    """The operations of a log, in order; the folder itself has the name `.`.

    The data of a renaming is the new name, as `name` is.
    """
    at = 0
    while at < len(log):
        letter, offset, path_length, data_length, _ = _HEAD.unpack_from(log, at)
        at += _HEAD.size
        path = Path(log[at : at + path_length].decode())
        at += path_length
        data = log[at : at + data_length]
        at += data_length
        name = path.relative_to(folder).as_posix()
        if letter == b"R":
            data = Path(data.decode()).relative_to(folder).as_posix().encode()
        yield Operation(what=letter.decode(), name=name, offset=offset, data=data)


@dataclass(slots=True)
class _File:
    """What is durable of a file, and what has been done to it since its last sync."""

    durable: bytearray = field(default_factory=bytearray)
    since: list[Operation] = field(default_factory=list)


@dataclass(slots=True)
class Disk:
    """The files of a folder as far as they are durable, and everything that is not yet."""

    names: dict[str, _File] = field(default_factory=dict)
    names_durable: dict[str, _File] = field(default_factory=dict)
    changes: dict[str, list[_File | None]] = field(default_factory=dict)

    def apply(self, done: Operation) -> None:
        """Take one operation in."""
        match done.what:
            case "C":
                self._name(done.name, _File())
            case "W" | "T":
                self.names[done.name].since.append(done)
            case "S" if done.name not in self.names:
                self._sync_folder(done.name)
            case "S":
                file = self.names[done.name]
                file.durable = _written(file, file.since)
                file.since.clear()
            case "U":
                self._name(done.name, None)
            case "R":
                file = self.names[done.name]
                self._name(done.name, None)
                self._name(done.data.decode(), file)
            case _:
                raise AssertionError(f"{done.what} is no operation")

    def after_a_cut(self, random: Random, keep: Keep) -> dict[str, bytes]:
        """One content the folder may have if the power goes now."""
        names = dict(self.names_durable)
        for name, changes in self.changes.items():
            kept = {"all": len(changes), "none": 0, "some": random.randint(0, len(changes))}[keep]
            if kept:
                standing = changes[kept - 1]
                names.pop(name, None)
                if standing is not None:
                    names[name] = standing
        return {
            name: bytes(_written(file, _kept(file.since, random, keep)))
            for name, file in names.items()
        }

    def _sync_folder(self, folder: str) -> None:
        """The names in a folder are durable as they stand; those in the folders below it are not.

        A folder itself is there once it was made.
        """
        here = {name for name in (*self.names, *self.changes) if _folder_of(name) == folder}
        for name in here:
            self.changes.pop(name, None)
            if name in self.names:
                self.names_durable[name] = self.names[name]
            else:
                self.names_durable.pop(name, None)

    def _name(self, name: str, file: _File | None) -> None:
        self.names.pop(name, None)
        if file is not None:
            self.names[name] = file
        self.changes.setdefault(name, []).append(file)


def _folder_of(name: str) -> str:
    return Path(name).parent.as_posix()


def _kept(since: list[Operation], random: Random, keep: Keep) -> Iterator[Operation]:
    if keep == "none":
        return
    for done in since:
        if keep == "all":
            yield done
        elif random.random() < 0.5:
            if done.what == "W" and len(done.data) > SECTOR and random.random() < 0.5:
                yield from _torn(done, random)
            else:
                yield done


def _torn(write: Operation, random: Random) -> Iterator[Operation]:
    """Some of the sectors of a write."""
    for start in range(0, len(write.data), SECTOR):
        if random.random() < 0.5:
            yield Operation(
                what="W",
                name=write.name,
                offset=write.offset + start,
                data=write.data[start : start + SECTOR],
            )


def _written(file: _File, since: Iterator[Operation] | list[Operation]) -> bytearray:
    content = bytearray(file.durable)
    for done in since:
        if done.what == "T":
            del content[done.offset :]
            content.extend(bytes(done.offset - len(content)))
        else:
            content.extend(bytes(max(0, done.offset - len(content))))
            content[done.offset : done.offset + len(done.data)] = done.data
    return content
