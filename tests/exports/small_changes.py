"""Thousands of small changes to a real bundle: each one that changes what it says has to be named.

    python -m tests.exports.small_changes --count 10000 --seed 1

A change is made to a kept bundle of one trip or of a whole store, which is then checked, as a
folder or as an archive. Some leave the manifests as they are, as an accident does; the others make
them anew, as somebody does who wants to hide it. What a change must come to is known before:

- *named*: a fault, or no bundle at all;
- *seen*: a fault, or other counts than those of the whole bundle (a withheld field, no signature);
- *same*: nothing was changed that means anything, such as the case of a hexadecimal digit;
- *beyond*: what FORMAT.md says no checker can see from the bundle alone (a table made anew with
  its manifest). It must be read without trouble, no more.

Nothing may raise, hang, or take the checker more than a few seconds.
"""

import argparse
import io
import json
import random
import shutil
import subprocess
import sys
import tempfile
import time
import zipfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from exports import verify as checker
from exports.verify import UnreadableBundle, verify
from tests.exports.bags import Files, bundle_files, remade, write_folder, write_zip
from tests.specimens.test_old_bundles import BUNDLES

Outcome = Literal["named", "seen", "same", "beyond"]
LONGEST_S = 10.0
_AS_A_PROCESS = 50


@dataclass(frozen=True, slots=True)
class Mutant:
    """A changed bundle, what was done to it, and what that must come to.

    `raw`: the bytes of an archive that was changed as it lies; None: `files` are written.
    """

    what: str
    must: Outcome
    files: Files
    raw: bytes | None = None


@dataclass(slots=True)
class Tally:
    """How many there were of each sort, by which code they were named, and what went wrong."""

    by_outcome: Counter[str] = field(default_factory=Counter)
    by_code: Counter[str] = field(default_factory=Counter)
    longest_s: float = 0.0
    wrong: list[str] = field(default_factory=list)

    @property
    def count(self) -> int:
        """How many bundles were checked."""
        return self.by_outcome.total()


def base_bundles() -> dict[str, Files]:
    """The whole bundles that changes are made to: files by their names."""
    return {
        name: bundle_files(BUNDLES / f"{name}.zip")
        for name in ("with-heads-trip", "with-heads-store")
    }


# The changes


def byte_changed(files: Files, chance: random.Random) -> Mutant:
    """One byte of any file, and the manifests as they were."""
    name = chance.choice([one for one in sorted(files) if files[one]])
    data, what = one_byte(files[name], chance)
    harmless = name.startswith("tagmanifest") and _listed(data) == _listed(files[name])
    return Mutant(f"{name}: {what}", "same" if harmless else "named", files | {name: data})


def one_byte(data: bytes, chance: random.Random) -> tuple[bytes, str]:
    """The data with one byte changed, put in or taken out, and where."""
    place = chance.randrange(len(data))
    sort = chance.choice(("changed", "changed", "changed", "put in", "taken out"))
    value = bytes([(data[place] + chance.randrange(1, 256)) % 256])
    kept = data[place + (sort != "put in") :]
    return data[:place] + (b"" if sort == "taken out" else value) + kept, f"byte {place} {sort}"


def _listed(data: bytes) -> list[list[str]]:
    """A manifest's lines as they are meant: the case of digits and the width of gaps are none."""
    lines = data.decode(errors="surrogateescape").splitlines()
    return [[part if "." in part else part.lower() for part in line.split()] for line in lines]


def byte_of_the_archive(files: Files, chance: random.Random) -> Mutant:
    """One byte of the archive as it lies; what another reader still finds in it is the measure."""
    packed = io.BytesIO()
    write_zip(files, packed)
    raw, what = one_byte(packed.getvalue(), chance)
    return Mutant(f"archive: {what}", "same" if _unpacked(raw) == files else "named", files, raw)


def _unpacked(raw: bytes) -> Files | None:
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            return {one.split("/", 1)[1]: archive.read(one) for one in archive.namelist()}
    except Exception:
        return None


def file_changed(files: Files, chance: random.Random) -> Mutant:
    """A file taken away, put in or called otherwise, and the manifests as they were."""
    name = chance.choice(sorted(files))
    sort = chance.choice(("taken away", "renamed", "added"))
    rest = dict(files)
    data = rest.pop(name) if sort != "added" else b"something more\n"
    if sort != "taken away":
        rest[f"data/more-{chance.randrange(10**6)}.txt"] = data
    return Mutant(f"{name}: {sort}", "named", rest)


