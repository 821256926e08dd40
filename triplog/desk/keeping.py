"""Keeping the store: back-up, restore, rebuild, and the whole chain checked."""

from pathlib import Path

from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.journal.entries import Clock, Entry
from triplog.journal.store import restore_store
from triplog.journal.store_file import STORE_NAME
from triplog.version import __version__


def back_up(desk: Desk, target: Path) -> Entry:
    """Write a consistent copy of the store, its own entry included."""
    if target.exists():
        raise Refused(f"{target} is there already; name another file")
    if not target.parent.is_dir():
        raise Refused(f"there is no folder {target.parent}; make it first, or name another")
    heads = {device: head for device, (_, head) in desk.store.heads().items()}
    entry = desk.record(desk.draft("backed_up", {"heads": heads}))
    desk.store.copy_to(target)
    return entry


def restore(
    backup: Path, home: Path, clock: Clock, *, told_heads: list[str]
) -> tuple[Desk, dict[str, tuple[int, str]]]:
    """Go on from a back-up as a new device; the chains found are kept and named.

    `told_heads`: later heads somebody knows of, from paper, an export or an office, so that what
    was lost since the back-up is at least known to be missing.
    """
    store = restore_store(backup, home / STORE_NAME)
    desk = Desk(home=home, store=store, clock=clock, by=store.fact("typist") or "nobody")
    heads = store.heads()
    with desk.writing() as writing:
        writing.append(
            desk.draft(
                "store_restored",
                {
                    "from_heads": {device: head for device, (_, head) in heads.items()},
                    "told_heads": told_heads,
                    "program": __version__,
                },
            )
        )
    return desk, heads


def rebuild(desk: Desk) -> int:
    """Make the derived tables anew from the journal; returns the number of entries."""
    desk.store.rebuild(desk.tables)
    (count,) = desk.store.raw.execute("SELECT count(*) FROM entry").fetchone()
    return int(count)
