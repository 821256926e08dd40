"""What has to hold of a hub's tables at any moment, whatever was brought."""

from dataclasses import dataclass, field

from triplog.hub.database import Database
from triplog.journal.chain import breaks
from triplog.journal.entries import entry_of, hash_of
from triplog.journal.peaks import peaks_in, peaks_of


@dataclass(slots=True)
class Oracle:
    """What the hub has acknowledged, and what it held before: both stay for good."""

    database: Database
    acknowledged: dict[str, list[bytes]] = field(default_factory=dict)
    held: dict[str, list[bytes]] = field(default_factory=dict)
    evidence: set[tuple[str, int, str]] = field(default_factory=set)

    def took(self, device: str, lines: list[bytes]) -> None:
        """The hub has said that these lines, from the first, are with it."""
        if len(lines) > len(self.acknowledged.get(device, ())):
            self.acknowledged[device] = list(lines)

    def looks(self, devices: list[str], witness: str) -> None:
        """Look at everything; AssertionError where something does not hold."""
        for device in [*devices, witness]:
            now = self._chain(device)
            before = self.held.get(device, [])
            assert now[: len(before)] == before, f"{device}: what was held is held otherwise now"
            self.held[device] = now
        for device, lines in self.acknowledged.items():
            held = self.held[device]
            assert held[: len(lines)] == lines, f"{device}: acknowledged, and not here"
        self._witnessed(witness)
        self._evidence()

    def _chain(self, device: str) -> list[bytes]:
        with self.database.work("worker") as connection:
            rows = connection.execute(
                "SELECT seq, hash, data FROM entry WHERE device = %s ORDER BY seq", (device,)
            ).fetchall()
            chain = connection.execute(
                "SELECT seq, hash, peaks FROM chain WHERE device = %s", (device,)
            ).fetchone()
        found = [(seq, own_hash, bytes(data)) for seq, own_hash, data in rows]
        assert [seq for seq, _, _ in found] == list(range(len(found))), f"{device}: gap, or twice"
        assert not list(breaks(found)), f"{device}: {next(breaks(found))}"
        lines = [data for _, _, data in found]
        if chain is None:
            assert not lines, f"{device}: entries, and no head"
            return lines
        assert chain[0] == len(lines) - 1, f"{device}: the head is not the last entry"
        if lines:
            assert chain[1] == hash_of(lines[-1]), f"{device}: the head is not the last entry"
        assert peaks_in(bytes(chain[2])).root == peaks_of(lines).root, f"{device}: another root"
        return lines

    def _witnessed(self, witness: str) -> None:
        """Each head it says was received is in the main line."""
        for data in self.held[witness]:
            entry = entry_of(data)
            if entry.kind != "head_received":
                continue
            device, seq = str(entry.body["of"]), entry.body["seq"]
            assert isinstance(seq, int)
            lines = self.held.get(device)
            if lines is not None:
                assert hash_of(lines[seq]) == entry.body["hash"], f"{device}: said, and not held"

    def _evidence(self) -> None:
        with self.database.work("worker") as connection:
            connection.execute("RESET ROLE")
            rows = connection.execute("SELECT device, seq, hash, data FROM fork_evidence")
            found = {(device, seq, own_hash): bytes(data) for device, seq, own_hash, data in rows}
        assert self.evidence <= found.keys(), "evidence is gone"
        self.evidence = set(found)
        for (device, seq, own_hash), data in found.items():
            assert hash_of(data) == own_hash
            held = self.held.get(device)
            if held is not None:
                assert seq >= len(held) or held[seq] != data, f"{device}: no other history"
