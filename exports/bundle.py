"""A bundle: a BagIt 1.0 folder or archive (RFC 8493) of everything that leaves a log.

FORMAT.md says what lies in it. The same parts, info and time give the same bytes. A bundle is
built under a temporary name beside its target and renamed when it is whole and on the disk, so
that a crash leaves no half bundle under the real name.
"""

import hashlib
import os
import re
import shutil
import tempfile
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

_HERE = Path(__file__).parent
# What a stranger needs goes into every bundle.
_ALWAYS = ("HOWTO.txt", "FORMAT.md", "verify.py")
_OWN_LABELS = {"payload-oxum", "bagging-date"}
_DECLARATION = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
# Names that every file system and the manifest take as they are.
_NAME = re.compile(r"[A-Za-z0-9_](?:[A-Za-z0-9._-]*[A-Za-z0-9_-])?")
_CHUNK_BYTES = 1 << 16


class BundleError(ValueError):
    """A part, a label or a time that cannot go into a bundle; the message names the mend."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One file of a bundle: its path below the bundle's `data` folder, and its bytes.

    `data` is the bytes themselves, the path of a file to copy, or an iterator of chunks of any
    size, which is read once.
    """

    path: str
    data: bytes | Path | Iterator[bytes]

    def __post_init__(self) -> None:
        names = self.path.split("/")
        if not all(_NAME.fullmatch(name) for name in names):
            raise BundleError(
                f"{self.path!r} is no path for a bundle: use letters, digits, '_', '-', '.' and "
                "'/' between names, and no name that begins or ends with a dot."
            )
        if names[0] == "data":
            raise BundleError(
                f"{self.path!r} names the data folder, below which every part already lies: "
                "leave it out."
            )


def write_bundle(
    target: Path, parts: Iterable[Part], info: Mapping[str, str], made_at: str, as_zip: bool
) -> str:
    """Write a bundle to `target`; the answer is the SHA-256 of its `tagmanifest-sha256.txt`.

    That one value stands for every byte of the bundle, as a folder and as an archive alike.
    `info` goes into `bag-info.txt` as it is ordered. `made_at` is an RFC 3339 time with offset;
    it dates the bag and the files in the archive. HOWTO.txt, FORMAT.md and verify.py are always
    added.

    Raises `FileExistsError` if there is something at `target`, `BundleError` for a part, label or
    time that cannot be written, and `OSError` as the disk gives it; then nothing is left behind.
    """
    made = _checked_time(made_at)
    info_lines = _info_lines(info)
    if as_zip and target.suffix != ".zip":
        raise BundleError(f"The archive {target.name!r} needs a name that ends in .zip.")
    _need_free(target)
    workshop = Path(
        tempfile.mkdtemp(prefix=f".{target.name}.", suffix=".partial", dir=target.parent)
    )
    try:
        bag = workshop / (target.stem if as_zip else target.name)
        fingerprint = _fill(bag, parts, info_lines, made)
        whole = bag
        if as_zip:
            whole = workshop / "whole.zip"
            _pack(bag, whole, made)
        _need_free(target)
        whole.rename(target)
        _sync_folder(target.parent)
    finally:
        shutil.rmtree(workshop, ignore_errors=True)
    return fingerprint


def _need_free(target: Path) -> None:
    if target.exists() or target.is_symlink():
        raise FileExistsError(
            f"{target} is already there and is left as it is: choose another name, "
            "or move it away first."
        )


def _checked_time(made_at: str) -> datetime:
    try:
        made = datetime.fromisoformat(made_at)
    except ValueError:
        made = None
    if made is None or made.tzinfo is None or made.year < 1980:
        raise BundleError(
            f"{made_at!r} is no time for a bundle: give one like 2026-05-04T12:30:00.000Z, "
            "not before 1980."
        )
    return made.astimezone(UTC)


