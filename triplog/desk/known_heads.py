"""Heads of a log that somebody knows of, and whether a copy of the log reaches them."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from triplog.desk.refused import Refused
from triplog.journal.checkpoint import (
    NOTE_BYTES_MAX,
    Checkpoint,
    CheckpointBroken,
    log_name,
    signed_of,
)
from triplog.journal.peaks import peaks_of
from triplog.journal.store import Store
from triplog.journal.tree import Hash

_HEAD = re.compile(r"([a-z0-9]+):([0-9]{1,15}):([0-9a-f]{64})")
_CODE = re.compile(r"[A-Z2-7]{20}")
_LOG = log_name("")


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownHead:
    """What is known of a log: of its entry `seq` the hash; or its head; or only a head's code."""

    text: str
    device: str | None = None
    seq: int | None = None
    hash: str | None = None
    head: Checkpoint | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a copy stands to a known head. `size`: how many entries the copy has of that device."""

    known: KnownHead
    size: int
    is_reached: bool
    sentence: str

    @property
    def as_body(self) -> dict[str, object]:
        """As it is recorded."""
        return {"device": self.known.device, "size": self.size, "told": self.known.text}


def known_head(text: str) -> KnownHead:
    """A head as somebody tells it: DEVICE:NUMBER:FINGERPRINT, a file with a checkpoint, or a code.

    Raises Refused for anything else.
    """
    found = _HEAD.fullmatch(text.strip().lower())
    if found:
        device, seq, digest = found.groups()
        return KnownHead(text=found[0], device=device, seq=int(seq), hash=digest)
    path = Path(text)
    if path.is_file():
        return _in_file(path)
    code = text.replace("-", "").replace(" ", "").upper()
    if _CODE.fullmatch(code):
        return KnownHead(text="-".join(code[at : at + 5] for at in range(0, 20, 5)))
    raise Refused(
        f"{text!r} is no head: give DEVICE:NUMBER:FINGERPRINT, the file of a checkpoint, or the"
        " twenty letters of its code"
    )


def kept_heads(store: Store, folders: Iterable[Path | None]) -> list[KnownHead]:
    """The last signed head of each device in a store, as it is kept in a second place.

    Raises Refused, naming it, for a file that holds no head.
    """
    found = []
    for folder in folders:
        for device in store.devices() if folder is not None else ():
            path = folder / f"{device}.checkpoint" if folder is not None else Path()
            if path.is_file():
                found.append(_in_file(path))
    return found


def standing(store: Store, known: KnownHead) -> Standing:
    """How a store stands to a known head."""
    if known.device is None:
        return _standing_to_code(store, known)
    last = store.head(known.device)
    size = 0 if last is None else last[0] + 1
    wanted = known.head.size if known.head is not None else (known.seq or 0) + 1
    if size < wanted:
        whose = f"of device {known.device}"
        sentence = (
            f"the back-up has {size} entries {whose} and {wanted} are known of: the last"
            f" {wanted - size} are not in it"
        )
        return Standing(known=known, size=size, is_reached=False, sentence=sentence)
    if known.head is not None:
        fits = _root(store, known.device, wanted) == known.head.root
    else:
        row = store.raw.execute(
            "SELECT hash FROM entry WHERE device = ? AND seq = ?", (known.device, known.seq)
        ).fetchone()
        fits = row is not None and row[0] == known.hash
    sentence = (
        f"the back-up reaches the head over {wanted} entries of device {known.device}"
        if fits
        else f"the back-up tells another history of device {known.device} than the head that is"
        f" known over {wanted} entries: keep both"
    )
    return Standing(known=known, size=size, is_reached=fits, sentence=sentence)


def _standing_to_code(store: Store, known: KnownHead) -> Standing:
    for entry in store.entries("kind = 'checkpoint_signed'"):
        head = signed_of(str(entry.body["signed_note"])).checkpoint
        if head.code == known.text:
            sentence = f"the back-up holds the head of the code {known.text}"
            return Standing(known=known, size=head.size, is_reached=True, sentence=sentence)
    sentence = f"the back-up holds no head of the code {known.text}: it is older, or of another log"
    return Standing(known=known, size=0, is_reached=False, sentence=sentence)


def _root(store: Store, device: str, size: int) -> Hash:
    """The root over the first entries of a device, from the entries alone."""
    rows = store.raw.execute(
        "SELECT data FROM entry WHERE device = ? AND seq < ? ORDER BY seq", (device, size)
    )
    return peaks_of(data for (data,) in rows).root


def _in_file(path: Path) -> KnownHead:
    try:
        with path.open("rb") as file:
            head = signed_of(file.read(NOTE_BYTES_MAX + 1).decode()).checkpoint
    except OSError as problem:
        raise Refused(f"{path} cannot be read: {problem.strerror or problem}") from problem
    except (UnicodeDecodeError, CheckpointBroken) as problem:
        raise Refused(f"{path} holds no signed head: {problem}. Look at it, or put it aside") from (
            problem
        )
    device = head.origin.removeprefix(_LOG)
    text = f"{device}:{head.size}:root:{head.root.hex()}"
    return KnownHead(text=text, device=device, head=head)
