"""One damaged bundle per fault. Each function is named by its fault and builds it in a folder."""

import json
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.specimens import builder

TRIP = builder.TRIP


@dataclass(frozen=True, slots=True, kw_only=True)
class Specimen:
    """A damaged bundle: where it is, what the verifier is told, and what it must name.

    `codes` is every code it must give and no other; `place` must stand in one of the places.
    """

    path: Path
    codes: frozenset[str]
    place: str
    arguments: tuple[str, ...] = ()
    exit_code: int = 1


def _raw_edit(path: Path, name: str, old: bytes, new: bytes) -> None:
    file = path / name
    data = file.read_bytes()
    assert data.count(old) == 1, f"{old!r} stands {data.count(old)} times in {name}"
    file.write_bytes(data.replace(old, new))


def _store(target: Path, lines: list[bytes]) -> Path:
    """The day's store with other lines, bagged afresh, so that only the chain can show it."""
    day = builder.a_day()
    return builder.bag(target, lines, day.card(), day.openings)


def _trip(target: Path, lines: list[bytes]) -> Path:
    day = builder.a_day()
    beside = _beside(day)
    return builder.bag(target, lines, day.card(TRIP, beside), day.openings)


def _beside(day: builder.Log) -> list[str]:
    return [builder.entry_hash(entry) for entry in day.entries if entry["trip"] is None]


def _trip_lines() -> list[bytes]:
    day = builder.a_day()
    return day.lines(TRIP, _beside(day))


# The files


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


def _retag(path: Path) -> None:
    names = ("bag-info.txt", "bagit.txt", "manifest-sha256.txt")
    (path / "tagmanifest-sha256.txt").write_text(
        "".join(f"{builder.sha256((path / name).read_bytes())}  {name}\n" for name in names)
    )


# The chain of a store


def entry_removed(home: Path) -> Specimen:
    lines = builder.a_day().lines()
    del lines[4]
    return Specimen(
        path=_store(home / "bundle", lines),
        codes=frozenset({"entry-removed"}),
        place="device dev-1 entry 4",
    )


def first_entries_removed(home: Path) -> Specimen:
    lines = builder.a_day().lines()[2:]
    return Specimen(
        path=_store(home / "bundle", lines),
        codes=frozenset({"entry-removed", "opening-stray"}),
        place="device dev-1 entries 0 to 1",
    )


def entry_altered(home: Path) -> Specimen:
    lines = [line.replace(b"120,345 mi", b"120,245 mi") for line in builder.a_day().lines()]
    return Specimen(
        path=_store(home / "bundle", lines),
        codes=frozenset({"entry-altered"}),
        place="device dev-1 entry 3",
    )


def last_entry_altered(home: Path) -> Specimen:
    lines = [line.replace(b'"trip_closed"', b'"trip_ceased"') for line in builder.a_day().lines()]
    return Specimen(
        path=_store(home / "bundle", lines),
        codes=frozenset({"entry-altered"}),
        place="device dev-2 entry 2",
    )


def entry_that_cannot_be_read(home: Path) -> Specimen:
    lines = builder.a_day().lines()
    lines[3] = lines[3].replace(b"{", b"[", 1)
    return Specimen(
        path=_store(home / "bundle", lines),
        codes=frozenset({"entry-altered", "not-canonical"}),
        place="device dev-1 entry 3",
    )


def entries_reordered(home: Path) -> Specimen:
    lines = builder.a_day().lines()
    lines[3], lines[4] = lines[4], lines[3]
    return Specimen(
        path=_store(home / "bundle", lines),
        codes=frozenset({"entries-reordered"}),
        place="device dev-1 entry 3",
    )


def entry_added_behind_the_head(home: Path) -> Specimen:
    day = builder.a_day()
    day.add("odometer_read", device="dev-2", body={"odometer": "1 mi"})
    return Specimen(
        path=_store(home / "bundle", day.lines()),
        codes=frozenset({"entry-added"}),
        place="device dev-2 entry 3",
    )


def entry_added_by_an_unknown_device(home: Path) -> Specimen:
    day = builder.a_day()
    day.add("odometer_read", device="dev-3", body={"odometer": "1 mi"})
    return Specimen(
        path=_store(home / "bundle", day.lines()),
        codes=frozenset({"entry-added"}),
        place="device dev-3",
    )


def two_entries_with_one_number(home: Path) -> Specimen:
    lines = builder.a_day().lines()
    lines.insert(4, lines[3].replace(b"120,345 mi", b"120,245 mi"))
    return Specimen(
        path=_store(home / "bundle", lines),
        codes=frozenset({"entry-doubled"}),
        place="device dev-1 entry 3",
    )


def one_line_twice(home: Path) -> Specimen:
    lines = builder.a_day().lines()
    lines.insert(4, lines[3])
    return Specimen(
        path=_store(home / "bundle", lines),
        codes=frozenset({"entry-doubled"}),
        place="device dev-1 entry 3",
    )


