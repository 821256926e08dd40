"""The files of a bundle in memory: read, written as a folder or an archive, listed anew."""

import hashlib
import io
import shutil
import zipfile
from collections.abc import Iterable
from pathlib import Path

Files = dict[str, bytes]
"""Path below the bundle's own folder to bytes."""

FOLDER = "bundle"
MANIFEST, TAG_MANIFEST, INFO = "manifest-sha256.txt", "tagmanifest-sha256.txt", "bag-info.txt"


def read_archive(path: Path) -> Files:
    """The files of a zipped bundle."""
    with zipfile.ZipFile(path) as archive:
        return {name.partition("/")[2]: archive.read(name) for name in archive.namelist()}


def as_archive(files: Files) -> bytes:
    """A zipped bundle, stored, by path."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in sorted(files.items()):
            archive.writestr(zipfile.ZipInfo(f"{FOLDER}/{name}"), data)
    return out.getvalue()


def listing(files: Files, names: Iterable[str]) -> bytes:
    """A manifest of some of the files."""
    return "".join(
        f"{hashlib.sha256(files[name]).hexdigest()}  {name}\n" for name in sorted(names)
    ).encode()


def relisted(files: Files) -> Files:
    """The same files with every list made anew: what any stranger can do after a change."""
    made = dict(files)
    payload = [name for name in made if name.startswith("data/")]
    size = sum(len(made[name]) for name in payload)
    made[INFO] = f"Bagging-Date: 2026-05-12\nPayload-Oxum: {size}.{len(payload)}\n".encode()
    made[MANIFEST] = listing(made, payload)
    return retagged(made)


def retagged(files: Files) -> Files:
    """The same files with the list of the files beside `data` made anew."""
    made = dict(files)
    tags = [name for name in made if not name.startswith("data/") and name != TAG_MANIFEST]
    made[TAG_MANIFEST] = listing(made, tags)
    return made


class StandingFolder:
    """A bundle as a folder that is changed to each damage and back, writing only what differs."""

    def __init__(self, path: Path, files: Files) -> None:
        self.path = path
        self._there: Files = {}
        self.become(files)

    def become(self, files: Files) -> None:
        """Hold exactly these files."""
        if any(self._is_in_the_way(name) for name in files):
            shutil.rmtree(self.path)
            self._there = {}
        for name in set(self._there) - set(files):
            (self.path / name).unlink()
        for name, data in files.items():
            if self._there.get(name) != data:
                target = self.path / name
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(data)
        self._there = dict(files)

    def _is_in_the_way(self, name: str) -> bool:
        return name not in self._there and (self.path / name).is_dir()
