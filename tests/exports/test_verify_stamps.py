"""Time-stamps in a bundle: the checker reads them without a library, and names what was changed.

RFC 3161 (2.4.2, the token), RFC 5652 (SignedData), ITU-T X.690 (DER). The tokens are those of a
throw-away authority made with the openssl command; openssl also runs the line that is printed.
"""

import base64
import json
import random
import re
import shlex
import shutil
import subprocess
import zipfile
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from exports.verify import der_inside, der_items, time_stamp_of, verify
from tests.desk.authority import Authority, authority, request
from tests.desk.exported import exported, under_way
from tests.dossier.scene import office
from triplog.desk import stamps


@dataclass(frozen=True, slots=True)
class Stamped:
    """The bundle of a trip whose departure was stamped three days late, unpacked."""

    bureau: Authority
    folder: Path

    @property
    def files(self) -> list[Path]:
        """The time-stamps in it."""
        return sorted((self.folder / "data" / "stamps").iterdir())


@pytest.fixture(scope="module")
def stamped(tmp_path_factory: pytest.TempPathFactory) -> Stamped:
    place = tmp_path_factory.mktemp("stamped")
    bureau = authority(place / "authority")
    yard = office(place / "home")
    yard.clock.wall = datetime.now(UTC)
    yard.clock.forward(minutes=-3 * 1440)
    under_way(yard)
    yard.clock.forward(minutes=1440)
    trip = yard.trip("T-1")
    exported(yard, place / "earlier", trip, "sheet")
    yard.clock.wall = datetime.now(UTC)
    asked = stamps.ask(yard.desk, None, place / "requests")
    answers = [bureau.answer(place / "requests" / stamps.request_name(one)) for one in asked]
    stamps.take(yard.desk, answers, bureau.root)
    bundle = exported(yard, place / "out", yard.trip("T-1"), "bundle").files[0]
    with zipfile.ZipFile(bundle) as packed:
        packed.extractall(place / "unpacked")
    return Stamped(bureau, place / "unpacked" / bundle.stem)


def test_the_checker_says_by_when_a_head_was_there_and_how_late_that_is(stamped: Stamped) -> None:
    report = verify(stamped.folder)
    assert report.problems == ()
    told = [note.sentence for note in report.notes if note.code == "time-stamp"]
    assert len(told) == report.counts["time_stamps"] == len(stamped.files) == 2
    assert "by an authority's clock" in told[0]
    assert any(f"signed {hours} h" in told[0] for hours in (71, 72))
    assert "signature is not checked here" in told[0]
    assert any("once its signature has been checked" in limit for limit in report.limits)


def test_the_line_that_is_printed_works_as_it_stands(stamped: Stamped) -> None:
    for note in verify(stamped.folder).notes:
        if note.code != "time-stamp":
            continue
        line = note.sentence[note.sentence.index("openssl") :]
        words = shlex.split(line.replace("AUTHORITY.pem", str(stamped.bureau.root)))
        done = subprocess.run(
            words, cwd=stamped.folder, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        assert "Verification: OK" in done.stdout + done.stderr


def _copy(stamped: Stamped, place: Path) -> Path:
    return Path(shutil.copytree(stamped.folder, place / "copy"))


def _codes(folder: Path) -> set[str]:
    return {problem.code for problem in verify(folder).problems}


def test_a_token_of_another_head_in_its_place_is_named(stamped: Stamped, tmp_path: Path) -> None:
    copy = _copy(stamped, tmp_path)
    first, second = (copy / "data" / "stamps" / path.name for path in stamped.files)
    one, other = first.read_bytes(), second.read_bytes()
    first.write_bytes(other)
    second.write_bytes(one)
    assert {"stamp-differs", "file-altered"} <= _codes(copy)


def test_a_stamp_file_that_is_gone_is_named(stamped: Stamped, tmp_path: Path) -> None:
    copy = _copy(stamped, tmp_path)
    (copy / "data" / "stamps" / stamped.files[0].name).unlink()
    assert {"stamp-differs", "file-missing"} <= _codes(copy)


def _rewritten(copy: Path, kind: str, change: "dict[str, object]") -> None:
    """Change the body of the first entry of a kind, as somebody would with an editor."""
    path = copy / "data" / "entries.jsonl"
    lines = path.read_text("utf-8").splitlines()
    place = next(n for n, line in enumerate(lines) if json.loads(line)["kind"] == kind)
    entry = json.loads(lines[place])
    entry["body"] |= change
    lines[place] = json.dumps(entry, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    path.write_text("".join(f"{line}\n" for line in lines), "utf-8")


def _first_head(copy: Path) -> str:
    for line in (copy / "data" / "entries.jsonl").read_text("utf-8").splitlines():
        entry = json.loads(line)
        if entry["kind"] == "checkpoint_signed":
            return str(entry["body"]["signed_note"])
    raise AssertionError("a bundle has a head")


def test_one_byte_of_the_checkpoint_changed_no_longer_fits_its_stamp(
    stamped: Stamped, tmp_path: Path
) -> None:
    copy = _copy(stamped, tmp_path)
    note = _first_head(copy)
    root = note.split("\n")[2]
    other = base64.b64encode(bytes([base64.b64decode(root)[0] ^ 1]) + base64.b64decode(root)[1:])
    _rewritten(copy, "checkpoint_signed", {"signed_note": note.replace(root, other.decode())})
    assert {"stamp-differs", "checkpoint-forged", "entry-altered"} <= _codes(copy)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"imprint": "0" * 64}, "stamp-differs"),
        ({"head": "0" * 64}, "stamp-differs"),
        ({"head": 7}, "stamp-differs"),
        ({"token": "AAAA"}, "stamp-malformed"),
        ({"token": None}, "stamp-malformed"),
        ({"token": "no base64"}, "stamp-malformed"),
    ],
)
def test_what_an_entry_says_of_its_stamp_must_be_so(
    stamped: Stamped, tmp_path: Path, change: "dict[str, object]", code: str
) -> None:
    copy = _copy(stamped, tmp_path)
    _rewritten(copy, "time_stamp_taken", change)
    assert code in _codes(copy)


