"""Keeping the store: back-up, restore, rebuild, and the whole chain checked."""

from contextlib import closing
from pathlib import Path

from triplog.desk.desk import NOBODY, Desk, open_desk
from triplog.desk.destroying import destroy_again
from triplog.desk.refused import Refused
from triplog.desk.setting_up import refuse_existing
from triplog.journal.entries import Clock, Entry
from triplog.journal.store import restore_store
from triplog.journal.store_file import STORE_NAME, newborn
from triplog.journal.trip import records_in
from triplog.version import __version__


def back_up(desk: Desk, target: Path) -> Entry:
    """Write a consistent copy of the store, then record that it was made."""
    if target.exists():
        raise Refused(f"{target} is there already; name another file")
    if not target.parent.is_dir():
        raise Refused(f"there is no folder {target.parent}; make it first, or name another")
    heads = {device: head for device, (_, head) in desk.store.heads().items()}
    desk.store.copy_to(target)
    return desk.record(desk.draft("backed_up", {"heads": heads}))


def restore(
    backup: Path, home: Path, clock: Clock, *, told_heads: list[str], heads: Path | None = None
) -> tuple[Desk, dict[str, tuple[int, str]]]:
    """Go on from a back-up as a new device; the chains found are kept and named.

    `told_heads`: later heads somebody knows of, from paper, an export or an office, so that what
    was lost since the back-up is at least known to be missing. `heads`: the second place; what it
    says was destroyed since the back-up is destroyed again.
    """
    refuse_existing(home)
    if not backup.is_file():
        raise Refused(f"there is no file {backup} to restore from")
    with newborn(home / STORE_NAME) as path, closing(restore_store(backup, path)) as store:
        by = store.fact("typist") or NOBODY
        desk = Desk(home=home, store=store, clock=clock, by=by, heads=heads)
        found = store.heads()
        with desk.writing() as writing:
            writing.append(
                desk.draft(
                    "store_restored",
                    {
                        "from_heads": {device: head for device, (_, head) in found.items()},
                        "told_heads": told_heads,
                        "program": __version__,
                    },
                )
            )
            destroy_again(desk, writing)
    return open_desk(home, clock, heads=heads), found


def destroyed_again(desk: Desk) -> int:
    """How many private values a restore brought back and destroyed again."""
    where, own = "kind = 'openings_destroyed' AND device = ?", desk.store.device
    acts = desk.store.entries(where, (own,))
    return sum(len(records_in(one.body, "openings")) for one in acts)


def rebuild(desk: Desk) -> int:
    """Make the derived tables anew from the journal; returns the number of entries."""
    desk.store.rebuild(desk.tables)
    (count,) = desk.store.raw.execute("SELECT count(*) FROM entry").fetchone()
    return int(count)
