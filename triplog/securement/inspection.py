"""What an inspection of gear answers: damage as measured, against what lets it stay in use.

Damage takes gear out of use wherever label, maker or country do not allow it. The inspector's
out-of-service line by width is shown as that: what is above it is unfit, and what is below it is
not thereby fit.
"""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from triplog.securement.figures import (
    DamageLimit,
    UseLimit,
    webbing_damage_limit,
    webbing_use_limits,
)
from triplog.securement.model import WEBBING, Damage, Gear
from triplog.securement.quantity import Amount, Dimension, Quantity, amount_of_si

PLACES = ("us", "ca", "eu", "au")
"""Where gear may be used: the United States, Canada, the European Union, Australia."""
_ACROSS_THE_WIDTH = frozenset(
    {
        *("cut", "cuts", "burn", "burns", "burned", "burnt", "hole", "holes", "nick", "nicks"),
        *("abrasion", "abrasions", "abraded", "wear", "worn", "split", "splits", "tear", "tears"),
        *("torn", "edge", "webbing", "across", "through"),
    }
)
"""Words of damage that is measured across webbing; any other word is damage of another sort."""


class LookAnswer(StrEnum):
    """What becomes of gear after a look; the last two are standings of gear too."""

    NOTHING_FOUND = "nothing found"
    WITHIN = "within what is allowed there"
    SET_ASIDE = "set aside"
    UNFIT = "unfit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """One limit the damage was held against; `most` None: none is allowed.

    `limit` None: what label or maker allow, as somebody stated it.
    """

    limit: UseLimit | None
    most: Amount | None
    is_exceeded: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """The answer with what it came from.

    `across`: cuts, burns and wear, added up across the width; None: not all measured, damage of
    another sort, or no width known; then it is held against nothing and set aside whatever its
    size. `inspector_line` None: none for this gear.
    """

    answer: LookAnswer
    across: Amount | None
    against: tuple[Against, ...]
    inspector_line: DamageLimit | None

    @property
    def above_inspector_line(self) -> bool | None:
        """Whether an inspector would take it out of service; None: not known, or no line."""
        if self.inspector_line is None or self.across is None:
            return None
        return self.across.si > self.inspector_line.damage.si


def look_at(
    gear: Gear, found: tuple[Damage, ...], *, used_in: tuple[str, ...], allowed: Quantity | None
) -> Look:
    """The answer to what was found on gear.

    `used_in`: where it will be used, of `PLACES`; empty: not said, so anywhere. `allowed`: the
    damage that label or maker allow, as stated; None: nothing stated.
    """
    line = webbing_damage_limit(gear.width) if gear.kind in WEBBING else None
    if not found:
        return Look(answer=LookAnswer.NOTHING_FOUND, across=None, against=(), inspector_line=line)
    across = _across(gear, found)
    if across is None or gear.width is None:
        return Look(answer=LookAnswer.SET_ASIDE, across=None, against=(), inspector_line=line)
    against = _against(gear.width, across, used_in or PLACES, allowed)
    answer = LookAnswer.WITHIN
    if line is not None and across.si > line.damage.si:
        answer = LookAnswer.UNFIT
    elif any(one.is_exceeded for one in against):
        answer = LookAnswer.SET_ASIDE
    return Look(answer=answer, across=across, against=against, inspector_line=line)


def _across(gear: Gear, found: tuple[Damage, ...]) -> Amount | None:
    """The damage added up across webbing of a known width; None where it is not of that sort."""
    if gear.kind not in WEBBING or gear.width is None:
        return None
    total = Fraction(0)
    for damage in found:
        if damage.size is None or not set(damage.kind.lower().split()) <= _ACROSS_THE_WIDTH:
            return None
        total += damage.size.si
    unit = found[0].size.unit if found[0].size is not None else "mm"
    return amount_of_si(total, unit, Dimension.LENGTH)


def _against(
    width: Quantity, across: Amount, used_in: tuple[str, ...], allowed: Quantity | None
) -> tuple[Against, ...]:
    held = [
        _against_place(width, across, limit)
        for limit in webbing_use_limits()
        if limit.used_in in used_in
    ]
    if allowed is not None:
        exceeded = across.si > allowed.si
        held.append(Against(limit=None, most=allowed, is_exceeded=exceeded))
    return tuple(held)


def _against_place(width: Quantity, across: Amount, limit: UseLimit) -> Against:
    """Damage that reaches a country's share of the width exceeds it: one source says less than."""
    if limit.share_of_width is None:
        return Against(limit=limit, most=None, is_exceeded=True)
    most_m = width.si * limit.share_of_width
    return Against(
        limit=limit,
        most=amount_of_si(most_m, across.unit, Dimension.LENGTH),
        is_exceeded=across.si >= most_m,
    )
