"""Each attack is named, or it is said that nothing in the bundle can show it, and what does."""

import json
from pathlib import Path

import pytest

from exports.verify import main, verify
from tests.exports.attacks import of_additions, of_contents, of_histories
from tests.exports.attacks.attack import Made
from tests.exports.attacks.signed_day import AT_CHECK, AT_DEPARTURE, bag, head, held, signed_day
from tests.specimens import builder
from tests.specimens.builder import Log, sha256
from tests.specimens.test_specimens import run_bare

ATTACKS: dict[str, Made] = {
    **of_histories.ATTACKS,
    **of_contents.ATTACKS,
    **of_additions.ATTACKS,
}
BARE = ("rewritten_and_signed_with_the_device_s_key-trip", "photo_replaced", "cloned_device-store")


@pytest.mark.parametrize("name", ATTACKS)
def test_each_attack_is_found_by_whom_it_can_be_found(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    attack = ATTACKS[name](tmp_path)
    code = main([str(attack.path), "--json"])
    report = json.loads(capsys.readouterr().out)
    found = {problem["code"] for problem in report["problems"]}
    if attack.alone:
        assert code == 1
        assert attack.alone <= found, report["problems"]
    else:
        assert (code, found) == (0, set()), report["problems"]
        assert attack.limit
        assert any(attack.limit in limit for limit in report["limits"])
    for arguments, wanted in attack.outside.items():
        code = main([str(attack.path), "--json", *arguments])
        told = json.loads(capsys.readouterr().out)
        assert {problem["code"] for problem in told["problems"]} - found == wanted, arguments
        assert code == (1 if wanted | attack.alone else 0)


@pytest.mark.parametrize("name", BARE)
def test_a_bare_script_finds_it_too(name: str, tmp_path: Path) -> None:
    attack = ATTACKS[name](tmp_path)
    for number, (arguments, wanted) in enumerate([((), attack.alone), *attack.outside.items()]):
        done = run_bare(tmp_path / f"bare-{number}", str(attack.path), *arguments)
        assert (done.returncode, done.stderr) == (1 if wanted else 0, "")
        assert all(f"{code}: " in done.stdout for code in wanted)


@pytest.mark.parametrize("trip", [False, True])
def test_the_day_itself_matches_and_fits_every_head_of_it(trip: bool, tmp_path: Path) -> None:
    day = signed_day()
    path = bag(tmp_path / "bundle", day, trip=trip)
    report = verify(path)
    assert report.matches
    assert report.counts["signatures"] == 3
    arguments = [
        *held(tmp_path, head(day)),
        *held(tmp_path, head(day, AT_CHECK)),
        *held(tmp_path, head(day, AT_DEPARTURE)),
        *("--code", head(day).checkpoint.code),
    ]
    assert main([str(path), *arguments]) == 0


def test_what_stands_behind_the_signed_head_is_counted(tmp_path: Path) -> None:
    path = of_histories.entries_put_in_behind_the_signed_head(tmp_path, trip=True).path
    report = verify(path)
    assert report.counts["after_head"] == 1
    assert [problem.code for problem in report.problems] == ["after-the-head"]


def test_photos_that_are_there_and_one_that_was_destroyed_match(tmp_path: Path) -> None:
    day = Log()
    day.add("trip_opened")
    for picture in (b"one", b"two"):
        digest = sha256(picture)
        day.add("photo_added", body={"digest": digest, "file": f"photos/{digest}.jpg"})
    gone = {"openings": [], "attachments": [sha256(b"two")]}
    day.add("openings_destroyed", body=gone)
    files = {f"photos/{sha256(b'one')}.jpg": b"one"}
    report = verify(builder.bag(tmp_path / "bundle", day.lines(), day.card(), more=files))
    assert report.matches
    assert report.counts["attachments"] == 2
    assert [note.code for note in report.notes] == ["attachment-destroyed"]
