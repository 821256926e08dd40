"""Writing the pictures of a judged plan into a folder."""

from pathlib import Path

from triplog.desk.judging import Judgement
from triplog.desk.staging import refuse_taken, staged, told_in_words
from triplog.dossier.plan_pictures import plan_pictures


def write_pictures(judgement: Judgement, folder: Path) -> tuple[Path, ...]:
    """Write each picture as an SVG file, all of them or none.

    Raises Refused where one is there already, or the folder cannot be written.
    """
    pictures = {
        f"{one.name}.svg": one.drawing.svg
        for one in plan_pictures(judgement.plan, judgement.document)
    }
    paths = tuple(folder / name for name in pictures)
    refuse_taken(paths)
    with staged(folder) as stage, told_in_words(folder):
        for name, svg in pictures.items():
            (stage / name).write_text(svg, encoding="utf-8")
        for name in pictures:
            (stage / name).rename(folder / name)
    return paths
