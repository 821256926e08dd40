"""The disk fails at one operation after another, once or for good, or the process is killed there:
nothing acknowledged is lost.

Each command of a working day is run on a disk that fails at its first sync, its second, and so on,
then at each write and at each name that is made or taken away. The pattern, failing the n-th
operation for each n, is how SQLite's own I/O tests do it (from memory). Afterwards the journal is
opened again without faults: it is whole, what was acknowledged is there, what was said to be not
recorded is not, and the same command with the same key records it once. Every command tells its
person in a sentence what happened.
"""

import errno
import json
import os
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass, field, replace
from datetime import timedelta
from itertools import islice
from pathlib import Path
from signal import SIGKILL
from typing import Any, NamedTuple

import pytest

from exports.verify import verify
from tests.builders import START, reopened
from tests.desk.exported import under_way
from tests.dossier.scene import office
from tests.needs import need
from tests.pictures import jpeg
from triplog.cli.exit_codes import DONE, FOUND, REFUSED, STORE
from triplog.journal.copies import check_whole
from triplog.journal.store import open_store
from triplog.journal.store_file import STORE_NAME

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no fork on this system")

ROOT = Path(__file__).parents[2]
PLACE = "{place}"
"""Stands in a command line for the folder of a run."""
LEAVING = (
    f"witness give office --file {PLACE}/head.txt",
    f"export --to {PLACE}/out --form bundle --form lines --all-trips",
    f"witness stamp ask --to {PLACE}/asked",
    "witness key --new",
)
BACKUP = "backup.sqlite3"
"""A back-up is written whole before the entry that tells of it; without the entry it may stand."""
KEEPING = (
    f"photo add {PLACE}/photo.jpg --shows front --stopped",
    "private|destroy|--person|driver|--why|asked for by the person|--reason|asked|--for-good",
    f"backup {PLACE}/{BACKUP}",
)
RECORDING = (
    "duty|on duty",
    "check --all-fine --stopped",
    "event|hard braking|--stopped",
    "odometer 24140 --sure",
    "check --slack T1:2 --stopped",
    *(f"odometer {24141 + number} --sure" for number in range(36)),
)
KILLED = 0
FAULTS = {
    "a sync that fails": ("S", errno.EIO, False),
    "syncs that fail from now on": ("S", errno.EIO, True),
    "a write that fails": ("W", errno.EIO, False),
    "writes that fail from now on": ("W", errno.EIO, True),
    "no room from now on": ("W", errno.ENOSPC, True),
    "a name that cannot be made or taken away": ("N", errno.EIO, False),
    "no room for a name from now on": ("N", errno.ENOSPC, True),
    "killed before a sync": ("S", KILLED, False),
    "killed before a write": ("W", KILLED, False),
    "killed before a name": ("N", KILLED, False),
}
"""The kind of operation, what it fails with, and whether every later one fails as well."""
FEW = 9
"""So many commands in the run that is not long."""
EVERY = int(os.environ.get("TRIPLOG_FAULT_AT_EVERY", "7"))
"""In the long run the disk fails at every so many of the operations; 1: at each of them."""
OPERATIONS = 200
NOT_RECORDED = "nothing was recorded"
ACKNOWLEDGED = (DONE, FOUND)
BESIDE = frozenset({"key_recorded", "checkpoint_signed"})


class Fault(NamedTuple):
    """The disk fails as FAULTS says at the operation `at` of the command `command`."""

    what: str
    command: int
    at: int


