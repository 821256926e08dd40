"""Bytes from elsewhere are read as an entry only where they are the one way of writing it.

RFC 8785 as the library `rfc8785` writes it is the oracle; the set is narrower: see `entries`.
"""

import json

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.builders import entry_made, odometer_read
from triplog.journal.entries import EntryBroken, canonical
from triplog.journal.strict_reading import strict_entry_of

GOOD = json.loads(entry_made(odometer_read()).data)
TEXTS = st.text(max_size=8)
NUMBERS = st.integers(-(2**60), 2**60) | st.floats()
VALUES = st.recursive(
    st.none() | st.booleans() | TEXTS | NUMBERS,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["a", "b2", "Z", "é", ""]) | TEXTS, inner, max_size=3)
    ),
    max_leaves=8,
)


def _is_read(data: bytes) -> bool:
    try:
        entry = strict_entry_of(data)
    except EntryBroken as problem:
        assert str(problem)
        return False
    assert entry.data == data
    return True


def _should_be(value: object) -> bytes | None:
    """The bytes of a value that has some; None: it is not of the set."""
    try:
        return canonical(value)
    except ValueError:
        return None


@given(VALUES, st.booleans(), st.booleans(), st.booleans())
@example({"a": 1.0}, False, False, False)
@example({"a": -0.0}, False, False, False)
@example({"a": float("nan")}, False, False, False)
@example({"a": 2**53}, False, False, False)
@example({"a": "\ud800"}, False, True, False)
def test_only_the_canonical_bytes_are_read(
    value: object, is_spaced: bool, is_ascii: bool, is_unsorted: bool
) -> None:
    told = GOOD | {"body": {"told": value}}
    separators = (", ", ": ") if is_spaced else (",", ":")
    order = dict(sorted(told.items(), reverse=True)) if is_unsorted else told
    data = json.dumps(
        order, sort_keys=not is_unsorted, separators=separators, ensure_ascii=is_ascii
    ).encode("utf-8", "surrogatepass")
    assert _is_read(data) == (_should_be(told) == data)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (b'"seq":0', b'"seq":-0'),
        (b'"seq":0', b'"seq":00'),
        (b'"seq":0', b'"seq":0.0'),
        (b'"seq":0', b'"seq":0e0'),
        (b'"seq":0', b'"seq":0,"seq":0'),
        (b'"seq":0', b'"seq":NaN'),
        (b'"seq":0', b'"seq":' + b"9" * 5000),
        (b'"seq":0', b'"seq":true'),
        (b'"body":{', b'"body":{"Big":0,'),
        (b'"body":{', b'"body":' + b"[" * 100_000 + b"{"),
        (b'"boot_ms":', b'"boot_ms":true,"c":'),
        (b'"boot_id":"first start"', b'"boot_id":7'),
        (b'"via":"typed"', b'"via":"t\\u0079ped"'),
        (b'"via":"typed"', b'"via":"typed" '),
        (b"{", b"\xef\xbb\xbf{"),
        (b"typed", b"typ\xff"),
        (b"typed", b"typ\xed\xa0\x80"),
    ],
)
def test_another_way_of_writing_is_refused(before: bytes, after: bytes) -> None:
    good = canonical(GOOD)
    assert _is_read(good)
    assert before in good
    assert not _is_read(good.replace(before, after, 1))


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-32"])
def test_another_encoding_is_refused(encoding: str) -> None:
    assert not _is_read(canonical(GOOD).decode().encode(encoding))
