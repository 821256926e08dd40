"""What lies in a bundle beside the log: that others can repeat it, with tools that are not ours.

JSON by jsonschema (draft 2020-12), the bag by the bagit package, which validates BagIt 1.0
(RFC 8493), the calendar by icalendar.
"""

import csv
import hashlib
import json
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import bagit
import icalendar
import jsonschema
import pytest

from tests.desk.exported import exported, faultless, member, under_way
from tests.dossier.scene import Office, office
from triplog.desk.desk import open_desk
from triplog.desk.exporting import export
from triplog.desk.judging import judge_file
from triplog.journal.trip import Trip


@pytest.fixture
def yard(tmp_path: Path) -> Office:
    return office(tmp_path / "home")


@pytest.fixture
def trip(yard: Office) -> Trip:
    return under_way(yard)


@pytest.fixture
def bundle(yard: Office, trip: Trip, tmp_path: Path) -> Path:
    path = exported(yard, tmp_path / "out", trip, "bundle").files[0]
    faultless(path)
    return path


def loaded(bundle: Path, name: str) -> Any:
    return json.loads(member(bundle, name))


def names(bundle: Path) -> set[str]:
    with zipfile.ZipFile(bundle) as packed:
        return {name.partition("/data/")[2] for name in packed.namelist() if "/data/" in name}


def fits(bundle: Path, schema: str, what: Any) -> None:
    read = loaded(bundle, f"schemas/{schema}.schema.json")
    jsonschema.Draft202012Validator.check_schema(read)
    jsonschema.Draft202012Validator(read).validate(what)


def test_each_json_file_fits_the_schema_that_lies_beside_it(bundle: Path) -> None:
    fits(bundle, "bundle", loaded(bundle, "bundle.json"))
    fits(bundle, "trail", loaded(bundle, "trail.json"))
    for schema, name in (("entry", "entries"), ("opening", "openings"), ("proof", "proofs")):
        lines = member(bundle, f"{name}.jsonl").splitlines()
        assert lines
        for line in lines:
            fits(bundle, schema, json.loads(line))
    for name in names(bundle):
        for schema in ("plan", "findings"):
            if name.startswith(f"plans/{schema}-"):
                fits(bundle, schema, loaded(bundle, name))


def test_an_entry_with_an_unknown_way_in_or_a_fraction_of_a_number_fits_no_schema(
    bundle: Path,
) -> None:
    entry = json.loads(member(bundle, "entries.jsonl").splitlines()[0])
    for wrong in ({"via": "guessed"}, {"seq": 0.5}, {"prev": "ab"}, {"entry_time": "today"}):
        with pytest.raises(jsonschema.ValidationError):
            fits(bundle, "entry", entry | wrong)


def test_the_tables_have_the_columns_that_are_described(bundle: Path) -> None:
    described = loaded(bundle, "schemas/csv-columns.json")
    tables = {name[4:-4] for name in names(bundle) if name.startswith("csv/")}
    assert tables == set(described)
    for table in tables:
        head = next(csv.reader(member(bundle, f"csv/{table}.csv").decode("utf-8-sig").splitlines()))
        assert len(head) == len(described[table])


def test_each_plan_in_the_bundle_judged_again_gives_the_findings_beside_it(bundle: Path) -> None:
    revisions = loaded(bundle, "plans/revisions.json")
    judged = 0
    for one in revisions:
        data = member(bundle, one["plan"])
        for recorded in one["findings"]:
            findings = loaded(bundle, recorded["file"])
            assert hashlib.sha256(data).hexdigest() == findings["plan_sha256"]
            # The journal judges by the gear's fit as well: add what it judged by to the plan.
            plan = json.loads(data) | {"rules": recorded["rules"]}
            again = judge_file(json.dumps(plan).encode(), "plan.json").document
            for name in ("rule_sets", "worst", "findings"):
                assert again[name] == findings[name]
            judged += 1
    assert judged
    assert [one["departed_with"] for one in revisions].count(True) == 1
    hashes = {
        hashlib.sha256(line).hexdigest() for line in member(bundle, "entries.jsonl").splitlines()
    }
    assert {one["revision"] for one in revisions} <= hashes


