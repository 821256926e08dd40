"""Bundles made to keep the checker busy, to fill the memory, to lead it elsewhere or to end it.

Each builder makes one below `home` and answers with what the checker is called with. All of it is
worked out by us; no published collection is used.
"""

import base64
import json
import shutil
from pathlib import Path

from tests.exports.attacks import bombs_in_form
from tests.exports.attacks.bomb import DEEP, MANY, Bomb, a_day, as_folder, with_file, with_line
from tests.exports.attacks.signed_day import ENTRIES, head, signed_day
from tests.exports.mutations.bag import relisted, retagged
from tests.specimens import builder
from tests.specimens.builder import canonical, sha256

# Numbers


def oxum_of_ten_gigabytes(home: Path) -> list[str]:
    return _with_info(home, b"Payload-Oxum: 10000000000.10\n")


def oxum_of_a_million_digits(home: Path) -> list[str]:
    return _with_info(home, b"Payload-Oxum: " + b"9" * MANY + b".7\n")


def _with_info(home: Path, info: bytes) -> list[str]:
    return as_folder(home, retagged(a_day(home) | {"bag-info.txt": info}))


def head_over_a_billion_entries(home: Path) -> list[str]:
    note = head(signed_day()).text.replace(f"\n{ENTRIES}\n", "\n1000000000\n").encode()
    return with_file(home, "data/checkpoint.txt", note)


def head_over_as_many_entries_as_there_can_be(home: Path) -> list[str]:
    note = head(signed_day()).text.replace(f"\n{ENTRIES}\n", f"\n{2**53 - 1}\n").encode()
    return with_file(home, "data/checkpoint.txt", note, trip=False)


def head_with_a_size_of_a_million_digits(home: Path) -> list[str]:
    note = head(signed_day()).text.replace(f"\n{ENTRIES}\n", f"\n{'9' * MANY}\n").encode()
    return with_file(home, "data/checkpoint.txt", note)


def number_of_a_million_digits_in_an_entry(home: Path) -> list[str]:
    line = a_day(home)["data/entries.jsonl"].splitlines()[-1]
    return with_line(home, "data/entries.jsonl", line.replace(b'"v":1', b'"v":' + b"9" * MANY))


def number_of_a_million_digits_in_the_card(home: Path) -> list[str]:
    card = a_day(home)["data/bundle.json"].replace(b'"seq":11', b'"seq":' + b"9" * MANY)
    return with_file(home, "data/bundle.json", card)


def card_that_expects_all_entries_there_can_be(home: Path) -> list[str]:
    card = json.loads(a_day(home)["data/bundle.json"])
    card["heads"]["dev-1"] |= {"seq": 2**53 - 1, "entries": 2**53 - 1}
    return with_file(home, "data/bundle.json", canonical(card))


def entry_with_the_highest_number(home: Path) -> list[str]:
    day = signed_day()
    day.entries[-1]["seq"] = 2**53 - 1
    return [str(builder.bag(home / "bundle", day.lines(), day.card(), day.openings))]


def years_from_the_first_to_the_last(home: Path) -> list[str]:
    day = signed_day()
    years = (1, 9999, 1, 9999, 1, 1, 9999, 9999, 1, 1, 9999, 1)
    for entry, year in zip(day.entries, years, strict=True):
        entry["event_time"] = f"{year:04}-01-01T00:00:00.000Z"
        entry["entry_time"] = f"{10_000 - year:04}-12-31T23:59:59.999Z"
        entry["clock"]["boot_ms"] = (2**53 - 1) * (-1 if year == 1 else 1)
    return [str(builder.bag(home / "bundle", day.lines(), day.card(), day.openings))]


def proof_of_a_hundred_thousand_hashes(home: Path) -> list[str]:
    proof = {"device": "dev-1", "seq": 3, "hashes": [sha256(b"")] * 100_000}
    return with_line(home, "data/proofs.jsonl", canonical(proof))


def proof_from_the_highest_number(home: Path) -> list[str]:
    hashes = [sha256(b"")] * 60
    told = [{"device": "dev-1", name: 2**53 - 1, "hashes": hashes} for name in ("seq", "old")]
    return with_line(home, "data/proofs.jsonl", b"\n".join(map(canonical, told)))


# Depth and number


def _deep(kind: bytes, inner: bytes = b"") -> bytes:
    opened, closed = (b"[", b"]") if kind == b"[" else (b'{"a":', b"}")
    return opened * DEEP + (inner or b"1") + closed * DEEP


def deep_entry(home: Path) -> list[str]:
    return with_line(home, "data/entries.jsonl", _deep(b"["))


