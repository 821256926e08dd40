"""What a hub's answer brings: its signature below our head, and what the office has written."""

from collections.abc import Iterable
from dataclasses import dataclass

from triplog.desk.desk import Desk
from triplog.desk.destroying import destroy_again
from triplog.desk.hub_pairing import Pairing
from triplog.desk.refused import Refused
from triplog.desk.taking_in import record_taken
from triplog.desk.witness import countersigned_draft, refuse_not_countersigned
from triplog.journal.batch import Answer
from triplog.journal.checkpoint import CheckpointBroken, Signed, key_of, signed_of
from triplog.journal.cosignature import cosigned_at
from triplog.journal.device_key import did_sign
from triplog.journal.entries import Entry, EntryBroken, entry_of, time_text
from triplog.journal.forks import Evidence
from triplog.journal.store import Writing
from triplog.journal.taking_in import NotTaken, OpeningRow, Taken, take_in

SOURCE = "hub"
_HEAD = "what the hub signed"
_TELLS_OF_CONTACT = frozenset({"journal_taken_in", "countersignature_taken"})
"""Kinds that are not recorded as received: two offices would tell each other so without an end."""


@dataclass(frozen=True, slots=True)
class FromHub:
    """What the office has written, as an answer brings it."""

    answer: Answer

    def lines(self) -> Iterable[bytes]:
        """The entries, by device and number."""
        return self.answer.entries

    def openings(self) -> Iterable[OpeningRow]:
        """What may be read of them."""
        return self.answer.openings

    def evidence(self) -> Iterable[Evidence]:
        """None: what the hub keeps of forks stays there."""
        return ()


def signed_head(desk: Desk, pairing: Pairing, text: str) -> Signed:
    """A head of this log with both signatures of the hub below it.

    Raises Refused, in words, where it is none, or is signed with another key than the hub had.
    """
    try:
        found = signed_of(text)
        refuse_not_countersigned(desk, found, pairing.key, _HEAD)
        if cosigned_at(found, *key_of(pairing.key), did_sign) is None:
            raise Refused(f"{_HEAD} lacks the signature with its time")
    except CheckpointBroken as problem:
        raise Refused(f"{_HEAD} is no signed head: {problem}") from problem
    return found


def record_signed(desk: Desk, writing: Writing, pairing: Pairing, found: Signed) -> Entry:
    """Record that a head of this log came back signed. Raises Refused where it is another's."""
    return writing.append(countersigned_draft(desk, found, pairing.key, _HEAD))


def take_from_office(desk: Desk, answer: Answer) -> Taken:
    """Take in what the office has written, all of it or nothing. Raises Refused, in words.

    What was destroyed, here or there, stays destroyed.
    """
    with desk.writing(whatever_came=True) as writing:
        is_news = _is_news(desk, answer.entries)
        try:
            taken = take_in(
                desk.store,
                FromHub(answer),
                rows=desk.tables,
                did_sign=did_sign,
                source=SOURCE,
                taken_at=time_text(writing.reading.wall),
                invented=desk.invented,
            )
        except NotTaken as problem:
            raise Refused(f"what the office wrote cannot be taken in: {problem}") from problem
        if is_news or taken.new_evidence:
            record_taken(desk, writing, SOURCE, taken)
        if taken.openings or taken.new:
            destroy_again(desk, writing)
    return taken


def _is_news(desk: Desk, lines: Iterable[bytes]) -> bool:
    """Whether anything is new here that does not only tell of a contact with the hub."""
    held: dict[str, int] = {}
    for line in lines:
        try:
            entry = entry_of(line)
        except EntryBroken:
            continue  # taking it in says what is wrong with it
        if entry.device not in held:
            held[entry.device] = (desk.store.head(entry.device) or (-1, ""))[0]
        if entry.seq > held[entry.device] and entry.kind not in _TELLS_OF_CONTACT:
            return True
    return False
