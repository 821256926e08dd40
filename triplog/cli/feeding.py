"""`triplog readings`: what another instrument wrote, beside what people recorded."""

import gc
import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import Face, OfTrip, face, leave, local_time, recorded, show
from triplog.cli.hanging_up import TERMINAL_CLOSED, TOLD_TO_END, interrupting
from triplog.cli.lines import tell
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from triplog.desk.desk import Desk
    from triplog.journal.trip import Trip


def readings(
    context: typer.Context,
    source: Annotated[
        str,
        typer.Argument(
            metavar="FILE", help="A file; with --follow also a serial device or tcp://HOST:PORT."
        ),
    ],
    kind: Annotated[
        str | None,
        typer.Option("--kind", help="gpx, nmea, duty-file (government duty record); else guessed."),
    ] = None,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Only say what would be taken; record nothing.")
    ] = False,
    follow: Annotated[
        bool, typer.Option("--follow", help="Go on reading what comes (nmea); Ctrl-C ends it.")
    ] = False,
    driver: Annotated[
        str | None, typer.Option("--driver", help="Whose duty a duty-record file tells.")
    ] = None,
    unit: Annotated[
        str | None, typer.Option("--unit", help="The power unit, where the file names several.")
    ] = None,
    zone: Annotated[
        str | None,
        typer.Option("--zone", help="The home terminal's time zone, such as America/Chicago."),
    ] = None,
    trip: OfTrip = None,
) -> None:
    """Import readings another instrument wrote; they are never shown as our own observation."""
    from triplog.desk.feeding import DEPARTED
    from triplog.desk.feeds import source_word
    from triplog.desk.finding_things import the_trip
    from triplog.journal.trip import TripState

    here = face(context)
    desk = here.desk()
    path = Path(source)
    to_come = follow and not (path.is_file() and path.stat().st_size)
    word = source_word("nmea" if to_come and kind is None else kind, source)
    found = the_trip(desk, trip, [*DEPARTED, TripState.CLOSED] if trip else DEPARTED)
    if follow:
        if word != "nmea" or dry_run:
            raise Refused(
                "--follow goes with --kind nmea alone: other files are whole only at their end."
                " Read them again when they have grown; what is known is not recorded twice"
            )
        return _follow(desk, found, source)
    return _read(
        here,
        desk,
        found,
        Path(source),
        word,
        dry_run=dry_run,
        driver=driver,
        unit=unit,
        zone=zone,
    )


def _read(
    here: Face,
    desk: "Desk",
    trip: "Trip",
    path: Path,
    kind: str,
    *,
    dry_run: bool,
    driver: str | None,
    unit: str | None,
    zone: str | None,
) -> None:
    from triplog.checks import odometer_unit
    from triplog.desk.feeding import read_before, record_taken, refuse_by_the_driver
    from triplog.desk.feeds import Source, read_feed, zone_named
    from triplog.desk.finding_things import person_named
    from triplog.desk.fitting import take
    from triplog.desk.imports import import_lines
    from triplog.desk.road import driver_on
    from triplog.desk.setting_up import positions_kept
    from triplog.wording.feeds import MORE_COUNTS, NO_PLACES, PLACES_KEPT, READ_BEFORE, taken_lines

    if not dry_run:
        refuse_by_the_driver(desk, trip)
    feed = read_feed(path, Source(kind), now=desk.now().wall, zone=zone_named(zone))
    whose = driver_on(trip, None if driver is None else person_named(desk, driver).id)
    taken = take(desk, trip, feed, driver=whose, unit=unit)
    before = read_before(trip, feed)
    if before is not None and not taken.is_new:
        here.end(READ_BEFORE.format(name=feed.name, when=local_time(before)))
    if before is not None:
        show([MORE_COUNTS.format(name=feed.name, when=local_time(before))])
    length = odometer_unit(trip) or "mi"
    offset_min = desk.now().offset_min
    show(taken_lines(taken, feed.name, feed.digest, unit=length, offset_min=offset_min))
    if not dry_run:
        entry = here.recording(desk, lambda: record_taken(desk, trip, taken, driver=whose))
        show([recorded(entry, f"imported from {feed.name}")])
        show(import_lines(desk, desk.trip(trip.id)))
    if taken.way is not None:
        show([PLACES_KEPT if positions_kept(desk) else NO_PLACES])
    leave(FOUND if taken.noted else DONE)


def _follow(desk: "Desk", trip: "Trip", source: str) -> None:
    from triplog.desk.following import Follower, source_named

    gc.enable()
    with source_named(source, tell) as (opened, live):
        tell(f"following {source} for trip {trip.label}; Ctrl-C ends it")
        follower = Follower(
            desk=desk,
            trip_id=trip.id,
            name=source if live else Path(source).name,
            live=live,
            tell=tell,
            wait=time.sleep,
        )
        with interrupting(TERMINAL_CLOSED, TOLD_TO_END):
            follower.run(opened)
    show([f"followed {source}: {follower.parts} parts of the way recorded"])


COMMANDS = {"readings": readings}
