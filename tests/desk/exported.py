"""What the tests of exports share: an office with a trip under way, an export, its bundle."""

import zipfile
from pathlib import Path

from exports.verify import Report, verify
from tests.dossier.scene import Office
from triplog.desk.desk import Desk
from triplog.desk.exporting import FORMS, Exported, export
from triplog.journal.trip import Trip


def under_way(yard: Office) -> Trip:
    """A trip with two articles under four straps that has departed."""
    return yard.departed(yard.judged(yard.loaded(2, 4)))


def count(desk: Desk) -> int:
    """How many entries the journal has."""
    (entries,) = desk.store.raw.execute("SELECT count(*) FROM entry").fetchone()
    return int(entries)


def exported(yard: Office, folder: Path, trip: Trip | None, *forms: str) -> Exported:
    """Export a minute later."""
    yard.clock.forward(minutes=1)
    return export(yard.desk, folder, forms or FORMS, trip)


def member(bundle: Path, name: str) -> bytes:
    """The bytes of a file of a zipped bundle."""
    with zipfile.ZipFile(bundle) as packed:
        return packed.read(f"{bundle.stem}/data/{name}")


def faultless(bundle: Path) -> Report:
    """The report on a bundle in which nothing is wrong."""
    report = verify(bundle)
    assert report.problems == ()
    return report
