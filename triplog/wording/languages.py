"""The words of a language, put together from its files: one for all, one per rule set.

A file of a rule set holds what it has of TITLES and QUESTIONS by rule, STEPS by step, FIELDS by
field, ASKED by the id of a question to a person. To add one, name it in the language's tuple here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import ModuleType

from triplog.wording.english import (
    au_lrg,
    ca_nsc10,
    en_12195,
    fit,
    nz_code,
    static,
    us_393,
    us_sections,
    us_sections_a,
    us_sections_b,
)
from triplog.wording.english import general as english

_ENGLISH = (
    us_393,
    us_sections,
    us_sections_a,
    us_sections_b,
    fit,
    ca_nsc10,
    en_12195,
    au_lrg,
    nz_code,
    static,
)
_LANGUAGES: dict[str, tuple[ModuleType, tuple[ModuleType, ...]]] = {"en": (english, _ENGLISH)}


class NoSuchLanguage(LookupError):
    """A language there are no words for; the message lists those there are."""

    def __init__(self, language: str) -> None:
        known = ", ".join(sorted(_LANGUAGES))
        super().__init__(f"there are no words in {language!r}; there are: {known}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """`general` is the module with the words for all; the rest by rule, step, field, question."""

    general: ModuleType
    titles: Mapping[str, str]
    questions: Mapping[str, str]
    steps: Mapping[str, str]
    fields: Mapping[str, str]
    asked: Mapping[str, str]


@cache
def words_of(language: str) -> Words:
    """The words of a language. Raises NoSuchLanguage."""
    if language not in _LANGUAGES:
        raise NoSuchLanguage(language)
    general, modules = _LANGUAGES[language]
    return Words(
        general=general,
        titles=_merged(modules, "TITLES"),
        questions=_merged(modules, "QUESTIONS"),
        steps=_merged(modules, "STEPS"),
        fields=_merged(modules, "FIELDS", shared=True),
        asked=_merged(modules, "ASKED"),
    )


def _merged(modules: tuple[ModuleType, ...], name: str, *, shared: bool = False) -> dict[str, str]:
    """One table of all; a fact that several rule sets name is said in the words of the first."""
    merged: dict[str, str] = {}
    for module in modules:
        table: dict[str, str] = getattr(module, name, {})
        doubled = merged.keys() & table.keys()
        assert shared or not doubled, f"{module.__name__}.{name} says again: {sorted(doubled)}"
        merged = {**table, **merged}
    return merged
