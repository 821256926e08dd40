"""The house is as designed: who may import whom, how long a thing may be, what a pure room calls.

The rooms are told in DEVELOPERS.md; each rule here reads the source with `ast` and runs nothing.
Where a case names no source, what it holds is our reading.
"""

import ast
import re
import sys
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("triplog", "scheduler", "exports")
ROOMS = (
    ("triplog.__main__",),
    ("triplog.cli",),
    ("triplog.hub",),
    ("triplog.page",),
    ("triplog.desk",),
    ("triplog.screen", "triplog.dossier"),
    ("triplog.checks", "triplog.advise", "triplog.drawing"),
    ("triplog.wording",),
    ("triplog.journal",),
    ("triplog.securement",),
    ("triplog.version", "triplog"),
)
"""From the top to the ground; a room may import any lower one."""
ALONE = "exports.verify"
"""One file that runs alone on a bare Python, and is long for that reason."""
LIGHT = ("triplog.cli.main", "triplog.cli.due", "triplog.desk.due_now", "triplog.checks")
"""What `--version`, `--help` and `due` import; nothing heavy may come in with it."""
HEAVY = {"sqlmodel", "sqlalchemy", "fpdf", "PIL", "apscheduler", "plyer", "highspy", "cryptography"}
PURE = (
    "triplog.securement",
    "triplog.journal",
    "triplog.checks",
    "triplog.advise",
    "triplog.drawing",
    "triplog.wording",
    "triplog.screen",
    "scheduler.recheck_rules",
    "scheduler.progress",
    "scheduler.counter",
    "scheduler.counters",
    "scheduler.due",
    "scheduler.prompts",
    "scheduler.office",
    "scheduler.distance",
    "scheduler.duty",
    "exports.document",
)
TOUCHES_THE_WORLD = {
    "triplog.securement.figures": "reads its own figures",
    "triplog.securement.figure_tables": "reads its own figures",
    "triplog.journal.store": "is the journal's file",
    "triplog.journal.store_file": "is the journal's file",
    "triplog.journal.copies": "is copies of the journal's file",
    "triplog.journal.device_key": "is a file beside the journal",
    "triplog.journal.derived_tables": "writes into the journal's file",
    "triplog.journal.erasing": "writes a table of the journal's file anew",
    "triplog.journal.retention": "reads its own table",
    "scheduler.recheck_rules": "reads its own rules",
}
WORLDLY_MODULES = {
    *("asyncio", "getpass", "io", "locale", "logging", "multiprocessing"),
    *("os", "pathlib", "platform", "random", "secrets", "shutil", "socket", "sqlite3"),
    *("subprocess", "sys", "tempfile", "threading", "time", "urllib", "uuid"),
}
WORLDLY_CALLS = {
    *("open", "print", "input", "breakpoint", "now", "utcnow", "today", "getenv", "urandom"),
    *("read_text", "write_text", "read_bytes", "write_bytes", "unlink", "mkdir", "exists"),
}


class Module(NamedTuple):
    """A file of ours: its dotted name, its path, its tree."""

    name: str
    path: Path
    tree: ast.Module
    is_package: bool

    @property
    def folder(self) -> str:
        """The package the file lies in."""
        return self.name if self.is_package else self.name.rpartition(".")[0]


@cache
def modules() -> dict[str, Module]:
    """Every file of the three packages."""
    found = {}
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            parts = path.relative_to(ROOT).with_suffix("").parts
            is_package = parts[-1] == "__init__"
            name = ".".join(parts[:-1] if is_package else parts)
            tree = ast.parse(path.read_text("utf-8"), filename=str(path))
            found[name] = Module(name, path, tree, is_package)
    return found


def imported(module: Module, *, at_top: bool = False) -> Iterator[str]:
    """The modules a file imports; `at_top`: only those it cannot be imported without."""
    for node in _at_top(module.tree.body) if at_top else ast.walk(module.tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module.path}:{node.lineno}: imports are written in full"
            assert node.module is not None
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                yield whole if whole in modules() else node.module


def _at_top(body: Iterable[ast.stmt]) -> Iterator[ast.AST]:
    """The statements that run on import: not those in functions, nor those for the type checker."""
    for node in body:
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            continue
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node
            for name in ("body", "orelse", "handlers", "finalbody"):
                yield from _at_top(getattr(node, name, []))


