"""The templates of every refusal, and some more, that a driver's page can meet, from the source.

A template is the text with a numbered place for each value, as the catalogues have it. What a value
is made of is read as well: a local variable, what a function of the project returns, a table of
words.
"""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from triplog.page.reading import without_commands

_ROOT = Path(__file__).parents[2]
_START = "triplog.page.cab.pages"
_TOLD = {
    **dict.fromkeys(("Refused", "RefusedAndRecorded", "OddReading", "StoreUnusable"), 0),
    **{"QuantityRefused": 0, "PlanRefused": 1, "HTTPException": 1, "_refusal": 2},
}
"""What tells a refusal, and the place of its text among what it is called with."""
_TOLD_TOO = (("triplog.desk.second_look", "lacking"), ("triplog.wording.looks", "left_wrong_text"))
"""Functions whose sentences the cab shows beside its forms or once something is recorded."""
LEFT_OUT = {
    "triplog.desk.company_rules": "the company's own rules are set at the desk computer",
    "triplog.desk.people": "people's cards are made there",
    "triplog.desk.vehicles": "vehicles' cards are made there",
    "triplog.desk.recheck_rules": "the cab does not name countries",
    "triplog.desk.setting_up": "a journal is set up there; the cab only reads what is set",
    "triplog.desk.when": "the cab types no time: a form says how long ago it was made",
    "triplog.desk.looking": "looks up gear by standing and entries by hash for the terminal",
    "triplog.desk.tension_found": "the cab types no reading of a gauge",
    "triplog.desk.second_look": "recorded by the second person at the desk computer",
    "triplog.desk.finding_things:refuse_label": "things get their labels there",
    "triplog.desk.finding_things:refuse_empty_label": "things get their labels there",
    "triplog.desk.gear:add_gear": "gear is taken into stock there",
    "triplog.desk.gear:set_standing": "gear is put back there",
    "triplog.desk.gear:_refuse_return": "gear is put back there",
    "triplog.desk.gear:damage_typed": "damage is measured there",
    "triplog.desk.gear:day_text": "days to look again are set there",
    "triplog.desk.planning:add_article": "the cab puts no article on the plan",
    "triplog.desk.planning:next_letter": "the cab puts no article on the plan",
    "triplog.desk.planning:_only_article": "the cab's form says what a tie-down holds",
    "triplog.desk.judging:with_rules": "rule sets are chosen there",
    "triplog.desk.judging:judge_and_record": "the cab judges only with a plan it records",
    "triplog.desk.trips:withdraw_trip": "a trip is withdrawn there",
    "triplog.journal.store": "a broken journal is met when the page is started",
    "triplog.journal.device_key": "the key is made when a journal is begun",
    "triplog.journal.store_file:newborn": "a journal is begun there",
    "triplog.journal.store_file:new_file": "a journal is begun there",
    "triplog.journal.store_file:refuse_strangers": "met when the page is started",
    "triplog.page.entrance.book": "met when the page is started",
    "triplog.securement.believed": "the cab's tie-down has no friction",
    "triplog.securement.plan_fields": "the cab's tie-down is built by the page, field by field",
    "triplog.securement.plan_file": "the cab reads no plan file",
    "triplog.securement.plan_read": "the cab's tie-down is built by the page, field by field",
}
"""Modules, and functions of modules, whose refusals only the desk computer meets, and why."""
_AT = re.compile(r"\{\d+\}")
_SAYS = re.compile(r"[^\W\d_]{3}|: ")
_COMMAND = re.compile(r"`triplog|--[a-z]")


@dataclass(frozen=True, slots=True)
class Template:
    """A text that is told, and where it stands in the source."""

    text: str
    where: str


@cache
def templates() -> frozenset[Template]:
    """Every template, as the page tells it: without commands, the places numbered anew."""
    found: set[Template] = set()
    for module in sorted(_closure()):
        if module in LEFT_OUT:
            continue
        for function, call, told in _calls(module):
            if f"{module}:{function}" in LEFT_OUT:
                continue
            reader = _Reader(module, call)
            found |= _shown(reader.texts(told) | reader.also, f"{module}:{call.lineno}")
    for module, function in _TOLD_TOO:
        reader = _Reader(module, _tree(module))
        found |= _shown(reader.returned(function) | reader.also, f"{module}:{function}")
    return frozenset(found)


def there_is(name: str) -> bool:
    """Whether there is a module of that name, or "module:function"."""
    module, _, function = name.partition(":")
    return module in _closure() and (
        not function or function in {one for one, _, _ in _calls(module)}
    )


def _shown(texts: set[str], where: str) -> set[Template]:
    """The templates as the page tells them, of what says something there."""
    shown = {_numbered(without_commands(one)) for one in texts}
    return {
        Template(one, where)
        for one in shown
        if _SAYS.search(_AT.sub("", one)) and not _COMMAND.search(one)
    }


def _numbered(text: str) -> str:
    """The places by their order; a place where a path stands has lost its mark."""
    order: dict[str, int] = {}
    return re.sub(
        r"/?\{(\w+)\}", lambda found: f"{{{order.setdefault(found[1], len(order))}}}", text
    )


