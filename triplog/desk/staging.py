"""Files written all or none: under a temporary name first, and in words where they cannot be."""

import shutil
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import mkdtemp

from triplog.desk.refused import Refused
from triplog.journal.store_file import StoreUnusable, sync_folder


@contextmanager
def told_in_words(folder: Path) -> Iterator[None]:
    """Turn what the disk says about files in a folder into a refusal."""
    try:
        yield
    except OSError as problem:
        why = problem.strerror or str(problem)
        raise Refused(
            f"the files cannot be written to {folder}: {why}. Nothing of them is left there; make"
            " room or allow writing there, or name another folder"
        ) from problem


@contextmanager
def staged(folder: Path) -> Iterator[Path]:
    """A folder with a temporary name inside `folder`, on the same disk; gone in the end.

    `folder` is made where it is missing, and goes too if nothing was put into it.
    """
    made: list[Path] = []
    stage = None
    try:
        with told_in_words(folder):
            if folder.exists() and not folder.is_dir():
                raise Refused(f"{folder} is no folder; name another")
            made += [one for one in (folder, *folder.parents) if not one.exists()]
            folder.mkdir(parents=True, exist_ok=True)
            stage = Path(mkdtemp(prefix=".triplog-", suffix=".partial", dir=folder))
        yield stage
    finally:
        if stage is not None:
            shutil.rmtree(stage, ignore_errors=True)
        for one in made:
            with suppress(OSError):  # it holds what was written
                one.rmdir()


def give_names(stage: Path, folder: Path, names: Iterable[str]) -> None:
    """Give staged files their names in `folder`, once what tells of them is recorded.

    Raises StoreUnusable, in words, where the disk does not take them; then none is left under its
    name.
    """
    given: list[Path] = []
    try:
        for name in names:
            (stage / name).replace(folder / name)
            given.append(folder / name)
        sync_folder(folder)
    except OSError as problem:
        for path in given:
            with suppress(OSError):
                shutil.rmtree(path) if path.is_dir() else path.unlink()
        why = problem.strerror or str(problem)
        raise StoreUnusable(
            f"it is recorded, but its files cannot be put into {folder}: {why}. Make room or allow"
            " writing there, and do it again, or name another folder"
        ) from problem


def refuse_taken(paths: Iterable[Path]) -> None:
    """Refuse to write over a file that is there already."""
    for path in paths:
        if path.exists():
            raise Refused(f"{path} is there already; name another folder with --to")
