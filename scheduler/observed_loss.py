"""How soon to look again after tension was found lost: it may shorten an interval, never lengthen.

A rule of thumb of our own, no law: what was lost in the last interval is taken to be lost again,
in proportion to the driving time, with an allowance for how roughly a loss is seen. It is an early
warning and no proof: heat, wet webbing, cargo that packs down and hooks that let go are not in it.
"""

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


def asks_why(observed: ObservedLoss) -> bool:
    """Whether more than half of what is allowed was lost at once, which points to slip or damage.

    The cause is looked for then, before anything is estimated from it.
    """
    return 2 * observed.lost > observed.allowed


def next_look_ms(observed: ObservedLoss, interval_ms: int) -> int:
    """After how much driving the loss may reach what is allowed, from one found after an interval.

    Both in milliseconds of driving, rounded down. The loss grows in proportion to the time, the
    cautious choice for an interval longer than the last.
    """
    bound = observed.lost + QUANTILE_95 * NOISE
    return int(interval_ms * observed.allowed / bound)


def loss_rule(observed: ObservedLoss, interval_ms: int) -> RecheckRule | None:
    """The estimate as a rule that runs from the check; None where nothing had been driven."""
    if interval_ms <= 0:
        return None
    minutes = max(1, next_look_ms(observed, interval_ms) // MINUTE_MS)
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
