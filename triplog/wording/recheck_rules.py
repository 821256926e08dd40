"""Re-check rules in words: what each asks, how binding it is, where it stands. English."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from textwrap import wrap

from scheduler.recheck_rules import (
    AT_ONCE,
    COUNT_PER_UNIT,
    FIRST,
    MEASURED,
    SOFT_LOAD,
    TIMED,
    HowSure,
    Kind,
    RecheckRule,
    rule_row,
)
from scheduler.rules_combined import BINDING, Combined
from triplog.securement.quantity import Dimension, decimal_text, parse
from triplog.wording.due import check_title, odometer, source_text

_OTHER_UNIT = {"mi": "km", "km": "mi"}
_NO_NUMBER = "no number in the source, so nothing is counted"
_SURE = {
    HowSure.READ: "read in the source",
    HowSure.SECOND_HAND: "from a second source: compare with the text",
    HowSure.MEMORY: "from memory: compare with the text",
}
_FIRST_WITHOUT_NUMBER = {
    Kind.FIRST_DISTANCE: "first check, soon after setting out with this load",
    Kind.FIRST_TIME: "first check, soon after setting out with this load",
}


def rule_title(rule: RecheckRule) -> str:
    """What a rule asks: "first check, within 80 km (49.7 mi) of setting out with this load"."""
    if rule.kind is Kind.EVENT:
        what = f"check after: {rule.counted_from}"
    elif rule.kind is Kind.EXEMPTION:
        what = f"no check owed where {rule.counted_from}"
    elif rule.kind in MEASURED and not rule.limit:
        what = _FIRST_WITHOUT_NUMBER.get(rule.kind, "check regularly")
    else:
        what = check_title(rule.kind, limit_text(rule), rule.legal_force)
    return f"{what} (a {SOFT_LOAD})" if rule.applies_to == SOFT_LOAD else what


def limit_text(rule: RecheckRule) -> str:
    """A limit in both units, the other one rounded down: "80 km (49.7 mi)"; empty without one."""
    other, count = _OTHER_UNIT.get(rule.unit), rule.limit_count
    if count is None:
        return ""
    printed = f"{rule.limit} {rule.unit}"
    if other is None:
        return printed
    return f"{printed} ({decimal_text(Fraction(count, COUNT_PER_UNIT[other]), 1, 'down')} {other})"


def rule_source(rule: RecheckRule) -> str:
    """Legal force and place of a rule."""
    return source_text(rule.legal_force, rule.source, rule.clause, rule.kind)


def rule_set_lines(rules: Iterable[RecheckRule], width: int) -> list[str]:
    """Every rule, by set, with all that is kept of it."""
    lines: list[str] = []
    rule_set = None
    for rule in rules:
        if rule.rule_set != rule_set:
            rule_set = rule.rule_set
            place = "" if rule.jurisdiction == "none" else f"  ({rule.jurisdiction})"
            lines += ["", f"{rule_set}{place}"] if lines else [f"{rule_set}{place}"]
        lines += _block(rule, width)
    return lines


def trip_rule_lines(
    *,
    label: str,
    running: Sequence[RecheckRule],
    behind: Sequence[tuple[RecheckRule, RecheckRule]],
    told: Sequence[RecheckRule],
    width: int,
) -> list[str]:
    """The rules of a trip: those that count, those told, and those that stand behind another."""
    measured = [rule for rule in running if rule.kind not in AT_ONCE]
    at_once = [rule for rule in running if rule.kind in AT_ONCE]
    lines = [f"trip {label}: what counts"]
    lines += [line for rule in measured for line in _short(rule, width)]
    if at_once:
        lines += ["due at once"]
        lines += _at_once_lines(at_once, width)
    if told:
        lines += ["told, not counted"]
        lines += [line for rule in told for line in _short(rule, width)]
    if behind:
        lines += ["stands behind a tighter or more binding rule"]
        for rule, by in behind:
            text = (
                f"{rule_title(rule)}; {rule_source(rule)}: stands behind"
                f" {rule_title(by)}; {rule_source(by)}"
            )
            lines += _wrapped(text, width)
    return lines


def told_lines(rules: Combined, width: int) -> list[str]:
    """What a departure is told besides what counts: the look before driving, and advice.

    Of several that ask the same the most binding; an early look without a number only where no
    other has one.
    """
    by_title: dict[str, RecheckRule] = {}
    counted = any(rule.kind in FIRST for rule in rules.running)
    for rule in sorted(rules.told, key=lambda rule: BINDING[rule.legal_force]):
        if rule.kind is not Kind.EXEMPTION and not (counted and rule.kind in FIRST):
            by_title.setdefault(rule_title(rule), rule)
    return [line for rule in by_title.values() for line in _short(rule, width)]


def first_lines(running: Iterable[RecheckRule], reading: str | None, width: int) -> list[str]:
    """The first checks after rolling, each by which odometer reading, for a stop to be named."""
    lines = []
    for rule in running:
        if rule.kind in FIRST:
            by = _by_reading(rule, reading)
            lines += _wrapped(f"{rule_title(rule)}{by}; {rule_source(rule)}", width)
    return lines


def _by_reading(rule: RecheckRule, reading: str | None) -> str:
    if reading is None or rule.limit_count is None or rule.kind in TIMED:
        return ""
    here = parse(reading, Dimension.LENGTH)
    return f", by odometer {odometer(round(here.si * 1000) + rule.limit_count, here.unit)}"


def rule_record(rule: RecheckRule) -> dict[str, str]:
    """A rule as JSON, with its limit in both units."""
    return {**rule_row(rule), "title": rule_title(rule), "limit_text": limit_text(rule)}


def company_lines(rules: Sequence[RecheckRule]) -> list[str]:
    """The company's rules as they stand."""
    if not rules:
        return ["the company has no re-check rules of its own"]
    return [f"company rule: {rule_title(rule)}" for rule in rules]


