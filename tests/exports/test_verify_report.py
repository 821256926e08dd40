"""What the verifier says to people: known at departure, changed later, missing, and up to where."""

import zipfile
from pathlib import Path
from typing import Any

import pytest

from exports.verify import Outside, OutsideHead, Report, as_text, main, verify
from tests.specimens import builder

PAGE_LINES, PAGE_LETTERS = 75, 80


def a_trip() -> builder.Log:
    """A person beside it; two entries, departure; then a reading, its correction, a withdrawal."""
    log = builder.Log()
    log.add("person_recorded", trip=None, private={"name": "driver"})
    log.add("trip_opened", body={"label": "T-1"})
    log.add("plan_recorded", body={"number": 1})
    log.add("departed", body={"odometer": "100 mi"})
    read = log.add("odometer_read", body={"odometer": "150 mi"})
    log.add(
        "odometer_read",
        body={"odometer": "140 mi"},
        private={"correction_reason": "the wrong line was read"},
        follows=read,
    )
    event = log.add("event_reported", body={"what": "hard stop"}, private={"note": "at the gate"})
    log.add("entry_withdrawn", private={"reason": "another truck"}, follows=event)
    return log


def bag_of(log: builder.Log, folder: Path, card: dict[str, Any] | None = None) -> Path:
    person = builder.entry_hash(log.entries[0])
    lines = log.lines(builder.TRIP, [person])
    stated = log.card(builder.TRIP, [person]) | (card or {})
    return builder.bag(folder / "bundle", lines, stated, log.openings)


def told(report: Report) -> str:
    return " ".join(as_text(report).split())


def test_it_tells_what_was_known_at_departure_and_what_came_after(tmp_path: Path) -> None:
    story = verify(bag_of(a_trip(), tmp_path)).story
    assert story is not None
    assert story.departed == "device dev-1 entry 3"
    assert (story.happened, story.written) == ("2026-05-04T06:15:00.000Z",) * 2
    assert story.before == {"departed": 1, "plan_recorded": 1, "trip_opened": 1}
    assert story.beside == 1
    assert story.after == {"entry_withdrawn": 1, "event_reported": 1, "odometer_read": 2}


def test_what_another_device_wrote_down_by_then_was_known_and_what_it_wrote_later_was_not(
    tmp_path: Path,
) -> None:
    log = builder.Log()
    log.add("person_recorded", trip=None)
    log.add("trip_opened")
    log.add("plan_recorded", device="dev-2")
    log.add("departed")
    log.add("check_completed", device="dev-2")
    story = verify(bag_of(log, tmp_path)).story
    assert story is not None
    assert story.before == {"departed": 1, "plan_recorded": 1, "trip_opened": 1}
    assert story.after == {"check_completed": 1}


def test_a_correction_is_shown_with_what_it_replaces_field_by_field(tmp_path: Path) -> None:
    report = verify(bag_of(a_trip(), tmp_path))
    assert report.story is not None
    # What was taken back comes first.
    taken_back, corrected = report.story.changes
    assert (corrected.where, corrected.of_where) == ("device dev-1 entry 5", "device dev-1 entry 4")
    moved, difference = corrected.differences
    assert (moved.name, moved.was) == ("event_time", "2026-05-04T06:20:00.000Z")
    assert (difference.name, difference.was, difference.now) == ("odometer", "150 mi", "140 mi")
    assert corrected.why == "the wrong line was read"
    assert (taken_back.kind, taken_back.takes_back) == ("event_reported", True)
    assert taken_back.why == "another truck"
    text = told(report)
    assert "odometer: 150 mi -> 140 mi why: the wrong line was read" in text
    assert "takes back device dev-1 entry 6" in text


def test_a_reason_that_is_withheld_is_not_made_up(tmp_path: Path) -> None:
    log = a_trip()
    log.openings = [one for one in log.openings if one["field"] != "correction_reason"]
    report = verify(bag_of(log, tmp_path))
    assert report.story is not None
    assert report.story.changes[1].why is None
    assert "why: (none, or cannot be read)" in told(report)


def test_without_a_departure_it_says_so(tmp_path: Path) -> None:
    log = builder.Log()
    log.add("person_recorded", trip=None)
    log.add("trip_opened")
    assert "No departure stands here." in told(verify(bag_of(log, tmp_path)))


def test_withheld_fields_are_counted_by_name_and_destroyed_ones_apart(tmp_path: Path) -> None:
    log = a_trip()
    event = log.openings[-2]["entry"]
    log.add("openings_destroyed", body={"openings": [{"entry": event, "field": "note"}], "why": ""})
    log.openings = [one for one in log.openings if one["field"] not in ("note", "name")]
    report = verify(bag_of(log, tmp_path, {"withheld": {"name": 1}}))
    assert report.matches
    assert (report.withheld, report.destroyed) == ({"name": 1}, {"note": 1})
    assert (report.counts["withheld"], report.counts["destroyed"]) == (1, 1)
    assert not [note for note in report.notes if note.code == "withheld-differs"]
    assert "withheld: 1 (name 1) destroyed: 1 (note 1)" in told(report)


