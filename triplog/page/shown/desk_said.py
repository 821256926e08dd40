"""Sentences of the desk in the reader's words. The desk tells them in English, with values put in;
the catalogues have them with numbered places, "trip {0} is {1}; checks are made under way".

A translation says of a place whether words stand in it: what stands at `{1:said}` is translated
itself, at `{1:each}` part by part of a list; `{0}` is left, for a label may be a word too. No other
entry of a catalogue has numbered places.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

_PLACE = re.compile(r"\{\d+\}")
_CLAUSE = re.compile(r"[;:.] ")
_BETWEEN = re.compile(r"(; |, | or )")
_LONGEST = 2_000
"""Of a text that fits, by what was typed, in very many ways each would be tried."""
Say = Callable[[str], str]


def told_in(english: Iterable[str], say: Say) -> Say:
    """What turns an English sentence into words; English where nothing fits.

    `english`: all that the catalogue has words for. Of what fits, that is taken whose places hold
    the fewest ends of a clause, and of those the longest text.
    """
    templates = [_Template.of(one) for one in english if _PLACE.search(one)]

    def told(sentence: str) -> str:
        known = say(sentence)
        if known != sentence or len(sentence) > _LONGEST:
            return known
        fitting = [
            (sum(len(_CLAUSE.findall(part)) for part in parts), -one.fixed, one.english, parts)
            for one in templates
            if (parts := one.parts(sentence)) is not None
        ]
        if not fitting:
            return sentence
        *_, template, parts = min(fitting)
        return say(template).format(*(_Part(one, told, each) for one in parts))

    def each(listed: str) -> str:
        known = told(listed)
        if known != listed:
            return known
        parts = _BETWEEN.split(listed)
        for place, one in enumerate(parts):
            parts[place] = told(one) if place % 2 == 0 else say(one)
        return "".join(parts)

    return told


@dataclass(frozen=True, slots=True)
class _Template:
    """A sentence of the catalogue; `fixed`: how many characters of it are no place."""

    english: str
    pattern: re.Pattern[str]
    fixed: int

    @classmethod
    def of(cls, english: str) -> "_Template":
        fixed = _PLACE.split(english)
        pattern = re.compile("(.*?)".join(map(re.escape, fixed)), re.DOTALL)
        return cls(english, pattern, sum(map(len, fixed)))

    def parts(self, sentence: str) -> tuple[str, ...] | None:
        """What stands in the places of a sentence; None: it is another."""
        found = self.pattern.fullmatch(sentence)
        return None if found is None else found.groups()


class _Part(str):
    """What stands in a place; `:said` and `:each` put it into words."""

    __slots__ = ("_ways",)
    _ways: dict[str, Say]

    def __new__(cls, text: str, said: Say, each: Say) -> "_Part":
        made = super().__new__(cls, text)
        made._ways = {"said": said, "each": each}
        return made

    def __format__(self, way: str) -> str:
        return self._ways[way](str(self)) if way else str(self)
