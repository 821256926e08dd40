"""Both sides of a balance, and the verdict at both ends of what is not known.

A plan may hold in one of several ways (without lashings, with them); a way may ask for two balances
at once. It meets where one way meets at worst, and does not where all fall short at best. A way
the closed form does not cover never meets; it may still fall short, as its best is an upper bound.
"""

from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.finding import (
    Citation,
    Finding,
    Input,
    Missing,
    Range,
    Scope,
    Step,
    Verdict,
)
from triplog.securement.quantity import Amount, Dimension, amount_worked_out
from triplog.securement.rules.en_12195.en_figures import RULE_SET, citation
from triplog.securement.rules.en_12195.span import Span

_UNIT = {Dimension.FORCE: "daN", Dimension.MOMENT: "kNm"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """One comparison in SI units: what is asked and what is there, with the lines of its sum.

    `lines_best` are those of the upper end. `refused` are the ids of the sentences that say why
    the closed form does not cover it; `unsure` is what would have to be known to see whether it
    does. `decides` says what would settle it, where that is more than how much is wanting.
    """

    clause: str
    required: float
    provided: Span
    asked: Step
    lines: tuple[Step, ...]
    lines_best: tuple[Step, ...]
    missing: tuple[Missing, ...] = ()
    refused: tuple[str, ...] = ()
    unsure: tuple[Missing, ...] = ()
    mend: Step | None = None
    decides: Step | None = None


Way = tuple[Balance, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a finding is about, apart from its balance."""

    rule: str
    about: str
    dimension: Dimension
    scope: Scope
    inputs: tuple[Input, ...]
    notes: tuple[Step, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Weighed:
    """A balance in amounts, which is what is compared and shown."""

    balance: Balance
    required: Amount
    worst: Amount
    best: Amount | None

    @property
    def meets(self) -> bool:
        open_form = self.balance.refused or self.balance.unsure
        return not open_form and self.worst.si >= self.required.si

    @property
    def short(self) -> bool:
        return self.best is not None and self.best.si < self.required.si


def balance_finding(asked: Asked, ways: tuple[Way, ...]) -> Finding:
    """The finding of the ways a plan may hold, in the order they are to be named."""
    weighed = [tuple(_weigh(one, asked.dimension) for one in way) for way in ways]
    for way in weighed:
        if all(one.meets for one in way):
            shown = min(way, key=lambda one: one.worst.si - one.required.si)
            return _settled(asked, shown, shown.worst, Verdict.MEETS)
    if all(any(one.short for one in way) for way in weighed):
        shown = _shortest(weighed)
        assert shown.best is not None
        return _settled(asked, shown, shown.best, Verdict.DOES_NOT_MEET)
    open_ways = [one for one in weighed[-1] if not one.meets]
    return _open(asked, open_ways[0])


def _shortest(weighed: list[tuple[_Weighed, ...]]) -> _Weighed:
    """The balance shown of a plan that falls short every way: the last way the form covers.

    Where it covers no way with lashings, the upper bound of the last one.
    """
    short = [[one for one in way if one.short] for way in weighed]
    covered = [way for way in short[1:] if not way[0].balance.refused]
    last = covered[-1] if covered else short[-1]

    def margin_of(one: _Weighed) -> Fraction:
        assert one.best is not None
        return one.best.si - one.required.si

    return min(last, key=margin_of)


def _weigh(balance: Balance, dimension: Dimension) -> _Weighed:
    unit = _UNIT[dimension]
    best = balance.provided.high
    return _Weighed(
        balance=balance,
        required=amount_worked_out(balance.required, unit, dimension),
        worst=amount_worked_out(balance.provided.low, unit, dimension),
        best=None if best is None else amount_worked_out(best, unit, dimension),
    )


def _settled(asked: Asked, shown: _Weighed, provided: Amount, verdict: Verdict) -> Finding:
    balance = shown.balance
    meets = verdict is Verdict.MEETS
    lines = balance.lines if meets else balance.lines_best
    ends_differ = shown.best is None or shown.best.si != shown.worst.si
    unknown = balance.missing if ends_differ else ()
    return Finding(
        rule=asked.rule,
        rule_set=RULE_SET,
        about=(asked.about,),
        verdict=verdict,
        scope=asked.scope,
        citation=_cited(balance),
        required=shown.required,
        provided=provided,
        margin=_less(provided, shown.required),
        inputs=asked.inputs,
        steps=(balance.asked, *lines, *_reasons(balance), *asked.notes),
        unknown=unknown,
        range=_range(shown) if unknown else None,
        mend=None if meets else balance.mend,
    )


def _open(asked: Asked, shown: _Weighed) -> Finding:
    balance = shown.balance
    unknown = tuple(dict.fromkeys((*balance.missing, *balance.unsure)))
    if balance.refused or not unknown:
        unknown = (Missing(field="closed form", about=asked.about), *unknown)
    settled = shown.best is not None and shown.best.si == shown.worst.si
    return Finding(
        rule=asked.rule,
        rule_set=RULE_SET,
        about=(asked.about,),
        verdict=Verdict.CANNOT_TELL,
        scope=asked.scope,
        citation=_cited(balance),
        required=shown.required,
        provided=None,
        inputs=asked.inputs,
        steps=(
            balance.asked,
            *(() if balance.refused else balance.lines),
            *_reasons(balance),
            *asked.notes,
        ),
        unknown=unknown,
        range=None if balance.refused or settled else _range(shown),
    )


def _reasons(balance: Balance) -> tuple[Step, ...]:
    return tuple(Step(id=reason) for reason in balance.refused)


def _cited(balance: Balance) -> Citation:
    return citation(balance.clause)


def _less(provided: Amount, required: Amount) -> Amount:
    return Amount(
        value=provided.value - required.value, unit=required.unit, dimension=required.dimension
    )


def _range(shown: _Weighed) -> Range:
    """Both ends, and what would settle it: at least what is wanting at worst."""
    decides = shown.balance.decides
    if decides is None and not shown.balance.unsure:
        short = _less(shown.required, shown.worst)
        decides = Step(id="decides.en-short", values={"short": short})
    return Range(worst=shown.worst, best=shown.best, decides=decides or Step(id="decides.several"))