def line_changed(files: Files, chance: random.Random) -> Mutant:
    """A line of the log or of what proves it moved, doubled, dropped or altered; all else anew."""
    name = chance.choice(
        [one for one in ("data/entries.jsonl", "data/proofs.jsonl") if files.get(one)]
    )
    lines = files[name].splitlines(keepends=True)
    place = chance.randrange(len(lines))
    sort = chance.choice(("dropped", "doubled", "swapped", "altered", "cut"))
    must: Outcome = "named"
    if sort == "dropped":
        del lines[place]
    elif sort == "doubled":
        lines.insert(chance.randrange(len(lines)), lines[place])
        must = "same" if name.endswith("proofs.jsonl") else "named"
    elif sort == "swapped":
        other = chance.randrange(len(lines))
        must = "same" if name.endswith("proofs.jsonl") or other == place else "named"
        lines[place], lines[other] = lines[other], lines[place]
    elif sort == "cut":
        del lines[place:]
    else:
        lines[place], what = one_byte(lines[place], chance)
        sort = f"altered, {what}"
        if name.endswith("proofs.jsonl") and _same_json(files[name], b"".join(lines)):
            must = "same"
    changed = remade(files | {name: b"".join(lines)})
    return Mutant(f"{name}: line {place} {sort}, manifests anew", must, changed)


def _same_json(one: bytes, other: bytes) -> bool:
    try:
        return [json.loads(line.lower()) for line in one.splitlines()] == [
            json.loads(line.lower()) for line in other.splitlines()
        ]
    except ValueError:
        return False


def value_changed(files: Files, chance: random.Random) -> Mutant:
    """One value of an entry changed, its bytes canonical again, and all manifests anew."""
    name = "data/entries.jsonl"
    lines = files[name].splitlines()
    place = chance.randrange(len(lines))
    entry = json.loads(lines[place])
    path = chance.choice(list(_paths(entry)))
    _change(entry, path, chance)
    lines[place] = checker.canonical_bytes(entry)
    changed = remade(files | {name: b"".join(line + b"\n" for line in lines)})
    return Mutant(f"entry in line {place}: {'.'.join(map(str, path))}", "named", changed)


