"""Do the damage, let the checker look at it, and compare with what had to come of it."""

import contextlib
import functools
import io
import json
import signal
import subprocess
import sys
import time
import zipfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

import pytest

from exports import verify
from tests.exports.mutations import of_bytes, of_lines, of_nothing, of_values
from tests.exports.mutations.bag import Files, StandingFolder, as_archive, read_archive, relisted
from tests.exports.mutations.meaning import Outcome, outcome

SECONDS_MAX = 20
"""No damaged bundle of this size may keep the checker longer (0.1 s for a whole one)."""

_FOR_READING_SAID = "Where one differs from the entries, the entries hold."
_ARCHIVE_BYTES = "archive_bytes"


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """A bundle in which nothing is wrong, in both of its forms, and what the checker says of it."""

    name: str
    files: Files
    archive: bytes
    folder: StandingFolder
    withheld: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What the checker said: exit code, the --json object if there is one, what went to stderr."""

    code: int
    report: dict[str, Any] | None
    words: str

    @property
    def codes(self) -> list[str]:
        """Each code of a fault once."""
        if self.report is None:
            return ["(cannot be read)"]
        return sorted({problem["code"] for problem in self.report["problems"]})


@dataclass(slots=True)
class Figures:
    """What came of many damages. `wrong`: a sentence for each that came out otherwise."""

    outcomes: Counter[Outcome] = field(default_factory=Counter)
    exits: Counter[int] = field(default_factory=Counter)
    codes: Counter[str] = field(default_factory=Counter)
    damages: Counter[str] = field(default_factory=Counter)
    processes: int = 0
    slowest_s: float = 0.0
    wrong: list[str] = field(default_factory=list)

    def lines(self) -> Iterator[str]:
        """The figures for people."""
        yield f"{self.outcomes.total()} damaged bundles, {self.processes} also as a bare script"
        for one in Outcome:
            yield f"  {self.outcomes[one]:7}  {one}"
        yield "exit codes: " + ", ".join(f"{n} x {code}" for code, n in sorted(self.exits.items()))
        yield f"slowest: {self.slowest_s:.2f} s"
        yield "damaged bundles that show each fault:"
        for code, count in self.codes.most_common():
            yield f"  {count:7}  {code}"
        yield f"came out otherwise than it had to: {len(self.wrong)}"
        yield from (f"  {sentence}" for sentence in self.wrong[:20])


def wholes(archives: list[Path], place: Path) -> list[Whole]:
    """Whole bundles to damage; each stands as a folder below `place`."""
    found = []
    for path in archives:
        files = read_archive(path)
        folder = StandingFolder(place / path.stem, files)
        said = said_of(folder.path)
        assert said.report is not None and said.code == 0, (path, said)
        found.append(
            Whole(
                name=path.stem,
                files=files,
                archive=as_archive(files),
                folder=folder,
                withheld=said.report["counts"]["withheld"],
            )
        )
    return found


def run(
    bases: list[Whole], seed: int, numbers: range, place: Path, process_every: int = 50
) -> Figures:
    """Damage the bundles in turn; the damage of a number is the same on every run of a seed."""
    figures = Figures()
    # The check of a signature is a function of its arguments: within one run, each is made once.
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(verify, "ed25519_holds", functools.cache(verify.ed25519_holds))
        for number in numbers:
            _one(bases, seed, number, place, number % process_every == 0, figures)
    return figures


def _one(
    bases: list[Whole], seed: int, number: int, place: Path, in_process: bool, figures: Figures
) -> None:
    source = Random(f"{seed}:{number}")
    whole = bases[number % len(bases)]
    damage, files, archive = damaged(whole, source)
    if files is None:
        wanted = Outcome.NAMED
    else:
        wanted = outcome(whole.files, files)
    if archive is None and files is not None:
        whole.folder.become(files)
        path = whole.folder.path
    else:
        path = place / "damaged.zip"
        path.write_bytes(archive or b"")
    began = time.perf_counter()
    what = f"{damage} of {whole.name}, --seed {seed} --only {number}"
    try:
        said = said_of(path)
    except Exception as error:  # whatever it is: the checker may not end so
        figures.wrong.append(f"{what}: ended with {error!r}")
        return
    figures.slowest_s = max(figures.slowest_s, time.perf_counter() - began)
    figures.outcomes[wanted] += 1
    figures.exits[said.code] += 1
    figures.damages[damage] += 1
    figures.codes.update(said.codes)
    why = _why_wrong(wanted, said, whole)
    if why is not None:
        figures.wrong.append(f"{what}: {why}")
    if in_process:
        figures.processes += 1
        bare = said_as_a_script(path)
        if bare != said:
            figures.wrong.append(f"{what}: as a bare script {bare.code}, {bare.words[:200]!r}")


def damaged(whole: Whole, source: Random) -> tuple[str, Files | None, bytes | None]:
    """A damage: what it is called, the files after it, and the archive if it is one.

    The files are None for an archive out of which not every file can be read any more.
    """
    sort = source.random()
    if sort < 0.12:
        data = of_bytes.another_byte(whole.archive, source)
        return _ARCHIVE_BYTES, _files_of(data), data
    if sort < 0.2:
        change = source.choice(of_nothing.AFTER_LISTING)
        name, files = change.__name__, change(whole.files, source)
    elif sort < 0.28:
        change = source.choice(of_nothing.BEFORE_LISTING)
        name, files = change.__name__, relisted(change(whole.files, source))
    else:
        change = source.choice(
            source.choice([of_bytes.DAMAGES, of_lines.DAMAGES, of_values.DAMAGES])
        )
        name, files = change.__name__, change(whole.files, source)
        if source.random() < 0.7:
            name, files = f"{name} and the lists made anew", relisted(files)
    return name, files, as_archive(files) if source.random() < 0.3 else None


def _files_of(data: bytes) -> Files | None:
    """What another reader takes out of an archive; its own check sums aside."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            files = {}
            for info in archive.infolist():
                del info.CRC
                folder, _, name = info.filename.partition("/")
                if info.is_dir() or not folder or name in files:
                    return None
                files[name] = archive.read(info)
            folders = {info.filename.partition("/")[0] for info in archive.infolist()}
            return files if len(folders) == 1 else None
    except Exception:  # an archive that cannot be read, in whatever way
        return None