@dataclass(slots=True)
class Disk:
    """A process that runs commands on a disk that fails, and what each command came to without.

    `place`: where they run, made anew for each run from what `folder` keeps of each step.
    `met`: how many faults there were.
    """

    process: "subprocess.Popen[str]"
    folder: Path
    place: Path
    lines: tuple[str, ...]
    minutes: float
    counts: list[dict[str, int]] = field(default_factory=list)
    kinds: list["Counter[str]"] = field(default_factory=list)
    kinds_before: "Counter[str]" = field(default_factory=Counter)
    met: int = 0

    def stood_before(self, command: int) -> Path:
        """The folder as it stood before a command."""
        return self.folder / f"before-{command}"

    def put(self, command: int) -> None:
        """Make the folder as it stood before a command."""
        shutil.rmtree(self.place, ignore_errors=True)
        shutil.copytree(self.stood_before(command), self.place)

    def run(self, command: int, **fault: str) -> dict[str, Any]:
        """Run one command on a disk that fails as told; FAULT_AT 0: it never does."""
        line = self.lines[command]
        words = line.split("|") if "|" in line else line.split(" ")
        words = [word.replace(PLACE, str(self.place)) for word in words]
        first = ["--home", str(self.place / "home"), "--heads", str(self.place / "heads")]
        asked = {
            "fault": {
                "FAULT_FOLDER": str(self.place),
                "FAULT_ERRNO": "5",
                "FAULT_AT": "0",
                **fault,
            },
            "minutes": self.minutes + 5 * command,
            "lines": [[*first, "--key", f"key-{command}", *words]],
        }
        assert self.process.stdin is not None and self.process.stdout is not None
        self.process.stdin.write(json.dumps(asked) + "\n")
        self.process.stdin.flush()
        answer: dict[str, Any] = json.loads(self.process.stdout.readline())
        return answer

    def rehearse(self) -> None:
        """Run everything without a fault, and count."""
        for command in range(len(self.lines)):
            self.put(command)
            answer = self.run(command)
            assert answer["answers"][0]["code"] in ACKNOWLEDGED, answer
            self.counts.append(answer["counted"])
            self.kinds.append(self.kinds_here())
            shutil.copytree(self.place, self.stood_before(command + 1))

    def kinds_here(self) -> "Counter[str]":
        """How many entries of each kind the journal has."""
        with self.journal() as journal:
            entries = journal.store.entries()
            return Counter(one.kind for one in entries if one.kind not in BESIDE)

    @contextmanager
    def journal(self) -> Iterator[Any]:
        """The journal, opened as the next command would, without a fault."""
        journal = reopened(self.place / "home" / STORE_NAME)
        try:
            yield journal
        finally:
            journal.close()

    def faults(self, what: str) -> Iterator[Fault]:
        """Each of the first operations of a kind, command by command."""
        kind, _, _ = FAULTS[what]
        places = (
            Fault(what, command, at + 1)
            for command, counted in enumerate(self.counts)
            for at in range(counted[kind])
        )
        return islice(places, OPERATIONS)

    def found_wrong(self, fault: Fault) -> Iterator[str]:
        """What a person would find wrong with a run and afterwards."""
        kind, number, lasts = FAULTS[fault.what]
        self.put(fault.command)
        lasting = {"FAULT_LASTS": "1"} if lasts else {}
        told = {"FAULT_KIND": kind, "FAULT_AT": str(fault.at), "FAULT_ERRNO": str(number)}
        ran = self.run(fault.command, **told, **lasting)
        if "died" in ran:
            if number != KILLED or ran["died"] != -SIGKILL:
                yield f"it died: {ran}"
            self.met += 1
            yield from self._kept_wrong(fault, {"code": None, "told": ""})
        elif ran["made"]:
            self.met += 1
            (answer,) = ran["answers"]
            yield from _told_wrong(answer)
            yield from self._kept_wrong(fault, answer)
        else:
            # With other random ids a page less may be written, and the last operation not reached.
            assert ran["counted"][kind] < fault.at, ran
            return
        again = self.run(fault.command)["answers"][0]
        if again["code"] not in ACKNOWLEDGED:
            yield f"the same command again comes to {again}"
        elif self.kinds_here() != self.kinds[fault.command]:
            yield f"after the retry there are {self.kinds_here() - self.kinds[fault.command]} more"

    def _kept_wrong(self, fault: Fault, answer: dict[str, Any]) -> Iterator[str]:
        with self.journal() as journal:
            (whole,) = journal.store.raw.execute("PRAGMA integrity_check").fetchone()
            if whole != "ok" or journal.store.check():
                yield f"the journal is damaged: {whole}, {journal.store.check()}"
            if journal.rows() != journal.rebuilt_rows():
                yield "the derived rows are not those of the journal"
            now = Counter(one.kind for one in journal.store.entries() if one.kind not in BESIDE)
        before = self.kinds[fault.command - 1] if fault.command else self.kinds_before
        if now not in (before, self.kinds[fault.command]):
            yield f"a part of it was recorded: {now - before}"
        if answer["code"] in ACKNOWLEDGED and now != self.kinds[fault.command]:
            yield "it was acknowledged and is lost"
        if (NOT_RECORDED in answer["told"] or answer["code"] == REFUSED) and now != before:
            yield f"it was recorded, and the person is told: {answer['told']}"
        made = self.files(self.place) - self.files(self.stood_before(fault.command))
        if made - {BACKUP} and now == before:
            yield f"nothing was recorded, and there is {made}"
        for name in made:
            path = self.place / name
            if path.suffix == ".zip" and verify(path).problems:
                yield f"{path} is no whole bundle"
            if name == BACKUP:
                with closing(open_store(path, reading_only=True)) as copy:
                    check_whole(copy)
                if now == before:
                    path.unlink()

    def files(self, place: Path) -> set[str]:
        """What lies beside the journal under its name: what was written for somebody else.

        A back-up that is not whole yet is called `.copying`, and the next one clears it away.
        """
        found = (path.relative_to(place) for path in place.rglob("*") if path.is_file())
        beside = (path for path in found if path.parts[0] not in ("home", "heads"))
        unfinished = (".copying", ".copying-journal")
        return {
            path.as_posix()
            for path in beside
            if not (path.name.endswith(unfinished) or any(p.startswith(".") for p in path.parts))
        }