def test_the_figures_here_have_the_digest_that_the_findings_recorded(bundle: Path) -> None:
    for told in loaded(bundle, "figures/digests.json").values():
        lines = ""
        for name, digest in told["tables"].items():
            data = member(bundle, f"figures/{name}")
            assert hashlib.sha256(data).hexdigest() == digest
            lines += f"{digest}  {name}\n"
        assert told["recorded"] == ([hashlib.sha256(lines.encode()).hexdigest()] if lines else [])
    pinned = loaded(bundle, "figures/rules-pinned.json")
    ids = set(member(bundle, "figures/recheck_rules.csv").decode().split("\n", 1)[0].split(","))
    assert {column for one in pinned for rule in one["rules"] for column in rule} <= ids


def test_the_pictures_of_the_plan_departed_with_and_of_the_checks_are_here(bundle: Path) -> None:
    pictures = {name for name in names(bundle) if name.startswith("pictures/")}
    assert "pictures/checks.svg" in pictures
    assert any(name.endswith("deck-from-above.svg") for name in pictures)
    assert any(name.endswith("deck-from-the-side.svg") for name in pictures)
    for name in pictures:
        assert member(bundle, name).startswith(b"<svg")


def test_the_calendar_is_read_by_another_reader(bundle: Path) -> None:
    read = icalendar.Calendar.from_ical(member(bundle, "checks.ics").decode())
    assert read.walk("VEVENT")


def test_the_bag_is_valid_to_the_bagit_package(yard: Office, trip: Trip, tmp_path: Path) -> None:
    yard.clock.forward(minutes=1)
    result = export(yard.desk, tmp_path / "out", ("bundle",), trip, as_folder=True)
    (bag,) = result.files
    assert bag.name == "trip-T-1-bundle"
    faultless(bag)
    bagit.Bag(str(bag)).validate()
    (bag / "data/trail.json").write_bytes(b"[]\n")
    with pytest.raises(bagit.BagValidationError):
        bagit.Bag(str(bag)).validate()
    done = subprocess.run(
        [sys.executable, "-I", "data/verify.py", "."],
        cwd=bag,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert "trail.json" in done.stdout


def test_an_unpacked_archive_is_valid_to_the_bagit_package(
    yard: Office, trip: Trip, tmp_path: Path
) -> None:
    yard.clock.forward(minutes=1)
    (packed,) = export(yard.desk, tmp_path / "out", ("bundle",), trip).files
    with zipfile.ZipFile(packed) as archive:
        archive.extractall(tmp_path / "unpacked")
    bagit.Bag(str(tmp_path / "unpacked" / packed.stem)).validate()


@pytest.mark.parametrize("as_folder", [False, True])
def test_copies_of_one_journal_exported_at_one_time_give_the_same_bytes(
    as_folder: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn = 0

    def salt(count: int = 16) -> str:
        nonlocal drawn
        drawn += 1
        return hashlib.sha256(str(drawn).encode()).hexdigest()[: 2 * count]

    made = office(tmp_path / "one")
    trip = under_way(made)
    made.clock.forward(minutes=1)
    shutil.copytree(tmp_path / "one", tmp_path / "two")
    bags = []
    for name in ("one", "two"):
        desk = open_desk(tmp_path / name, made.clock)
        drawn = 0
        monkeypatch.setattr("secrets.token_hex", salt)
        out = tmp_path / f"out-{name}"
        (bag,) = export(desk, out, ("bundle",), trip, as_folder=as_folder).files
        files = bag.rglob("*") if as_folder else [bag]
        bags.append({one.relative_to(out): one.read_bytes() for one in files if not one.is_dir()})
    assert bags[0] == bags[1]