def test_a_token_of_another_head_in_the_entry_itself_is_named(
    stamped: Stamped, tmp_path: Path
) -> None:
    """The entry says the right fingerprint, and the token another."""
    copy = _copy(stamped, tmp_path)
    lines = (copy / "data" / "entries.jsonl").read_text("utf-8").splitlines()
    taken = [one for one in map(json.loads, lines) if one["kind"] == "time_stamp_taken"]
    assert taken[0]["body"]["imprint"] != taken[1]["body"]["imprint"]
    _rewritten(copy, "time_stamp_taken", {"token": taken[1]["body"]["token"]})
    told = [one.sentence for one in verify(copy).problems if one.code == "stamp-differs"]
    assert any("does not stamp the head" in sentence for sentence in told)


def test_a_forged_time_is_for_openssl_to_find(stamped: Stamped, tmp_path: Path) -> None:
    """The checker reads what stands there and says that it has not checked it; openssl refuses."""
    token = stamped.files[0].read_bytes()
    said = time_stamp_of(token)
    stands = f"{said.gen_time:%Y%m%d%H%M%S}".encode()
    forged = tmp_path / "forged.tst"
    forged.write_bytes(token.replace(stands, b"19990101000000", 1))
    assert time_stamp_of(forged.read_bytes()).gen_time == datetime(1999, 1, 1, tzinfo=UTC)
    assert stamped.bureau.stamps(stamped.files[0], said.imprint.hex())
    assert not stamped.bureau.stamps(forged, said.imprint.hex())


def test_a_token_says_the_same_as_openssl_prints(stamped: Stamped) -> None:
    words = ["openssl", "ts", "-reply", "-token_in", "-in", str(stamped.files[0]), "-text"]
    shown = subprocess.run([*words, "-token_out"], capture_output=True, check=True).stdout.decode(
        "utf-8", "replace"
    )
    said = time_stamp_of(stamped.files[0].read_bytes())
    assert f"Policy OID: {said.policy}" in shown
    numbers = dict(re.findall(r"(Serial number|Nonce): 0x([0-9A-F]+)", shown))
    assert int(numbers["Serial number"], 16) == said.serial
    assert int(numbers["Nonce"], 16) == said.nonce
    assert f"{said.gen_time:%b} {said.gen_time.day:2d} {said.gen_time:%H:%M:%S %Y} GMT" in shown


def test_a_request_is_no_stamp_and_neither_is_garbage(stamped: Stamped, tmp_path: Path) -> None:
    asked = request(tmp_path / "asked.tsq", b"a head").read_bytes()
    token = stamped.files[0].read_bytes()
    chance = random.Random(690)
    cut = [token[:length] for length in range(0, len(token), 7)]
    thrown = [chance.randbytes(chance.randrange(120)) for _ in range(2000)]
    for data in (asked, *cut, *thrown, token + b"\x05\x00"):
        with pytest.raises(ValueError, match=" "):
            time_stamp_of(data)


def test_no_single_byte_makes_the_reader_stumble(stamped: Stamped) -> None:
    token = stamped.files[0].read_bytes()
    for place in range(len(token)):
        for value in (0, 0x7F, 0x80, 0xFF, token[place] ^ 1):
            try:
                time_stamp_of(token[:place] + bytes([value]) + token[place + 1 :])
            except ValueError as problem:
                assert str(problem)


@pytest.mark.parametrize(
    "data",
    [
        pytest.param("3080", id="a length that is not told"),
        pytest.param("308103020101", id="a length longer than it needs to be"),
        pytest.param("30820003020101", id="a length with a zero in front"),
        pytest.param("3005020101", id="it breaks off"),
        pytest.param("3f81000101", id="a tag of several bytes"),
        pytest.param("30", id="a tag alone"),
        pytest.param("3085000000000100", id="a length of five bytes"),
    ],
)
def test_what_is_not_der_is_refused(data: str) -> None:
    """ITU-T X.690, 10.1: lengths are definite, in as few bytes as can be."""
    with pytest.raises(ValueError, match=r"DER|breaks off|several bytes"):
        der_items(bytes.fromhex(data))


def test_values_are_read_as_they_stand() -> None:
    first, second = der_inside(bytes.fromhex("3006020101020102"))
    assert (first.tag, first.content, first.whole) == (2, b"\x01", b"\x02\x01\x01")
    assert second.content == b"\x02"
    assert der_items(b"") == []
    long = b"\x04\x81\x80" + bytes(128)
    assert der_items(long)[0].content == bytes(128)
    with pytest.raises(ValueError, match="another value"):
        der_inside(long)
