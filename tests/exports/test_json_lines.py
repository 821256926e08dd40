"""JSON Lines and a JSON array, written one by one."""

import io
import json

import pytest

from exports.json_lines import LineError, write_json, write_lines


def test_lines_are_the_stored_bytes() -> None:
    out = io.BytesIO()
    write_lines(iter([b'{"a":1}', '{"b":"é"}'.encode()]), out)
    assert out.getvalue() == '{"a":1}\n{"b":"é"}\n'.encode()


def test_an_entry_with_a_line_feed_is_refused() -> None:
    with pytest.raises(LineError, match="Line 2 holds a line feed"):
        write_lines([b"{}", b"{\n}"], io.BytesIO())


@pytest.mark.parametrize("count", [0, 1, 3])
def test_records_make_one_array(count: int) -> None:
    records = [{"seq": number, "note": "é\n"} for number in range(count)]
    out = io.BytesIO()
    write_json(iter(records), out)
    assert json.loads(out.getvalue()) == records
    assert out.getvalue().endswith(b"]\n")


def test_a_number_that_json_does_not_have_is_refused() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        write_json([{"mass": float("nan")}], io.BytesIO())