def _paths(value: Any, way: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The ways to every single value inside a value."""
    below = value.items() if isinstance(value, dict) else enumerate(value)
    found: list[tuple[Any, ...]] = []
    for name, one in below:
        found += _paths(one, (*way, name)) if isinstance(one, dict | list) and one else []
        if not isinstance(one, dict | list):
            found.append((*way, name))
    return found


def _change(value: Any, path: tuple[Any, ...], chance: random.Random) -> None:
    for name in path[:-1]:
        value = value[name]
    old = value[path[-1]]
    others: list[Any] = [f"{old}x", "", 7, None, True, [], {}, not old]
    value[path[-1]] = chance.choice([one for one in others if repr(one) != repr(old)])


def opening_changed(files: Files, chance: random.Random) -> Mutant:
    """An opening dropped, doubled, altered, or two of them with their values swapped."""
    name = "data/openings.jsonl"
    openings = [json.loads(line) for line in files[name].splitlines()]
    place, other = chance.sample(range(len(openings)), 2)
    sort = chance.choice(("dropped", "doubled", "altered", "swapped"))
    must: Outcome = "seen" if sort == "dropped" else "named"
    if sort == "dropped":
        del openings[place]
    elif sort == "doubled":
        openings.insert(other, dict(openings[place]))
    elif sort == "altered":
        _change(openings[place], (chance.choice(["entry", "field", "salt", "value"]),), chance)
    else:
        mine, theirs = openings[place], openings[other]
        mine["value"], theirs["value"] = theirs["value"], mine["value"]
        must = "same" if mine["value"] == theirs["value"] else must
    data = b"".join(checker.canonical_bytes(one) + b"\n" for one in openings)
    return Mutant(f"opening {place} {sort}, manifests anew", must, remade(files | {name: data}))


def head_changed(files: Files, chance: random.Random) -> Mutant:
    """The signed head altered or gone, and all manifests anew."""
    name = "data/checkpoint.txt"
    if chance.random() < 0.1:
        rest = {one: data for one, data in files.items() if one not in (name, "data/proofs.jsonl")}
        return Mutant("checkpoint and proofs gone, manifests anew", "seen", remade(rest))
    data, what = one_byte(files[name], chance)
    return Mutant(f"checkpoint: {what}, manifests anew", "named", remade(files | {name: data}))


def card_changed(files: Files, chance: random.Random) -> Mutant:
    """A value of bundle.json changed, and all manifests anew."""
    name = "data/bundle.json"
    card = json.loads(files[name])
    path = chance.choice(_paths(card))
    _change(card, path, chance)
    checked = path[0] in ("format", "scope", "heads", "beside") or (
        path[0] == "trip" and card["scope"] == "trip"
    )
    changed = remade(files | {name: json.dumps(card).encode()})
    what = f"bundle.json: {'.'.join(map(str, path))}, manifests anew"
    return Mutant(what, "named" if checked else "beyond", changed)


def table_changed(files: Files, chance: random.Random) -> Mutant:
    """A table or sheet altered, and all manifests anew: what a stranger can make anew."""
    made = ("csv/", "sheet.pdf", "plan.pdf", "checks.pdf", "HOWTO.txt")
    name = chance.choice(
        [one for one in sorted(files) if one.removeprefix("data/").startswith(made)]
    )
    data, what = one_byte(files[name], chance)
    return Mutant(f"{name}: {what}, manifests anew", "beyond", remade(files | {name: data}))


Change = Callable[[Files, random.Random], Mutant]
CHANGES: tuple[tuple[Change, int], ...] = (
    (byte_changed, 20),
    (byte_of_the_archive, 15),
    (file_changed, 5),
    (line_changed, 20),
    (value_changed, 20),
    (opening_changed, 8),
    (head_changed, 5),
    (card_changed, 5),
    (table_changed, 2),
)


# The run


def run(count: int, seed: int, folder: Path) -> Tally:
    """Make and check so many changed bundles; the same seed makes the same ones."""
    bases = base_bundles()
    wholes = {name: _counts(files, folder) for name, files in bases.items()}
    tally = Tally()
    for number in range(count):
        chance = random.Random(f"{seed}/{number}")
        name = chance.choice(sorted(bases))
        (change,) = chance.choices(*zip(*CHANGES, strict=True))
        mutant = change(bases[name], chance)
        told = f"--seed {seed}, number {number}, {name}: {mutant.what}"
        path = _written(mutant, folder, as_folder=mutant.raw is None and number % 3 == 0)
        _judge(tally, mutant, path, wholes[name], told)
        if number % _AS_A_PROCESS == 0:
            _as_a_stranger(tally, mutant, path, told)
        shutil.rmtree(path) if path.is_dir() else path.unlink()
    return tally


def _counts(files: Files, folder: Path) -> dict[str, int]:
    path = _written(Mutant("whole", "same", files), folder, as_folder=False)
    report = verify(path)
    path.unlink()
    assert report.matches, report.problems
    return dict(report.counts)


def _written(mutant: Mutant, folder: Path, *, as_folder: bool) -> Path:
    if as_folder:
        return write_folder(mutant.files, folder / "bundle")
    path = folder / "bundle.zip"
    if mutant.raw is not None:
        path.write_bytes(mutant.raw)
    else:
        with path.open("wb") as out:
            write_zip(mutant.files, out)
    return path


def _judge(tally: Tally, mutant: Mutant, path: Path, whole: dict[str, int], told: str) -> None:
    began = time.perf_counter()
    codes, counts = set(), {}
    try:
        report = verify(path)
        codes, counts = {problem.code for problem in report.problems}, dict(report.counts)
    except UnreadableBundle:
        codes = {"unreadable"}
    except BaseException as problem:
        tally.wrong.append(f"{told}: {type(problem).__name__}: {problem}")
    passed = time.perf_counter() - began
    tally.longest_s = max(tally.longest_s, passed)
    tally.by_outcome[mutant.must] += 1
    tally.by_code.update(codes)
    if passed > LONGEST_S:
        tally.wrong.append(f"{told}: took {passed:.1f} s")
    if mutant.must == "named" and not codes:
        tally.wrong.append(f"{told}: not named")
    if mutant.must == "seen" and not codes and counts == whole:
        tally.wrong.append(f"{told}: not seen")
    if mutant.must == "same" and codes:
        tally.wrong.append(f"{told}: named {sorted(codes)}, although it says the same")


def _as_a_stranger(tally: Tally, mutant: Mutant, path: Path, told: str) -> None:
    """The same by the file alone, as it goes out."""
    ran = subprocess.run(
        [sys.executable, "-I", checker.__file__, str(path)],
        check=False,
        capture_output=True,
        text=True,
        timeout=60,
    )
    if ran.returncode not in (0, 1, 2) or "Traceback" in ran.stderr:
        tally.wrong.append(f"{told}: as a file alone it ended with {ran.returncode}: {ran.stderr}")
    if mutant.must == "named" and ran.returncode == 0:
        tally.wrong.append(f"{told}: as a file alone it named nothing")


def main() -> int:
    """Run so many and print what came of them."""
    parser = argparse.ArgumentParser(prog="python -m tests.exports.small_changes")
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    told = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        tally = run(told.count, told.seed, Path(folder))
    print(f"{tally.count} changed bundles, longest check {tally.longest_s:.2f} s")
    print("what they had to come to:", dict(sorted(tally.by_outcome.items())))
    print("named by:", dict(tally.by_code.most_common()))
    for one in tally.wrong:
        print("WRONG", one)
    print(f"{len(tally.wrong)} wrong")
    return 1 if tally.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