def _info_lines(info: Mapping[str, str]) -> list[str]:
    lines = []
    for label, value in info.items():
        if not label or label != label.strip() or ":" in label or not label.isprintable():
            raise BundleError(f"{label!r} is no label for bag-info.txt: use words without colons.")
        if label.lower() in _OWN_LABELS:
            raise BundleError(f"{label!r} is worked out by the bundle: leave it out.")
        if not value.isprintable() or not value.strip():
            raise BundleError(
                f"The value {value!r} of {label!r} must be one line of text, and not empty."
            )
        lines.append(f"{label}: {value}")
    return lines


def _fill(bag: Path, parts: Iterable[Part], info_lines: list[str], made: datetime) -> str:
    payload = bag / "data"
    payload.mkdir(parents=True)
    hashes: dict[str, str] = {}
    taken: set[str] = set()
    byte_count = 0
    for part in _with_own(parts):
        # Two names that differ only in case are one name on many machines.
        if part.path.lower() in taken:
            raise BundleError(f"Two parts go to {part.path!r}: give one of them another name.")
        taken.add(part.path.lower())
        size, digest = _write(payload / part.path, part.data)
        hashes[f"data/{part.path}"] = digest
        byte_count += size
    tags = {
        "bag-info.txt": "".join(
            f"{line}\n"
            for line in (
                *info_lines,
                f"Bagging-Date: {made:%Y-%m-%d}",
                f"Payload-Oxum: {byte_count}.{len(hashes)}",
            )
        ),
        "bagit.txt": _DECLARATION,
        "manifest-sha256.txt": _manifest(hashes),
    }
    tag_hashes = {name: _write(bag / name, text.encode())[1] for name, text in tags.items()}
    digest = _write(bag / "tagmanifest-sha256.txt", _manifest(tag_hashes).encode())[1]
    for folder, _, _ in os.walk(bag):
        _sync_folder(Path(folder))
    return digest


def _with_own(parts: Iterable[Part]) -> Iterator[Part]:
    for name in _ALWAYS:
        yield Part(path=name, data=_HERE / name)
    yield from parts


def _manifest(hashes: Mapping[str, str]) -> str:
    return "".join(f"{hashes[path]}  {path}\n" for path in sorted(hashes))


def _write(path: Path, data: bytes | Path | Iterator[bytes]) -> tuple[int, str]:
    path.parent.mkdir(parents=True, exist_ok=True)
    size = 0
    digest = hashlib.sha256()
    with path.open("xb") as out:
        for chunk in _chunks(data):
            out.write(chunk)
            digest.update(chunk)
            size += len(chunk)
        out.flush()
        os.fsync(out.fileno())
    return size, digest.hexdigest()


def _chunks(data: bytes | Path | Iterator[bytes]) -> Iterator[bytes]:
    if isinstance(data, bytes):
        yield data
    elif isinstance(data, Path):
        with data.open("rb") as source:
            while chunk := source.read(_CHUNK_BYTES):
                yield chunk
    else:
        yield from data


def _pack(bag: Path, archive: Path, made: datetime) -> None:
    """Put the bag into an archive, below one folder of its name (RFC 8493, section 4).

    The files are stored, not deflated: deflated bytes differ from one zlib to the next.
    """
    files = sorted(path for path in bag.rglob("*") if path.is_file())
    with archive.open("xb") as out:
        with zipfile.ZipFile(out, "w") as packed:
            for path in files:
                member = zipfile.ZipInfo(
                    f"{bag.name}/{path.relative_to(bag).as_posix()}",
                    (made.year, made.month, made.day, made.hour, made.minute, made.second),
                )
                member.create_system = 3
                member.external_attr = 0o100644 << 16
                member.file_size = path.stat().st_size
                with path.open("rb") as source, packed.open(member, "w") as packed_file:
                    shutil.copyfileobj(source, packed_file, _CHUNK_BYTES)
        out.flush()
        os.fsync(out.fileno())


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":
        return  # elsewhere a folder cannot be opened, and its names are kept without asking
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
