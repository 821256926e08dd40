"""Bundles whose files, archive or manifests are damaged. Each function is named by its fault."""

import zipfile
from pathlib import Path

from tests.specimens import builder
from tests.specimens.specimen import Fault, Specimen


def _raw_edit(path: Path, name: str, old: bytes, new: bytes) -> None:
    file = path / name
    data = file.read_bytes()
    assert data.count(old) == 1, f"{old!r} stands {data.count(old)} times in {name}"
    file.write_bytes(data.replace(old, new))


def _retag(path: Path) -> None:
    names = ("bag-info.txt", "bagit.txt", "manifest-sha256.txt")
    (path / "tagmanifest-sha256.txt").write_text(
        "".join(f"{builder.sha256((path / name).read_bytes())}  {name}\n" for name in names)
    )


def one_byte_changed_in_the_entries(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle")
    _raw_edit(path, "data/entries.jsonl", b"120,345 mi", b"120,245 mi")
    return Specimen(
        path=path,
        codes=frozenset({"file-altered", "entry-altered"}),
        place="device dev-1 entry 3",
    )


def one_byte_changed_in_a_zip(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle.zip")
    data = path.read_bytes()
    path.write_bytes(data.replace(b"120,345 mi", b"120,245 mi"))
    return Specimen(
        path=path,
        codes=frozenset({"file-altered", "entry-altered"}),
        place="device dev-1 entry 3",
    )


def file_added(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle")
    (path / "data/tables/more.csv").write_text("line\r\n")
    return Specimen(
        path=path, codes=frozenset({"file-added", "oxum-wrong"}), place="data/tables/more.csv"
    )


def file_added_beside_data(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle")
    (path / "note.txt").write_text("read me first")
    return Specimen(path=path, codes=frozenset({"file-added"}), place="note.txt")


def file_removed(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle")
    (path / "data/tables/checks.csv").unlink()
    return Specimen(
        path=path, codes=frozenset({"file-missing", "oxum-wrong"}), place="data/tables/checks.csv"
    )


def file_altered(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle")
    _raw_edit(path, "data/tables/checks.csv", b"fine", b"firm")
    return Specimen(path=path, codes=frozenset({"file-altered"}), place="data/tables/checks.csv")


def file_replaced_by_a_link(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle")
    table = path / "data/tables/checks.csv"
    table.rename(home / "elsewhere.csv")
    table.symlink_to(home / "elsewhere.csv")
    return Specimen(
        path=path,
        codes=frozenset({"file-not-plain", "file-missing", "oxum-wrong"}),
        place="data/tables/checks.csv",
    )


def manifest_altered(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle")
    _raw_edit(path, "manifest-sha256.txt", b"data/tables/checks.csv", b"data/tables/chocks.csv")
    return Specimen(
        path=path,
        codes=frozenset({"file-altered", "file-missing", "file-added"}),
        place="manifest-sha256.txt",
    )


def manifest_missing(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle")
    (path / "manifest-sha256.txt").unlink()
    return Specimen(path=path, codes=frozenset({"file-missing"}), place="manifest-sha256.txt")


def oxum_wrong(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle")
    info = path / "bag-info.txt"
    info.write_text(info.read_text().replace("Payload-Oxum: ", "Payload-Oxum: 1"))
    _retag(path)
    return Specimen(path=path, codes=frozenset({"oxum-wrong"}), place="bag-info.txt")


def another_bagit_version(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle")
    _raw_edit(path, "bagit.txt", b"BagIt-Version: 1.0", b"BagIt-Version: 2.0")
    _retag(path)
    return Specimen(path=path, codes=frozenset({"bag-version"}), place="bagit.txt")


def zip_with_a_path_outside(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle.zip")
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("bundle/../../outside.txt", "out")
    return Specimen(path=path, codes=frozenset({"path-outside"}), place="bundle/../../outside.txt")


def manifest_with_a_path_outside(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle")
    (home / "outside.txt").write_text("out")
    manifest = path / "manifest-sha256.txt"
    manifest.write_text(
        manifest.read_text() + f"{builder.sha256(b'out')}  data/../../outside.txt\n"
    )
    _retag(path)
    return Specimen(path=path, codes=frozenset({"path-outside"}), place="manifest-sha256.txt")


def zip_bomb(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle.zip")
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("bundle/data/zeros.bin", bytes(80 << 20))
    return Specimen(path=path, codes=frozenset(), place="would unpack to", exit_code=2)


def foreign_zip(home: Path) -> Specimen:
    path = home / "foreign.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("holiday.txt", "nothing of ours")
    return Specimen(path=path, codes=frozenset(), place="this is no bundle", exit_code=2)


def zip_broken_off(home: Path) -> Specimen:
    path = builder.bag_day(home / "bundle.zip")
    path.write_bytes(path.read_bytes()[:-200])
    return Specimen(path=path, codes=frozenset(), place="no readable archive", exit_code=2)


def empty_folder(home: Path) -> Specimen:
    path = home / "bundle"
    path.mkdir()
    return Specimen(path=path, codes=frozenset(), place="There is no bagit.txt", exit_code=2)


def bundle_of_a_later_format(home: Path) -> Specimen:
    day = builder.a_day()
    path = builder.bag(
        home / "bundle", day.lines(), day.card() | {"format": "triplog-bundle/2"}, day.openings
    )
    return Specimen(path=path, codes=frozenset(), place="triplog-bundle/2", exit_code=2)


FAULTS: tuple[Fault, ...] = (
    one_byte_changed_in_the_entries,
    one_byte_changed_in_a_zip,
    file_added,
    file_added_beside_data,
    file_removed,
    file_altered,
    file_replaced_by_a_link,
    manifest_altered,
    manifest_missing,
    oxum_wrong,
    another_bagit_version,
    zip_with_a_path_outside,
    manifest_with_a_path_outside,
    zip_bomb,
    foreign_zip,
    zip_broken_off,
    empty_folder,
    bundle_of_a_later_format,
)