def _told_wrong(answer: dict[str, Any]) -> Iterator[str]:
    told, code = answer["told"], answer["code"]
    if code not in (*ACKNOWLEDGED, REFUSED, STORE):
        yield f"it ends with {code}: {told}"
    if "Traceback" in told or "our fault" in told or "Error" in told.replace("I/O", ""):
        yield f"the person is told: {told}"
    if code not in ACKNOWLEDGED and len(told.split()) < 6:
        yield f"that is no sentence: {told}"


@pytest.fixture(scope="module")
def shim(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shim, compiled."""
    need(["gcc"])
    built = tmp_path_factory.mktemp("shim") / "disk_faults.so"
    source = Path(__file__).with_name("disk_faults.c")
    subprocess.run(
        ["gcc", "-O1", "-Wall", "-shared", "-fPIC", "-o", built, source, "-ldl"], check=True
    )
    return built


@contextmanager
def commands_on(shim: Path, *mode: str) -> "Iterator[subprocess.Popen[str]]":
    """A process that runs command lines on a failing disk."""
    with subprocess.Popen(
        [sys.executable, "-m", "tests.faults.on_a_failing_disk", *mode],
        cwd=ROOT,
        env={**os.environ, "LD_PRELOAD": str(shim)},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        yield process
        assert process.stdin is not None
        process.stdin.close()


def under_way_on(process: "subprocess.Popen[str]", folder: Path, lines: tuple[str, ...]) -> Disk:
    """A trip under way, each command about it run once without a fault."""
    yard = office(folder / "before-0" / "home")
    under_way(yard)
    minutes = (yard.clock.wall - START) / timedelta(minutes=1)
    yard.desk.store.close()
    (folder / "before-0" / "photo.jpg").write_bytes(jpeg())
    made = Disk(process, folder, folder / "run", lines, minutes)
    made.put(0)
    made.kinds_before = made.kinds_here()
    made.rehearse()
    return made


@pytest.fixture(
    scope="module", params=[RECORDING, LEAVING, KEEPING], ids=["recording", "leaving", "keeping"]
)
def two_disks(
    request: pytest.FixtureRequest, shim: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Disk, Disk]]:
    """Two processes, so that both of a machine's processors have something to do."""
    folder = tmp_path_factory.mktemp("disk")
    is_long = "long" in request.config.getoption("markexpr")
    lines = request.param if is_long else request.param[:FEW]
    with commands_on(shim) as one, commands_on(shim) as other:
        made = under_way_on(one, folder, lines)
        yield made, replace(made, process=other, place=folder / "run-too")


def _wrong(disks: tuple[Disk, Disk], faults: list[Fault]) -> list[str]:
    """What is found wrong with all these faults, half of them on each disk."""
    with ThreadPoolExecutor(len(disks)) as pool:
        halves = pool.map(
            lambda disk, half: [
                f"{fault}, `{disk.lines[fault.command]}`: {one}"
                for fault in half
                for one in disk.found_wrong(fault)
            ],
            disks,
            (faults[::2], faults[1::2]),
        )
        return [one for half in halves for one in half]


@pytest.mark.parametrize("what", FAULTS)
@pytest.mark.parametrize("every", [41, pytest.param(EVERY, marks=pytest.mark.long)])
def test_a_disk_that_fails_at_any_operation_loses_nothing_and_doubles_nothing(
    two_disks: tuple[Disk, Disk], what: str, every: int
) -> None:
    faults = list(two_disks[0].faults(what))[::every]
    met = [disk.met for disk in two_disks]
    assert _wrong(two_disks, faults) == []
    met_now = sum(disk.met for disk in two_disks) - sum(met)
    assert met_now >= max(1, 0.95 * len(faults) - 1), "most of the faults came about"


def test_without_syncs_there_is_nothing_to_fail_and_that_is_found(
    shim: Path, tmp_path: Path
) -> None:
    """The control: with synchronous = OFF the journal is never synced, so no fault comes about.

    What such a journal loses is in `test_power_cut`.
    """
    with commands_on(shim, "off") as process:
        failing = under_way_on(process, tmp_path, RECORDING[:1])
        assert failing.counts[0]["S"] == 0
        assert list(failing.found_wrong(Fault("a sync that fails", 0, 1))) == []
        assert failing.met == 0
        assert list(failing.found_wrong(Fault("a write that fails", 0, 1))) == []
        assert failing.met == 1
