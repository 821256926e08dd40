"""Bundles made to keep the checker busy, to fill the memory, to lead it elsewhere or to end it.

Each builder makes one below `home` and answers with what the checker is called with. All of it is
worked out by us; no published collection is used.
"""

import base64
import json
import os
import shutil
import socket
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

from tests.exports.attacks.signed_day import bag, head, signed_day
from tests.exports.mutations.bag import Files, read_archive, relisted, retagged
from tests.specimens import builder
from tests.specimens.builder import canonical, sha256

Bomb = Callable[[Path], list[str]]

DEEP = 100_000
MANY = 1_000_000


def _day(home: Path, *, trip: bool = True) -> Files:
    path = home / "whole.zip"
    return read_archive(path if path.exists() else bag(path, signed_day(), trip=trip))


def _folder(home: Path, files: Files) -> list[str]:
    for name, data in files.items():
        target = home / "bundle" / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    return [str(home / "bundle")]


def _with(home: Path, name: str, data: bytes, *, trip: bool = True) -> list[str]:
    """The day with one file replaced, the lists made anew."""
    return _folder(home, relisted(_day(home, trip=trip) | {name: data}))


def _with_line(home: Path, name: str, line: bytes) -> list[str]:
    return _with(home, name, _day(home)[name] + line + b"\n")


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
    files = _day(home)
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
    called = _folder(home, _day(home))
    log = home / "bundle/data/entries.jsonl"
    log.unlink()
    log.symlink_to("/dev/zero")
    return called


def link_that_leads_back_to_itself(home: Path) -> list[str]:
    called = _folder(home, _day(home))
    (home / "bundle/data/again").symlink_to(home / "bundle")
    return called


def pipe_for_the_log(home: Path) -> list[str]:
    called = _folder(home, _day(home))
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
    return [*_folder(home, _day(home)), "--checkpoint", str(home / "kept.txt")]


def socket_in_the_folder(home: Path) -> list[str]:
    called = _folder(home, _day(home))
    here = Path.cwd()
    with socket.socket(socket.AF_UNIX) as one:
        os.chdir(home / "bundle/data")  # a socket's name may not be long
        try:
            one.bind("s")
        finally:
            os.chdir(here)
    return called


def name_that_is_not_utf_8(home: Path) -> list[str]:
    called = _folder(home, _day(home))
    Path(os.fsdecode(bytes(home / "bundle/data") + b"/n\xff\xfe\n.txt")).write_bytes(b"x")
    return called


# Numbers


def oxum_of_ten_gigabytes(home: Path) -> list[str]:
    return _with_info(home, b"Payload-Oxum: 10000000000.10\n")


def oxum_of_a_million_digits(home: Path) -> list[str]:
    return _with_info(home, b"Payload-Oxum: " + b"9" * MANY + b".7\n")


def _with_info(home: Path, info: bytes) -> list[str]:
    return _folder(home, retagged(_day(home) | {"bag-info.txt": info}))


def head_over_a_billion_entries(home: Path) -> list[str]:
    note = head(signed_day()).text.replace("\n11\n", "\n1000000000\n").encode()
    return _with(home, "data/checkpoint.txt", note)


def head_over_as_many_entries_as_there_can_be(home: Path) -> list[str]:
    note = head(signed_day()).text.replace("\n11\n", f"\n{2**53 - 1}\n").encode()
    return _with(home, "data/checkpoint.txt", note, trip=False)


def head_with_a_size_of_a_million_digits(home: Path) -> list[str]:
    note = head(signed_day()).text.replace("\n11\n", f"\n{'9' * MANY}\n").encode()
    return _with(home, "data/checkpoint.txt", note)


def number_of_a_million_digits_in_an_entry(home: Path) -> list[str]:
    line = _day(home)["data/entries.jsonl"].splitlines()[-1]
    return _with_line(home, "data/entries.jsonl", line.replace(b'"v":1', b'"v":' + b"9" * MANY))


def number_of_a_million_digits_in_the_card(home: Path) -> list[str]:
    card = _day(home)["data/bundle.json"].replace(b'"seq":10', b'"seq":' + b"9" * MANY)
    return _with(home, "data/bundle.json", card)


def card_that_expects_all_entries_there_can_be(home: Path) -> list[str]:
    card = json.loads(_day(home)["data/bundle.json"])
    card["heads"]["dev-1"] |= {"seq": 2**53 - 1, "entries": 2**53 - 1}
    return _with(home, "data/bundle.json", canonical(card))


def entry_with_the_highest_number(home: Path) -> list[str]:
    day = signed_day()
    day.entries[-1]["seq"] = 2**53 - 1
    return [str(builder.bag(home / "bundle", day.lines(), day.card(), day.openings))]


