"""Bags as files in memory: their manifests made anew, and written as a folder or an archive."""

import hashlib
import re
import zipfile
from pathlib import Path
from typing import IO

Files = dict[str, bytes]
"""The bytes of each file of a bag by its path inside it."""


def bundle_files(path: Path) -> Files:
    """The files of a zipped bundle."""
    with zipfile.ZipFile(path) as archive:
        return {name.split("/", 1)[1]: archive.read(name) for name in archive.namelist()}


def remade(files: Files) -> Files:
    """The bag with all its manifests made anew: what hides a change from BagIt."""
    payload = {name: data for name, data in files.items() if name.startswith("data/")}
    oxum = f"Payload-Oxum: {sum(map(len, payload.values()))}.{len(payload)}".encode()
    tags = {
        "bag-info.txt": re.sub(rb"Payload-Oxum: .*", oxum, files["bag-info.txt"]),
        "bagit.txt": files["bagit.txt"],
        "manifest-sha256.txt": _manifest(payload),
    }
    return payload | tags | {"tagmanifest-sha256.txt": _manifest(tags)}


def _manifest(files: Files) -> bytes:
    lines = (f"{hashlib.sha256(files[name]).hexdigest()}  {name}\n" for name in sorted(files))
    return "".join(lines).encode()


def write_folder(files: Files, folder: Path) -> Path:
    """Write the bag as a folder."""
    for name, data in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return folder


def write_zip(files: Files, out: IO[bytes]) -> None:
    """Write the bag as an archive with one folder at its top."""
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in sorted(files.items()):
            archive.writestr(zipfile.ZipInfo(f"bundle/{name}"), data)
