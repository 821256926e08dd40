"""The pictures of a plan, marked with what was found about it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from triplog.drawing.deck import deck_from_above, deck_from_the_side
from triplog.drawing.envelope import envelope_picture
from triplog.drawing.svg import Drawing
from triplog.securement.finding import Verdict
from triplog.securement.model import Plan

_UNSETTLED = (Verdict.DOES_NOT_MEET, Verdict.CANNOT_TELL)
_MARKED_RULES_MAX = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedDrawing:
    """A picture with the name its file gets, without an ending."""

    name: str
    drawing: Drawing


def plan_pictures(plan: Plan, findings: Mapping[str, Any]) -> tuple[NamedDrawing, ...]:
    """The pictures of a plan; `findings` is its findings file, empty where it was not judged."""
    marks = _marks(findings)
    pictures = [
        NamedDrawing(name="deck-from-above", drawing=deck_from_above(plan, marks)),
        NamedDrawing(name="deck-from-the-side", drawing=deck_from_the_side(plan, marks)),
    ]
    groups: dict[tuple[str, ...], list[Mapping[str, Any]]] = {}
    for entry in findings.get("envelope", ()):
        groups.setdefault(tuple(entry["about"]), []).append(entry)
    for number, entries in enumerate(groups.values(), 1):
        drawing = envelope_picture(entries)
        if drawing is not None:
            pictures.append(NamedDrawing(name=f"withstands-{number}", drawing=drawing))
    return tuple(pictures)


def _marks(findings: Mapping[str, Any]) -> dict[str, str]:
    """By article, tie-down or gear: the gravest verdict that is not settled, and whose it is."""
    marks: dict[str, str] = {}
    unsettled: dict[str, dict[str, list[str]]] = {}
    for one in findings.get("findings", ()):
        if one["verdict"] in _UNSETTLED:
            for about in one["about"]:
                rules = unsettled.setdefault(about, {}).setdefault(one["verdict"], [])
                rules.append(one["rule"])
    for about, by_verdict in unsettled.items():
        verdict = next(str(one) for one in _UNSETTLED if one in by_verdict)
        rules = list(dict.fromkeys(by_verdict[verdict]))
        more = [f"{len(rules) - _MARKED_RULES_MAX} more"] if len(rules) > _MARKED_RULES_MAX else []
        marks[about] = f"{verdict}, {', '.join([*rules[:_MARKED_RULES_MAX], *more])}"
    return marks
