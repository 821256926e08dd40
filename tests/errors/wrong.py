"""What can be wrong with the world around a script: files, disk, clock, keyboard, reader."""

import contextlib
import ctypes
import json
import os
import resource
import shutil
import sqlite3
import subprocess
import sys
import zipfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from unittest.mock import patch

from tests.cli.terminal import Answer, Terminal
from triplog.journal import store_file
from triplog.securement.plan_file import PLAN_BYTES_MAX

_ROOT = Path(__file__).parent.parent.parent
_BUNDLE = "out/store-bundle.zip"
_CAPABILITY_VERSION = 0x20080522
_OVERRIDE_FILE_BITS = 0b110
"""The capabilities that let the superuser write and read whatever the bits of a file say."""


def truncated(terminal: Terminal) -> None:
    """The second half of the store's file is lost."""
    os.truncate(terminal.store, terminal.store.stat().st_size // 2)


def emptied(terminal: Terminal) -> None:
    """The file is there, and there is nothing in it."""
    os.truncate(terminal.store, 0)


def a_text_file(terminal: Terminal) -> None:
    """Somebody has saved a text under the store's name."""
    terminal.store.write_text("a shopping list\n" * 100)


def foreign(terminal: Terminal) -> None:
    """The file is a database of some other program."""
    terminal.store.unlink()
    with contextlib.closing(sqlite3.connect(terminal.store)) as raw:
        raw.execute("CREATE TABLE song (title TEXT)")


def newer(terminal: Terminal) -> None:
    """A later version of the program has written the file."""
    with contextlib.closing(sqlite3.connect(terminal.store)) as raw:
        raw.execute("PRAGMA user_version = 2")


def without_guards(terminal: Terminal) -> None:
    """Another program has dropped a trigger that guards the entries."""
    with contextlib.closing(sqlite3.connect(terminal.store)) as raw:
        raw.execute("DROP TRIGGER entry_is_never_changed")


def an_entry_changed(terminal: Terminal) -> None:
    """Somebody has changed a mass in an entry and put the guard back."""
    with contextlib.closing(sqlite3.connect(terminal.store)) as raw:
        (guard,) = raw.execute(
            "SELECT sql FROM sqlite_master WHERE name = 'entry_is_never_changed'"
        ).fetchone()
        raw.execute("DROP TRIGGER entry_is_never_changed")
        changed = "replace(CAST(data AS TEXT), '5200 lb', '4200 lb')"
        raw.execute(f"UPDATE entry SET data = CAST({changed} AS BLOB)")
        raw.execute(guard)
        raw.commit()


def a_page_damaged(terminal: Terminal) -> None:
    """Bytes in the middle of the file, where older entries lie, are overwritten."""
    with contextlib.closing(sqlite3.connect(terminal.store)) as raw:
        (page,) = raw.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'opening'"
        ).fetchone()
        (size,) = raw.execute("PRAGMA page_size").fetchone()
    with terminal.store.open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(b"\x00" * size)


def another_writes(terminal: Terminal) -> None:
    """Another program is in the middle of writing; waiting for it is cut short."""
    terminal.around += [
        lambda: _connecting("PRAGMA busy_timeout = 10"),
        lambda: _writing_elsewhere(terminal.store),
    ]


def disk_full(terminal: Terminal) -> None:
    """SQLite is told that the file may not grow, as on a full disk."""
    with contextlib.closing(sqlite3.connect(terminal.store)) as raw:
        (pages,) = raw.execute("PRAGMA page_count").fetchone()
    terminal.around.append(lambda: _connecting(f"PRAGMA max_page_count = {pages}"))


def file_size_limited(terminal: Terminal) -> None:
    """The system lets no file of this process grow beyond what the store has now."""
    size_bytes = terminal.store.stat().st_size
    terminal.around.append(lambda: _no_larger_than(size_bytes))


def write_protected(terminal: Terminal) -> None:
    """File and folder are write-protected, and the program runs without special rights."""
    terminal.store.chmod(0o444)
    terminal.home.chmod(0o555)
    if os.geteuid() == 0:
        terminal.around.append(_without_special_rights)


def no_such_drive(terminal: Terminal) -> None:
    """The folder for the store is a file."""
    terminal.home.write_text("no folder")


