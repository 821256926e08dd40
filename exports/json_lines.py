"""JSON Lines of stored bytes, and a JSON array of records, both written one by one."""

import json
from collections.abc import Iterable, Mapping
from typing import Any, BinaryIO


class LineError(ValueError):
    """Stored bytes that are no single line; the message says which."""


def write_lines(raw_lines: Iterable[bytes], out: BinaryIO) -> None:
    """Write each line's bytes as they are, with a line feed behind it.

    Raises `LineError` for bytes that hold a line feed: they would read back as two lines.
    """
    out.writelines(_terminated(number, line) for number, line in enumerate(raw_lines, start=1))


def _terminated(number: int, line: bytes) -> bytes:
    if b"\n" in line:
        raise LineError(f"Line {number} holds a line feed: hand in one entry at a time.")
    return line + b"\n"


def write_json(records: Iterable[Mapping[str, Any]], out: BinaryIO) -> None:
    """Write the records as one JSON array in UTF-8, each record on a line of its own.

    Raises `ValueError` for a number that JSON does not have, and `TypeError` for a value that is
    none of JSON's kinds; the records before it are then already written.
    """
    encode = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode
    before = b"[\n"
    for record in records:
        out.write(before + encode(record).encode())
        before = b",\n"
    out.write(b"[]\n" if before == b"[\n" else b"\n]\n")