def ours(names: Iterable[str]) -> Iterator[str]:
    """Those that are files of ours."""
    return (name for name in names if name in modules())


def _under(name: str, room: str) -> bool:
    return name == room or name.startswith(room + ".")


def _floor(name: str) -> int:
    return next(
        number
        for number, rooms in enumerate(ROOMS)
        if any(_under(name, room) for room in rooms if room != "triplog") or name in rooms
    )


def _room(name: str) -> str:
    return next(room for rooms in ROOMS for room in rooms if _under(name, room))


def _parts_of(package: str) -> list[Module]:
    return [module for name, module in modules().items() if _under(name, package)]


@pytest.mark.parametrize("module", _parts_of("triplog"), ids=lambda module: module.name)
def test_a_room_imports_only_lower_rooms(module: Module) -> None:
    floor, room = _floor(module.name), _room(module.name)
    for name in imported(module):
        if name.partition(".")[0] in ("scheduler", "exports"):
            assert floor <= _floor("triplog.wording"), f"{module.name} may not import {name}"
        elif _under(name, "triplog"):
            assert _under(name, room) or _floor(name) > floor, f"{module.name} imports {name}"


@pytest.mark.parametrize("package", ["scheduler", "exports"])
def test_the_two_small_tools_know_nothing_of_trips(package: str) -> None:
    for module in _parts_of(package):
        strangers = [name for name in ours(imported(module)) if not _under(name, package)]
        assert strangers == [], module.name


@pytest.mark.parametrize("name", [ALONE, "triplog.securement"])
def test_what_must_run_alone_imports_only_the_standard_library(name: str) -> None:
    for module in _parts_of(name):
        outside = {one.partition(".")[0] for one in imported(module)} - sys.stdlib_module_names
        own = set() if name == ALONE else {"triplog"}
        assert outside <= own, module.name


def _circle(arrows: dict[str, set[str]]) -> list[str]:
    """Names that import each other in a circle; empty: there is none."""
    done: set[str] = set()

    def walk(name: str, way: list[str]) -> list[str]:
        if name in way:
            return [*way[way.index(name) :], name]
        if name in done:
            return []
        for other in sorted(arrows.get(name, ())):
            circle = walk(other, [*way, name])
            if circle:
                return circle
        done.add(name)
        return []

    return next(filter(None, (walk(name, []) for name in sorted(arrows))), [])


def test_no_files_import_each_other_in_a_circle() -> None:
    arrows = {name: set(ours(imported(module))) - {name} for name, module in modules().items()}
    assert _circle(arrows) == []


def test_no_folders_import_each_other_in_a_circle() -> None:
    """A folder and the folder it lies in are one line of thought, not two ends of an arrow."""
    arrows: dict[str, set[str]] = {}
    for module in modules().values():
        for name in ours(imported(module)):
            here, there = module.folder, modules()[name].folder
            if not (_under(here, there) or _under(there, here)):
                arrows.setdefault(here, set()).add(there)
    assert _circle(arrows) == []


def test_a_circle_would_be_found() -> None:
    assert _circle({"a": {"b"}, "b": {"c"}, "c": {"a"}}) == ["a", "b", "c", "a"]
    assert _circle({"a": {"b", "c"}, "b": {"c"}, "c": set()}) == []


@pytest.mark.parametrize(
    "module",
    [module for module in modules().values() if module.is_package],
    ids=lambda module: module.name,
)
def test_a_package_file_holds_its_docstring_and_nothing_else(module: Module) -> None:
    assert ast.get_docstring(module.tree), module.path
    assert len(module.tree.body) == 1, module.path


def _python_files() -> list[Path]:
    return sorted(path for top in (*PACKAGES, "tests") for path in (ROOT / top).rglob("*.py"))


def test_no_file_is_longer_than_400_lines() -> None:
    lengths = {
        path.relative_to(ROOT).as_posix(): len(path.read_text("utf-8").splitlines())
        for path in _python_files()
    }
    alone = ALONE.replace(".", "/") + ".py"
    assert {path: n for path, n in lengths.items() if n > 400 and path != alone} == {}


