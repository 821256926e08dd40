"""The company's own re-check rules: they may only tighten what the law asks."""

import re
from collections.abc import Iterable
from datetime import date
from fractions import Fraction

from scheduler.recheck_rules import (
    COUNT_PER_UNIT,
    HowSure,
    Kind,
    LegalForce,
    RecheckRule,
    RuleFileBroken,
    all_rules,
)
from triplog.desk.desk import Desk
from triplog.desk.refused import Refused
from triplog.journal.entries import Entry
from triplog.journal.folding import in_force
from triplog.journal.trip import records_in
from triplog.wording.due import check_title

COMPANY = "company"
"""The rule set of the company's rules."""
COUNTED_FROM = {
    Kind.FIRST_DISTANCE: "departure, loading, reloading, part unloading or change of vehicle",
    Kind.DISTANCE: "last completed check",
    Kind.DRIVING_TIME: "last completed check",
}
"""What a company may set limits for, with what they are counted from."""


def company_rules(desk: Desk) -> tuple[RecheckRule, ...]:
    """The company's rules as last recorded; none where it has none."""
    entries = in_force(desk.store.entries("kind = 'company_rules_recorded' AND trip IS NULL"))
    return tuple(_rules_in(entries[-1].entry)) if entries else ()


def record_company_rules(
    desk: Desk,
    *,
    first: str | None,
    every: str | None,
    driving: str | None,
    note: str | None = None,
) -> Entry:
    """Record the whole set of the company's rules; what is None has no company rule from now on.

    Raises Refused for a limit that cannot be read, and for one looser than every law's.
    """
    typed = {Kind.FIRST_DISTANCE: first, Kind.DISTANCE: every, Kind.DRIVING_TIME: driving}
    rules = []
    for kind, text in typed.items():
        if text is not None:
            limit, unit = _limit(kind, text)
            _refuse_looser(kind, limit, unit, desk.now().wall.date())
            rules.append({"kind": str(kind), "limit": limit, "unit": unit})
    return desk.record(
        desk.draft("company_rules_recorded", {"rules": rules}, private={"note": note})
    )


def _rules_in(entry: Entry) -> Iterable[RecheckRule]:
    for row in records_in(entry.body, "rules"):
        kind = Kind(row["kind"])
        yield RecheckRule(
            id=f"company-{kind}",
            rule_set=COMPANY,
            jurisdiction=COMPANY,
            kind=kind,
            limit=row["limit"],
            unit=row["unit"],
            counted_from=COUNTED_FROM[kind],
            legal_force=LegalForce.COMPANY_RULE,
            source="the company's own rule",
            clause=f"entry {entry.hash[:8]}",
            edition=f"recorded {entry.event_time.date()}",
            how_sure=HowSure.READ,
            valid_from=entry.event_time.date(),
            valid_to=None,
            note="",
        )


def _limit(kind: Kind, text: str) -> tuple[str, str]:
    """A limit as typed, "40 mi" or "90 min", in number and unit; Refused where it is none."""
    units, example = ("h|min", "2 h") if kind is Kind.DRIVING_TIME else ("mi|km", "40 mi")
    found = re.fullmatch(rf"\s*([0-9]+(?:\.[0-9]+)?)\s*({units})\s*", text)
    try:
        if found is not None and Fraction(found[1]) * COUNT_PER_UNIT[found[2]] > 0:
            return found[1], found[2]
    except (RuleFileBroken, ValueError) as problem:
        raise Refused(f"{text!r}: {problem}") from problem
    raise Refused(f"{text!r} is no limit for this; write it as {example!r}, above zero")


def _refuse_looser(kind: Kind, limit: str, unit: str, on: date) -> None:
    """Refuse a limit beyond that of every law with a number of its kind."""
    laws = [
        rule
        for rule in all_rules()
        if rule.kind is kind
        and rule.legal_force is LegalForce.LAW
        and rule.limit_count is not None
        and rule.in_force(on)
    ]
    loosest = max(laws, key=lambda rule: rule.limit_count or 0, default=None)
    count = Fraction(limit) * COUNT_PER_UNIT[unit]
    if loosest is not None and count > (loosest.limit_count or 0):
        raise Refused(
            f"{limit} {unit} is looser than {loosest.source} {loosest.clause}"
            f" ({check_title(kind, f'{loosest.limit} {loosest.unit}')}), and no law here is looser:"
            " a company rule may only tighten"
        )