def deep_body(home: Path) -> list[str]:
    line = a_day(home)["data/entries.jsonl"].splitlines()[-1]
    deep = line.replace(b'"body":{', b'"body":{"a":' + _deep(b"{") + b",")
    return with_line(home, "data/entries.jsonl", deep)


def less_deep_bodies(home: Path) -> list[str]:
    """Some that can be read and not written, or written and not walked."""
    line = a_day(home)["data/entries.jsonl"].splitlines()[-1]
    bodies = [
        line.replace(
            b'"body":{',
            b'"body":{"a":' + b"[" * depth + '"é"'.encode() + b"]" * depth + b",",
        )
        for depth in (100, 300, 450, 480, 500, 900, 960, 990, 1_000, 3_000)
    ]
    return with_line(home, "data/entries.jsonl", b"\n".join(bodies))


def deep_opening(home: Path) -> list[str]:
    first = a_day(home)["data/openings.jsonl"].splitlines()[0]
    values = [_deep(b"["), *(b"[" * depth + b"]" * depth for depth in (300, 480, 500, 960, 990))]
    lines = [first.replace(b'"driver"', value) for value in values]
    return with_line(home, "data/openings.jsonl", b"\n".join(lines))


def deep_proof(home: Path) -> list[str]:
    return with_line(home, "data/proofs.jsonl", _deep(b"{"))


def deep_card(home: Path) -> list[str]:
    return with_file(home, "data/bundle.json", _deep(b"{"))


