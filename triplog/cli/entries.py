"""`triplog entries`: the journal itself."""

import json
from typing import Annotated

import typer

from triplog.cli.exit_codes import DONE, FOUND, STORE
from triplog.cli.face import AsJson, OfTrip, face, leave, show, show_json
from triplog.cli.lines import tell


def entries(
    context: typer.Context,
    entry: Annotated[
        str | None, typer.Argument(help="One entry, by the start of its hash: all of it.")
    ] = None,
    last: Annotated[
        int | None, typer.Option("--last", min=1, help="Only so many, the newest.")
    ] = None,
    check: Annotated[
        bool, typer.Option("--check", help="Check the hash and the link of every entry.")
    ] = False,
    trip: OfTrip = None,
    as_json: AsJson = False,
) -> None:
    """List the entries of the journal, or show one whole, or check them all."""
    from triplog.desk.finding_things import the_trip
    from triplog.desk.looking import entry_lines, entry_named
    from triplog.journal.forks import forks
    from triplog.journal.trip import TripState
    from triplog.screen import entry_line
    from triplog.wording.moving import fork_lines

    desk = face(context).desk()
    if check:
        broken = desk.store.check()
        for sentence in broken:
            tell(sentence)
        heads = desk.store.heads()
        show(f"{device}: {seq + 1} entries, head {head}" for device, (seq, head) in heads.items())
        found_forks = forks(desk.store)
        show(fork_lines(found_forks))
        show(["the chains hold together" if not broken else f"{len(broken)} places do not hold"])
        return leave(STORE if broken else FOUND if found_forks else DONE)
    if entry is not None:
        found = entry_named(desk, entry)
        opened = desk.store.openings(found.hash)
        told = {"hash": found.hash, "opened": opened}
        gone = sorted(found.private.keys() - opened.keys())
        if gone:
            told["destroyed"] = gone
        return show_json(json.loads(found.data) | told)
    lines = entry_lines(desk, None if trip is None else the_trip(desk, trip, TripState), last)
    if as_json:
        return show_json(
            [
                json.loads(one.entry.data)
                | {"hash": one.entry.hash, "standing": one.standing, "opened": one.opened}
                for one in lines
            ]
        )
    return show(entry_line(one.entry, one.standing, one.opened) for one in lines)


COMMANDS = {"entries": entries}