def test_more_withheld_than_the_bundle_says_is_noted(tmp_path: Path) -> None:
    log = a_trip()
    log.openings = [one for one in log.openings if one["field"] != "note"]
    report = verify(bag_of(log, tmp_path, {"withheld": {}}))
    assert [note.where for note in report.notes if note.code == "withheld-differs"] == [
        "private field note"
    ]


def test_a_destroyed_value_that_can_be_read_is_noted(tmp_path: Path) -> None:
    log = a_trip()
    note = {"entry": log.openings[-2]["entry"], "field": "note"}
    log.add("openings_destroyed", body={"openings": [note], "why": "asked"})
    report = verify(bag_of(log, tmp_path))
    assert "destroyed-opened" in {one.code for one in report.notes}
    assert report.destroyed == {}


def test_it_says_up_to_which_head_nothing_is_missing(tmp_path: Path) -> None:
    log = a_trip()
    path = bag_of(log, tmp_path)
    said = "up to number 7 are here (its first is number 0), each linked to the one before. No"
    assert f"{said} signed head" in told(verify(path))
    held = OutsideHead(device="dev-1", seq=5, hash=builder.entry_hash(log.entries[5]))
    report = verify(path, Outside(heads=(held,)))
    assert [(reach.outside, reach.chain) for reach in report.reaches] == [(None, 5)]
    assert "One of an entry vouches for those of the trip up to 5." in told(report)


def test_a_head_from_outside_that_differs_vouches_for_nothing(tmp_path: Path) -> None:
    held = OutsideHead(device="dev-1", seq=5, hash="0" * 64)
    report = verify(bag_of(a_trip(), tmp_path), Outside(heads=(held,)))
    assert [reach.outside for reach in report.reaches] == [None]
    assert "1 thing does not match" in told(report)


def test_a_long_log_gives_a_page_and_says_where_the_rest_is(tmp_path: Path) -> None:
    log = a_trip()
    for number in range(40):
        read = log.add("odometer_read", body={"odometer": f"{200 + number} mi"}, late_min=40)
        log.add("odometer_read", body={"odometer": f"{201 + number} mi"}, follows=read)
    text = as_text(verify(bag_of(log, tmp_path)))
    lines = text.splitlines()
    assert len(lines) <= PAGE_LINES
    assert [line for line in lines if len(line) > PAGE_LETTERS and ":" not in line] == []
    assert "and 39 more; --json has all" in text


def test_it_says_that_every_line_was_compared_strictly(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = bag_of(a_trip(), tmp_path)
    assert main([str(path)]) == 0
    assert "compared (strict)" in " ".join(capsys.readouterr().out.split())
    assert main([str(path), "--json"]) == 0
    assert '"mode": "strict"' in capsys.readouterr().out


def test_a_second_departure_does_not_stand_for_the_first(tmp_path: Path) -> None:
    """Written down later on the same device, it is dated before; the first one holds."""
    log = a_trip()
    log.add("departed", body={"odometer": "99 mi"}, late_min=600)
    entry = log.entries[-1]
    entry["entry_time"] = log.entries[0]["entry_time"]
    report = verify(bag_of(log, tmp_path))
    first = next(one["seq"] for one in log.entries if one["kind"] == "departed")
    assert report.story is not None
    assert report.story.departed == f"device dev-1 entry {first}"
    assert "departed-twice" in {note.code for note in report.notes}


def test_a_difference_in_long_texts_is_shown_where_it_is(tmp_path: Path) -> None:
    log = builder.Log()
    log.add("trip_opened")
    long = "S-1 fine; " * 400
    first = log.add("plan_recorded", body={"plan": f"{long}3,335 lb{long}"})
    log.add("plan_recorded", body={"plan": f"{long}5,000 lb{long}"}, follows=first)
    report = verify(bag_of(log, tmp_path))
    assert report.story is not None
    (change,) = report.story.changes
    (difference,) = (one for one in change.differences if one.name == "plan")
    assert "3,335 lb" in (difference.was or "")[:60]
    assert "5,000 lb" in (difference.now or "")[:60]
    assert "3,335 lb" in told(report)


def test_a_head_that_covers_no_departure_is_said_in_the_outcome(tmp_path: Path) -> None:
    log = a_trip()
    held = OutsideHead(device="dev-1", seq=1, hash=builder.entry_hash(log.entries[1]))
    report = verify(bag_of(log, tmp_path), Outside(heads=(held,)))
    assert report.matches
    assert "vouches for no departure" in told(report)


def test_names_that_differ_in_letter_case_alone_are_refused(tmp_path: Path) -> None:
    path = builder.bag_trip(tmp_path / "bundle.zip")
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("bundle/data/Entries.jsonl", b"{}\n")
    assert "file-doubled" in {problem.code for problem in verify(path).problems}
