"""How soon to look again after tension was found lost: it may shorten an interval, never lengthen.

A rule of thumb of our own, no law: what was lost in the last interval is taken to be lost again,
in proportion to the driving time, with an allowance for how roughly a loss is seen. It is an early
warning and no proof: heat, wet webbing, cargo that packs down and hooks that let go are not in it.
"""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from scheduler.progress import ObservedLoss
from scheduler.recheck_rules import HowSure, Kind, LegalForce, RecheckRule

NOISE = Fraction(5, 100)
"""How far a loss may be misjudged, of the first tension: the rougher end of 2 to 5 %; assumed."""
QUANTILE_95 = Fraction(1645, 1000)
"""The 95 % point of the normal distribution, one-sided."""
MINUTE_MS = 60_000
RULE_ID = "observed-loss"


@dataclass(frozen=True, slots=True, kw_only=True)
class NextLook:
    """After how much driving the loss may reach what is allowed, in milliseconds.

    `look_why`: more than half of what is allowed was lost at once, which points to slip or damage;
    the cause is looked for before anything is estimated from it.
    """

    driving_ms: int
    look_why: bool


def next_look(observed: ObservedLoss, interval_ms: int) -> NextLook:
    """When to look next, from the loss found after `interval_ms` of driving.

    The loss grows in proportion to the time, the cautious choice for an interval longer than the
    last. Rounded down.
    """
    bound = observed.lost + QUANTILE_95 * NOISE
    return NextLook(
        driving_ms=int(interval_ms * observed.allowed / bound),
        look_why=2 * observed.lost > observed.allowed,
    )


def loss_rule(observed: ObservedLoss, interval_ms: int) -> RecheckRule | None:
    """The estimate as a rule that runs from the check; None where nothing had been driven."""
    if interval_ms <= 0:
        return None
    minutes = max(1, next_look(observed, interval_ms).driving_ms // MINUTE_MS)
    return RecheckRule(
        id=RULE_ID,
        rule_set=RULE_ID,
        jurisdiction="none",
        kind=Kind.OBSERVED_LOSS,
        limit=str(minutes),
        unit="min",
        counted_from="last completed check",
        legal_force=LegalForce.COMMON_PRACTICE,
        source="our own estimate from the tension found lost",
        clause="none",
        edition="none",
        how_sure=HowSure.MEMORY,
        valid_from=date.min,
        valid_to=None,
        note="",
    )
