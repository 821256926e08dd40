"""Store bundles whose entries are damaged. Each function is named by its fault."""

from pathlib import Path

from tests.specimens import builder
from tests.specimens.specimen import Fault, Specimen


def _store(target: Path, lines: list[bytes]) -> Path:
    """The day's store with other lines, bagged afresh, so that only the chain can show it."""
    day = builder.a_day()
    return builder.bag(target, lines, day.card(), day.openings)


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


FAULTS: tuple[Fault, ...] = (
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
    opening_altered,
    opening_of_nothing,
    correction_of_nothing,
    white_space_in_an_entry,
    bundle_json_broken,
    no_entries,
)
