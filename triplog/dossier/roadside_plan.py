"""The plan on the roadside sheet: the cargo and its mass, the tie-downs, what each is rated."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

from exports.document import Block, Column, Paragraph, Table
from triplog.dossier.recorded_findings import UNIT
from triplog.securement.finding import Finding, Verdict
from triplog.securement.quantity import Dimension, amount_of_si, parse
from triplog.wording.amounts import Units, amount_text, comparison_texts

_OTHER: dict[Units, Units] = {"us": "si", "si": "us"}
_UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rated:
    """What the webbing, chain or rope of a tie-down is rated; `shown` is "" where unknown."""

    tie_down: str
    shown: str
    by: Literal["marked", "default", "unknown"]


def ratings(
    plan: Mapping[str, Any], judged: Mapping[str, tuple[str | None, str]]
) -> tuple[Rated, ...]:
    """The ratings of the plan's tie-downs; `judged` as `body_ratings` gives it.

    A marking is shown as it was typed, a table's value as the table prints it.
    """
    gear = {one["id"]: one for one in plan.get("gear", [])}
    rated = []
    for one in plan.get("tie_down", []):
        marked = gear.get(one.get("gear"), {}).get("wll")
        value, basis = judged.get(one["id"], (None, _UNKNOWN))
        if marked is not None:
            rated.append(Rated(tie_down=one["id"], shown=marked, by="marked"))
        elif value is not None and basis == "default table":
            shown = amount_text(parse(value, Dimension.FORCE), "down")
            rated.append(Rated(tie_down=one["id"], shown=shown, by="default"))
        else:
            rated.append(Rated(tie_down=one["id"], shown="", by="unknown"))
    return tuple(rated)


def article_figure(
    plan: Mapping[str, Any], delivered: frozenset[str], units: Units
) -> tuple[str, str]:
    """How many articles are on board and what they weigh together."""
    articles = plan.get("article", [])
    on_board = [one for one in articles if one["id"] not in delivered]
    name = "Articles of cargo, mass in all"
    if not on_board:
        return name, "none left, all delivered" if articles else "none on the plan"
    masses = [one["mass"] for one in on_board if "mass" in one]
    unknown = len(on_board) - len(masses)
    if not masses:
        return name, f"{len(on_board)}: mass unknown"
    if not unknown:
        return name, f"{len(on_board)}: {_total(masses, units)}"
    told = "1 mass" if unknown == 1 else f"{unknown} masses"
    return name, f"{len(on_board)}: {_total(masses, units)}, {told} unknown"


def _total(masses: Iterable[str], units: Units) -> str:
    """The sum in the reader's unit with the other beside, rounded to the heavier side."""
    total_kg = sum((parse(one, Dimension.MASS).si for one in masses), Fraction(0))
    units_in_order = (UNIT[one][Dimension.MASS] for one in (units, _OTHER[units]))
    first, other = (
        amount_text(amount_of_si(total_kg, unit, Dimension.MASS), "up", None, 0)
        for unit in units_in_order
    )
    return f"{first} ({other})"


def tie_down_figure(rated: Sequence[Rated]) -> tuple[str, str]:
    """How many tie-downs there are and where their ratings come from."""
    counted = Counter(one.by for one in rated)
    kinds = ", ".join(
        f"{counted[by]} {by}" for by in ("marked", "default", "unknown") if counted[by]
    )
    return "Tie-downs, by rating", f"{len(rated)}: {kinds}" if rated else "none"


def cargo_block(plan: Mapping[str, Any], delivered: frozenset[str]) -> Block:
    """What the articles are and what each weighs, as it was given."""
    articles = plan.get("article", [])
    if not articles:
        return Paragraph(text="No article is on the plan.")
    return Table(
        columns=(
            Column(title="Article"),
            Column(title="What it is", weight=2),
            Column(title="Mass"),
            Column(title="Length"),
            Column(title="Blocked forward by"),
        ),
        rows=tuple(
            (
                one["id"],
                one.get("what", "not recorded") + (", delivered" if one["id"] in delivered else ""),
                ", ".join(one[name] for name in ("mass", "mass_basis") if name in one)
                if "mass" in one
                else _UNKNOWN,
                one.get("length", _UNKNOWN),
                one.get("blocked", {}).get("forward", _UNKNOWN),
            )
            for one in articles
        ),
    )


def tie_down_block(
    plan: Mapping[str, Any], rated: Sequence[Rated], findings: Sequence[Finding]
) -> Block:
    """Each tie-down with its rating, its anchor points and what it counts by its weakest part."""
    if not rated:
        return Paragraph(text="No tie-down is on the plan.")
    gear = {one["id"]: one for one in plan.get("gear", [])}
    anchors = {one["id"]: one.get("wll", _UNKNOWN) for one in plan.get("anchor", [])}
    counted = _counted(findings)
    rows = [
        (
            one["id"],
            _gear(one.get("gear"), gear),
            f"{rating.shown} {rating.by}".strip(),
            _anchor_points(one, anchors),
            counted.get(one["id"], "not judged"),
            ", ".join(one["holds"]),
        )
        for one, rating in zip(plan["tie_down"], rated, strict=True)
    ]
    return Table(
        columns=(
            Column(title="Tie-down"),
            Column(title="Gear", weight=2),
            Column(title="Rating (WLL)"),
            Column(title="Anchor points", weight=2),
            Column(title="Counts as"),
            Column(title="Holds", weight=2),
        ),
        rows=tuple(rows),
    )


def _gear(label: str | None, gear: Mapping[str, Mapping[str, str]]) -> str:
    if label is None:
        return _UNKNOWN
    item = gear.get(label, {})
    size = item.get("width") or item.get("size")
    return " ".join(part for part in (label, item.get("kind"), size) if part)


def _anchor_points(tie_down: Mapping[str, str], anchors: Mapping[str, str]) -> str:
    """Both ends with their ratings, said once where they are the same."""
    ends = [tie_down[name] for name in ("from", "to") if name in tie_down]
    rated = [anchors.get(end) for end in ends]
    if len(ends) == 2 and ends[0] != ends[1] and rated[0] == rated[1] not in (None, _UNKNOWN):
        return f"{ends[0]}, {ends[1]}: {rated[0]} each"
    told = [end if wll is None else f"{end}: {wll}" for end, wll in zip(ends, rated, strict=True)]
    return ", ".join([*told, *["an end not recorded"] * (2 - len(ends))])


def _counted(findings: Sequence[Finding]) -> dict[str, str]:
    counted = {}
    for one in findings:
        if one.rule != "us-393.108-rating":
            continue
        if one.verdict is Verdict.DOES_NOT_APPLY:
            counted[one.about[0]] = "nothing"
        else:
            counted[one.about[0]] = comparison_texts(one)[1] or str(one.verdict)
    return counted
