"""Devices without a store: logs that are begun, go on, are copied and go another way, in memory."""

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from tests.builders import StandingClock, begun
from tests.hub.scene import HubScene
from triplog.hub.carriers import draw_code
from triplog.journal.batch import Answer, Batch, Opened, Place, answer_in, pack_batch
from triplog.journal.checkpoint import Checkpoint, log_name
from triplog.journal.device_key import DeviceKey
from triplog.journal.entries import Draft, Entry, commitment, entry_bytes, entry_of
from triplog.journal.kinds import assert_fits_kind
from triplog.journal.peaks import Peaks

Send = Callable[[bytes], Answer | None]
"""Brings a packed batch; None: no answer came."""
ROUNDS_MAX = 400


@dataclass(slots=True)
class Log:
    """A device's log. `way` stands in each entry, so that two copies go different ways.

    `keys`: its keys by the number of the entry that records each, but for the first one.
    """

    device: str
    key: DeviceKey
    clock: StandingClock = field(default_factory=StandingClock)
    way: str = "a"
    lines: list[bytes] = field(default_factory=list)
    hashes: list[str] = field(default_factory=list)
    ends: dict[str, str] = field(default_factory=dict)
    openings: list[Opened] = field(default_factory=list)
    peaks: Peaks = field(default_factory=Peaks)
    keys: dict[int, DeviceKey] = field(default_factory=dict)

    def append(self, draft: Draft) -> Entry:
        """The next entry, a minute later."""
        kind, seq = assert_fits_kind(draft), len(self.lines)
        salt = hashlib.sha256(f"{self.device} {self.way} {seq}".encode()).hexdigest()[:32]
        data = entry_bytes(
            draft,
            device=self.device,
            seq=seq,
            prev=self.hashes[-1] if seq else None,
            trip_prev=self.ends.get(draft.trip or ""),
            version=kind.version,
            reading=self.clock.forward(minutes=1),
            commitments={n: commitment(salt, n, value) for n, value in draft.private.items()},
            idem=f"{self.way}-{seq}",
        )
        return self.put(data, [(name, salt, value) for name, value in draft.private.items()])

    def put(self, data: bytes, opened: list[tuple[str, str, str]]) -> Entry:
        """An entry that was written elsewhere."""
        entry = entry_of(data)
        self.lines.append(data)
        self.hashes.append(entry.hash)
        self.peaks.add(data)
        if entry.trip is not None:
            self.ends[entry.trip] = entry.hash
        self.openings += [Opened(entry.hash, *one) for one in opened]
        return entry

    def sign(self, key: DeviceKey | None = None) -> Entry:
        """Sign what there is, with its own key unless with another."""
        size = len(self.lines)
        head = Checkpoint(origin=log_name(self.device), size=size, root=self.peaks.root)
        note = (key or self.key).sign(head).text
        body = {"size": size, "root": self.peaks.root.hex(), "why": "departed", "signed_note": note}
        return self.append(by_program("checkpoint_signed", body))

    def change_key(self) -> Entry:
        """A new key, which the log names with the one it had before."""
        before = self.key.text
        self.key = DeviceKey(log_name(self.device), drawn_key(f"{self.way} {len(self.lines)}"))
        self.keys[len(self.lines)] = self.key
        body = {"key": self.key.text, "why": "lost", "before": before}
        return self.append(by_program("key_recorded", body))

    def copy(self, way: str, length: int | None = None) -> "Log":
        """A copy as it was at some length, with the key of then, that goes a way of its own."""
        if length is None or length == len(self.lines):
            made = replace(self, way=way, clock=replace(self.clock))
            made.lines, made.hashes = list(self.lines), list(self.hashes)
            made.ends, made.openings = dict(self.ends), list(self.openings)
            made.peaks, made.keys = Peaks(list(self.peaks.found)), dict(self.keys)
            return made
        keys = {seq: key for seq, key in self.keys.items() if seq < length}
        first = DeviceKey(log_name(self.device), drawn_key(self.device))
        key = keys[max(keys)] if keys else first
        made = Log(self.device, key, replace(self.clock), way, keys=keys)
        for data in self.lines[:length]:
            made.put(data, [])
        kept = set(made.hashes)
        made.openings = [one for one in self.openings if one.entry in kept]
        return made

    def place(self, seq: int) -> Place | None:
        """The place of the entry with that number; None: before the first."""
        return None if seq < 0 else Place(seq, self.hashes[seq])

    def has(self, place: Place) -> bool:
        """Whether this very entry is in it."""
        return place.seq < len(self.hashes) and self.hashes[place.seq] == place.hash

    def batch(self, begin: int = 0, end: int | None = None, *, sent_ms: int = 0) -> Batch:
        """Its entries from one number to before another, with their private values."""
        hashes = set(self.hashes[begin:end])
        return Batch(
            device=self.device,
            after=self.place(begin - 1),
            sent_ms=sent_ms,
            entries=tuple(self.lines[begin:end]),
            openings=tuple(one for one in self.openings if one.entry in hashes),
        )

    def push(
        self,
        send: Send,
        cut: Callable[[int], int],
        at: Place | None = None,
        *,
        sent_ms: int = 0,
    ) -> Answer | None:
        """Bring all of it as a device does, from the hub's own head; the last answer.

        `cut`: how many of so many entries go at once. `sent_ms`: what the device's clock shows.
        Ends where the hub holds another history, or later entries; None: no answer came.
        """
        answer = None
        for _ in range(ROUNDS_MAX):
            begin = 0 if at is None else at.seq + 1
            left = len(self.lines) - begin
            end = begin + (cut(left) if left else 0)
            answer = send(pack_batch(self.batch(begin, end, sent_ms=sent_ms)))
            if answer is None:
                return None
            if answer.outcome == "resume":
                at = next((one for one in answer.earlier if self.has(one)), None)
            elif answer.outcome == "forked" or answer.head is None:
                return answer
            elif self.has(answer.head):
                at = answer.head
                if at.seq == len(self.lines) - 1 and answer.outcome == "taken":
                    return answer
            elif answer.outcome == "behind" and end < len(self.lines):
                at = self.place(end - 1)  # all alike so far; another history may begin behind it
            else:
                return answer
        raise AssertionError(f"{ROUNDS_MAX} rounds did not bring it all")