def interrupted(terminal: Terminal) -> None:
    """Ctrl-C is pressed while an entry is being recorded."""
    add = "triplog.journal.derived_tables.DerivedTables.add"
    terminal.around.append(lambda: patch(add, side_effect=KeyboardInterrupt))


def nobody_reads(terminal: Terminal) -> None:
    """The program at the other end of the pipe has gone, as `head` does."""
    terminal.around.append(_closed_pipe)


def a_figure_broken(terminal: Terminal) -> None:
    """A row of a figures table holds a word where a number belongs."""
    table = "triplog/securement/figures/webbing.csv"
    _other_program(terminal, table, ",2000,", ",two thousand,")
    _plan(terminal, "plan.toml", _MINIMAL_PLAN)


def a_recheck_rule_broken(terminal: Terminal) -> None:
    """A row of the re-check rules names a kind of counter that there is none of."""
    _other_program(terminal, "scheduler/recheck_rules.csv", ",driving_time,", ",sleeping_time,")


def a_byte_changed(terminal: Terminal) -> None:
    """One digit in one entry of a bundle is another."""

    def one_changed(name: str, data: bytes) -> bytes:
        return data.replace(b"5200 lb", b"5201 lb", 1) if name.endswith("entries.jsonl") else data

    _rewrite(terminal, one_changed)


def an_entry_removed(terminal: Terminal) -> None:
    """One entry is taken out of a bundle."""

    def without_one(name: str, data: bytes) -> bytes:
        lines = data.splitlines(keepends=True)
        return b"".join(lines[:3] + lines[4:]) if name.endswith("entries.jsonl") else data

    _rewrite(terminal, without_one)


def a_file_added(terminal: Terminal) -> None:
    """A file is put into a bundle."""
    with zipfile.ZipFile(terminal.folder / _BUNDLE, "a") as bundle:
        top = bundle.namelist()[0].split("/")[0]
        bundle.writestr(f"{top}/data/later.txt", "added afterwards")


def plan_with_a_syntax_error(terminal: Terminal) -> None:
    """A quotation mark is missing in line 5 of a plan file."""
    _plan(terminal, "plan.toml", _MINIMAL_PLAN.replace('"crate"', '"crate'))


def plan_with_an_unknown_name(terminal: Terminal) -> None:
    """A name is misspelt in a plan file."""
    _plan(terminal, "plan.toml", _MINIMAL_PLAN.replace("length", "lenght"))


def plan_with_a_bare_number(terminal: Terminal) -> None:
    """A number stands in a plan file where a quantity with its unit belongs."""
    _plan(terminal, "plan.toml", _MINIMAL_PLAN.replace('"900 lb"', "900"))


def plan_of_another_format(terminal: Terminal) -> None:
    """A plan file of a format to come."""
    _plan(terminal, "plan.toml", _MINIMAL_PLAN.replace("triplog-plan/1", "triplog-plan/9"))


def plan_too_large(terminal: Terminal) -> None:
    """A plan file of a size that no plan has."""
    _plan(terminal, "plan.toml", _MINIMAL_PLAN + "#" * PLAN_BYTES_MAX)


def plan_in_json_broken(terminal: Terminal) -> None:
    """A plan file in JSON that breaks off."""
    _plan(terminal, "plan.json", json.dumps({"format": "triplog-plan/1"})[:-1])


def a_good_plan(terminal: Terminal) -> None:
    """A plan file that can be read."""
    _plan(terminal, "plan.toml", _MINIMAL_PLAN)


def a_folder_in_the_way(terminal: Terminal) -> None:
    """A folder with the demo's name that is no demo."""
    (terminal.folder / "triplog-demo").mkdir()


def a_file_in_the_way(terminal: Terminal) -> None:
    """A file with the name of the folder to write into."""
    (terminal.folder / "out").write_text("a note\n")


WRONG: dict[str, Callable[[Terminal], None]] = {
    (one.__doc__ or "").rstrip("."): one
    for one in (
        truncated,
        emptied,
        a_text_file,
        foreign,
        newer,
        without_guards,
        an_entry_changed,
        a_page_damaged,
        another_writes,
        disk_full,
        file_size_limited,
        write_protected,
        no_such_drive,
        interrupted,
        nobody_reads,
        a_figure_broken,
        a_recheck_rule_broken,
        a_byte_changed,
        an_entry_removed,
        a_file_added,
        plan_with_a_syntax_error,
        plan_with_an_unknown_name,
        plan_with_a_bare_number,
        plan_of_another_format,
        plan_too_large,
        plan_in_json_broken,
        a_good_plan,
        a_folder_in_the_way,
        a_file_in_the_way,
    )
}
"""By the sentence that a script's `given:` line holds."""

