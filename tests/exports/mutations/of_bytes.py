"""Damage that knows nothing of what the bytes mean."""

from random import Random

from tests.exports.mutations.bag import Files
from tests.exports.mutations.meaning import EVIDENCE


def a_name(files: Files, source: Random) -> str:
    """A file to damage: as often one of the evidence as any."""
    names = sorted(files)
    if source.random() < 0.5:
        names = [name for name in names if name in EVIDENCE]
    return source.choice(names)


def another_byte(data: bytes, source: Random) -> bytes:
    """The data with one byte changed; where there is none, with one added."""
    if not data:
        return bytes([source.randrange(256)])
    at = source.randrange(len(data))
    byte = data[at] ^ (1 << source.randrange(8))
    if source.random() < 0.5:
        byte = (data[at] + source.randrange(1, 256)) % 256
    return data[:at] + bytes([byte]) + data[at + 1 :]


def byte_changed(files: Files, source: Random) -> Files:
    name = a_name(files, source)
    return files | {name: another_byte(files[name], source)}


def bytes_put_in(files: Files, source: Random) -> Files:
    name = a_name(files, source)
    data = files[name]
    at = source.randrange(len(data) + 1)
    return files | {name: data[:at] + source.randbytes(source.randrange(1, 9)) + data[at:]}


def bytes_left_out(files: Files, source: Random) -> Files:
    name = a_name(files, source)
    data = files[name]
    at = source.randrange(len(data) + 1)
    return files | {name: data[:at] + data[at + source.randrange(1, 9) :]}


def file_cut_short(files: Files, source: Random) -> Files:
    name = a_name(files, source)
    return files | {name: files[name][: source.randrange(len(files[name]) + 1)]}


def file_left_out(files: Files, source: Random) -> Files:
    name = a_name(files, source)
    return {other: data for other, data in files.items() if other != name}


def file_called_otherwise(files: Files, source: Random) -> Files:
    name = a_name(files, source)
    called = source.choice([f"{name}.bak", f"data/more/{name}", name.upper(), f"{name[:-1]}_"])
    return {called if other == name else other: data for other, data in files.items()}


def file_added(files: Files, source: Random) -> Files:
    name = source.choice(["data/more.txt", "data/csv/zz.csv", "more.txt", "data/photos/0.jpg"])
    return files | {name: source.randbytes(source.randrange(40))}


def files_exchanged(files: Files, source: Random) -> Files:
    one, other = a_name(files, source), a_name(files, source)
    return files | {one: files[other], other: files[one]}


def file_written_over(files: Files, source: Random) -> Files:
    return files | {a_name(files, source): files[a_name(files, source)]}


DAMAGES = (
    byte_changed,
    byte_changed,
    byte_changed,
    bytes_put_in,
    bytes_left_out,
    file_cut_short,
    file_left_out,
    file_called_otherwise,
    file_added,
    files_exchanged,
    file_written_over,
)
