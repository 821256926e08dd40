"""Damage to the order and number of lines."""

from random import Random

from tests.exports.mutations.bag import MANIFEST, TAG_MANIFEST, Files
from tests.exports.mutations.meaning import CHECKPOINT, ENTRIES, OPENINGS, PROOFS

_LINED = (ENTRIES, ENTRIES, ENTRIES, OPENINGS, PROOFS, CHECKPOINT, MANIFEST, TAG_MANIFEST)


def _some_lines(files: Files, source: Random) -> tuple[str, list[bytes]]:
    name = source.choice([name for name in _LINED if files.get(name)])
    return name, files[name].splitlines(keepends=True)


def _joined(files: Files, name: str, lines: list[bytes]) -> Files:
    return files | {name: b"".join(lines)}


def lines_left_out(files: Files, source: Random) -> Files:
    name, lines = _some_lines(files, source)
    at = source.randrange(len(lines))
    del lines[at : at + source.choice([1, 1, 1, 2, 5])]
    return _joined(files, name, lines)


def end_left_out(files: Files, source: Random) -> Files:
    name, lines = _some_lines(files, source)
    return _joined(files, name, lines[: source.randrange(len(lines))])


def beginning_left_out(files: Files, source: Random) -> Files:
    name, lines = _some_lines(files, source)
    return _joined(files, name, lines[source.randrange(1, len(lines) + 1) :])


def line_twice(files: Files, source: Random) -> Files:
    name, lines = _some_lines(files, source)
    lines.insert(source.randrange(len(lines) + 1), source.choice(lines))
    return _joined(files, name, lines)


def lines_exchanged(files: Files, source: Random) -> Files:
    name, lines = _some_lines(files, source)
    one, other = source.randrange(len(lines)), source.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    return _joined(files, name, lines)


def line_moved(files: Files, source: Random) -> Files:
    name, lines = _some_lines(files, source)
    line = lines.pop(source.randrange(len(lines)))
    lines.insert(source.randrange(len(lines) + 1), line)
    return _joined(files, name, lines)


def line_of_another_file_put_in(files: Files, source: Random) -> Files:
    name, lines = _some_lines(files, source)
    _, others = _some_lines(files, source)
    lines.insert(source.randrange(len(lines) + 1), source.choice(others))
    return _joined(files, name, lines)


def line_written_over(files: Files, source: Random) -> Files:
    name, lines = _some_lines(files, source)
    lines[source.randrange(len(lines))] = source.choice(lines)
    return _joined(files, name, lines)


def lines_run_together(files: Files, source: Random) -> Files:
    name, lines = _some_lines(files, source)
    at = source.randrange(len(lines))
    lines[at] = lines[at].removesuffix(b"\n") + source.choice([b"", b" ", b"\r", b"\x00"])
    return _joined(files, name, lines)


def line_broken_in_two(files: Files, source: Random) -> Files:
    name, lines = _some_lines(files, source)
    at = source.randrange(len(lines))
    split = source.randrange(len(lines[at]))
    lines[at] = lines[at][:split] + b"\n" + lines[at][split:]
    return _joined(files, name, lines)


DAMAGES = (
    lines_left_out,
    end_left_out,
    beginning_left_out,
    line_twice,
    lines_exchanged,
    line_moved,
    line_of_another_file_put_in,
    line_written_over,
    lines_run_together,
    line_broken_in_two,
)
