"""Archives and folders made to lead the checker elsewhere, or to unpack without end."""

import os
import socket
import struct
import zipfile
from pathlib import Path

from tests.exports.attacks.bomb import a_day, as_folder
from tests.exports.attacks.signed_day import bag, signed_day

# What is unpacked, and what it is said to be


def _with_header(home: Path, at: int, value: bytes) -> list[str]:
    """An archive with a changed field in the central header of its last member."""
    path = bag(home / "bundle.zip", signed_day(), trip=True)
    data = bytearray(path.read_bytes())
    begin = data.rindex(b"PK\x01\x02") + at
    data[begin : begin + len(value)] = value
    path.write_bytes(bytes(data))
    return [str(path)]


def zip_that_says_it_holds_ten_gigabytes(home: Path) -> list[str]:
    # 32 bits hold no 10 GB: 4 GB less 2 in each of three members does.
    path = bag(home / "bundle.zip", signed_day(), trip=True)
    data = bytearray(path.read_bytes())
    begin = 0
    for _ in range(3):
        begin = data.index(b"PK\x01\x02", begin) + 4
        struct.pack_into("<I", data, begin + 20, 0xFFFFFFFE)
    path.write_bytes(bytes(data))
    return [str(path)]


def zip_that_says_a_file_is_longer(home: Path) -> list[str]:
    return _with_header(home, 24, struct.pack("<I", 1_000_000))


def zip_with_a_member_beyond_its_end(home: Path) -> list[str]:
    return _with_header(home, 42, struct.pack("<I", 0xFFFFFFF0))


def zip_with_a_method_nobody_knows(home: Path) -> list[str]:
    return _with_header(home, 10, struct.pack("<H", 99))


def zip_that_says_it_is_encrypted(home: Path) -> list[str]:
    return _with_header(home, 8, struct.pack("<H", 1))


def zip_of_a_hundred_megabytes_of_one_byte(home: Path) -> list[str]:
    path = bag(home / "bundle.zip", signed_day(), trip=True)
    with (
        zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive,
        archive.open("bundle/data/zeros.bin", "w") as out,
    ):
        for _ in range(25):
            out.write(bytes(4 << 20))
    return [str(path)]


def zip_that_holds_one_file_many_times(home: Path) -> list[str]:
    """Every central header leads to the same packed bytes."""
    path = bag(home / "bundle.zip", signed_day(), trip=True)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("bundle/data/zeros.bin", bytes(4 << 20))
        info = archive.getinfo("bundle/data/zeros.bin")
        for number in range(2_000):
            twin = zipfile.ZipInfo(f"bundle/data/z{number:04}.bin")
            for name in ("header_offset", "compress_size", "file_size", "CRC", "compress_type"):
                setattr(twin, name, getattr(info, name))
            archive.filelist.append(twin)
    return [str(path)]


def zip_with_every_name_twice(home: Path) -> list[str]:
    path = home / "bundle.zip"
    files = a_day(home)
    _write_zip(path, [*files.items(), *files.items()])
    return [str(path)]


def _write_zip(path: Path, members: list[tuple[str, bytes]]) -> None:
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in members:
            info = zipfile.ZipInfo(f"bundle/{name}")
            archive.filelist = [one for one in archive.filelist if one.filename != "none"]
            archive.NameToInfo.pop(info.filename, None)
            archive.writestr(info, data)


def _zip_with_name(home: Path, name: str, mode: int = 0o100644) -> list[str]:
    path = bag(home / "bundle.zip", signed_day(), trip=True)
    with zipfile.ZipFile(path, "a") as archive:
        info = zipfile.ZipInfo("x")
        info.filename = info.orig_filename = name
        info.external_attr = mode << 16
        archive.writestr(info, b"/etc/hostname")
    return [str(path)]


def zip_with_an_absolute_name(home: Path) -> list[str]:
    return _zip_with_name(home, "/etc/triplog")


def zip_with_a_name_that_leads_up(home: Path) -> list[str]:
    return _zip_with_name(home, "bundle/data/../../../out.txt")


def zip_with_a_drive_and_backslashes(home: Path) -> list[str]:
    return _zip_with_name(home, "bundle/data/C:\\out.txt")


def zip_with_a_link(home: Path) -> list[str]:
    return _zip_with_name(home, "bundle/data/link", 0o120777)


def zip_with_a_name_that_is_not_utf_8(home: Path) -> list[str]:
    path = _zip_with_name(home, "bundle/data/näme")
    raw = Path(path[0]).read_bytes().replace("näme".encode(), b"n\xff\xfeme")
    Path(path[0]).write_bytes(raw)
    return path


# Folders


def link_to_a_device_for_the_log(home: Path) -> list[str]:
    called = as_folder(home, a_day(home))
    log = home / "bundle/data/entries.jsonl"
    log.unlink()
    log.symlink_to("/dev/zero")
    return called


def link_that_leads_back_to_itself(home: Path) -> list[str]:
    called = as_folder(home, a_day(home))
    (home / "bundle/data/again").symlink_to(home / "bundle")
    return called


def pipe_for_the_log(home: Path) -> list[str]:
    called = as_folder(home, a_day(home))
    (home / "bundle/data/entries.jsonl").unlink()
    os.mkfifo(home / "bundle/data/entries.jsonl")
    return called


def pipe_for_the_bundle(home: Path) -> list[str]:
    os.mkfifo(home / "pipe.zip")
    return [str(home / "pipe.zip")]


def device_for_the_bundle(home: Path) -> list[str]:
    assert home.is_dir()
    return ["/dev/zero"]


def pipe_for_a_checkpoint(home: Path) -> list[str]:
    os.mkfifo(home / "kept.txt")
    return [*as_folder(home, a_day(home)), "--checkpoint", str(home / "kept.txt")]


def socket_in_the_folder(home: Path) -> list[str]:
    called = as_folder(home, a_day(home))
    here = Path.cwd()
    with socket.socket(socket.AF_UNIX) as one:
        os.chdir(home / "bundle/data")  # a socket's name may not be long
        try:
            one.bind("s")
        finally:
            os.chdir(here)
    return called


def name_that_is_not_utf_8(home: Path) -> list[str]:
    called = as_folder(home, a_day(home))
    Path(os.fsdecode(bytes(home / "bundle/data") + b"/n\xff\xfe\n.txt")).write_bytes(b"x")
    return called
