"""What the pictures of a plan say in words."""

import math
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from triplog.securement.figures import figure_row
from triplog.securement.finding import Missing
from triplog.securement.geometry import Unrouted
from triplog.securement.model import Anchor, Article, TieDown
from triplog.securement.quantity import decimal_text
from triplog.wording.languages import words_of

HEADING_DEGREES = {"forward": 0, "left": 90, "rearward": 180, "right": 270}


def deck_title(*, from_side: bool, language: str = "en") -> str:
    """The title of a picture of the deck."""
    return _picture(language)["from-side" if from_side else "from-above"]


def unloading_title(language: str = "en") -> str:
    """The title of the picture for whoever unloads."""
    return _picture(language)["unloading"]


def legend(*, from_side: bool, language: str = "en") -> tuple[str, ...]:
    """What the signs of a picture of the deck mean."""
    told = _picture(language)
    return (told["legend"], told["legend-side"]) if from_side else (told["legend"],)


def article_words(article: Article) -> str:
    """An article as it is called."""
    return f"{article.id} {article.what}" if article.what else article.id


def anchor_words(anchor: Anchor) -> str:
    """An anchor point by its id, with its rating as typed where there is one."""
    return anchor.id if anchor.wll is None else f"{anchor.id} {anchor.wll.typed}"


def tie_down_words(tie_down: TieDown, language: str = "en") -> str:
    """A tie-down: its path and its ends."""
    words = words_of(language)
    path = words.general.PATHS["" if tie_down.path is None else str(tie_down.path)]
    return _picture(language)["tie-down"].format(
        tie_down=tie_down.id,
        path=path,
        start=tie_down.from_anchor or "?",
        end=tie_down.to or "?",
        holds=", ".join(tie_down.holds),
    )


def blocked_words(article: str, direction: str, by: str, language: str = "en") -> str:
    """What blocks an article in a direction."""
    return _picture(language)["blocked"].format(article=article, direction=direction, by=by)


def mark_words(about: Iterable[str], verdict: str, language: str = "en") -> str:
    """A verdict that is not settled, with all it is about."""
    return _picture(language)["mark"].format(about=", ".join(about), verdict=verdict)


def envelope_title(about: Iterable[str], language: str = "en") -> str:
    """The title of the picture of what a group withstands."""
    return _picture(language)["envelope"].format(about=", ".join(about))


def envelope_legend(language: str = "en") -> tuple[str, ...]:
    """What its signs mean, and what it is."""
    told = _picture(language)
    return (told["envelope-legend"], told["envelope-estimate"])


def withstands_words(entry: Mapping[str, Any], language: str = "en") -> str:
    """One direction of the `envelope` of a findings file in words; rounded to the cautious side."""
    told = _picture(language)
    asked = _g(entry["required_g"], up=True)
    if entry["withstands_g"] is None:
        return told["withstands-unknown"].format(direction=entry["direction"], asked=asked)
    held = float(entry["withstands_g"]) >= float(entry["required_g"])
    return told["withstands" if held else "withstands-short"].format(
        direction=entry["direction"],
        asked=asked,
        there=_g(entry["withstands_g"], up=False),
        mode=told["mode-" + entry["mode"]],
    )


def beside_words(
    entry: Mapping[str, Any], polar: Sequence[tuple[float, float]], language: str = "en"
) -> str:
    """The least withstood a little off a direction, where it is notably less; "" where not.

    `polar`: the curve of the same load, degrees (0 forward, 90 left) and g.
    """
    if entry["withstands_g"] is None:
        return ""
    off = float(figure_row("off-heading", "figures_static").numbers["value"])
    less = float(figure_row("off-heading-less", "figures_static").numbers["value"])
    heading = HEADING_DEGREES[entry["direction"]]
    near = [
        (g, (degrees - heading + 180.0) % 360.0 - 180.0)
        for degrees, g in polar
        if abs((degrees - heading + 180.0) % 360.0 - 180.0) <= off
    ]
    least, offset = min(near, default=(math.inf, 0.0))
    if not offset or least > float(entry["withstands_g"]) - less:
        return ""
    steps = words_of(language).steps
    return steps["balance.beside"].format(
        degrees=f"{abs(offset):g}",
        direction=steps[f"balance.towards-{entry['direction']}"],
        towards=steps[f"balance.beside-{entry['direction']}-{offset > 0}"],
        g=_g(least, up=False),
    )


def _g(value: float | str, *, up: bool) -> str:
    exact = Fraction(str(value))
    return decimal_text(exact, 2 if up or exact < 10 else 0, "up" if up else "down")


def not_drawn(about: str, missing: Iterable[Missing], language: str = "en") -> str:
    """What cannot be drawn, and which facts are missing."""
    facts = ", ".join(dict.fromkeys(_fact(one, language) for one in missing))
    return _picture(language)["not-drawn"].format(about=about, why=facts)


def unrouted_words(unrouted: Unrouted, language: str = "en") -> str:
    """A tie-down without a route, and why."""
    if unrouted.why == "not known":
        return not_drawn(unrouted.tie_down, unrouted.missing, language)
    why = words_of(language).general.NO_ROUTE[unrouted.why]
    return _picture(language)["no-route"].format(about=unrouted.tie_down, why=why)


def _fact(missing: Missing, language: str) -> str:
    fields = words_of(language).fields
    return fields.get(missing.field, f"{missing.field} of {missing.about}").format(
        about=missing.about
    )


def _picture(language: str) -> dict[str, str]:
    told: dict[str, str] = words_of(language).general.PICTURE
    return told