def test_no_function_is_longer_than_70_lines() -> None:
    long = [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.name}"
        for path in _python_files()
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.end_lineno is not None
        and node.end_lineno - node.lineno + 1 > 70
    ]
    assert long == []


def test_no_module_is_named_for_nothing() -> None:
    nameless = {"utils", "util", "helpers", "helper", "common", "base", "manager", "misc"}
    assert [path for path in _python_files() if path.stem in nameless] == []


def _pure() -> list[Module]:
    return [
        module
        for name, module in modules().items()
        if any(_under(name, room) for room in PURE) and name not in TOUCHES_THE_WORLD
    ]


@pytest.mark.parametrize("module", _pure(), ids=lambda module: module.name)
def test_a_pure_room_asks_no_clock_and_touches_no_file(module: Module) -> None:
    worldly = {name for name in imported(module) if name.partition(".")[0] in WORLDLY_MODULES}
    assert worldly == set()
    calls = {
        f"line {node.lineno}: {ast.unparse(node.func)}"
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Call)
        and (
            (isinstance(node.func, ast.Name) and node.func.id in WORLDLY_CALLS)
            or (isinstance(node.func, ast.Attribute) and node.func.attr in WORLDLY_CALLS)
        )
    }
    assert calls == set()


def test_every_file_said_to_touch_the_world_is_there() -> None:
    assert set(TOUCHES_THE_WORLD) <= set(modules())


@pytest.mark.parametrize("name", LIGHT)
def test_nothing_heavy_comes_in_with_the_quick_commands(name: str) -> None:
    reached: set[str] = set()
    waiting = [name]
    while waiting:
        here = waiting.pop()
        if here in reached:
            continue
        reached.add(here)
        module = modules()[here]
        heavy = {one for one in imported(module, at_top=True) if one.partition(".")[0] in HEAVY}
        assert heavy == set(), f"{here} is imported by {name} and imports {heavy}"
        waiting.extend(ours(imported(module, at_top=True)))


def _texts() -> Iterator[tuple[Path, str]]:
    endings = {".py", ".md", ".toml", ".csv", ".txt", ".sh", ".json", ".c"}
    for top in (*PACKAGES, "tests", ".ci"):
        for path in sorted((ROOT / top).rglob("*")):
            if path.is_file() and (path.suffix in endings or path.parent.name == ".ci"):
                yield path, path.read_text("utf-8")
    for path in sorted(ROOT.glob("*.*")):
        if path.suffix in endings:
            yield path, path.read_text("utf-8")


def test_nothing_in_the_tree_names_a_workplace_or_is_left_for_later() -> None:
    """The words are put together here, so that this file does not hold them itself."""
    words = [
        *("/" + "work/", "/" + "root/", "/" + "tmp/", "shared/" + "standards", "issue" + " 3"),
        *("TO" + "DO", "FIX" + "ME", "XX" + "X"),
    ]
    pattern = re.compile("|".join(rf"(?<![\w.]){re.escape(word)}" for word in words))
    found = [
        f"{path.relative_to(ROOT)}: {match.group()}"
        for path, text in _texts()
        for match in pattern.finditer(text)
    ]
    assert found == []


def test_no_screen_or_report_promises_or_blames() -> None:
    """Texts in the rooms that speak; a docstring is one only where it is a command's help."""
    pattern = re.compile(
        r"\b(OK|compliant|compliance|certified|approved|violations?|tamper-proof|coach|badge"
        r"|secure|alert level|passed|failed|scores?)\b|\bsafe\b(?! place)"
    )
    speaking = ("triplog.wording", "triplog.screen", "triplog.dossier", "triplog.cli", "exports")
    found = [
        f"{module.name}:{node.lineno}: {match.group()}"
        for name, module in modules().items()
        if any(_under(name, room) for room in speaking)
        for node in _texts_for_people(module)
        for match in pattern.finditer(str(node.value))
    ]
    assert found == []


def _texts_for_people(module: Module) -> Iterator[ast.Constant]:
    documented = (ast.Module, ast.ClassDef, ast.FunctionDef)
    docstrings = {
        id(node.body[0].value)
        for node in ast.walk(module.tree)
        if isinstance(node, documented) and node.body and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(module.tree):
        speaks = id(node) not in docstrings or _under(module.name, "triplog.cli")
        if speaks and isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node
