"""What the verifier is made of, and which bytes it takes for an entry."""

import ast
import hashlib
import json
import random
import re
import sys
from pathlib import Path
from typing import Any

import pytest

import exports.verify
from exports.verify import canonical_bytes, verify
from tests.specimens import builder

SOURCE = Path(exports.verify.__file__)


def test_the_verifier_imports_only_the_standard_library() -> None:
    imported = set()
    for node in ast.walk(ast.parse(SOURCE.read_text())):
        if isinstance(node, ast.Import):
            imported |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0
            imported.add((node.module or "").split(".")[0])
    assert imported <= sys.stdlib_module_names


def test_an_old_python_is_told_in_a_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 9, 2, "final", 0))
    with pytest.raises(SystemExit) as stop:
        exec(compile(SOURCE.read_text(), str(SOURCE), "exec"), {"__name__": "verify"})
    assert stop.value.code == 2
    assert "needs Python 3.11 or later" in capsys.readouterr().err


def test_an_old_python_can_read_the_file_far_enough_to_say_so() -> None:
    # Language of 3.8: the sentence is of no use if the file is a syntax error there.
    ast.parse(SOURCE.read_text(), feature_version=(3, 8))


def test_every_code_stands_in_the_format_description() -> None:
    described = set(re.findall(r"`([a-z-]+)`", SOURCE.with_name("FORMAT.md").read_text()))
    codes = {
        node.value
        for node in ast.walk(ast.parse(SOURCE.read_text()))
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and re.fullmatch(r"[a-z]+(-[a-z]+)+", node.value)
    }
    assert codes <= described | {"bag-info", "trip-head"}
    assert {"entry-altered", "tail-cut", "clock-back"} <= codes


CHECKED = ("The entries", "What should be here", "What a checker says")
"""The sections of the page whose tables are about what the checker itself reads and says."""


def test_every_code_and_field_of_the_format_description_is_known_to_the_verifier() -> None:
    """The first column of its tables, the notes, and every file name below data/ it relies on."""
    source = SOURCE.read_text()
    page = SOURCE.with_name("FORMAT.md").read_text()
    checked = [part for part in page.split("\n## ") if part.startswith(CHECKED)]
    firsts = re.findall(r"^\| (`[^|]+`) \|", "".join(checked), re.MULTILINE)
    names = {name for first in firsts for name in re.findall(r"`([a-z_-]+)`", first)}
    notes = page[page.index("Notes are no faults") : page.index("Exit codes of `verify.py`")]
    names |= set(re.findall(r"`([a-z]+(?:-[a-z]+)*)`", notes)) - {"follows"}
    assert {"entry-altered", "late", "withheld", "beside", "trip_prev"} <= names
    unused = {"made_at", "withheld_why"}
    assert {name for name in names - unused if f'"{name}"' not in source} == set()
    for name in (
        "entries.jsonl",
        "openings.jsonl",
        "bundle.json",
        "checkpoint.txt",
        "proofs.jsonl",
    ):
        assert f'"data/{name}"' in source
        assert f"`data/{name}`" in page


def test_every_field_of_the_report_stands_in_the_format_description(tmp_path: Path) -> None:
    page = SOURCE.with_name("FORMAT.md").read_text()
    day = builder.a_day()
    path = builder.bag(
        tmp_path / "trip", day.lines(builder.TRIP), day.card(builder.TRIP), day.openings
    )
    told = verify(path).as_dict()
    (reach, *_), (change, *_) = told["reaches"], told["story"]["changes"]
    (difference, *_) = change["differences"]
    names = {*told, *reach, *told["story"], *change, *difference} - {"device"}
    assert {name for name in names if f"`{name}`" not in page} == set()


# Canonical form


