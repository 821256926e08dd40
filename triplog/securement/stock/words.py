"""The words people write in lists of gear: kinds, standings, damage, counts, days."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TypeAlias

Item: TypeAlias = dict[str, object]
UNKNOWN = frozenset({"-", "–", "—", "n/a", "na", "?", "none", "unknown", "unmarked", "no tag"})
"""What stands in a cell where nobody knows, or where nothing is marked."""
KIND_ASKED = (
    "ratchet strap, winch strap, chain, wire rope, cordage, steel strapping, friction mat or bar"
)
ALIKE_MAX = 500
_TRACERS_MAX = 1000
_NOTHING_FOUND = frozenset({"none", "no", "nothing", "no damage", "0", "nil"})
_NUMBERED = re.compile(r"(.*?)(\d+)")
_WHOLE = re.compile(r"[0-9]{1,6}")


class WordRefused(ValueError):
    """A word that is not understood: `why`, and what to `write` instead."""

    def __init__(self, why: str, write: str) -> None:
        super().__init__(f"{why}; write {write}")
        self.why, self.write = why, write


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """A few fixed words and the spellings that mean them; `asked` is what to write otherwise."""

    spellings: dict[str, str]
    asked: str

    def read(self, text: str) -> str:
        """The fixed word that a text means."""
        words = " ".join(text.casefold().replace("-", " ").replace("_", " ").split())
        for spelling in (words, words.removesuffix("s")):
            if spelling in self.spellings:
                return self.spellings[spelling]
        raise WordRefused("the word is not known here, or it can mean more than one", self.asked)


def _words(asked: str, **spellings: str) -> Words:
    return Words(
        spellings={
            spelling: meant.replace("_", " ")
            for meant, listed in spellings.items()
            for spelling in listed.split("|")
        },
        asked=asked,
    )


KINDS = _words(
    KIND_ASKED,
    ratchet_strap="ratchet strap|ratchet|ratchet tie down|ratchet tiedown|ratchet lashing"
    "|web strap with ratchet",
    winch_strap="winch strap|winch|winch tie down",
    chain="chain|transport chain|lashing chain|tie down chain",
    wire_rope="wire rope|wire|steel rope|steel cable",
    cordage="cordage|fibre rope|fiber rope|manila rope|nylon rope|polypropylene rope",
    steel_strapping="steel strapping|steel strap|steel band|steel banding",
    friction_mat="friction mat|anti slip mat|rubber mat",
    bar="bar|load bar|shoring bar|cargo bar",
)
"""The kinds of gear; "strap" and "rope" alone are two kinds each, and are asked."""
STANDINGS = _words(
    "in stock, set aside or unfit",
    in_stock="in stock|stock|in use|on truck|ok|good|fit|fine|new|serviceable",
    set_aside="set aside|aside|quarantine|quarantined|hold|repair|to be looked at|check|damaged"
    "|doubtful",
    unfit="unfit|retired|scrap|scrapped|rejected|reject|out of service|out|dead|bad|withdrawn",
)
"""Where a piece stands."""


def damage_found(text: str) -> list[Item]:
    """What was found, such as "cut 3/16 in; no label": kinds, each with its size if measured."""
    if text.casefold() in _NOTHING_FOUND:
        return []
    return [damage_named(part) for part in text.split(";") if part.strip()]


def damage_named(text: str) -> Item:
    """ "cut 3/16 in" as a kind and a size; without a figure it was not measured."""
    words = text.split()
    place = next((at for at, word in enumerate(words) if word[0].isdigit()), len(words))
    kind, size = " ".join(words[:place]), " ".join(words[place:])
    if not kind:
        raise WordRefused("it does not say what it is", 'what it is first, such as "cut 3/16 in"')
    return {"kind": kind, "size": size} if size else {"kind": kind}


def numbered(label: str, count: int) -> tuple[str, ...]:
    """So many labels, numbered on from one: S-7, S-8 ..."""
    if count == 1:
        return (label,)
    found = _NUMBERED.fullmatch(label)
    stem, first = (found[1], int(found[2])) if found else (f"{label}-", 1)
    return tuple(f"{stem}{first + step}" for step in range(count))


def _whole(text: str, *, least: int, most: int) -> int:
    if _WHOLE.fullmatch(text) and least <= int(text) <= most:
        return int(text)
    raise WordRefused("it is no whole number that can be right", f"{least} to {most}")


def day_of(text: str) -> str:
    """A day; one that could be read as day and month either way is asked."""
    try:
        return date.fromisoformat(text).isoformat() if len(text) == 10 else _no_day()
    except ValueError:
        return _no_day()


def _no_day() -> str:
    raise WordRefused("a day may be read in several orders", "year-month-day, such as 2026-01-31")


READERS: dict[str, Callable[[str], object]] = {
    "kind": KINDS.read,
    "standing": STANDINGS.read,
    "damage": damage_found,
    "count": lambda text: _whole(text, least=1, most=ALIKE_MAX),
    "tracer_lines": lambda text: _whole(text, least=0, most=_TRACERS_MAX),
    "inspect_by": day_of,
}
"""How the cells of a column are read that hold neither a quantity nor a plain text."""
