"""The columns of a list: which heading means which fact, and the unit a heading gives."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from triplog.securement.quantity import UNITS, Dimension, QuantityRefused, parse
from triplog.securement.stock.lines import Cell, ListRefused, shown

QUANTITIES: dict[str, Dimension] = {
    "width": Dimension.LENGTH,
    "size": Dimension.LENGTH,
    "thickness": Dimension.LENGTH,
    "length": Dimension.LENGTH,
    "wll": Dimension.FORCE,
    "breaking": Dimension.FORCE,
    "lc": Dimension.FORCE,
    "stf": Dimension.FORCE,
    "shf": Dimension.FORCE,
    "hooks_wll": Dimension.FORCE,
    "tensioner_wll": Dimension.FORCE,
    "mass": Dimension.MASS,
}
"""The columns that hold a quantity."""
_HEADINGS: dict[str, str] = {
    "label": "label|id|tag|tag no|no|gear|gear id|gear no|item no|item id|strap id|strap no|name"
    "|serial|serial no|serial number|asset|asset no|marking|number",
    "kind": "kind|type|gear type|gear kind|item type|equipment|sort",
    "width": "width|web width|webbing width|strap width|band width",
    "size": "size|chain size|link size|diameter|dia|chain diameter|rope diameter",
    "thickness": "thickness|strapping thickness",
    "grade": "grade|chain grade",
    "material": "material|fibre|fiber|made of",
    "length": "length|len|overall length|total length|strap length|chain length",
    "wll": "wll|working load limit|working load limit wll|wll marked|marked wll|rating|rating wll"
    "|rated|swl|safe working load",
    "breaking": "breaking|breaking strength|break strength|breaking load|break load|bs|mbs|mbl"
    "|min breaking strength|minimum breaking strength|minimum breaking load",
    "lc": "lc|lashing capacity|lashing capacity lc",
    "stf": "stf|tension force|standard tension force|standard tension force stf",
    "shf": "shf|hand force|standard hand force|standard hand force shf",
    "tracer_lines": "tracer lines|tracers|tracer|tracer yarns",
    "hooks": "hooks|hook|hook type|end fitting|end fittings|fitting|fittings|ends",
    "hooks_wll": "hooks wll|hook wll|hook rating|fitting wll|fittings wll|end fitting wll",
    "tensioner": "tensioner|tensioner kind|binder|binder type|tightener",
    "tensioner_wll": "tensioner wll|binder wll|ratchet wll|winch wll|tensioner rating",
    "damage": "damage|defect|defects|damage found|found",
    "standing": "standing|state|status|condition",
    "count": "count|qty|quantity|pcs|pieces|how many",
    "inspect_by": "inspect by|next inspection|inspection due|next look|look by",
    "mass": "mass|own mass|own weight|mass each|weight each",
    "note": "note|notes|remark|remarks|comment|comments",
}
_FIELD_OF = {
    heading: field for field, headings in _HEADINGS.items() for heading in headings.split("|")
}
# Each may be the rating or something several times as high, or the mass of the piece itself.
_ASKED = {
    "capacity": "WLL, Breaking strength or LC",
    "strength": "WLL or Breaking strength",
    "load": "WLL or Breaking strength",
    "max load": "WLL or Breaking strength",
    "rated load": "WLL or Breaking strength",
    "weight": "WLL, or Own weight for what the piece itself weighs",
}
_BRACKETS = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
_WORD = re.compile(r"[^\W_]+")
_LEAST_KNOWN = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column: `field` None: not one we read; `unit` None: each cell names its own."""

    heading: str
    field: str | None
    unit: str | None = None


def columns_of(cells: Iterable[Cell]) -> tuple[Column, ...]:
    """What the cells of a heading row mean."""
    return tuple(_column(shown(cell.text)) for cell in cells)


def is_heading_row(columns: tuple[Column, ...]) -> bool:
    """Whether they are headings: one for the label, and another that is known or asked about."""
    fields = {column.field for column in columns}
    known = sum(1 for column in columns if column.field or _asked(column))
    return "label" in fields and known >= _LEAST_KNOWN


def refuse_unclear(columns: tuple[Column, ...]) -> None:
    """Refuse headings that can mean two things, and a fact that two columns give."""
    seen: dict[str, str] = {}
    for column in columns:
        asked = _asked(column)
        if asked is not None:
            raise ListRefused(
                f'the column "{column.heading}" can mean more than one thing: call it {asked}'
            )
        if column.field is None:
            continue
        if column.field in seen:
            raise ListRefused(
                f'the columns "{seen[column.field]}" and "{column.heading}" give the same fact'
                f" ({column.field.replace('_', ' ')}): rename the one that is not meant"
            )
        seen[column.field] = column.heading


def _asked(column: Column) -> str | None:
    return _ASKED.get(" ".join(_words(_BRACKETS.sub(" ", column.heading))))


def _column(heading: str) -> Column:
    words = _words(heading)
    field = _FIELD_OF.get(" ".join(words))
    if field is not None:
        return Column(heading=heading, field=field)
    for end in range(len(words) - 1, 0, -1):
        field = _FIELD_OF.get(" ".join(words[:end]))
        if field is None:
            continue
        rest = [word for word in words[end:] if word != "in" or words[end:] == ["in"]]
        unit = _unit(rest, QUANTITIES.get(field))
        if unit is not None:
            return Column(heading=heading, field=field, unit=unit)
        inside = _words(" ".join(_BRACKETS.findall(heading)))
        return Column(heading=heading, field=field if words[end:] == inside else None)
    return Column(heading=heading, field=None)


def _unit(words: list[str], dimension: Dimension | None) -> str | None:
    """The unit that the words behind a heading name; None: none, or more than a unit."""
    if dimension is None or len(words) != 1:
        return None
    try:
        return parse(f"1 {words[0]}", dimension).unit
    except QuantityRefused:
        units = {unit.casefold(): unit for unit in UNITS[dimension]}
        return units.get(words[0].casefold())


def _words(heading: str) -> list[str]:
    text = heading.replace("#", " no ").replace("№", " no ")
    return [word.casefold() for word in _WORD.findall(text)]
