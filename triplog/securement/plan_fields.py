"""Reading single fields of a plan document: each read once, checked, refused by its full name."""

import difflib
import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from types import NoneType
from typing import TypeVar

from triplog.securement.model import PlanRefused, Position
from triplog.securement.quantity import EXAMPLES, Dimension, Quantity, QuantityRefused, parse

Choice = TypeVar("Choice", bound=str)

# Enough for any plan, and small enough that every number can be written out in full.
_NUMBER_CHARACTERS_MAX = 30
_KINDS: tuple[tuple[type | tuple[type, ...], str], ...] = (
    ((int, Decimal), "a number"),
    (float, "a binary fraction, which is not exact"),
    (Mapping, "a table"),
    (Sequence, "a list"),
    (NoneType, "nothing"),
)
_DECIMAL_TEXT = re.compile(r"-?[0-9]{1,30}(\.[0-9]{1,30})?")
_COUNT_MAX = 1000


class Fields:
    """One table of the document, at `where` ("" at the top); names it may not hold are refused.

    Every reader gives None where the name is absent, and raises PlanRefused naming the field
    where its value is not what is meant.
    """

    def __init__(self, table: object, where: str, names: frozenset[str]) -> None:
        if not isinstance(table, Mapping):
            raise PlanRefused(where or "plan", f"a table is meant here, not {described(table)}")
        self._table: Mapping[str, object] = table
        self.where = where
        for name, value in table.items():
            if name not in names:
                raise PlanRefused(self.path(str(name)), _no_such_name(str(name), names))
            if value is None:
                raise PlanRefused(
                    self.path(name), "null says nothing: leave the name out where it is not known"
                )

    def path(self, name: str) -> str:
        """The full name of a field of this table, such as `tie_down[2].gear`."""
        return f"{self.where}.{name}" if self.where else name

    def get(self, name: str) -> object:
        """The value as it stands in the document."""
        return self._table.get(name)

    def has(self, name: str) -> bool:
        """Whether the table holds the name."""
        return name in self._table

    def text(self, name: str) -> str | None:
        """A text of at least one visible character."""
        value = self.get(name)
        return None if value is None else text_of(value, self.path(name))

    def text_needed(self, name: str) -> str:
        """A text without which the table means nothing, such as an id."""
        text = self.text(name)
        if text is None:
            raise PlanRefused(self.path(name), "it is missing and must be given")
        return text

    def texts(self, name: str) -> tuple[str, ...] | None:
        """A list of texts."""
        if not self.has(name):
            return None
        return tuple(text_of(item, where) for where, item in self._items(name))

    def choice(self, name: str, words: Sequence[Choice]) -> Choice | None:
        """One of a few fixed words."""
        text = self.text(name)
        if text is None:
            return None
        for word in words:
            if str(word) == text:
                return word
        known = ", ".join(str(word) for word in words)
        raise PlanRefused(self.path(name), f'"{text}" is not known here; write one of: {known}')

    def flag(self, name: str) -> bool | None:
        """True or false."""
        value = self.get(name)
        if value is not None and not isinstance(value, bool):
            raise PlanRefused(
                self.path(name), f"true or false (without quotes) is meant, not {described(value)}"
            )
        return value

    def count(self, name: str) -> int | None:
        """A whole number of things, from 0 to 1,000."""
        value = self.get(name)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int):
            raise PlanRefused(self.path(name), f"a whole number is meant, not {described(value)}")
        if not 0 <= value <= _COUNT_MAX:
            raise PlanRefused(self.path(name), f"it must be from 0 to {_COUNT_MAX}")
        return value

    def number(self, name: str, *, least: str, most: str) -> Decimal | None:
        """A pure number, exact: a TOML or JSON number, or a decimal text such as "0.4"."""
        value = self.get(name)
        if value is None:
            return None
        number = _decimal(value)
        if number is None:
            raise PlanRefused(
                self.path(name), f"a short number such as 0.4 is meant, not {described(value)}"
            )
        if not Decimal(least) <= number <= Decimal(most):
            raise PlanRefused(self.path(name), f"it must be from {least} to {most}")
        return number

    def quantity(self, name: str, dimension: Dimension, *, zero: bool = False) -> Quantity | None:
        """A text with its unit, above zero unless `zero` says that none is an answer."""
        value = self.get(name)
        if value is None:
            return None
        quantity = quantity_of(value, dimension, self.path(name))
        if not zero and quantity.value == 0:
            raise PlanRefused(
                self.path(name),
                f'"{quantity.typed}" must be above zero; leave the name out if it is not known',
            )
        return quantity

    def position(self, name: str) -> Position | None:
        """Back from the deck front, left or right of the centre line, optionally above the deck."""
        value = self.get(name)
        return None if value is None else position_of(value, self.path(name))

    def positions(self, name: str) -> tuple[Position, ...] | None:
        """A list of positions."""
        if not self.has(name):
            return None
        return tuple(position_of(item, where) for where, item in self._items(name))

    def table(self, name: str, names: frozenset[str]) -> "Fields | None":
        """The table under a name."""
        return Fields(self.get(name), self.path(name), names) if self.has(name) else None

    def tables(self, name: str, names: frozenset[str]) -> "tuple[Fields, ...] | None":
        """A list of tables."""
        if not self.has(name):
            return None
        return tuple(Fields(item, where, names) for where, item in self._items(name))

    def _items(self, name: str) -> Iterator[tuple[str, object]]:
        value = self.get(name)
        where = self.path(name)
        if not isinstance(value, Sequence) or isinstance(value, str):
            raise PlanRefused(where, f"a list is meant, not {described(value)}")
        return ((f"{where}[{number}]", item) for number, item in enumerate(value))