def million_signature_lines(home: Path) -> list[str]:
    note = head(signed_day()).text.encode()
    strange = "— other AAAAAAAA\n".encode() * (MANY // 2)
    return with_file(home, "data/checkpoint.txt", note + strange + note.splitlines(True)[-1] * 9)


def head_of_a_hundred_signatures_by_one_key(home: Path) -> list[str]:
    whole = head(signed_day())
    (line,) = whole.signatures
    made = [base64.b64encode(line.key_id + bytes([n] * 64)).decode() for n in range(100)]
    note = whole.text + "".join(f"— {line.name} {raw}\n" for raw in made)
    return with_file(home, "data/checkpoint.txt", note.encode())


def ten_million_empty_lines(home: Path) -> list[str]:
    return with_line(home, "data/entries.jsonl", b"\n" * 10_000_000)


def ten_million_empty_lines_of_openings_and_proofs(home: Path) -> list[str]:
    files = a_day(home)
    for name in ("data/openings.jsonl", "data/proofs.jsonl"):
        files[name] += b"\n" * 10_000_000
    return as_folder(home, relisted(files))


def manifest_of_empty_lines(home: Path) -> list[str]:
    files = a_day(home)
    files["manifest-sha256.txt"] += b"\n" * 10_000_000
    return as_folder(home, retagged(files))


def line_of_empty_lists(home: Path) -> list[str]:
    return with_line(home, "data/entries.jsonl", b"[" + b"[]," * 5_000_000 + b"[]]")


def card_of_empty_lists(home: Path) -> list[str]:
    return with_file(home, "data/bundle.json", b"[" + b"[]," * 5_000_000 + b"[]]")


def card_too_big_to_be_one(home: Path) -> list[str]:
    return with_file(home, "data/bundle.json", b" " * (64 << 20))


def heads_of_two_hundred_thousand_devices(home: Path) -> list[str]:
    day = signed_day()
    heads = {f"d{number}": sha256(b"") for number in range(100_000)}
    for _ in range(6):
        day.add("handed_over", body={"trip_heads": heads})
    return [str(builder.bag(home / "bundle", day.lines(), day.card(), day.openings))]


def every_second_number_and_then_the_rest_backwards(home: Path) -> list[str]:
    """Each entry behind falls into one of many gaps."""
    (line,) = [line for line in signed_day().lines() if b'"departed"' in line]
    numbers = [*range(0, 40_000, 2), *range(39_999, 0, -2)]
    lines = [line.replace(b'"seq":4', b'"seq":%d' % number) for number in numbers]
    return [str(builder.bag(home / "bundle", lines, signed_day().card()))]


def openings_of_nothing_backwards(home: Path) -> list[str]:
    day = signed_day()
    openings = [
        {"entry": sha256(b"%d" % n), "field": "name", "salt": "0" * 32, "value": n}
        for n in range(60_000)
    ]
    return [str(builder.bag(home / "bundle", day.lines(), day.card(), openings))]


# Letters


def _not_utf_8(name: str) -> Bomb:
    def build(home: Path) -> list[str]:
        return with_file(home, name, b"\xff\xfe" + a_day(home)[name])

    build.__name__ = f"not_utf_8_in_{Path(name).stem}"
    return build


def manifest_that_is_not_utf_8(home: Path) -> list[str]:
    files = a_day(home)
    files["manifest-sha256.txt"] += b"\xff\xfe"
    return as_folder(home, retagged(files))


def checkpoint_from_outside_that_is_not_utf_8(home: Path) -> list[str]:
    (home / "kept.txt").write_bytes(b"\xff\xfe\x00")
    return [*as_folder(home, a_day(home)), "--checkpoint", str(home / "kept.txt")]


def half_a_letter_in_an_opening(home: Path) -> list[str]:
    line = a_day(home)["data/openings.jsonl"].splitlines()[0]
    return with_line(home, "data/openings.jsonl", line.replace(b"driver", b"\\ud800"))


def half_a_letter_in_the_card(home: Path) -> list[str]:
    card = a_day(home)["data/bundle.json"]
    return with_file(home, "data/bundle.json", card.replace(b"dev-1", b"dev\\udc00\\u001b[2J"))


def card_of_other_shapes(home: Path) -> list[str]:
    card = json.loads(a_day(home)["data/bundle.json"])
    return with_file(home, "data/bundle.json", canonical(card | {"heads": []}))


def folder_nobody_may_read(home: Path) -> list[str]:
    called = as_folder(home, a_day(home))
    shutil.rmtree(home / "bundle/data/tables")
    (home / "bundle/data/tables").mkdir(mode=0)
    return called


BOMBS: dict[str, Bomb] = {
    made.__name__: made
    for made in (
        bombs_in_form.zip_that_says_it_holds_ten_gigabytes,
        bombs_in_form.zip_that_says_a_file_is_longer,
        bombs_in_form.zip_with_a_member_beyond_its_end,
        bombs_in_form.zip_with_a_method_nobody_knows,
        bombs_in_form.zip_that_says_it_is_encrypted,
        bombs_in_form.zip_of_a_hundred_megabytes_of_one_byte,
        bombs_in_form.zip_that_holds_one_file_many_times,
        bombs_in_form.zip_with_every_name_twice,
        bombs_in_form.zip_with_an_absolute_name,
        bombs_in_form.zip_with_a_name_that_leads_up,
        bombs_in_form.zip_with_a_drive_and_backslashes,
        bombs_in_form.zip_with_a_link,
        bombs_in_form.zip_with_a_name_that_is_not_utf_8,
        bombs_in_form.link_to_a_device_for_the_log,
        bombs_in_form.link_that_leads_back_to_itself,
        bombs_in_form.pipe_for_the_log,
        bombs_in_form.pipe_for_the_bundle,
        bombs_in_form.device_for_the_bundle,
        bombs_in_form.pipe_for_a_checkpoint,
        bombs_in_form.socket_in_the_folder,
        bombs_in_form.name_that_is_not_utf_8,
        oxum_of_ten_gigabytes,
        oxum_of_a_million_digits,
        head_over_a_billion_entries,
        head_over_as_many_entries_as_there_can_be,
        head_with_a_size_of_a_million_digits,
        number_of_a_million_digits_in_an_entry,
        number_of_a_million_digits_in_the_card,
        card_that_expects_all_entries_there_can_be,
        entry_with_the_highest_number,
        years_from_the_first_to_the_last,
        proof_of_a_hundred_thousand_hashes,
        proof_from_the_highest_number,
        deep_entry,
        deep_body,
        less_deep_bodies,
        deep_opening,
        deep_proof,
        deep_card,
        million_signature_lines,
        head_of_a_hundred_signatures_by_one_key,
        ten_million_empty_lines,
        ten_million_empty_lines_of_openings_and_proofs,
        manifest_of_empty_lines,
        line_of_empty_lists,
        card_of_empty_lists,
        card_too_big_to_be_one,
        heads_of_two_hundred_thousand_devices,
        every_second_number_and_then_the_rest_backwards,
        openings_of_nothing_backwards,
        *map(_not_utf_8, ("data/entries.jsonl", "data/openings.jsonl", "data/bundle.json")),
        *map(_not_utf_8, ("data/checkpoint.txt", "data/proofs.jsonl", "bagit.txt")),
        manifest_that_is_not_utf_8,
        checkpoint_from_outside_that_is_not_utf_8,
        half_a_letter_in_an_opening,
        half_a_letter_in_the_card,
        card_of_other_shapes,
        folder_nobody_may_read,
    )
}