def tail_cut(home: Path) -> Specimen:
    return Specimen(
        path=_store(home / "bundle", builder.a_day().lines()[:-1]),
        codes=frozenset({"tail-cut"}),
        place="device dev-2",
    )


def tail_cut_and_card_rewritten(home: Path) -> Specimen:
    """The tail of dev-1 is cut and bundle.json says so; dev-2 had recorded the head."""
    day = builder.a_day()
    check = next(e for e in day.entries if e["kind"] == "check_completed")
    day.entries = [e for e in day.entries if e["device"] != "dev-1" or e["seq"] < check["seq"]]
    openings = [each for each in day.openings if each["entry"] != builder.entry_hash(check)]
    return Specimen(
        path=builder.bag(home / "bundle", day.lines(), day.card(), openings),
        codes=frozenset({"tail-cut"}),
        place="device dev-1, recorded by device dev-2 entry 0",
    )


def tail_cut_against_a_head_from_outside(home: Path) -> Specimen:
    day = builder.a_day()
    last = day.entries.pop()
    return Specimen(
        path=builder.bag(home / "bundle", day.lines(), day.card(), day.openings),
        codes=frozenset({"tail-cut"}),
        place="device dev-2 entry 2, head from outside",
        arguments=("--head", f"dev-2:2:{builder.entry_hash(last)}"),
    )


def whole_chain_rewritten_against_a_head_from_outside(home: Path) -> Specimen:
    day = builder.a_day()
    held = builder.entry_hash(day.entries[8])
    forged = [
        entry | {"body": {"odometer": "120,245 mi"}} if entry["kind"] == "departed" else entry
        for entry in day.entries
    ]
    kinds_without_references = [
        entry | {"follows": None, "body": {}, "private": {}} for entry in forged
    ]
    log = builder.rehashed(kinds_without_references)
    return Specimen(
        path=builder.bag(home / "bundle", log.lines(), log.card()),
        codes=frozenset({"outside-head-differs"}),
        place="device dev-1 entry 8",
        arguments=("--head", f"dev-1:8:{held}"),
    )


def whole_chain_rewritten_against_a_trip_head(home: Path) -> Specimen:
    rewritten = whole_chain_rewritten_against_a_head_from_outside(home)
    held = builder.entry_hash(builder.a_day().entries[8])
    return Specimen(
        path=rewritten.path,
        codes=frozenset({"outside-head-missing"}),
        place=held,
        arguments=("--trip-head", held),
    )


def trip_link_wrong(home: Path) -> Specimen:
    """The chain is whole, but an entry denies the trip's entry before it."""
    day = builder.a_day()
    entry = day.entries[-1]
    entry["trip_prev"] = day.entries[-3]["prev"] or builder.entry_hash(day.entries[-3])
    return Specimen(
        path=builder.bag(home / "bundle", day.lines(), day.card(), day.openings),
        codes=frozenset({"link-wrong"}),
        place="device dev-2 entry 2",
    )


# The chain of a trip


def trip_entry_removed(home: Path) -> Specimen:
    lines = [line for line in _trip_lines() if b'"departed"' not in line]
    return Specimen(
        path=_trip(home / "bundle", lines),
        codes=frozenset({"entry-removed"}),
        place="device dev-1 between entries 2 and 5",
    )


def first_trip_entry_removed(home: Path) -> Specimen:
    lines = [line for line in _trip_lines() if b'"trip_opened"' not in line]
    return Specimen(
        path=_trip(home / "bundle", lines),
        codes=frozenset({"entry-removed"}),
        place="device dev-1 before entry 2",
    )


def trip_entry_altered(home: Path) -> Specimen:
    lines = [line.replace(b"120,345 mi", b"120,245 mi") for line in _trip_lines()]
    return Specimen(
        path=_trip(home / "bundle", lines),
        codes=frozenset({"entry-altered"}),
        place="device dev-1 entry 3",
    )


def trip_entry_altered_before_other_business(home: Path) -> Specimen:
    """The entry altered has another trip's entry between it and the next one of its own."""
    day = builder.Log()
    day.add("trip_opened")
    day.add("departed", body={"odometer": "120,345 mi"})
    day.add("trip_opened", trip="trip-b")
    day.add("trip_closed")
    lines = [line.replace(b"120,345 mi", b"120,245 mi") for line in day.lines(TRIP)]
    return Specimen(
        path=builder.bag(home / "bundle", lines, day.card(TRIP)),
        codes=frozenset({"entry-altered"}),
        place="device dev-1 entry 1",
    )


def trip_entry_added(home: Path) -> Specimen:
    """A forged entry takes a number that the trip had left to other business."""
    day = builder.Log()
    day.add("trip_opened")
    departed = day.add("departed")
    day.add("trip_opened", trip="trip-b")
    day.add("trip_closed")
    lines = day.lines(TRIP)
    forged = json.loads(lines[1]) | {"seq": 2, "prev": departed, "trip_prev": departed}
    lines.insert(2, builder.canonical(forged))
    return Specimen(
        path=builder.bag(home / "bundle", lines, day.card(TRIP)),
        codes=frozenset({"entry-added"}),
        place="device dev-1 entry 2",
    )


