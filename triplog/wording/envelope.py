"""The `envelope` of a findings file: what each load withstands by direction, in plain values."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from triplog.securement.finding import Verdict

if TYPE_CHECKING:  # what is not asked for is not imported
    from triplog.securement.equilibrium.mechanism import Binding
    from triplog.securement.rules.static.in_order import Judged

G_AT_MOST = 100.0
"""Stands for no limit found."""


def envelope_entries(judged: "Iterable[Judged]") -> list[dict[str, Any]]:
    """One entry per load and direction, the first of a load with the whole curve; g and mm as
    numbers. `judged`: what the static estimate worked out, in its order."""
    entries: list[dict[str, Any]] = []
    told: set[tuple[str, ...]] = set()
    for one in judged:
        entry = _entry(one)
        if one.estimate.load.ids not in told:
            from triplog.securement.rules.static.estimates import polar_of

            told.add(one.estimate.load.ids)
            curve = polar_of(one.estimate)
            if curve:
                entry["polar"] = [[degrees, _g(g)] for degrees, g in curve]
        entries.append(entry)
    return entries


def recorded(entries: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """The entries as the journal keeps them: every number that is not whole as a decimal text."""
    return [{name: _text(value) for name, value in entry.items()} for entry in entries]


def _text(value: Any) -> Any:
    if isinstance(value, float):
        return f"{value:.6f}".rstrip("0").rstrip(".")
    return [_text(one) for one in value] if isinstance(value, list) else value


def _entry(one: "Judged") -> dict[str, Any]:
    entry: dict[str, Any] = {
        "about": list(one.estimate.load.ids),
        "direction": str(one.direction),
        "required_g": float(one.criterion.g),
        "withstands_g": None,
    }
    told = one.told
    if told is None or one.verdict is Verdict.CANNOT_TELL:
        return entry
    return {
        **entry,
        "withstands_g": _g(told.withstands_g),
        "limited_by": told.limited_by,
        "filtered_g": _g(told.filtered_g),
        "elastic_g": _g(told.elastic_g),
        "plain_limit_g": _g(told.plain_limit_g),
        "mode": told.mode,
        "governing": [_governing(bind, one) for bind in told.binds],
        "movement_mm": round(told.movement_m * 1000, 1),
    }


def _g(value: float) -> float:
    """Six decimals, never more than it is."""
    return math.floor(min(value, G_AT_MOST) * 1e6 + 1e-3) / 1e6


def _governing(bind: "Binding", one: "Judged") -> dict[str, str]:
    """What binds: a tie-down with its weakest part, an anchor point, a block, an edge, a face."""
    if bind.kind in ("strap", "pretension"):
        ties = {tie.tie_down.id: tie for tie in one.estimate.ties}
        part = ties[bind.id].weakest if bind.kind == "strap" else bind.kind
        return {"tie_down": bind.id, "part": part}
    if bind.kind == "edge":
        from triplog.securement.rules.static.in_order import edge_direction

        return {"edge": str(edge_direction(float(bind.id)))}
    if bind.kind == "face":
        on = {article.id: article.on for article in one.estimate.load.articles}
        return {"face": on[bind.id]}
    return {"anchor" if bind.kind == "anchor" else "block": bind.id}
