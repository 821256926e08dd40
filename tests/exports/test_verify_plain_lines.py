"""Entries about which there is nothing to say are passed fast, and by nothing but speed."""

from pathlib import Path
from typing import Any

import pytest

from exports import verify as checker
from exports.verify import Report, UnreadableBundle, verify
from tests.exports.bags import Files, bundle_files, remade, write_folder
from tests.specimens import builder, of_files, of_stores, of_trips
from tests.specimens.specimen import Fault
from tests.specimens.test_old_bundles import BUNDLES

FAULTS = (*of_files.FAULTS, *of_stores.FAULTS, *of_trips.FAULTS)


def slowly(path: Path, monkeypatch: pytest.MonkeyPatch) -> Report:
    """The report with every entry read the long way."""
    with monkeypatch.context() as patched:
        patched.setattr(checker, "_plain_entries", lambda lines: [None] * len(lines))
        return verify(path)


@pytest.mark.parametrize("build", FAULTS, ids=lambda build: build.__name__)
def test_what_is_passed_fast_changes_no_report(
    build: Fault, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = build(tmp_path).path
    try:
        report = verify(path)
    except UnreadableBundle:
        return
    assert report == slowly(path, monkeypatch)


@pytest.mark.parametrize("name", ["before-heads-store", "with-heads-store", "with-heads-trip"])
def test_a_real_bundle_reads_the_same_fast_and_slowly(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = BUNDLES / f"{name}.zip"
    report = verify(path)
    assert report.matches
    assert report == slowly(path, monkeypatch)


CHANGES: dict[str, Any] = {
    "device": ["", "other", 7, None],
    "seq": [True, "8", 9.0, 8, None],
    "prev": [None, "", "ab" * 32, 5],
    "trip": [None, "other", 5, ""],
    "trip_prev": [None, "ab" * 32, 5],
    "kind": ["", "departed", "checkpoint_withheld", 5, []],
    "v": [True, "1", None],
    "event_time": ["2026-05-04T05:00:00.000Z", "2026-W19-1T06:00:00.000Z", "", 5, None],
    "entry_time": ["2026-05-04T05:00:00.000Z", "2026-05-04t06:00:00.000Z", "x" * 24, 5],
    "event_offset_min": [None, "x"],
    "clock": [None, {}, {"source": 5}, {"source": "demo"}, {"source": "m", "boot_id": "b"},
              {"source": "m", "boot_id": "boot-dev-1", "boot_ms": 5}, []],
    "by": ["", None, 5],
    "via": ["", None, 5],
    "body": ["trip_heads", [], {"trip_heads": {}}, {"trip_heads": {"dev-1": "ab" * 32}}, None],
    "private": [{"note": "no hash"}, {"note": None}, [], {"note": "ab" * 32}],
    "follows": ["ab" * 32, "", 5],
    "idem": [None],
}  # fmt: skip


@pytest.mark.parametrize("field", CHANGES)
def test_no_odd_value_of_a_field_is_passed_where_the_whole_check_says_something(
    field: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each in the last entry of a log, where no later link tells of it."""
    for number, value in enumerate([*CHANGES[field], KeyError]):
        log = builder.Log()
        for place in range(6):
            log.add("odometer_read", body={"odometer": f"{place} mi"})
        log.entries[-1][field] = value
        if value is KeyError:
            del log.entries[-1][field]
        card = log.card() if field not in ("device", "seq", "trip") else a_plain_card(log)
        bag = builder.bag(tmp_path / f"bundle{number}", log.lines_as_written(), card)
        assert verify(bag) == slowly(bag, monkeypatch), (field, value)


def a_plain_card(log: builder.Log) -> dict[str, Any]:
    before = builder.Log(entries=log.entries[:-1])
    return before.card()


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b'"by":"person-driver"', b'"by":"x","by":"person-driver"'),
        (b'"by":"person-driver"', b'"by" :"x","by":"person-driver"'),
        (b'"by":"person-driver"', b'"by":  "person-driver"'),
        (b'{"odometer"', b'{"a":1,"a":1,"odometer"'),
        (b'{"odometer"', b'{ "odometer"'),
        (b'"seq":5', b'"seq":5.0'),
        (b'"seq":5', b'"seq":5e0'),
        (b'"seq":5', b'"seq":NaN'),
        (b"5 mi", b"\\u0035 mi"),
    ],
)
def test_bytes_that_nobody_stored_are_found_among_plain_entries(
    old: bytes, new: bytes, tmp_path: Path
) -> None:
    log = builder.Log()
    for place in range(200):
        log.add("odometer_read", body={"odometer": f"{place % 6} mi"})
    *lines, _ = log.lines()
    odd = next(line for line in lines if old in line)
    changed = odd.replace(old, new)
    cut = lines[: lines.index(odd)]
    card = builder.Log(entries=log.entries[: len(cut) + 1]).card()
    card["heads"]["dev-1"]["hash"] = builder.sha256(changed)
    bag = builder.bag(tmp_path / "bundle", [*cut, changed], card)
    assert not verify(bag).matches


def test_a_deep_or_broken_line_in_a_long_log_is_told_and_the_rest_read(tmp_path: Path) -> None:
    files: Files = bundle_files(BUNDLES / "with-heads-store.zip")
    lines = files["data/entries.jsonl"].splitlines(keepends=True)
    for odd in (b"[" * 100_000 + b"\n", b"\xff\xfe\n", b"\n", b"{}\n", b'"text"\n', b"5\n"):
        told = b"".join([*lines[:50], odd, *lines[50:]])
        bag = write_folder(remade(files | {"data/entries.jsonl": told}), tmp_path / "bag")
        report = verify(bag)
        assert {one.code for one in report.problems} & {"not-canonical", "entry-malformed"}
        assert report.counts["entries"] == len(lines)
