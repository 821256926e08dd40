"""A person's own copy: every trip they drove or helped with, without asking the office."""

from pathlib import Path

from exports.pdf_sheet import Paper
from triplog.desk.desk import Desk
from triplog.desk.exporting import Exported, export
from triplog.desk.finding_things import person_label
from triplog.desk.refused import Refused
from triplog.desk.withholding import Wish, trips_of


def export_own(
    desk: Desk,
    folder: Path,
    forms: tuple[str, ...],
    wish: Wish,
    *,
    paper: Paper | None = None,
    as_folder: bool = False,
) -> list[Exported]:
    """Write each trip of `wish.mine` into a folder, one after the other, each recorded by itself.

    Refused where the person took part in none, and where a trip cannot be written: those before
    it are written and recorded then, and the message says so.
    """
    assert wish.mine is not None, "an own copy is somebody's"
    made: list[Exported] = []
    trips = trips_of(desk, wish.mine)
    if not trips:
        raise Refused(f"{person_label(desk, wish.mine)} took part in no trip of this journal")
    for trip_id in trips:
        try:
            trip = desk.trip(trip_id)
            made.append(
                export(desk, folder, forms, trip, paper=paper, wish=wish, as_folder=as_folder)
            )
        except Refused as problem:
            if not made:
                raise
            raise Refused(
                f"{len(made)} of {len(trips)} trips are written and recorded, then: {problem}"
            ) from problem
        # A key from outside stands for the whole act: its first entry carries it.
        desk.key = None
    return made