_MINIMAL_PLAN = """format = "triplog-plan/1"

[[article]]
id = "A"
what = "crate"
mass = "900 lb"
length = "4 ft"

[[gear]]
id = "S-1"
kind = "ratchet strap"
width = "2 in"

[[tie_down]]
id = "T1"
gear = "S-1"
holds = ["A"]
"""


@contextmanager
def _connecting(pragma: str) -> Iterator[None]:
    """Each connection that the journal opens is told one thing more."""
    connect = store_file.connect

    def told(path: Path) -> sqlite3.Connection:
        raw = connect(path)
        raw.execute(pragma).fetchall()
        return raw

    with patch("triplog.journal.store.connect", told):
        yield


@contextmanager
def _writing_elsewhere(store: Path) -> Iterator[None]:
    with contextlib.closing(sqlite3.connect(store, isolation_level=None, timeout=0)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield


@contextmanager
def _no_larger_than(size_bytes: int) -> Iterator[None]:
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size_bytes, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


class _Header(ctypes.Structure):
    _fields_ = (("version", ctypes.c_uint32), ("process", ctypes.c_int))


class _Set(ctypes.Structure):
    _fields_ = (
        ("effective", ctypes.c_uint32),
        ("permitted", ctypes.c_uint32),
        ("inheritable", ctypes.c_uint32),
    )


@contextmanager
def _without_special_rights() -> Iterator[None]:
    """The superuser without the right to write where the file's own bits forbid it."""
    system = ctypes.CDLL(None, use_errno=True)
    header, sets = _Header(_CAPABILITY_VERSION, 0), (_Set * 2)()
    assert system.capget(ctypes.byref(header), sets) == 0, os.strerror(ctypes.get_errno())
    had = sets[0].effective
    sets[0].effective = had & ~_OVERRIDE_FILE_BITS
    assert system.capset(ctypes.byref(header), sets) == 0, os.strerror(ctypes.get_errno())
    try:
        yield
    finally:
        sets[0].effective = had
        assert system.capset(ctypes.byref(header), sets) == 0, os.strerror(ctypes.get_errno())


@contextmanager
def _closed_pipe() -> Iterator[None]:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "w", encoding="utf-8") as out, contextlib.redirect_stdout(out):
        yield


def _plan(terminal: Terminal, name: str, text: str) -> None:
    (terminal.folder / name).write_text(text)


def _rewrite(terminal: Terminal, change: Callable[[str, bytes], bytes]) -> None:
    """Write a bundle anew with the same files, some of them changed."""
    path = terminal.folder / _BUNDLE
    with zipfile.ZipFile(path) as bundle:
        files = [(info, bundle.read(info)) for info in bundle.infolist()]
    with zipfile.ZipFile(path, "w") as bundle:
        for info, data in files:
            bundle.writestr(info, change(info.filename, data))


def _other_program(terminal: Terminal, table: str, word: str, other_word: str) -> None:
    """Let a copy of the program run, in which one word of a table is another."""
    place = terminal.folder / "program"
    for room in ("triplog", "scheduler", "exports"):
        skipped = shutil.ignore_patterns("__pycache__", "*.ttf")
        shutil.copytree(_ROOT / room, place / room, ignore=skipped)
    text = (place / table).read_text()
    assert word in text, f"{table} holds no {word!r} any more"
    (place / table).write_text(text.replace(word, other_word, 1))

    def run(words: Sequence[str]) -> Answer:
        start = "from triplog.cli.main import run; run()"
        ended = subprocess.run(
            [sys.executable, "-c", start, *words],
            env={**os.environ, "PYTHONPATH": str(place), "PYTHONDONTWRITEBYTECODE": "1"},
            capture_output=True,
            text=True,
            check=False,
        )
        return Answer(code=ended.returncode, out=ended.stdout, err=ended.stderr)

    terminal.other_program = run