@cache
def _tree(module: str) -> ast.Module:
    tree = ast.parse(_file(module).read_text("utf-8"))
    for node in ast.walk(tree):
        for child in ast.iter_child_nodes(node):
            child.parent = node  # type: ignore[attr-defined]
    return tree


def _file(module: str) -> Path:
    path = _ROOT / Path(*module.split("."))
    return path / "__init__.py" if path.is_dir() else path.with_suffix(".py")


@cache
def _imports(module: str) -> dict[str, str]:
    """What a module imports of the project, by the name it has there: its full name."""
    found = {}
    for node in ast.walk(_tree(module)):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("triplog"):
            for one in node.names:
                found[one.asname or one.name] = f"{node.module}.{one.name}"
    return found


def _closure() -> set[str]:
    seen: set[str] = set()
    todo = [_START]
    while todo:
        module = todo.pop()
        if module in seen:
            continue
        seen.add(module)
        for full in _imports(module).values():
            todo += [one for one in (full, full.rpartition(".")[0]) if _file(one).is_file()]
    return seen


def _calls(module: str) -> Iterator[tuple[str, ast.Call, ast.expr]]:
    """What is told, with the call that tells it and the function or method around."""
    for node in ast.walk(_tree(module)):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
            continue
        place = _TOLD.get(node.func.id)
        if place is not None and place < len(node.args):
            yield _around(node), node, node.args[place]


def _around(node: ast.AST) -> str:
    function = _function(node)
    return "" if function is None else function.name


def _function(node: ast.AST) -> ast.FunctionDef | ast.AsyncFunctionDef | None:
    while True:
        above = getattr(node, "parent", None)
        if above is None or isinstance(above, ast.FunctionDef | ast.AsyncFunctionDef):
            return above
        node = above


class _Reader:
    """Reads the texts an expression can be; `also`: those that stand in their places."""

    def __init__(self, module: str, at: ast.AST) -> None:
        self._module = module
        self._at = at
        self._count = 0
        self._open: set[str] = set()
        self.also: set[str] = set()

    def texts(self, node: ast.expr | None) -> set[str]:
        """The texts, with a place for each value; empty for what is no text of the source."""
        match node:
            case ast.Constant(value=str() as text):
                return {text}
            case ast.JoinedStr():
                return {"".join(self._part(one) for one in node.values)}
            case ast.IfExp():
                return self.texts(node.body) | self.texts(node.orelse)
            case ast.BoolOp():
                return {text for one in node.values for text in self.texts(one)}
            case ast.Dict():
                return {text for one in node.values for text in self.texts(one)}
            case ast.Subscript():
                return self.texts(node.value)
            case ast.Name():
                return self._named(node.id)
            case ast.Attribute(value=ast.Name(id=name)) if name in _imports(self._module):
                return _constant(_imports(self._module)[name], node.attr)
            case ast.Call():
                return self._called(node)
        return set()

    def _part(self, node: ast.expr) -> str:
        if isinstance(node, ast.Constant):
            return str(node.value)
        assert isinstance(node, ast.FormattedValue)
        found = self.texts(node.value)
        fixed = isinstance(node.value, ast.Attribute) or (
            isinstance(node.value, ast.Name) and node.value.id.isupper()
        )
        if fixed and len(found) == 1:
            return found.pop()
        self.also |= found
        self._count += 1
        is_path = isinstance(node.value, ast.Name) and node.value.id == "path"
        return f"{'/' if is_path else ''}{{p{self._count}}}"

    def _named(self, name: str) -> set[str]:
        function = _function(self._at)
        if function is None:
            return _constant(self._module, name)
        found: set[str] = set()
        if name in self._open:
            return found
        self._open.add(name)
        for node in ast.walk(function):
            if isinstance(node, ast.Assign) and any(
                isinstance(one, ast.Name) and one.id == name for one in node.targets
            ):
                found |= self.texts(node.value)
        self._open.discard(name)
        return found or _constant(self._module, name)

    def _called(self, node: ast.Call) -> set[str]:
        match node.func:
            case ast.Name(id=("say" | "_")):
                return set()  # translated already
            case ast.Name(id=name):
                return self.returned(name)
            case ast.Attribute(value=of, attr="format"):
                return self.texts(of)
            case ast.Attribute(value=of, attr="get"):
                return {text for one in (of, *node.args[1:]) for text in self.texts(one)}
        return set()

    def returned(self, name: str) -> set[str]:
        """What a function of this module, or one it imports, returns."""
        full = _imports(self._module).get(name, f"{self._module}.{name}")
        module = full.rpartition(".")[0]
        if not _file(module).is_file():
            return set()
        found: set[str] = set()
        for node in ast.walk(_tree(module)):
            if isinstance(node, ast.Return) and _around(node) == name:
                reader = _Reader(module, node)
                found |= reader.texts(node.value)
                self.also |= reader.also
        return found


def _constant(module: str, name: str) -> set[str]:
    """The text a module keeps under a name, or the words of its table."""
    if not _file(module).is_file():
        return set()
    return {
        text
        for node in _tree(module).body
        if isinstance(node, ast.Assign)
        and any(isinstance(one, ast.Name) and one.id == name for one in node.targets)
        and isinstance(node.value, ast.Constant | ast.JoinedStr | ast.Dict)
        for text in _Reader(module, node).texts(node.value)
    }