def said_of(path: Path) -> Said:
    """What the checker says in this process. Raises TimeoutError if it takes too long."""
    out, err = io.StringIO(), io.StringIO()
    before = signal.signal(signal.SIGALRM, _too_long)
    signal.setitimer(signal.ITIMER_REAL, SECONDS_MAX)
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = verify.main([str(path), "--json"])
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
    text = out.getvalue()
    return Said(code=code, report=json.loads(text) if text else None, words=err.getvalue())


def _too_long(*_: object) -> None:
    raise TimeoutError(f"the checker took longer than {SECONDS_MAX} s")


def said_as_a_script(path: Path) -> Said:
    """What the checker says in a process of its own, cut off from this environment."""
    ran = subprocess.run(
        [sys.executable, "-I", str(verify.__file__), str(path), "--json"],
        capture_output=True,
        text=True,
        check=False,
        timeout=SECONDS_MAX,
    )
    report = json.loads(ran.stdout) if ran.stdout else None
    return Said(code=ran.returncode, report=report, words=ran.stderr)


def _why_wrong(wanted: Outcome, said: Said, whole: Whole) -> str | None:
    """What is wrong with what the checker said; None if nothing."""
    named = (said.code == 1 and bool(said.codes)) or (said.code == 2 and bool(said.words))
    if wanted is Outcome.NAMED:
        return None if named else f"not named, exit {said.code}"
    if said.code != 0 or said.report is None:
        return f"{wanted}, and yet {said.codes} {said.words!r}"
    if wanted is Outcome.WITHHELD and said.report["counts"]["withheld"] <= whole.withheld:
        return "left out private values, and they are not counted as withheld"
    if wanted is Outcome.FOR_READING and not any(
        _FOR_READING_SAID in limit for limit in said.report["limits"]
    ):
        return "it does not say that what is for reading rests on its lists alone"
    return None
