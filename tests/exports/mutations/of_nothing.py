"""Changes that mean nothing: FORMAT.md leaves them free. The lists are made anew by `running`."""

import json
from random import Random

from tests.exports.mutations.bag import INFO, MANIFEST, TAG_MANIFEST, Files, retagged
from tests.exports.mutations.meaning import CARD, OPENINGS, PROOFS


def _a_list(source: Random) -> str:
    return source.choice([MANIFEST, TAG_MANIFEST])


def _with_list(files: Files, name: str, lines: list[bytes]) -> Files:
    changed = files | {name: b"".join(lines)}
    return changed if name == TAG_MANIFEST else retagged(changed)


def space_in_a_list(files: Files, source: Random) -> Files:
    name = _a_list(source)
    lines = files[name].splitlines(keepends=True)
    at = source.randrange(len(lines))
    lines[at] = lines[at].replace(b"  ", source.choice([b" ", b"\t", b"    ", b" *"]), 1)
    return _with_list(files, name, lines)


def capitals_in_a_list(files: Files, source: Random) -> Files:
    name = _a_list(source)
    lines = files[name].splitlines(keepends=True)
    at = source.randrange(len(lines))
    lines[at] = lines[at][:64].upper() + lines[at][64:]
    return _with_list(files, name, lines)


def order_of_a_list(files: Files, source: Random) -> Files:
    name = _a_list(source)
    lines = files[name].splitlines(keepends=True)
    source.shuffle(lines)
    return _with_list(files, name, lines)


def line_ends_of_a_list(files: Files, source: Random) -> Files:
    name = _a_list(source)
    return _with_list(files, name, [files[name].replace(b"\n", b"\r\n")])


def words_about_the_bag(files: Files, source: Random) -> Files:
    line = f"Contact-Name: the office, desk {source.randrange(1000)}\n".encode()
    return retagged(files | {INFO: line + files[INFO]})


def order_of_the_openings(files: Files, source: Random) -> Files:
    lines = files[OPENINGS].splitlines(keepends=True)
    source.shuffle(lines)
    return files | {OPENINGS: b"".join(lines)}


def spelling_of_an_opening(files: Files, source: Random) -> Files:
    lines = files[OPENINGS].splitlines(keepends=True)
    at = source.randrange(len(lines))
    said = json.loads(lines[at])
    names = list(said)
    source.shuffle(names)
    lines[at] = json.dumps({name: said[name] for name in names}).encode() + b"\n"
    return files | {OPENINGS: b"".join(lines)}


def order_of_the_proofs(files: Files, source: Random) -> Files:
    lines = files.get(PROOFS, b"").splitlines(keepends=True)
    source.shuffle(lines)
    return files | {PROOFS: b"".join(lines)}


def spelling_of_the_card(files: Files, source: Random) -> Files:
    card = json.loads(files[CARD])
    names = list(card)
    source.shuffle(names)
    respelled = {name: card[name] for name in names} | {"room_for_more": source.randrange(9)}
    return files | {CARD: json.dumps(respelled, indent=source.randrange(1, 5)).encode()}


AFTER_LISTING = (
    space_in_a_list,
    capitals_in_a_list,
    order_of_a_list,
    line_ends_of_a_list,
    words_about_the_bag,
)
BEFORE_LISTING = (
    order_of_the_openings,
    spelling_of_an_opening,
    order_of_the_proofs,
    spelling_of_the_card,
)
