"""Beginning a journal, and the carrier's card."""

from contextlib import closing
from pathlib import Path
from typing import Literal, TypeAlias

from triplog.desk.checkpoints import record_key
from triplog.desk.desk import Desk, open_desk, present
from triplog.desk.finding_things import refuse_empty_label
from triplog.desk.people import refuse_unknown_roles
from triplog.desk.refused import Refused
from triplog.journal.entries import Clock, Entry
from triplog.journal.folding import in_force
from triplog.journal.store import create_store, new_id
from triplog.journal.store_file import STORE_NAME, newborn
from triplog.journal.trip import text_in
from triplog.securement.quantity import Dimension, parse
from triplog.version import __version__

Units: TypeAlias = Literal["us", "si"]
_KEEP, _LEAVE_OUT = "keep", "leave-out"
Paper: TypeAlias = Literal["letter", "a4"]


def units_word(word: str) -> Units:
    """Which units are read first, as typed; Refused for any other word."""
    words: dict[str, Units] = {"us": "us", "si": "si"}
    if word in words:
        return words[word]
    raise Refused(f"units are us or si, found {word!r}")


def paper_word(word: str) -> Paper:
    """Which paper is printed on, as typed; Refused for any other word."""
    words: dict[str, Paper] = {"letter": "letter", "a4": "a4"}
    if word in words:
        return words[word]
    raise Refused(f"paper is letter or a4, found {word!r}")


def begin(
    home: Path,
    clock: Clock,
    *,
    carrier: str,
    person: str,
    person_name: str | None,
    roles: list[str],
    units: Units,
    paper: Paper,
) -> Desk:
    """Make the journal of a home folder with its carrier and its first person, who types here."""
    refuse_unknown_roles(roles)
    refuse_empty_label(person)
    refuse_existing(home)
    with newborn(home / STORE_NAME) as path, closing(create_store(path)) as store:
        desk = Desk(home=home, store=store, clock=clock)
        _first_entries(
            desk,
            carrier=carrier,
            person=person,
            person_name=person_name,
            roles=roles,
            units=units,
            paper=paper,
        )
    return open_desk(home, clock)


def refuse_existing(home: Path) -> None:
    """Refuse to make a journal where there is one, or where something else is in the way."""
    if (home / STORE_NAME).exists():
        raise Refused(f"there is a journal at {home / STORE_NAME} already; name another folder")
    if home.exists() and not home.is_dir():
        raise Refused(f"{home} is a file; name a folder")


def _first_entries(
    desk: Desk,
    *,
    carrier: str,
    person: str,
    person_name: str | None,
    roles: list[str],
    units: Units,
    paper: Paper,
) -> None:
    invented = desk.now().source == "demo"
    with desk.writing() as writing:
        person_id = new_id()
        writing.append(
            desk.draft("store_begun", {"format": 1, "invented": invented, "program": __version__})
        )
        writing.append(
            desk.draft(
                "person_recorded",
                {"id": person_id, "label": person, "roles": list(roles)},
                private={"name": person_name},
            )
        )
        desk.by = person_id
        writing.append(
            desk.draft(
                "carrier_recorded", {"units": units, "paper": paper}, private={"name": carrier}
            )
        )
        record_key(desk, writing, "set up")
        desk.store.set_fact("typist", person_id)
        desk.store.set_fact("invented", "yes" if invented else "no")


def record_carrier(
    desk: Desk,
    *,
    name: str | None = None,
    units: Units | None = None,
    paper: Paper | None = None,
    office_margin: str | None = None,
    positions: str | None = None,
) -> Entry:
    """Change the carrier's card; what is not given stays as it is.

    `office_margin`: how far a check may be driven late before the office is told; "none" takes it
    off again. `positions`: "keep" those of imported tracks, private, or "leave out".
    """
    if all(one is None for one in (name, units, paper, office_margin, positions)):
        raise Refused("nothing to change was given: name, units, paper, office margin, positions")
    margin = _card(desk).get("office_margin") if office_margin is None else _margin(office_margin)
    return desk.record(
        desk.draft(
            "carrier_recorded",
            present(
                units=units or units_of(desk),
                paper=paper or paper_of(desk),
                office_margin=margin,
                positions=_card(desk).get("positions") if positions is None else _kept(positions),
            ),
            private={"name": name or carrier_name(desk)},
        )
    )


def office_margin(desk: Desk) -> str | None:
    """How far a check may be driven late before the office is told; None: it is not told."""
    return _card(desk).get("office_margin")


def positions_kept(desk: Desk) -> bool:
    """Whether positions of imported tracks, and of photos, are kept; off unless switched on."""
    return _card(desk).get("positions") == _KEEP


def _kept(word: str) -> str:
    if word not in (_KEEP, _LEAVE_OUT):
        raise Refused(f"--positions is {_KEEP} or {_LEAVE_OUT}, found {word!r}")
    return word


def _margin(typed: str) -> str | None:
    if typed.strip().lower() == "none":
        return None
    try:
        margin = parse(typed, Dimension.LENGTH)
    except ValueError as problem:
        raise Refused(str(problem)) from problem
    if margin.unit not in ("mi", "km"):
        raise Refused(f"the office margin is a way driven, in mi or km, found {typed!r}")
    return typed.strip()


def units_of(desk: Desk) -> Units:
    """The units this carrier reads first."""
    return "si" if _card(desk).get("units") == "si" else "us"


def paper_of(desk: Desk) -> Paper:
    """The paper this carrier prints on."""
    return "a4" if _card(desk).get("paper") == "a4" else "letter"


def carrier_name(desk: Desk) -> str | None:
    """The carrier's name; None: never given, or destroyed."""
    entries = list(desk.store.entries("kind = 'carrier_recorded' AND trip IS NULL"))
    cards = in_force(entries)
    return desk.store.openings(cards[-1].entry.hash).get("name") if cards else None


def set_typist(desk: Desk, person_id: str) -> None:
    """Say who is typing on this machine from now on; a setting of the machine, no entry."""
    with desk.writing():
        desk.store.set_fact("typist", person_id)
    desk.by = person_id


def _card(desk: Desk) -> dict[str, str]:
    cards = in_force(desk.store.entries("kind = 'carrier_recorded' AND trip IS NULL"))
    if not cards:
        return {}
    body = cards[-1].entry.body
    return {
        name: text_in(body, name)
        for name in ("units", "paper", "office_margin", "positions")
        if name in body
    }
