"""Time-stamps (RFC 3161) of signed heads: asked, queued, taken, and checked with openssl.

The authority is a throw-away one made with the openssl command, which is the other program that
everything here is held against.
"""

import hashlib
import random
import re
import subprocess
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from exports.verify import der_inside, time_stamp_of
from tests.desk.authority import Authority, authority, request
from tests.desk.exported import count
from tests.desk.stamp_queue import Queue
from tests.needs import need
from triplog.cli.main import invoke
from triplog.desk import stamps
from triplog.desk.desk import open_desk
from triplog.desk.refused import Refused
from triplog.desk.stamp_tokens import (
    SignatureDoubtful,
    answer_of,
    authority_certificates,
    check_signature,
)
from triplog.journal.copies import copy_store


def test_a_stamp_is_asked_for_answered_and_taken_and_openssl_agrees(
    queue: Queue, bureau: Authority
) -> None:
    head = queue.head()
    (asked,) = queue.ask()
    answer = bureau.answer(asked)
    (entry,) = stamps.take(queue.yard.desk, [answer], bureau.root)
    digest = hashlib.sha256(head.text.encode()).hexdigest()
    assert entry.body["imprint"] == digest
    assert entry.body["policy"] == "2.999.7"
    assert entry.body["signature"] == "holds"
    assert abs(int(str(entry.body["delay_s"]))) < 120
    token = answer.with_suffix(".tst")
    token.write_bytes(der_inside(answer.read_bytes())[1].whole)
    assert bureau.stamps(token, digest)
    assert not bureau.stamps(token, "0" * 64)
    (one,) = stamps.head_stamps(queue.yard.desk)
    assert one.taken == entry
    with pytest.raises(Refused, match="no signed head without a time-stamp"):
        queue.ask()


def test_openssl_reads_our_request_as_we_mean_it(queue: Queue) -> None:
    """RFC 3161, 2.4.1: version 1, the fingerprint, a nonce, and the certificate asked for."""
    queue.head()
    (asked,) = queue.ask()
    shown = _openssl_shows(asked)
    assert "Version: 1" in shown
    assert "Hash Algorithm: sha256" in shown
    assert "Certificate required: yes" in shown
    (entry,) = queue.yard.desk.store.entries("kind = 'time_stamp_asked'")
    nonce = re.search(r"Nonce: 0x([0-9A-F]+)", shown)
    assert nonce is not None and int(nonce[1], 16) == int(str(entry.body["nonce"]), 16)


def _openssl_shows(asked: Path) -> str:
    need(["openssl"])
    words = ["openssl", "ts", "-query", "-in", str(asked), "-text"]
    return subprocess.run(words, capture_output=True, text=True, check=True).stdout


def test_requests_queue_while_there_is_no_signal_and_the_delay_is_told(
    queue: Queue, bureau: Authority
) -> None:
    queue.head(days_ago=5)
    (first,) = queue.ask()
    before = first.read_bytes()
    queue.head(days_ago=2)
    first, second = queue.ask()
    assert first.read_bytes() == before, "what waits is asked again as it was"
    asked = list(queue.yard.desk.store.entries("kind = 'time_stamp_asked'"))
    assert len(asked) == 2
    queue.yard.clock.wall = datetime.now(UTC)
    entries = stamps.take(
        queue.yard.desk, [bureau.answer(first), bureau.answer(second)], bureau.root
    )
    days = [round(int(str(entry.body["delay_s"])) / 86400, 2) for entry in entries]
    assert days == [5, 2]


def test_without_the_authoritys_certificate_it_is_said_that_nothing_was_checked(
    queue: Queue, bureau: Authority
) -> None:
    queue.head()
    (asked,) = queue.ask()
    (entry,) = stamps.take(queue.yard.desk, [bureau.answer(asked)], None)
    assert entry.body["signature"] == "not checked"
    assert "authority" not in entry.body
    assert stamps.carries_certificate(entry)


@pytest.mark.parametrize(
    ("key", "digest"), [("rsa", "sha256"), ("rsa", "sha512"), ("ec", "sha384")]
)
def test_the_usual_kinds_of_signature_are_checked(
    queue: Queue, tmp_path: Path, key: str, digest: str
) -> None:
    other = authority(tmp_path / "other", key=key, digest=digest)
    queue.head()
    (asked,) = queue.ask()
    (entry,) = stamps.take(queue.yard.desk, [other.answer(asked)], other.root)
    assert entry.body["signature"] == "holds"


