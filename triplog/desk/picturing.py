"""Writing pictures into a folder as SVG: those of a judged plan, that of a trip's checks."""

from collections.abc import Mapping
from pathlib import Path

from triplog.desk.desk import Desk
from triplog.desk.judging import Judgement
from triplog.desk.refused import Refused
from triplog.desk.staging import refuse_taken, staged, told_in_words
from triplog.dossier.plan_pictures import plan_pictures
from triplog.dossier.timeline import timeline_of
from triplog.drawing.svg import Drawing
from triplog.journal.trip import Trip


def write_pictures(judgement: Judgement, folder: Path) -> tuple[Path, ...]:
    """Write the pictures of a plan, all of them or none; raises Refused as `write_drawings`."""
    pictures = plan_pictures(judgement.plan, judgement.document)
    return write_drawings({one.name: one.drawing for one in pictures}, folder)


def write_timeline(desk: Desk, trip: Trip, folder: Path) -> Path:
    """Write the picture of a trip's checks; Refused before departure, and as `write_drawings`."""
    drawing = timeline_of(trip, desk.now_on(trip).wall, invented=desk.invented)
    if drawing is None:
        raise Refused(f"trip {trip.label} is {trip.state}; no check is counted on it to draw")
    (path,) = write_drawings({"checks": drawing}, folder)
    return path


def write_drawings(drawings: Mapping[str, Drawing], folder: Path) -> tuple[Path, ...]:
    """Write each drawing under its name, all of them or none.

    Raises Refused where one is there already, or the folder cannot be written.
    """
    pictures = {f"{name}.svg": drawing.svg for name, drawing in drawings.items()}
    paths = tuple(folder / name for name in pictures)
    refuse_taken(paths)
    with staged(folder) as stage, told_in_words(folder):
        for name, svg in pictures.items():
            (stage / name).write_text(svg, encoding="utf-8")
        for name in pictures:
            (stage / name).rename(folder / name)
    return paths
