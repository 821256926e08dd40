"""What the verifier says of whole bundles."""

import json
import random
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import exports.verify
from exports.bundle import Part, write_bundle
from exports.verify import (
    Outside,
    OutsideHead,
    Report,
    UnreadableBundle,
    as_text,
    main,
    outside_head,
    verify,
)
from tests.specimens import builder


def note_codes(report: Report) -> set[str]:
    return {note.code for note in report.notes}


def bag_of(log: builder.Log, folder: Path) -> Path:
    return builder.bag_day(folder / "bundle", log)


def test_a_whole_bundle_matches_and_is_counted(tmp_path: Path) -> None:
    report = verify(builder.bag_day(tmp_path / "bundle"))
    assert report.matches
    assert (report.scope, report.trip, report.invented) == ("store", None, False)
    assert report.counts == {
        "corrections": 1,
        "destroyed": 0,
        "devices": 2,
        "entries": 12,
        "files": 7,
        "opened": 3,
        "private_fields": 3,
        "withheld": 0,
    }
    day = builder.a_day()
    heads = day.card()["heads"]
    assert report.heads == tuple(
        f"{device}:{heads[device]['seq']}:{heads[device]['hash']}" for device in ("dev-1", "dev-2")
    )


def test_a_correction_is_shown_with_what_it_replaces(tmp_path: Path) -> None:
    report = verify(builder.bag_trip(tmp_path / "bundle.zip"))
    assert [(note.where, note.code) for note in report.notes] == [
        ("device dev-1 entry 6", "correction")
    ]
    assert "replaces entry 5 of device dev-1" in report.notes[0].sentence


def test_an_entry_taken_back_is_shown(tmp_path: Path) -> None:
    log = builder.Log()
    taken_back = log.add("event_reported")
    log.add("entry_withdrawn", follows=taken_back)
    assert "takes back entry 0" in verify(bag_of(log, tmp_path)).notes[0].sentence


def test_withheld_fields_are_counted_and_said_not_to_be_known(tmp_path: Path) -> None:
    day = builder.a_day()
    del day.openings[1:]
    report = verify(bag_of(day, tmp_path))
    assert report.matches
    assert report.counts["withheld"] == 2
    assert any("2 private fields are withheld" in limit for limit in report.limits)


def test_openings_in_any_order_are_compared(tmp_path: Path) -> None:
    day = builder.a_day()
    day.openings.reverse()
    report = verify(bag_of(day, tmp_path))
    assert report.matches
    assert report.counts["opened"] == 3


def test_an_opening_given_twice_or_unreadable_is_named(tmp_path: Path) -> None:
    day = builder.a_day()
    day.openings += [day.openings[-1], {"entry": "abc"}]
    codes = [problem.code for problem in verify(bag_of(day, tmp_path)).problems]
    assert codes == ["opening-doubled", "opening-malformed"]


def test_late_and_back_dated_entries_are_notes(tmp_path: Path) -> None:
    # The fifteen minutes are the project's own line, no published figure.
    log = builder.Log()
    log.add("departed")
    log.add("check_completed", late_min=15)
    log.add("check_completed", late_min=16)
    for _ in range(4):
        log.add("odometer_read")
    log.add("check_completed", late_min=40)
    report = verify(bag_of(log, tmp_path))
    assert report.matches
    assert [(note.code, note.where) for note in report.notes] == [
        ("late", "device dev-1 entry 2"),
        ("back-dated", "device dev-1 entry 7"),
    ]
    assert "was written down 40 min later, when later things" in report.notes[1].sentence


def test_a_clock_set_back_or_moved_is_a_note(tmp_path: Path) -> None:
    log = builder.Log()
    for _ in range(3):
        log.add("odometer_read")
    entries = [dict(entry) for entry in log.entries]
    entries[1]["entry_time"] = entries[1]["event_time"] = "2026-05-04T08:05:00.000Z"
    report = verify(bag_of(builder.rehashed(entries), tmp_path))
    assert report.matches
    assert [(note.code, note.where) for note in report.notes] == [
        ("clock-stepped", "device dev-1 entry 1"),
        ("clock-back", "device dev-1 entry 2"),
    ]
    assert "moved 2 h 0 min more" in report.notes[0].sentence