def combined_record(
    running: Iterable[RecheckRule],
    behind: Iterable[tuple[RecheckRule, RecheckRule]],
    told: Iterable[RecheckRule],
) -> Mapping[str, object]:
    """The rules of a trip as JSON."""
    return {
        "running": [rule_record(rule) for rule in running],
        "told": [rule_record(rule) for rule in told],
        "behind": [{**rule_record(rule), "behind": by.id} for rule, by in behind],
    }


def _block(rule: RecheckRule, width: int) -> list[str]:
    until = f" to {rule.valid_to}" if rule.valid_to else ""
    no_number = rule.kind is Kind.REGULAR or (rule.kind in MEASURED and not rule.limit)
    rest = [
        rule_source(rule),
        _NO_NUMBER if no_number else "",
        f"counted from: {rule.counted_from}" if rule.kind in MEASURED and rule.limit else "",
        f"edition: {rule.edition}" if rule.edition != "none" else "",
        f"{_SURE[rule.how_sure]}; in force from {rule.valid_from}{until}",
        rule.note,
    ]
    lines = _wrapped(rule_title(rule), width)
    for text in rest:
        lines += [f"      {line}" for line in wrap(text, width - 6)] if text else []
    return lines


def _at_once_lines(rules: Iterable[RecheckRule], width: int) -> list[str]:
    """Rules without a limit, the events of one source together."""
    events: dict[str, list[str]] = {}
    lines = []
    for rule in rules:
        if rule.kind is Kind.EVENT:
            events.setdefault(rule_source(rule), []).append(rule.counted_from)
        else:
            lines += _short(rule, width)
    for source, words in events.items():
        lines += _wrapped(f"check after: {', '.join(words)}; {source}", width)
    return lines


def _short(rule: RecheckRule, width: int) -> list[str]:
    return _wrapped(f"{rule_title(rule)}; {rule_source(rule)}", width)


def _wrapped(text: str, width: int) -> list[str]:
    return [f"  {line}" for line in wrap(text, width - 2, subsequent_indent="    ")]