def years_from_the_first_to_the_last(home: Path) -> list[str]:
    day = signed_day()
    years = (1, 9999, 1, 9999, 1, 1, 9999, 9999, 1, 1, 9999)
    for entry, year in zip(day.entries, years, strict=True):
        entry["event_time"] = f"{year:04}-01-01T00:00:00.000Z"
        entry["entry_time"] = f"{10_000 - year:04}-12-31T23:59:59.999Z"
        entry["clock"]["boot_ms"] = (2**53 - 1) * (-1 if year == 1 else 1)
    return [str(builder.bag(home / "bundle", day.lines(), day.card(), day.openings))]


def proof_of_a_hundred_thousand_hashes(home: Path) -> list[str]:
    proof = {"device": "dev-1", "seq": 3, "hashes": [sha256(b"")] * 100_000}
    return _with_line(home, "data/proofs.jsonl", canonical(proof))


def proof_from_the_highest_number(home: Path) -> list[str]:
    hashes = [sha256(b"")] * 60
    told = [{"device": "dev-1", name: 2**53 - 1, "hashes": hashes} for name in ("seq", "old")]
    return _with_line(home, "data/proofs.jsonl", b"\n".join(map(canonical, told)))


# Depth and number


def _deep(kind: bytes, inner: bytes = b"") -> bytes:
    opened, closed = (b"[", b"]") if kind == b"[" else (b'{"a":', b"}")
    return opened * DEEP + (inner or b"1") + closed * DEEP


def deep_entry(home: Path) -> list[str]:
    return _with_line(home, "data/entries.jsonl", _deep(b"["))


def deep_body(home: Path) -> list[str]:
    line = _day(home)["data/entries.jsonl"].splitlines()[-1]
    deep = line.replace(b'"body":{', b'"body":{"a":' + _deep(b"{") + b",")
    return _with_line(home, "data/entries.jsonl", deep)


def less_deep_bodies(home: Path) -> list[str]:
    """Some that can be read and not written, or written and not walked."""
    line = _day(home)["data/entries.jsonl"].splitlines()[-1]
    bodies = [
        line.replace(
            b'"body":{',
            b'"body":{"a":' + b"[" * depth + '"é"'.encode() + b"]" * depth + b",",
        )
        for depth in (100, 300, 450, 480, 500, 900, 960, 990, 1_000, 3_000)
    ]
    return _with_line(home, "data/entries.jsonl", b"\n".join(bodies))


def deep_opening(home: Path) -> list[str]:
    first = _day(home)["data/openings.jsonl"].splitlines()[0]
    values = [_deep(b"["), *(b"[" * depth + b"]" * depth for depth in (300, 480, 500, 960, 990))]
    lines = [first.replace(b'"driver"', value) for value in values]
    return _with_line(home, "data/openings.jsonl", b"\n".join(lines))


def deep_proof(home: Path) -> list[str]:
    return _with_line(home, "data/proofs.jsonl", _deep(b"{"))


def deep_card(home: Path) -> list[str]:
    return _with(home, "data/bundle.json", _deep(b"{"))