def test_another_authoritys_certificate_is_no_ground_to_believe_it(
    queue: Queue, bureau: Authority, tmp_path: Path
) -> None:
    other = authority(tmp_path / "other")
    queue.head()
    (asked,) = queue.ask()
    with pytest.raises(Refused, match="does not lead to one in your file"):
        stamps.take(queue.yard.desk, [bureau.answer(asked)], other.root)
    stamps.take(queue.yard.desk, [bureau.answer(asked)], bureau.folder / "stamp.pem")


@pytest.mark.parametrize(
    "usage", ["critical,timeStamping,codeSigning", "timeStamping", "critical,codeSigning"]
)
def test_a_certificate_for_other_things_as_well_is_not_believed(
    queue: Queue, bureau: Authority, tmp_path: Path, usage: str
) -> None:
    """RFC 3161, 2.3: that purpose alone, and critical. OpenSSL stamps with none of these.

    So the certificate of the same key for other things is put in the place of the right one.
    """
    queue.head()
    (asked,) = queue.ask()
    answer = answer_of(bureau.answer(asked).read_bytes())
    (odd,) = authority_certificates(
        bureau.certified_for(usage, tmp_path / f"{usage.replace(',', '-')}.pem")
    )
    with pytest.raises(SignatureDoubtful, match="not for time-stamping alone"):
        check_signature(replace(answer, certificates=()), [odd])
    (right,) = authority_certificates(bureau.folder / "stamp.pem")
    assert check_signature(replace(answer, certificates=()), [right]) == right


def test_a_certificate_that_was_over_when_it_stamped_is_not_believed(
    queue: Queue, bureau: Authority
) -> None:
    queue.head()
    (asked,) = queue.ask()
    answer = answer_of(bureau.answer(asked).read_bytes())
    trusted = authority_certificates(bureau.root)
    for year in (1990, 2300):
        other = replace(answer.stamp, gen_time=answer.stamp.gen_time.replace(year=year))
        with pytest.raises(SignatureDoubtful, match="not valid at the time"):
            check_signature(replace(answer, stamp=other), trusted)


def test_whoever_may_stamp_may_not_name_others_who_may(
    queue: Queue, bureau: Authority, tmp_path: Path
) -> None:
    """RFC 5280, 4.2.1.9: only a certificate of a CA vouches for another."""
    pretender = bureau.pretender(tmp_path / "pretender")
    queue.head()
    (asked,) = queue.ask()
    with pytest.raises(Refused, match="does not lead to one in your file"):
        stamps.take(queue.yard.desk, [pretender.answer(asked)], bureau.root)


def test_an_answer_of_another_request_is_told_apart(
    queue: Queue, bureau: Authority, tmp_path: Path
) -> None:
    head = queue.head()
    queue.ask()
    before = count(queue.yard.desk)
    same_head = request(tmp_path / "other-nonce.tsq", head.text.encode())
    without = request(tmp_path / "no-nonce.tsq", head.text.encode(), "-no_nonce")
    for asked in (same_head, without):
        with pytest.raises(Refused, match="answers another request"):
            stamps.take(queue.yard.desk, [bureau.answer(asked)], None)
    something = request(tmp_path / "something.tsq", head.text.encode() + b"x")
    with pytest.raises(Refused, match="stamps something else"):
        stamps.take(queue.yard.desk, [bureau.answer(something)], None)
    other_hash = request(tmp_path / "sha512.tsq", head.text.encode(), "-sha512")
    with pytest.raises(Refused, match="no SHA-256"):
        stamps.take(queue.yard.desk, [bureau.answer(other_hash)], None)
    assert count(queue.yard.desk) == before


def test_a_refusal_of_the_authority_is_told_and_the_request_waits_on(
    queue: Queue, bureau: Authority, tmp_path: Path
) -> None:
    head = queue.head()
    (asked,) = queue.ask()
    policy = request(tmp_path / "policy.tsq", head.text.encode(), "-tspolicy", "1.2.3.9.9")
    with pytest.raises(Refused, match=r"rejected the request.*The request waits on"):
        stamps.take(queue.yard.desk, [bureau.answer(policy)], None)
    assert queue.ask() == [asked]


