"""Time-stamps: an authority that the user names says that a signed head existed at a time.

What is stamped is the SHA-256 of a head's three lines, the very value whose first twenty letters
are the code on paper. A request is an entry; it waits, for days where there is no signal, until an
answer to it is taken, and the delay is told.
"""

import base64
import hashlib
import secrets
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, cast

from triplog.desk.desk import Desk, present
from triplog.desk.refused import Refused
from triplog.desk.scope import Scope
from triplog.desk.staging import give_names, staged, told_in_words
from triplog.desk.stamp_tokens import (
    ANSWER_BYTES_MAX,
    NONCE_BYTES,
    Answer,
    SignatureDoubtful,
    answer_of,
    authority_certificates,
    certificates_of,
    check_signature,
    request_bytes,
)
from triplog.journal.checkpoint import Checkpoint, signed_of
from triplog.journal.entries import Body, Entry, time_text
from triplog.journal.store_file import write_durably
from triplog.journal.trip import Trip, text_in

if TYPE_CHECKING:
    from cryptography.x509 import Certificate

_CHECKED, _NOT_CHECKED = "holds", "not checked"
_REQUEST_TYPE, _PATIENCE_S = "application/timestamp-query", 20


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadStamps:
    """A signed head of this device with what became of it.

    `asked` None: no time-stamp was asked for; `taken` None: none has come.
    """

    head: Entry
    asked: Entry | None
    taken: Entry | None

    @property
    def checkpoint(self) -> Checkpoint:
        """The head itself."""
        return signed_of(text_in(self.head.body, "signed_note")).checkpoint

    @property
    def imprint(self) -> bytes:
        """What an authority is handed."""
        return hashlib.sha256(self.checkpoint.text.encode()).digest()

    @property
    def request(self) -> bytes:
        """The request that was asked; the same each time."""
        assert self.asked is not None, "a request is recorded before it goes out"
        return request_bytes(self.imprint, _nonce(self.asked))


def head_stamps(
    desk: Desk, trip: Trip | None = None, *, of_others: bool = False
) -> list[HeadStamps]:
    """All signed heads of this device, or those of a trip, oldest first.

    `of_others`: those of other devices in this journal as well, such as the one that was here
    before a restore.
    """
    asked, taken = (
        {text_in(entry.body, "head"): entry for entry in desk.store.entries("kind = ?", (kind,))}
        for kind in ("time_stamp_asked", "time_stamp_taken")
    )
    return [
        HeadStamps(head=entry, asked=asked.get(entry.hash), taken=taken.get(entry.hash))
        for entry in desk.store.entries("kind = 'checkpoint_signed'")
        if (of_others or entry.device == desk.store.device)
        and (trip is None or entry.trip == trip.id)
    ]


def ask(desk: Desk, trip: Trip | None, folder: Path | None) -> list[HeadStamps]:
    """Record a request for each head that has no time-stamp yet, and write it to `folder`.

    A request that waits already is written again, the same, and not recorded again. Raises Refused
    where every head has its time-stamp.
    """
    waiting = [one for one in head_stamps(desk, trip) if one.taken is None]
    if not waiting:
        raise Refused(
            "there is no signed head without a time-stamp. A departure, hand-over, closing, export"
            " or `triplog witness give` signs one"
        )
    if folder is None:
        return _recorded_requests(desk, waiting)
    with staged(folder) as stage:
        asked = _recorded_requests(desk, waiting, stage)
        give_names(stage, folder, map(request_name, asked))
    return asked


def request_name(one: HeadStamps) -> str:
    """The name of a request's file: of which log, over how many entries."""
    return f"{one.head.device}-{one.checkpoint.size}.tsq"


def _recorded_requests(
    desk: Desk, waiting: Iterable[HeadStamps], stage: Path | None = None
) -> list[HeadStamps]:
    """The heads with their requests: recorded where they are new, and written to `stage`."""
    asked = []
    with desk.writing() as writing:
        for one in waiting:
            entry = one.asked
            if entry is None:
                nonce = f"{secrets.randbits(8 * NONCE_BYTES):0{2 * NONCE_BYTES}x}"
                body: Body = {
                    "head": one.head.hash,
                    "imprint": one.imprint.hex(),
                    "nonce": nonce,
                }
                draft = desk.draft("time_stamp_asked", body, trip=one.head.trip)
                entry = writing.append(draft)
            asked.append(HeadStamps(head=one.head, asked=entry, taken=None))
        if stage is not None:
            with told_in_words(stage.parent):
                for one in asked:
                    write_durably(stage / request_name(one), one.request)
    return asked


def take(desk: Desk, sources: Sequence[Path], authority: Path | None) -> list[Entry]:
    """Record the answers in these files, all or none.

    Raises Refused, naming the file, for what is no answer to a request in this journal that still
    waits, and for one whose signature does not lead to `authority` where that is given.
    """
    trusted = None if authority is None else authority_certificates(authority)
    answers = [(str(path), _read(path)) for path in sources]
    return _record_answers(desk, answers, trusted)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """What came of sending. `trouble`: why it ended early, in words; None: all was answered."""

    taken: tuple[Entry, ...]
    waiting: int
    trouble: str | None