def test_demonstration_data_is_said_to_be_invented(tmp_path: Path) -> None:
    by_clock = builder.Log(source="demo")
    by_clock.add("trip_opened")
    path = builder.bag(tmp_path / "clock", by_clock.lines(), by_clock.card() | {"invented": False})
    by_card = builder.Log()
    by_card.add("trip_opened")
    other = builder.bag(tmp_path / "card", by_card.lines(), by_card.card() | {"invented": True})
    for each in (path, other):
        report = verify(each)
        assert report.invented
        assert as_text(report).startswith("INVENTED   This bundle holds invented")


def test_without_a_head_from_outside_it_says_that_all_could_be_rewritten(tmp_path: Path) -> None:
    path = builder.bag_day(tmp_path / "bundle")
    text = " ".join(as_text(verify(path)).split())
    assert "could have written the whole log anew" in text
    assert "tamper-evident" in text
    assert "tamper-proof" not in text


def test_a_head_from_outside_that_fits_is_said_to_hold(tmp_path: Path) -> None:
    path = builder.bag_day(tmp_path / "bundle")
    held = outside_head(verify(path).heads[0])
    report = verify(path, Outside(heads=(held,), trip_heads=(held.hash,)))
    assert report.matches
    assert report.counts["outside_heads_compared"] == 2
    assert any("not changed since that head left" in limit for limit in report.limits)
    assert not any("written the whole log anew" in limit for limit in report.limits)


def test_a_head_of_another_trip_cannot_be_compared_with_a_trip_bundle(tmp_path: Path) -> None:
    report = verify(
        builder.bag_trip(tmp_path / "bundle"),
        Outside(heads=(OutsideHead(device="dev-2", seq=7, hash=builder.sha256(b"abc")),)),
    )
    assert [problem.code for problem in report.problems] == ["outside-head-unconnected"]


def test_a_fork_is_followed_where_the_chain_goes_on(tmp_path: Path) -> None:
    day = builder.a_day()
    lines = day.lines()
    lines.insert(3, lines[3].replace(b"120,345 mi", b"120,245 mi"))
    report = verify(builder.bag(tmp_path / "bundle", lines, day.card(), day.openings))
    told = next(note for note in report.notes if note.code == "fork-goes-on")
    assert builder.sha256(lines[4]) in told.sentence


def test_two_altered_entries_in_a_row_are_not_both_sworn_to(tmp_path: Path) -> None:
    day = builder.a_day()
    lines = day.lines()
    for number in (2, 3):
        lines[number] = lines[number].replace(b'"typed"', b'"paged"')
    report = verify(builder.bag(tmp_path / "bundle", lines, day.card(), day.openings))
    assert [(each.code, each.where) for each in report.problems] == [
        ("entry-altered", "device dev-1 entry 3"),
        ("link-broken", "device dev-1 entry 3"),
    ]