def trip_entries_reordered(home: Path) -> Specimen:
    lines = _trip_lines()
    lines[5], lines[6] = lines[6], lines[5]
    return Specimen(
        path=_trip(home / "bundle", lines),
        codes=frozenset({"entries-reordered"}),
        place="device dev-1 entry 5",
    )


def trip_tail_cut(home: Path) -> Specimen:
    return Specimen(
        path=_trip(home / "bundle", _trip_lines()[:-1]),
        codes=frozenset({"tail-cut"}),
        place="device dev-2",
    )


def entry_beside_the_trip_altered(home: Path) -> Specimen:
    lines = [line.replace(b'"S-9"', b'"S-8"') for line in _trip_lines()]
    return Specimen(
        path=_trip(home / "bundle", lines),
        codes=frozenset({"entry-altered"}),
        place="device dev-1 entry 4",
    )


def entry_beside_the_trip_removed(home: Path) -> Specimen:
    lines = [line for line in _trip_lines() if b'"S-9"' not in line]
    return Specimen(
        path=_trip(home / "bundle", lines),
        codes=frozenset({"entry-removed"}),
        place="beside the trip",
    )


def entry_of_another_trip_added(home: Path) -> Specimen:
    day = builder.a_day()
    day.add("trip_opened", device="dev-2", trip="trip-b")
    return Specimen(
        path=_trip(home / "bundle", [*_trip_lines(), day.lines()[-1]]),
        codes=frozenset({"entry-added"}),
        place="device dev-2 entry 3",
    )


# Openings, references, form


def opening_altered(home: Path) -> Specimen:
    day = builder.a_day()
    day.openings[1]["value"] = "the lay-by – south side"
    return Specimen(
        path=builder.bag(home / "bundle", day.lines(), day.card(), day.openings),
        codes=frozenset({"opening-wrong"}),
        place="data/openings.jsonl line 2",
    )


def opening_of_nothing(home: Path) -> Specimen:
    day = builder.a_day()
    day.openings.insert(0, day.openings[0] | {"entry": builder.sha256(b"abc")})
    return Specimen(
        path=builder.bag(home / "bundle", day.lines(), day.card(), day.openings),
        codes=frozenset({"opening-stray"}),
        place="data/openings.jsonl line 1",
    )


def correction_of_nothing(home: Path) -> Specimen:
    day = builder.a_day()
    day.add("odometer_read", device="dev-2", follows=builder.sha256(b"abc"))
    return Specimen(
        path=builder.bag(home / "bundle", day.lines(), day.card(), day.openings),
        codes=frozenset({"follows-missing"}),
        place="device dev-2 entry 3",
    )


def white_space_in_an_entry(home: Path) -> Specimen:
    lines = builder.a_day().lines()
    lines[-1] = lines[-1].replace(b",", b", ", 1)
    return Specimen(
        path=_store(home / "bundle", lines),
        codes=frozenset({"not-canonical", "entry-altered"}),
        place="data/entries.jsonl line 12",
    )


def bundle_json_broken(home: Path) -> Specimen:
    day = builder.a_day()
    return Specimen(
        path=builder.bag(
            home / "bundle", day.lines(), day.card() | {"scope": "week"}, day.openings
        ),
        codes=frozenset({"bundle-malformed"}),
        place="data/bundle.json",
    )


def no_entries(home: Path) -> Specimen:
    return Specimen(
        path=builder.bag(home / "bundle", [], builder.Log().card()),
        codes=frozenset({"no-entries"}),
        place="data/entries.jsonl",
    )


# Archives, and what is no bundle at all


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


FAULTS: tuple[Callable[[Path], Specimen], ...] = (
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
    entry_removed,
    first_entries_removed,
    entry_altered,
    last_entry_altered,
    entry_that_cannot_be_read,
    entries_reordered,
    entry_added_behind_the_head,
    entry_added_by_an_unknown_device,
    two_entries_with_one_number,
    one_line_twice,
    tail_cut,
    tail_cut_and_card_rewritten,
    tail_cut_against_a_head_from_outside,
    whole_chain_rewritten_against_a_head_from_outside,
    whole_chain_rewritten_against_a_trip_head,
    trip_link_wrong,
    trip_entry_removed,
    first_trip_entry_removed,
    trip_entry_altered,
    trip_entry_altered_before_other_business,
    trip_entry_added,
    trip_entries_reordered,
    trip_tail_cut,
    entry_beside_the_trip_altered,
    entry_beside_the_trip_removed,
    entry_of_another_trip_added,
    opening_altered,
    opening_of_nothing,
    correction_of_nothing,
    white_space_in_an_entry,
    bundle_json_broken,
    no_entries,
    zip_with_a_path_outside,
    manifest_with_a_path_outside,
    zip_bomb,
    foreign_zip,
    zip_broken_off,
    empty_folder,
    bundle_of_a_later_format,
)
