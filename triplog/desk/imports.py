"""What a trip has beside its own records, in lines: the ways and the duty that were imported."""

from collections.abc import Iterator

from triplog.checks import odometer_unit
from triplog.desk.desk import Desk
from triplog.desk.finding_things import person_label
from triplog.journal.imported import duty_differences
from triplog.journal.imported_ways import beside_odometer, imported_ways
from triplog.journal.trip import Trip
from triplog.wording.feeds import difference_lines, way_lines


def import_lines(desk: Desk, trip: Trip) -> Iterator[str]:
    """Ways beside the odometer, and where imported duty is not what was typed."""
    offset_min, unit = desk.now().offset_min, odometer_unit(trip) or "mi"
    for way in imported_ways(trip):
        name = desk.store.openings(way.entries[0]).get("name")
        beside = beside_odometer(trip, way)
        yield from way_lines(way, beside, name, unit=unit, offset_min=offset_min)
    differences = duty_differences(trip)
    names = {one.driver: person_label(desk, one.driver) for one in differences}
    yield from difference_lines(differences, names, offset_min)