def test_an_answer_is_taken_once_and_all_of_them_or_none(queue: Queue, bureau: Authority) -> None:
    queue.head(days_ago=1)
    queue.head()
    first, second = map(bureau.answer, queue.ask())
    before = count(queue.yard.desk)
    with pytest.raises(Refused, match="has its time-stamp already"):
        stamps.take(queue.yard.desk, [first, second, first], None)
    assert count(queue.yard.desk) == before
    stamps.take(queue.yard.desk, [first, second], None)
    with pytest.raises(Refused, match="has its time-stamp already"):
        stamps.take(queue.yard.desk, [second], None)


def test_a_token_that_was_altered_is_not_believed(queue: Queue, bureau: Authority) -> None:
    """Every byte of it, one bit each: refused in words, or nothing that was signed has changed."""
    queue.head()
    (asked,) = queue.ask()
    data = bureau.answer(asked).read_bytes()
    whole = answer_of(data)
    trusted = authority_certificates(bureau.root)
    held = 0
    for place in range(len(data)):
        altered = bytearray(data)
        altered[place] ^= 1
        try:
            answer = answer_of(bytes(altered))
            check_signature(answer, trusted)
        except (ValueError, Refused):
            continue
        held += 1
        assert answer.stamp == whole.stamp, f"byte {place}"
    assert held < len(data) // 3, "most of the bytes are under a signature"


def test_garbage_is_refused_in_words_and_never_worse(queue: Queue, bureau: Authority) -> None:
    queue.head()
    (asked,) = queue.ask()
    data = bureau.answer(asked).read_bytes()
    trusted = authority_certificates(bureau.root)
    chance = random.Random(3161)
    for number in range(4000):
        garbage = bytearray(data)
        match number % 4:
            case 0:
                garbage = garbage[: chance.randrange(len(data))]
            case 1:
                garbage = bytearray(chance.randbytes(chance.randrange(300)))
            case 2:
                at = chance.randrange(len(data))
                garbage[at:at] = chance.randbytes(chance.randint(1, 6))
            case _:
                for _ in range(chance.randint(1, 4)):
                    garbage[chance.randrange(len(data))] = chance.randrange(256)
        try:
            check_signature(answer_of(bytes(garbage)), trusted)
        except (ValueError, Refused) as problem:
            assert str(problem)


@pytest.mark.parametrize(
    "data", [b"", b"0", b"\x30\x80", b"\x30\x84\xff\xff\xff\xff", bytes(1 << 17)]
)
def test_what_is_no_answer_is_said_to_be_none(queue: Queue, tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "odd.tsr"
    path.write_bytes(data)
    with pytest.raises(Refused, match="holds no time-stamp"):
        stamps.take(queue.yard.desk, [path], None)
    with pytest.raises(Refused, match="cannot be read"):
        stamps.take(queue.yard.desk, [tmp_path], None)
    with pytest.raises(Refused, match="no certificate"):
        authority_certificates(path)


def test_an_answer_that_comes_after_a_restore_still_finds_its_head(
    queue: Queue, bureau: Authority, tmp_path: Path
) -> None:
    """The restored journal is another device's, and holds what the old one asked."""
    head = queue.head()
    (asked,) = queue.ask()
    copy_store(queue.yard.desk.store, tmp_path / "back-up.sqlite3")
    home = tmp_path / "restored"
    words = ["--home", str(home), "restore", str(tmp_path / "back-up.sqlite3")]
    assert invoke(words, queue.yard.clock) == 0
    desk = open_desk(home, queue.yard.clock)
    (entry,) = stamps.take(desk, [bureau.answer(asked)], bureau.root)
    assert entry.device != queue.yard.desk.store.device
    assert entry.body["imprint"] == hashlib.sha256(head.text.encode()).hexdigest()
    assert stamps.head_stamps(desk) == []
    desk.store.close()


def test_a_folder_that_cannot_be_written_leaves_nothing_asked(queue: Queue) -> None:
    queue.head()
    queue.folder.write_text("a file, not a folder")
    before = count(queue.yard.desk)
    with pytest.raises(Refused, match="no folder"):
        queue.ask()
    assert count(queue.yard.desk) == before


def test_a_token_alone_reads_as_in_its_answer(queue: Queue, bureau: Authority) -> None:
    queue.head()
    (asked,) = queue.ask()
    alone = time_stamp_of(bureau.answer(asked, token_alone=True).read_bytes())
    assert alone.imprint == answer_of(bureau.answer(asked).read_bytes()).stamp.imprint