@pytest.mark.parametrize(
    ("value", "starts"),
    [
        # RFC 8785, the test data of its reference repository that hold no fractions: arrays,
        # french, unicode. The digests were taken from the published canonical bytes.
        ([56, {"d": True, "10": None, "1": []}], "099601b171cafed9"),
        (
            {
                "peach": "This sorting order",
                "péché": "is wrong according to French",
                "pêche": "but canonicalization MUST",
                "sin": "ignore locale",
            },
            "d99d0ebdcb0033cb",
        ),
        ({"Unnormalized Unicode": "A\u030a"}, "0d99aad92a125196"),
    ],
)
def test_canonical_bytes_are_those_of_rfc_8785(value: Any, starts: str) -> None:
    assert hashlib.sha256(canonical_bytes(value)).hexdigest().startswith(starts)


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        (b'"v":1', b'"v":1.0', "no whole number"),
        (b'"v":1', b'"v":1e0', "no whole number"),
        (b'"v":1', b'"v":NaN', "no whole number"),
        (b'"v":1', b'"v":9007199254740992', "beyond 2^53 - 1"),
        (b'"v":1', b'"v":1,"v":1', "'v' stands twice"),
        (b'"v":1', b'"v": 1', "white space"),
        (b'"v":1', b'"v":1,"u":2', "order"),
        (b'"v":1', b'"v":"\\u0041"', "escapes"),
        (b'"v":1', b'"v":"\\ud800"', "surrogates"),
        (b'"typed"', b'"typed","\xc3\xa9":1', "not ASCII"),
        (b'"v":1', b'"v":"\xff"', "utf-8"),
        (b'"v":1', b'"v":' + b"[" * 100_000, "nested too deeply"),
        (b"}", b"", "Expecting"),
    ],
)
def test_bytes_that_are_not_canonical_are_named(
    old: bytes, new: bytes, why: str, tmp_path: Path
) -> None:
    day = builder.a_day()
    lines = day.lines()
    line = lines[-1]
    at = line.rindex(old)
    lines[-1] = line[:at] + new + line[at + len(old) :]
    path = builder.bag(tmp_path / "bundle", lines, day.card(), day.openings)
    told = [each for each in verify(path).problems if each.code == "not-canonical"]
    assert [each.where for each in told] == ["data/entries.jsonl line 12"]
    assert why in told[0].sentence


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"seq": "1"}, "seq"),
        ({"seq": -1}, "seq"),
        ({"seq": True}, "seq"),
        ({"prev": "abc"}, "'abc'"),
        ({"event_time": "2026-05-04T06:00:00Z"}, "2026-05-04T06:00:00Z"),
        ({"event_time": "2026-13-04T06:00:00.000Z"}, "month"),
        ({"trip": None}, "trip_prev without a trip"),
        ({"trip": 5}, "trip is neither"),
        ({"clock": {}}, "clock names no source"),
        ({"body": {"trip_heads": []}}, "trip_heads"),
        ({"private": {"name": "driver"}}, "'driver'"),
        ({"private": []}, "private"),
        ({"kind": ""}, "kind"),
    ],
)
def test_a_line_that_is_no_whole_entry_is_named(
    change: dict[str, Any], why: str, tmp_path: Path
) -> None:
    day = builder.a_day()
    lines = day.lines()
    lines[-1] = builder.canonical(json.loads(lines[-1]) | change)
    report = verify(builder.bag(tmp_path / "bundle", lines, day.card(), day.openings))
    told = [each for each in report.problems if each.code == "entry-malformed"]
    assert [each.where for each in told] == ["data/entries.jsonl line 12"]
    assert why in told[0].sentence


def test_an_entry_without_one_of_its_fields_is_named(tmp_path: Path) -> None:
    day = builder.a_day()
    lines = day.lines()
    entry = json.loads(lines[-1])
    del entry["idem"]
    lines[-1] = builder.canonical(entry)
    report = verify(builder.bag(tmp_path / "bundle", lines, day.card(), day.openings))
    assert "without the field idem" in report.problems[0].sentence


# The quick way of reading a line


PIECES = (
    *(b"", b" ", b'"', b"\\", b",", b"{", b"}", b"0", b"-0", b"1e1", b"9" * 17, b"null", b"\n"),
    *(b'"a":1,', b'{"a":{}}', b"\\u0041", b"\xc3\xa9", b"\xff", b"},{", b'":"', b"\x7f", b"\x00"),
)


def test_the_quick_way_takes_ordinary_lines_and_finds_what_the_long_way_finds() -> None:
    for line in [each + b"\n" for each in builder.a_day().lines()]:
        value, why = exports.verify._parsed(line)
        assert why is None
        long = exports.verify._entry(value, hashlib.sha256(line[:-1]).hexdigest())
        assert exports.verify._plain_entries([line]) == [long]


@pytest.mark.parametrize("seed", range(4))
def test_what_the_quick_way_takes_is_canonical_whatever_was_done_to_the_bytes(seed: int) -> None:
    """Lines with bytes changed, doubled, dropped or put in, among whole ones."""
    chance = random.Random(seed)
    whole = [each + b"\n" for each in builder.a_day().lines()]
    taken = 0
    for _ in range(3_000):
        line = bytearray(chance.choice(whole))
        for _ in range(chance.randint(1, 2)):
            at = chance.randrange(len(line))
            line[at : at + chance.randint(0, 2)] = chance.choice(PIECES)
        first, quick, last = exports.verify._plain_entries([whole[0], bytes(line), whole[1]])
        assert first is not None
        assert last is not None
        if quick is not None:
            taken += 1
            value, why = exports.verify._parsed(bytes(line))
            assert why is None, bytes(line)
            assert quick == exports.verify._entry(value, hashlib.sha256(line[:-1]).hexdigest())
    assert taken > 30


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b'"body":{"', b'"body":{"label":"T-2","'),
        (b'"private":{"', b'"private":{"name":"' + b"1" * 64 + b'","'),
        (b'"clock":{"', b'"clock":{"boot_id":"other","'),
        (b'"v":1', b'"v":1,"v":1'),
    ],
)
def test_a_name_that_stands_twice_is_named_wherever_it_stands(
    old: bytes, new: bytes, tmp_path: Path
) -> None:
    """Two readers may take two values from it."""
    day = builder.a_day()
    lines = day.lines()
    at = next(number for number, line in enumerate(lines) if old in line)
    lines[at] = lines[at].replace(old, new, 1)
    report = verify(builder.bag(tmp_path / "bundle", lines, day.card(), day.openings))
    assert ("not-canonical", f"data/entries.jsonl line {at + 1}") in {
        (each.code, each.where) for each in report.problems
    }
