"""The gear inspection list: on paper a row a piece with boxes to fill, and the same as CSV."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from typing import Any

from exports.csv_sheet import Cell, CsvColumn
from exports.document import Block, Column, Document, Heading, Paragraph, Table
from triplog.securement.figures import webbing_damage_limits
from triplog.securement.model import GearKind
from triplog.securement.stock.inspected import FILLED_IN, LABEL
from triplog.wording.amounts import amount_text
from triplog.wording.gear import NOT_FOR_LIFTING, look_for, wraps_line

_BOX = "\N{BALLOT BOX}"
_FOUND_LINE = "\n" + "_" * 15
_NO_PLACE = "\N{EN DASH}"
_WITH_TENSIONER = frozenset({GearKind.RATCHET_STRAP, GearKind.WINCH_STRAP, GearKind.CHAIN})
_CAUTION = (
    "Local law, the gear's label and a competent person come first. Nothing here is a promise."
)
_FOOTER = (
    "A box ticked says: looked at, nothing found. What is damaged is set aside at once; label,"
    " maker and local law come first. Record what was found with `triplog gear inspect`, or fill"
    " in the CSV and read it with `triplog gear inspection-read`."
)
_COLUMNS = (
    Column(title="Piece", weight=9),
    Column(title="As marked", weight=8),
    Column(title="Stands, last seen", weight=9),
    Column(title="Label", align="centre", weight=4),
    Column(title="Body", align="centre", weight=4),
    Column(title="Ends", align="centre", weight=4),
    Column(title="Tight- ener", align="centre", weight=4.5),
    Column(title="Found, and its size", weight=13),
    Column(title="Stays", align="centre", weight=4),
    Column(title="Aside", align="centre", weight=4),
)
CSV_COLUMNS = tuple(
    CsvColumn(name=name)
    for name in (
        *(LABEL, "kind", "width_as_marked", "size_as_marked", "grade", "length_as_given"),
        *("wll_as_marked", "standing", "hold", "on_trip", "inspected_on", "inspect_by"),
        *("look_for", *FILLED_IN),
    )
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ListFacts:
    """What the list needs beside the gear; `carrier` None: not known; `chosen`: which gear."""

    carrier: str | None
    chosen: str
    now: datetime
    offset_min: int
    invented: bool


def inspection_list(rows: Sequence[Mapping[str, Any]], facts: ListFacts) -> Document:
    """The list as a document; `rows` are the gear as the lists have it."""
    kinds = [kind for kind in GearKind if any(row["kind"] == kind for row in rows)]
    blocks: list[Block] = [
        Paragraph(text=f"Looked at by {'_' * 30}   on {'_' * 15}"),
        Table(columns=_COLUMNS, rows=tuple(_row(row, facts.offset_min) for row in rows)),
        Heading(text="What to look for", level=2),
        *(Paragraph(text=_look_for(kind)) for kind in kinds),
        Paragraph(text=f"{wraps_line()} {NOT_FOR_LIFTING}"),
        Paragraph(text=inspector_lines(), style="small"),
        Paragraph(text=_CAUTION, style="caution"),
    ]
    zone = timezone(timedelta(minutes=facts.offset_min))
    made = facts.now.astimezone(zone).strftime("%Y-%m-%d %H:%M %Z")
    return Document(
        title="Gear inspection list",
        subtitle=f"{facts.carrier or 'carrier not recorded'}; {facts.chosen}, {len(rows)} pieces;"
        f" made {made}",
        language="en",
        blocks=tuple(blocks),
        footer=_FOOTER,
        invented=facts.invented,
    )


def csv_rows(rows: Sequence[Mapping[str, Any]], offset_min: int) -> list[tuple[Cell, ...]]:
    """The rows of the same list as CSV, the cells to fill left empty."""
    plain = ("label", "kind", "width", "size", "grade", "length", "wll", "standing", "hold")
    return [
        (
            *(row[name] for name in (*plain, "on_trip")),
            _day(row["inspected_at"], offset_min),
            row["inspect_by"],
            "; ".join(look_for(row["kind"])),
            *("",) * len(FILLED_IN),
        )
        for row in rows
    ]


def inspector_lines() -> str:
    """The inspector's out-of-service lines by width, said to be that and nothing more."""
    lines = webbing_damage_limits()
    told = ", ".join(
        f"{amount_text(one.damage, 'down')} on {width} in webbing" for width, one in lines
    )
    return (
        "No limit for use: an inspector takes webbing out of service when cuts, burns and holes,"
        f" added up across the width, are larger than: {told}"
        f" ({lines[0][1].citation.source}, {lines[0][1].citation.how_sure})."
        " Smaller damage is set aside too, unless label, maker and country allow it."
    )


def _row(row: Mapping[str, Any], offset_min: int) -> tuple[str, ...]:
    size = " ".join(str(row[name]) for name in ("width", "size", "grade", "length") if row[name])
    stands = [row["hold"] or row["standing"]]
    if row["on_trip"]:
        stands.append(f"on {row['on_trip']}")
    stands.append(f"seen {_day(row['inspected_at'], offset_min) or 'never'}")
    if row["inspect_by"]:
        stands.append(f"due {row['inspect_by']}")
    tightener = _BOX if row["kind"] in _WITH_TENSIONER else _NO_PLACE
    return (
        f"{row['label']}\n{row['kind']}",
        "\n".join(part for part in (size, row["wll"] or "no rating marked") if part),
        "\n".join(stands),
        *(_BOX, _BOX, _BOX, tightener),
        _FOUND_LINE,
        *(_BOX, _BOX),
    )


def _look_for(kind: GearKind) -> str:
    return f"{kind.value.capitalize()}: {'; '.join(look_for(kind))}."


def _day(recorded: str | None, offset_min: int) -> str | None:
    """The local day of a recorded time; None: never."""
    if recorded is None:
        return None
    zone = timezone(timedelta(minutes=offset_min))
    return datetime.fromisoformat(recorded).astimezone(zone).date().isoformat()
