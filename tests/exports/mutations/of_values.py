"""Damage that reads what stands there and writes something else, as canonical as before."""

import json
import string
from collections.abc import Callable, Iterator
from random import Random
from typing import Any

from tests.exports.mutations.bag import Files
from tests.exports.mutations.meaning import CARD, CHECKPOINT, ENTRIES, OPENINGS, PROOFS
from tests.specimens.builder import canonical, sha256

_OF_VALUES = (ENTRIES, ENTRIES, ENTRIES, OPENINGS, PROOFS, PROOFS, CARD, CARD, CARD)
_Place = tuple[Any, Any]
"""An object or array, and the name or number of a value in it."""


def _places(value: Any) -> Iterator[_Place]:
    pairs: Any = ()
    if isinstance(value, dict):
        pairs = value.items()
    elif isinstance(value, list):
        pairs = enumerate(value)
    for key, inner in pairs:
        yield value, key
        yield from _places(inner)


def _edited(files: Files, source: Random, edit: Callable[[Any, Any], None]) -> Files:
    """One value somewhere changed; half the time one of those that hold a record together."""
    name = source.choice([name for name in _OF_VALUES if files.get(name)])
    whole = name == CARD
    lines = [files[name]] if whole else files[name].splitlines()
    at = source.randrange(len(lines))
    value = json.loads(lines[at])
    places = list(_places(value))
    if source.random() < 0.5:
        places = [(holder, key) for holder, key in places if holder is value]
    edit(*source.choice(places))
    lines[at] = canonical(value)
    return files | {name: b"".join(line + b"\n" * (not whole) for line in lines)}


def value_changed(files: Files, source: Random) -> Files:
    def edit(holder: Any, key: Any) -> None:
        holder[key] = _another(holder[key], source)

    return _edited(files, source, edit)


def _another(value: Any, source: Random) -> Any:
    if source.random() < 0.2:
        return source.choice([None, True, 0, -1, "", "x", [], {}, 1.5, 2**53, 10**400, "\ud7ff"])
    if isinstance(value, bool) or value is None:
        return not value
    if isinstance(value, int):
        return value + source.choice([-1, 1, 1 << source.randrange(50)])
    if isinstance(value, str):
        letter = source.choice(string.hexdigits + " éZ-")
        at = source.randrange(len(value) + 1)
        return source.choice([value[:at] + letter + value[at + 1 :], value[:at], value.upper()])
    if isinstance(value, list):
        return source.choice([value[::-1], value[1:], value * 2, [value]])
    return {**value, "more": 1}


def value_left_out(files: Files, source: Random) -> Files:
    return _edited(files, source, lambda holder, key: holder.pop(key))


def value_put_in(files: Files, source: Random) -> Files:
    def edit(holder: Any, key: Any) -> None:
        if isinstance(holder, dict):
            holder[f"{key}_more"] = holder[key]
        else:
            holder.insert(key, holder[key])

    return _edited(files, source, edit)


def value_of_another_line(files: Files, source: Random) -> Files:
    """A value exchanged with that of the same name, or of the same place, of another line."""
    name = source.choice([name for name in _OF_VALUES if name != CARD and files.get(name)])
    values = [json.loads(line) for line in files[name].splitlines()]
    one, other = source.choice(values), source.choice(values)
    key = source.choice(sorted(set(one) & set(other)))
    one[key], other[key] = other[key], one[key]
    return files | {name: b"".join(canonical(value) + b"\n" for value in values)}


def head_of_another_entry(files: Files, source: Random) -> Files:
    """bundle.json names an earlier entry as the last of a chain, with a right fingerprint."""
    card = json.loads(files[CARD])
    device = source.choice(sorted(card["heads"]))
    line = source.choice(files[ENTRIES].splitlines())
    seq, entries = json.loads(line)["seq"], source.randrange(1, 200)
    card["heads"][device] = {"seq": seq, "hash": sha256(line), "entries": entries}
    return files | {CARD: canonical(card)}


def history_written_anew(files: Files, source: Random) -> Files:
    """An entry changed and all that hangs on it put right, but for what only the key can sign.

    One below the signed head: the entry that holds that head itself is covered by the next alone.
    """
    entries = [json.loads(line) for line in files[ENTRIES].splitlines()]
    size = int(files[CHECKPOINT].split(b"\n")[1])
    changed = source.choice([entry for entry in entries if entry["seq"] < size])
    changed["body"] |= {"note_of_a_forger": source.randrange(1000)}
    anew: dict[str, str] = {}
    lines: list[bytes] = []
    for entry in entries:
        before = sha256(canonical(entry))
        told = json.loads(_put_right(canonical(entry).decode(), anew))
        if entry is changed:
            before = sha256(files[ENTRIES].splitlines()[len(lines)])
        lines.append(canonical(told))
        anew[before] = sha256(lines[-1])
    rest = {
        name: _put_right(files[name].decode(), anew).encode()
        for name in (OPENINGS, CARD)
        if name in files
    }
    return files | rest | {ENTRIES: b"".join(line + b"\n" for line in lines)}


def _put_right(text: str, anew: dict[str, str]) -> str:
    for before, after in anew.items():
        text = text.replace(f'"{before}"', f'"{after}"')
    return text


DAMAGES = (
    value_changed,
    value_changed,
    value_changed,
    value_left_out,
    value_put_in,
    value_of_another_line,
    head_of_another_entry,
    history_written_anew,
)
