"""Bundles as bags: RFC 8493 (October 2018), sections 2 and 4, and what a crash leaves.

The bags are our own; the section a rule comes from stands beside it.
"""

import hashlib
import os
import re
import stat
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from exports.bundle import BundleError, Part, write_bundle

MADE_AT = "2026-05-04T18:00:00.000Z"


def parts() -> list[Part]:
    return [
        Part(path="entries.jsonl", data=iter([b"one\n", b"two\n"])),
        Part(path="tables/checks.csv", data=b"line\r\n"),
    ]


def fill(target: Path, *more: Part, as_zip: bool = False) -> str:
    return write_bundle(
        target, [*parts(), *more], {"Source-Organization": "the yard"}, MADE_AT, as_zip
    )


def tree(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_a_bag_has_the_files_of_rfc_8493_section_2(tmp_path: Path) -> None:
    fill(tmp_path / "bag")
    files = tree(tmp_path / "bag")
    # 2.1.1: exactly these two lines.
    assert files["bagit.txt"] == b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
    payload = {name: data for name, data in files.items() if name.startswith("data/")}
    assert set(payload) == {
        "data/FORMAT.md",
        "data/HOWTO.txt",
        "data/entries.jsonl",
        "data/tables/checks.csv",
        "data/verify.py",
    }
    # 2.1.3: every payload file, checksum first, white space, path.
    lines = files["manifest-sha256.txt"].decode().splitlines()
    listed = {name: digest for digest, name in (line.split(maxsplit=1) for line in lines)}
    assert listed == {name: hashlib.sha256(data).hexdigest() for name, data in payload.items()}
    # 2.2.1: every tag file but tag manifests.
    tags = {"bagit.txt", "bag-info.txt", "manifest-sha256.txt"}
    assert files["tagmanifest-sha256.txt"].decode().splitlines() == [
        f"{hashlib.sha256(files[name]).hexdigest()}  {name}" for name in sorted(tags)
    ]
    assert set(files) == set(payload) | tags | {"tagmanifest-sha256.txt"}
    # 2.2.2: octets and streams of the payload; the day as YYYY-MM-DD.
    size = sum(len(data) for data in payload.values())
    assert files["bag-info.txt"].decode().splitlines() == [
        "Source-Organization: the yard",
        "Bagging-Date: 2026-05-04",
        f"Payload-Oxum: {size}.{len(payload)}",
    ]


def test_an_archive_unpacks_to_one_folder_of_its_name(tmp_path: Path) -> None:
    # RFC 8493, section 4: the base directory, one level up, with the archive's name.
    folder_seal = fill(tmp_path / "bag")
    archive_seal = fill(tmp_path / "bag.zip", as_zip=True)
    with zipfile.ZipFile(tmp_path / "bag.zip") as archive:
        archive.extractall(tmp_path / "unpacked")
    assert [path.name for path in (tmp_path / "unpacked").iterdir()] == ["bag"]
    assert tree(tmp_path / "unpacked/bag") == tree(tmp_path / "bag")
    assert folder_seal == archive_seal
    tagmanifest = (tmp_path / "bag/tagmanifest-sha256.txt").read_bytes()
    assert folder_seal == hashlib.sha256(tagmanifest).hexdigest()


def test_the_same_parts_give_the_same_bytes(tmp_path: Path) -> None:
    for home in ("one", "two"):
        (tmp_path / home).mkdir()
        fill(tmp_path / home / "bag.zip", as_zip=True)
    assert (tmp_path / "one/bag.zip").read_bytes() == (tmp_path / "two/bag.zip").read_bytes()


def test_a_file_is_copied_as_it_is(tmp_path: Path) -> None:
    source = tmp_path / "photo"
    source.write_bytes(os.urandom(200_000))
    fill(tmp_path / "bag", Part(path="photos/1.jpg", data=source))
    assert (tmp_path / "bag/data/photos/1.jpg").read_bytes() == source.read_bytes()


def test_a_bundle_can_be_read_by_others(tmp_path: Path) -> None:
    fill(tmp_path / "bag")
    assert stat.S_IMODE((tmp_path / "bag").stat().st_mode) == 0o777 & ~_umask()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


@pytest.mark.parametrize("as_zip", [False, True])
def test_what_stands_at_the_target_is_left_alone(tmp_path: Path, as_zip: bool) -> None:
    target = tmp_path / "bag.zip"
    target.write_text("mine")
    with pytest.raises(FileExistsError, match="is already there and is left as it is"):
        fill(target, as_zip=as_zip)
    assert target.read_text() == "mine"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("as_zip", [False, True])
def test_a_source_that_breaks_off_leaves_nothing(tmp_path: Path, as_zip: bool) -> None:
    def breaks_off() -> Iterator[bytes]:
        yield b"one\n"
        raise OSError(5, "the medium is gone")

    with pytest.raises(OSError, match="the medium is gone"):
        fill(tmp_path / "bag.zip", Part(path="late.txt", data=breaks_off()), as_zip=as_zip)
    assert list(tmp_path.iterdir()) == []


def test_a_killed_program_leaves_no_half_bundle_under_the_real_name(tmp_path: Path) -> None:
    program = (
        "import os, sys\n"
        "from pathlib import Path\n"
        "from exports.bundle import Part, write_bundle\n"
        "def dies():\n"
        "    yield b'one'\n"
        "    os.kill(os.getpid(), 9)\n"
        "parts = [Part(path='a.txt', data=dies())]\n"
        "write_bundle(Path(sys.argv[1]), parts, {}, sys.argv[2], True)\n"
    )
    target = tmp_path / "bag.zip"
    done = subprocess.run([sys.executable, "-c", program, str(target), MADE_AT], check=False)
    assert done.returncode == -9
    assert not target.exists()
    fill(target, as_zip=True)
    assert zipfile.is_zipfile(target)


@pytest.mark.parametrize(
    "path", ["", "/a", "a/", "../a", "a/../b", "a//b", ".a", "a.", "a b", "a\\b", "é", "c:a", "a\n"]
)
def test_a_path_that_some_machine_would_read_otherwise_is_refused(path: str) -> None:
    with pytest.raises(BundleError, match="is no path for a bundle"):
        Part(path=path, data=b"")


def test_a_path_through_the_data_folder_is_refused() -> None:
    with pytest.raises(BundleError, match="leave it out"):
        Part(path="data/entries.jsonl", data=b"")


@pytest.mark.parametrize("path", ["entries.jsonl", "Entries.jsonl", "verify.py"])
def test_two_parts_of_one_name_are_refused(tmp_path: Path, path: str) -> None:
    with pytest.raises(BundleError, match="Two parts go to"):
        fill(tmp_path / "bag", Part(path=path, data=b""))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("info", "words"),
    [
        ({"Payload-Oxum": "1.1"}, "is worked out by the bundle"),
        ({"A:b": "c"}, "is no label"),
        ({"Note": "one\ntwo"}, "must be one line"),
        ({"Note": " "}, "must be one line"),
    ],
)
def test_info_that_would_not_read_back_is_refused(
    tmp_path: Path, info: dict[str, str], words: str
) -> None:
    with pytest.raises(BundleError, match=words):
        write_bundle(tmp_path / "bag", parts(), info, MADE_AT, as_zip=False)


@pytest.mark.parametrize(
    "made_at", ["yesterday", "2026-05-04T18:00:00", "1970-01-01T00:00:00Z", "2026-05-04"]
)
def test_a_time_without_offset_or_before_archives_is_refused(tmp_path: Path, made_at: str) -> None:
    with pytest.raises(BundleError, match=re.escape(repr(made_at))):
        write_bundle(tmp_path / "bag", parts(), {}, made_at, as_zip=False)


def test_an_archive_needs_its_ending(tmp_path: Path) -> None:
    with pytest.raises(BundleError, match=r"ends in \.zip"):
        fill(tmp_path / "bag", as_zip=True)