def new_log(device: str) -> Log:
    """A log that was begun and has its first key."""
    made = Log(device, DeviceKey(log_name(device), drawn_key(device)))
    made.append(begun())
    made.append(by_program("key_recorded", {"key": made.key.text, "why": "set up"}))
    return made


def drawn_key(seed: str) -> Ed25519PrivateKey:
    """A key of a test, the same each time."""
    return Ed25519PrivateKey.from_private_bytes(hashlib.sha256(seed.encode()).digest())


def by_program(kind: str, body: Mapping[str, object], trip: str | None = None) -> Draft:
    """What is recorded without anybody."""
    return Draft(kind=kind, body=dict(body), by="nobody", via="program", trip=trip)


def pair_log(scene: HubScene, log: Log) -> str:
    """Pair the log's device; what it shows from then on."""
    code = draw_code(
        scene.database, scene.carrier, log.device[:20], is_office=False, now=scene.clock.wall
    )
    told = {"code": code, "device": log.device, "key": log.key.text}
    answer = scene.ask("POST", "/pair", json=told)
    assert answer.status_code == 200, answer.text
    return str(answer.json()["secret"])


def asked(scene: HubScene, secret: str, packed: bytes) -> tuple[int, bytes]:
    """Bring bytes to the hub: the answer's status and body."""
    headers = {"authorization": f"Bearer {secret}"}
    response = scene.ask("POST", "/push", content=packed, headers=headers)
    return response.status_code, response.content


def answered(scene: HubScene, secret: str, packed: bytes) -> Answer:
    """Bring a batch that is taken or told why not."""
    status, body = asked(scene, secret, packed)
    assert status == 200, body
    return answer_in(body)
