"""Keeping the store: back-up, restore, rebuild, and the whole chain checked."""

import os
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from triplog.desk.checkpoints import record_key
from triplog.desk.desk import NOBODY, Desk, open_desk, present
from triplog.desk.destroying import destroy_again
from triplog.desk.known_heads import KnownHead, Standing, kept_heads, known_head, standing
from triplog.desk.refused import Refused
from triplog.desk.setting_up import refuse_existing
from triplog.journal.copies import CopyFailed, check_whole, copy_store, restore_store
from triplog.journal.device_key import KEY_NAME
from triplog.journal.entries import Clock, Entry
from triplog.journal.store import open_store
from triplog.journal.store_file import STORE_NAME, StoreUnusable, newborn
from triplog.version import __version__


@dataclass(frozen=True, slots=True, kw_only=True)
class BackedUp:
    """A back-up that was made. `beside`: files of the home folder that are not in it."""

    entry: Entry
    entries: int
    beside: tuple[str, ...]


def back_up(desk: Desk, target: Path) -> BackedUp:
    """Write a consistent copy of the store, check it, then record that it was made.

    Recorded afterwards, so that the entry never tells of a copy that is not there; the copy itself
    ends with the entry before.
    """
    if os.path.lexists(target):
        raise Refused(f"{target} is there already; name another file")
    if not target.parent.is_dir():
        raise Refused(f"there is no folder {target.parent}; make it first, or name another")
    try:
        count = copy_store(desk.store, target)
    except FileExistsError as problem:
        raise Refused(str(problem)) from problem
    except CopyFailed as problem:
        raise Refused(
            f"the back-up cannot be written to {target}: {problem}. Nothing of it is left there;"
            " make room or allow writing there, or name another place"
        ) from problem
    with closing(open_store(target, reading_only=True)) as copy:
        heads = {device: head for device, (_, head) in copy.heads().items()}
    try:
        entry = desk.record(desk.draft("backed_up", {"heads": heads}))
    except StoreUnusable as problem:
        raise StoreUnusable(
            f"the back-up {target} is there and whole; that it was made is not recorded: {problem}"
        ) from problem
    beside = sorted(
        one.name
        for one in desk.home.iterdir()
        if one.is_file() and not one.name.startswith(STORE_NAME)
    )
    return BackedUp(entry=entry, entries=count, beside=tuple(beside))


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """A journal that goes on from a back-up.

    `heads`: the last number and hash of each chain found; `told`: what is known of later, and how
    the back-up stands to it. `destroyed_again`: how many private values that had been destroyed it
    brought back.
    """

    desk: Desk
    heads: dict[str, tuple[int, str]]
    told: tuple[Standing, ...]
    destroyed_again: int


def restore(
    backup: Path,
    home: Path,
    clock: Clock,
    *,
    told_heads: list[str],
    heads_kept: Path | None = None,
    although_behind: bool = False,
) -> Restored:
    """Go on from a back-up as a new device; the chains found are kept and named.

    `told_heads`: heads somebody knows of, from paper, a file or an office; `heads_kept`: the folder
    where the last signed heads are kept. Raises Refused where the back-up does not reach one of
    them, unless `although_behind`: then what is missing is recorded. What was destroyed since, as
    that folder tells, is destroyed again.
    """
    refuse_existing(home)
    if not backup.is_file():
        raise Refused(f"there is no file {backup} to restore from")
    known = [known_head(text) for text in told_heads]
    with closing(open_store(backup, reading_only=True)) as source:
        check_whole(source)
        known += kept_heads(source, (home, heads_kept))
        found = tuple(standing(source, one) for one in known)
    behind = [one for one in found if not one.is_reached]
    if behind and not although_behind:
        raise Refused(
            "; ".join(one.sentence for one in behind) + ". Look for a later back-up, or for the"
            " journal itself. If there is none, say --although-behind: what is missing is recorded"
        )
    with newborn(home / STORE_NAME) as path, closing(restore_store(backup, path)) as store:
        heads = store.heads()
        desk = Desk(
            home=home,
            store=store,
            clock=clock,
            by=store.fact("typist") or NOBODY,
            heads=heads_kept,
        )
        again = _first_entries(desk, heads, known, behind)
    return Restored(desk=open_desk(home, clock), heads=heads, told=found, destroyed_again=again)


def _first_entries(
    desk: Desk,
    heads: dict[str, tuple[int, str]],
    known: list[KnownHead],
    behind: list[Standing],
) -> int:
    """What a restored journal begins with; how many private values were destroyed again."""
    home = desk.home
    with desk.writing() as writing:
        writing.append(
            desk.draft(
                "store_restored",
                present(
                    from_heads={device: head for device, (_, head) in heads.items()},
                    told_heads=[one.text for one in known],
                    behind=[one.as_body for one in behind] or None,
                    program=__version__,
                ),
            )
        )
        # The key of the device before may lie here still; the new one signs with its own.
        if (home / KEY_NAME).exists():
            (home / KEY_NAME).replace(home / f"{KEY_NAME}.before")
        record_key(desk, writing, "restored")
        return destroy_again(desk, writing)


def rebuild(desk: Desk) -> int:
    """Make the derived tables anew from the journal; returns the number of entries."""
    desk.store.rebuild(desk.tables)
    (count,) = desk.store.raw.execute("SELECT count(*) FROM entry").fetchone()
    return int(count)
