"""Writing the pictures of a judged plan into a folder."""

from pathlib import Path

from triplog.desk.judging import Judgement
from triplog.desk.refused import Refused
from triplog.dossier.plan_pictures import plan_pictures


def write_pictures(judgement: Judgement, folder: Path) -> tuple[Path, ...]:
    """Write each picture as an SVG file; a file that is there already is not touched.

    Raises Refused where one is there already, or the folder cannot be written.
    """
    pictures = plan_pictures(judgement.plan, judgement.document)
    paths = [folder / f"{one.name}.svg" for one in pictures]
    taken = [path for path in paths if path.exists()]
    if taken:
        raise Refused(f"{taken[0]} is there already; name another folder with --to")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, one in zip(paths, pictures, strict=True):
            path.write_text(one.drawing.svg, encoding="utf-8")
    except OSError as problem:
        why = problem.strerror or str(problem)
        raise Refused(f"the pictures cannot be written to {folder}: {why}") from problem
    return tuple(paths)