def described(value: object) -> str:
    """What a value is, in words, without writing out what may be large."""
    if isinstance(value, str):
        return f'the text "{value[:40]}"'
    if isinstance(value, bool):
        return "true" if value else "false"
    for kinds, words in _KINDS:
        if isinstance(value, kinds):
            return words
    return "a date or time"


def text_of(value: object, where: str) -> str:
    """The value as a text that can be shown on one line."""
    if not isinstance(value, str):
        raise PlanRefused(where, f'a text in quotes is meant ("…"), not {described(value)}')
    if not value.strip():
        raise PlanRefused(where, "the text is empty; leave the name out where it is not known")
    if any(unicodedata.category(character) in ("Cc", "Cs") for character in value):
        raise PlanRefused(where, "the text holds a control character or half a character")
    return value


def quantity_of(value: object, dimension: Dimension, where: str) -> Quantity:
    """The value as a quantity; a number alone is refused, for it has no unit."""
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        raise PlanRefused(
            where, f"a number alone has no unit: write a text in quotes, {EXAMPLES[dimension]}"
        )
    try:
        return parse(text_of(value, where), dimension)
    except QuantityRefused as refused:
        raise PlanRefused(where, str(refused)) from refused


def position_of(value: object, where: str) -> Position:
    """The value as a point on the vehicle."""
    if not isinstance(value, Sequence) or isinstance(value, str) or len(value) not in (2, 3):
        raise PlanRefused(
            where,
            'a place is two or three texts: ["6 ft", "left 4 ft"], back from the deck front, '
            "left or right of the centre line, and if wanted the height above the deck",
        )
    return Position(
        from_front_m=quantity_of(value[0], Dimension.LENGTH, f"{where}[0]").si,
        left_m=across_of(value[1], f"{where}[1]"),
        up_m=quantity_of(value[2], Dimension.LENGTH, f"{where}[2]").si if value[2:] else None,
    )


def across_of(value: object, where: str) -> Fraction:
    """Metres to the left of the middle: "centre", "left 4 ft", or negative "right 4 ft"."""
    side, _, distance = text_of(value, where).strip().partition(" ")
    if side == "centre" and not distance:
        return Fraction(0)
    if side not in ("left", "right"):
        raise PlanRefused(where, 'write "centre", or a side and a distance such as "left 4 ft"')
    across_m = quantity_of(distance or " ", Dimension.LENGTH, where).si
    return across_m if side == "left" else -across_m


def _decimal(value: object) -> Decimal | None:
    """The number a document means; None where it is none, or cannot be written out shortly."""
    if isinstance(value, bool) or not isinstance(value, int | Decimal | str):
        return None
    if isinstance(value, int) and abs(value) > _COUNT_MAX:
        return None
    if isinstance(value, str) and not _DECIMAL_TEXT.fullmatch(value):
        return None
    number = Decimal(value)
    exponent = number.as_tuple().exponent
    if not isinstance(exponent, int) or abs(exponent) > _NUMBER_CHARACTERS_MAX:
        return None
    return number if len(format(number, "f")) <= _NUMBER_CHARACTERS_MAX else None


def _no_such_name(name: str, names: frozenset[str]) -> str:
    near = difflib.get_close_matches(name[:80], sorted(names), n=1)
    if near:
        return f"there is no such name; did you mean {near[0]}?"
    return f"there is no such name; the names here are {', '.join(sorted(names))}"