def test_a_trip_with_one_entry_removed_and_another_altered_names_both(tmp_path: Path) -> None:
    day = builder.a_day()
    beside = [builder.entry_hash(entry) for entry in day.entries if entry["trip"] is None]
    lines = [
        line.replace(b'"one notch"', b'"no notch"').replace(b"120,393", b"120,293")
        for line in day.lines(builder.TRIP, beside)
        if b'"departed"' not in line
    ]
    report = verify(
        builder.bag(tmp_path / "bundle", lines, day.card(builder.TRIP, beside), day.openings)
    )
    assert {(each.code, each.where) for each in report.problems} == {
        ("entry-altered", "device dev-1 entry 6"),
        ("entry-removed", "device dev-1 between entries 2 and 5"),
    }


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_one_byte_changed_in_any_line_is_found_and_its_entry_named(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    day = builder.a_day()
    lines = day.lines()
    number = data.draw(st.integers(0, len(lines) - 1))
    at = data.draw(st.integers(0, len(lines[number]) - 1))
    byte = data.draw(st.integers(0, 255).filter(lambda value: value not in (10, lines[number][at])))
    lines[number] = lines[number][:at] + bytes([byte]) + lines[number][at + 1 :]
    folder = tmp_path_factory.mktemp("changed")
    report = verify(builder.bag(folder / "bundle", lines, day.card(), day.openings))
    device, seq = ("dev-1", number) if number < 9 else ("dev-2", number - 9)
    assert any(
        f"device {device} entry {seq}" in problem.where
        or problem.where == f"data/entries.jsonl line {number + 1}"
        for problem in report.problems
    ), report.problems


@settings(max_examples=20)
@given(seed=st.integers(0, 2**32))
def test_any_shuffling_of_the_lines_is_found(
    seed: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    day = builder.a_day()
    lines = day.lines()
    random.Random(seed).shuffle(lines)
    in_order = {
        device: [json.loads(line)["seq"] for line in lines if f'"{device}"'.encode() in line]
        for device in ("dev-1", "dev-2")
    }
    is_shuffled = any(seqs != sorted(seqs) for seqs in in_order.values())
    folder = tmp_path_factory.mktemp("shuffled")
    report = verify(builder.bag(folder / "bundle", lines, day.card(), day.openings))
    assert {problem.code for problem in report.problems} == (
        {"entries-reordered"} if is_shuffled else set()
    )


# Bad calls, and size


def test_what_is_no_bundle_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UnreadableBundle, match="There is nothing at"):
        verify(tmp_path / "nothing")
    (tmp_path / "note.txt").write_text("not an archive")
    with pytest.raises(UnreadableBundle, match="no readable archive"):
        verify(tmp_path / "note.txt")


@pytest.mark.parametrize(
    "arguments", [["--head", "dev-1:8"], ["--head", ":8:" + "0" * 64], ["--trip-head", "abc"]]
)
def test_a_head_written_wrongly_is_refused_with_the_right_form(
    arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = builder.bag_day(tmp_path / "bundle")
    assert main([str(path), *arguments]) == 2
    assert "64 hex digits" in capsys.readouterr().err


def test_text_from_the_log_cannot_steer_a_terminal(tmp_path: Path) -> None:
    log = builder.Log()
    log.add("departed", device="dev\x1b[2J", late_min=20)
    text = as_text(verify(bag_of(log, tmp_path)))
    assert "\x1b" not in text
    assert "devU+001B[2J" in text


def test_json_says_the_same_as_the_report(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = builder.bag_trip(tmp_path / "bundle")
    assert main([str(path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == verify(path).as_dict()


def test_more_faults_than_anybody_reads_are_counted(tmp_path: Path) -> None:
    lines = [b"{}"] * 1_500
    report = verify(builder.bag(tmp_path / "bundle", lines, builder.Log().card()))
    told = [each for each in report.problems if each.code == "entry-malformed"]
    assert len(told) == 1_001
    assert told[-1].sentence == "500 more like this are not listed."


def test_a_line_longer_than_any_entry_is_not_read_to_its_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(exports.verify, "_LINE_BYTES_MAX", 2_000)
    day = builder.a_day()
    lines = day.lines()
    lines[4] = lines[4].replace(b'"S-9"', b'"' + b"S" * 9_000 + b'"')
    report = verify(builder.bag(tmp_path / "bundle", lines, day.card(), day.openings))
    assert [(each.code, each.where) for each in report.problems] == [
        ("not-canonical", "data/entries.jsonl line 5"),
        ("entry-altered", "device dev-1 entry 4"),
    ]


def test_references_are_looked_up_in_as_many_passes_as_needed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(exports.verify, "_LOOKED_UP_AT_ONCE", 1)
    day = builder.a_day()
    day.openings.reverse()
    report = verify(bag_of(day, tmp_path))
    assert report.matches
    assert (report.counts["opened"], report.counts["corrections"]) == (3, 1)


def peak_bytes(count: int, folder: Path) -> int:
    """The most memory that checking a chain of this length takes."""
    entry = builder.a_day().entries[3]
    prev = None
    lines = []
    for seq in range(count):
        lines.append(builder.canonical(entry | {"seq": seq, "prev": prev, "trip_prev": prev}))
        prev = builder.sha256(lines[-1])
    card = builder.Log().card() | {
        "heads": {"dev-1": {"seq": count - 1, "hash": prev, "entries": count}}
    }
    path = folder / f"{count}.zip"
    write_bundle(
        path,
        [
            Part(path="entries.jsonl", data=(line + b"\n" for line in lines)),
            Part(path="bundle.json", data=builder.canonical(card)),
        ],
        {},
        builder.MADE_AT,
        as_zip=True,
    )
    del lines
    tracemalloc.start()
    assert verify(path).matches
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


def test_memory_does_not_grow_with_the_entries(tmp_path: Path) -> None:
    assert peak_bytes(6_000, tmp_path) < 1.2 * peak_bytes(600, tmp_path)


def test_that_tables_rest_on_the_list_of_files_alone_is_said(tmp_path: Path) -> None:
    report = verify(builder.bag_day(tmp_path / "bundle"))
    assert any("the entries hold" in limit for limit in report.limits)
