"""The two answers to something that was recorded before; neither is a failure."""

from triplog.journal.entries import Entry


class AlreadyRecorded(Exception):
    """The idempotency key stands in the journal already; nothing was recorded again."""

    def __init__(self, entry: Entry) -> None:
        super().__init__(f"already recorded as entry {entry.hash[:8]}")
        self.entry = entry


class AskedAgain(Exception):
    """The same was recorded by the same person within two minutes; nothing was recorded."""

    def __init__(self, entry: Entry) -> None:
        super().__init__(f"the same was recorded as entry {entry.hash[:8]}")
        self.entry = entry