def send(desk: Desk, url: str, trip: Trip | None, authority: Path | None) -> Sent:
    """Send each waiting request to the authority at `url`, and record what it answers.

    The first that gets no answer ends it: that one and the rest stay as they are. Raises Refused
    for an address that is none of the web.
    """
    if not url.lower().startswith(("http://", "https://")):
        raise Refused(f"an authority's address begins with https:// or http://; found {url!r}")
    trusted = None if authority is None else authority_certificates(authority)
    asked = ask(desk, trip, None)
    taken: list[Entry] = []
    for one in asked:
        try:
            answer = _answer_from(url, one.request)
            taken += _record_answers(desk, [(url, answer)], trusted)
        except Refused as problem:
            return Sent(taken=tuple(taken), waiting=len(asked) - len(taken), trouble=str(problem))
    return Sent(taken=tuple(taken), waiting=0, trouble=None)


def _answer_from(url: str, request: bytes) -> bytes:
    """What the authority answers. Raises Refused, in words, whatever the network does."""
    from http.client import HTTPException
    from urllib.error import HTTPError
    from urllib.request import Request, urlopen

    try:
        asked = Request(url, data=request, headers={"Content-Type": _REQUEST_TYPE})
        with urlopen(asked, timeout=_PATIENCE_S) as answer:
            return cast(bytes, answer.read(ANSWER_BYTES_MAX + 1))
    except HTTPError as problem:
        problem.close()
        raise Refused(f"{url} answered {problem.code}, {problem.reason}") from problem
    except (OSError, HTTPException, ValueError) as problem:
        why = getattr(problem, "reason", problem)
        told = getattr(why, "strerror", None) or why
        raise Refused(f"{url} cannot be reached: {told}") from problem


def _record_answers(
    desk: Desk, answers: Sequence[tuple[str, bytes]], trusted: "Sequence[Certificate] | None"
) -> list[Entry]:
    recorded = []
    with desk.writing() as writing:
        for where, data in answers:
            try:
                answer = answer_of(data)
                signer = None if trusted is None else check_signature(answer, trusted)
            except Refused as problem:
                raise Refused(f"{where}: {problem}. The request waits on") from problem
            except SignatureDoubtful as problem:
                raise Refused(
                    f"{where}: the authority's signature does not hold by your file: {problem}. Is"
                    " it the authority's own certificate, or the one it was issued by?"
                ) from problem
            except ValueError as problem:
                raise Refused(f"{where} holds no time-stamp: {problem}") from problem
            one = _asked_for(desk, where, answer)
            draft = desk.draft("time_stamp_taken", _body(one, answer, signer), trip=one.head.trip)
            recorded.append(writing.append(draft))
    return recorded


def _asked_for(desk: Desk, where: str, answer: Answer) -> HeadStamps:
    """The head whose request this answers; Refused where there is none."""
    stamp = answer.stamp
    heads = head_stamps(desk, of_others=True)
    one = next((one for one in heads if one.imprint == stamp.imprint), None)
    if one is None:
        raise Refused(
            f"{where} stamps something else: no signed head in this journal has the fingerprint"
            f" {stamp.imprint.hex()[:16]}..."
        )
    size = one.checkpoint.size
    if one.taken is not None:
        raise Refused(f"{where}: the head over {size} entries has its time-stamp already")
    if one.asked is None or stamp.nonce != _nonce(one.asked):
        raise Refused(
            f"{where} stamps the head over {size} entries, and answers another request than the"
            " one recorded here (its nonce differs): an old answer, or somebody else's"
        )
    return one


def _body(one: HeadStamps, answer: Answer, signer: "Certificate | None") -> Body:
    from cryptography.hazmat.primitives.hashes import SHA256

    stamp = answer.stamp
    delay = stamp.gen_time - one.head.entry_time
    return present(
        head=one.head.hash,
        imprint=one.imprint.hex(),
        token=base64.b64encode(answer.token).decode(),
        gen_time=time_text(stamp.gen_time),
        policy=stamp.policy,
        serial=str(stamp.serial),
        delay_s=int(delay.total_seconds()),
        signature=_NOT_CHECKED if signer is None else _CHECKED,
        authority=None if signer is None else signer.fingerprint(SHA256()).hex(),
    )


def carries_certificate(taken: Entry) -> bool:
    """Whether the signer's certificate came with a time-stamp that was taken."""
    return bool(certificates_of(base64.b64decode(text_in(taken.body, "token"))))


def stamp_files(scope: Scope) -> Iterator[tuple[str, bytes]]:
    """The time-stamps of what is exported, each as a file of a bundle: its path and bytes."""
    where, values = scope.condition
    for entry in scope.desk.store.entries(f"kind = 'time_stamp_taken' AND {where}", values):
        token = base64.b64decode(text_in(entry.body, "token"))
        yield f"stamps/{entry.hash[:16]}.tst", token


def _nonce(asked: Entry) -> int:
    return int(text_in(asked.body, "nonce"), 16)


def _read(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(ANSWER_BYTES_MAX + 1)
    except OSError as problem:
        raise Refused(f"{path} cannot be read: {problem.strerror or problem}") from problem