def million_signature_lines(home: Path) -> list[str]:
    note = head(signed_day()).text.encode()
    strange = "— other AAAAAAAA\n".encode() * (MANY // 2)
    return _with(home, "data/checkpoint.txt", note + strange + note.splitlines(True)[-1] * 9)


def head_of_a_hundred_signatures_by_one_key(home: Path) -> list[str]:
    whole = head(signed_day())
    (line,) = whole.signatures
    made = [base64.b64encode(line.key_id + bytes([n] * 64)).decode() for n in range(100)]
    note = whole.text + "".join(f"— {line.name} {raw}\n" for raw in made)
    return _with(home, "data/checkpoint.txt", note.encode())


def ten_million_empty_lines(home: Path) -> list[str]:
    return _with_line(home, "data/entries.jsonl", b"\n" * 10_000_000)


def ten_million_empty_lines_of_openings_and_proofs(home: Path) -> list[str]:
    files = _day(home)
    for name in ("data/openings.jsonl", "data/proofs.jsonl"):
        files[name] += b"\n" * 10_000_000
    return _folder(home, relisted(files))


def manifest_of_empty_lines(home: Path) -> list[str]:
    files = _day(home)
    files["manifest-sha256.txt"] += b"\n" * 10_000_000
    return _folder(home, retagged(files))


def line_of_empty_lists(home: Path) -> list[str]:
    return _with_line(home, "data/entries.jsonl", b"[" + b"[]," * 5_000_000 + b"[]]")


def card_of_empty_lists(home: Path) -> list[str]:
    return _with(home, "data/bundle.json", b"[" + b"[]," * 5_000_000 + b"[]]")


def card_too_big_to_be_one(home: Path) -> list[str]:
    return _with(home, "data/bundle.json", b" " * (64 << 20))


def heads_of_two_hundred_thousand_devices(home: Path) -> list[str]:
    day = signed_day()
    heads = {f"d{number}": sha256(b"") for number in range(100_000)}
    for _ in range(6):
        day.add("handed_over", body={"trip_heads": heads})
    return [str(builder.bag(home / "bundle", day.lines(), day.card(), day.openings))]


def every_second_number_and_then_the_rest_backwards(home: Path) -> list[str]:
    """Each entry behind falls into one of many gaps."""
    (line,) = [line for line in signed_day().lines() if b'"departed"' in line]
    numbers = [*range(0, 40_000, 2), *range(39_999, 0, -2)]
    lines = [line.replace(b'"seq":4', b'"seq":%d' % number) for number in numbers]
    return [str(builder.bag(home / "bundle", lines, signed_day().card()))]


def openings_of_nothing_backwards(home: Path) -> list[str]:
    day = signed_day()
    openings = [
        {"entry": sha256(b"%d" % n), "field": "name", "salt": "0" * 32, "value": n}
        for n in range(60_000)
    ]
    return [str(builder.bag(home / "bundle", day.lines(), day.card(), openings))]


# Letters


def _not_utf_8(name: str) -> Bomb:
    def build(home: Path) -> list[str]:
        return _with(home, name, b"\xff\xfe" + _day(home)[name])

    build.__name__ = f"not_utf_8_in_{Path(name).stem}"
    return build


def manifest_that_is_not_utf_8(home: Path) -> list[str]:
    files = _day(home)
    files["manifest-sha256.txt"] += b"\xff\xfe"
    return _folder(home, retagged(files))


def checkpoint_from_outside_that_is_not_utf_8(home: Path) -> list[str]:
    (home / "kept.txt").write_bytes(b"\xff\xfe\x00")
    return [*_folder(home, _day(home)), "--checkpoint", str(home / "kept.txt")]


def half_a_letter_in_an_opening(home: Path) -> list[str]:
    line = _day(home)["data/openings.jsonl"].splitlines()[0]
    return _with_line(home, "data/openings.jsonl", line.replace(b"driver", b"\\ud800"))


def half_a_letter_in_the_card(home: Path) -> list[str]:
    card = _day(home)["data/bundle.json"]
    return _with(home, "data/bundle.json", card.replace(b"dev-1", b"dev\\udc00\\u001b[2J"))


def card_of_other_shapes(home: Path) -> list[str]:
    card = json.loads(_day(home)["data/bundle.json"])
    return _with(home, "data/bundle.json", canonical(card | {"heads": []}))


def folder_nobody_may_read(home: Path) -> list[str]:
    called = _folder(home, _day(home))
    shutil.rmtree(home / "bundle/data/tables")
    (home / "bundle/data/tables").mkdir(mode=0)
    return called


BOMBS: dict[str, Bomb] = {
    made.__name__: made
    for made in (
        zip_that_says_it_holds_ten_gigabytes,
        zip_that_says_a_file_is_longer,
        zip_with_a_member_beyond_its_end,
        zip_with_a_method_nobody_knows,
        zip_that_says_it_is_encrypted,
        zip_of_a_hundred_megabytes_of_one_byte,
        zip_that_holds_one_file_many_times,
        zip_with_every_name_twice,
        zip_with_an_absolute_name,
        zip_with_a_name_that_leads_up,
        zip_with_a_drive_and_backslashes,
        zip_with_a_link,
        zip_with_a_name_that_is_not_utf_8,
        link_to_a_device_for_the_log,
        link_that_leads_back_to_itself,
        pipe_for_the_log,
        pipe_for_the_bundle,
        device_for_the_bundle,
        pipe_for_a_checkpoint,
        socket_in_the_folder,
        name_that_is_not_utf_8,
        oxum_of_ten_gigabytes,
        oxum_of_a_million_digits,
        head_over_a_billion_entries,
        head_over_as_many_entries_as_there_can_be,
        head_with_a_size_of_a_million_digits,
        number_of_a_million_digits_in_an_entry,
        number_of_a_million_digits_in_the_card,
        card_that_expects_all_entries_there_can_be,
        entry_with_the_highest_number,
        years_from_the_first_to_the_last,
        proof_of_a_hundred_thousand_hashes,
        proof_from_the_highest_number,
        deep_entry,
        deep_body,
        less_deep_bodies,
        deep_opening,
        deep_proof,
        deep_card,
        million_signature_lines,
        head_of_a_hundred_signatures_by_one_key,
        ten_million_empty_lines,
        ten_million_empty_lines_of_openings_and_proofs,
        manifest_of_empty_lines,
        line_of_empty_lists,
        card_of_empty_lists,
        card_too_big_to_be_one,
        heads_of_two_hundred_thousand_devices,
        every_second_number_and_then_the_rest_backwards,
        openings_of_nothing_backwards,
        *map(_not_utf_8, ("data/entries.jsonl", "data/openings.jsonl", "data/bundle.json")),
        *map(_not_utf_8, ("data/checkpoint.txt", "data/proofs.jsonl", "bagit.txt")),
        manifest_that_is_not_utf_8,
        checkpoint_from_outside_that_is_not_utf_8,
        half_a_letter_in_an_opening,
        half_a_letter_in_the_card,
        card_of_other_shapes,
        folder_nobody_may_read,
    )
}
