"""Large boulders, over 11,000 lb or 2 cubic metres: 49 CFR 393.136.

Chain alone holds them (c). They rest on hardwood, or a rounded one in a crib (b). Cubic (d): two
crosswise; stable (e): two in an X; unstable (f): a ring round it and four chains from the ring,
each rated for a quarter of the weight.
"""

from collections.abc import Callable
from fractions import Fraction

from triplog.securement.figures import figure
from triplog.securement.finding import Finding, Missing, Verdict
from triplog.securement.model import Article, GearKind, Lay, Plan, TieDown
from triplog.securement.quantity import Amount, Dimension, amount_of_si, weight_n
from triplog.securement.rating import assembly_rating, uses_us_columns
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.counted import counted
from triplog.securement.rules.us_393.sections.answered import answered_finding
from triplog.securement.rules.us_393.sections.facts import (
    count_fact,
    fact_inputs,
    length_fact,
    missing_facts,
    word_fact,
    yes_fact,
)
from triplog.securement.rules.us_393.sections.kinds import (
    TIE_DOWN,
    Asked,
    Kind,
    exactly,
    kinds_finding,
)
from triplog.securement.rules.us_393.sections.limits import (
    Limit,
    counted_fact,
    limit_finding,
    printed_count,
    printed_length,
    printed_number,
)
from triplog.securement.rules.us_393.sections.said import said
from triplog.securement.rules.us_393.sections.section import Section
from triplog.securement.rules.us_393.sections.shares import share_finding

_NUMBER = "393.136"
_UNSTABLE = "unstable"
Fits = Callable[[TieDown], bool | None]


def _findings(articles: tuple[Article, ...], plan: Plan) -> tuple[Finding, ...]:
    return tuple(finding for one in articles for finding in _of(one, plan))


def _of(boulder: Article, plan: Plan) -> tuple[Finding, ...]:
    ring = word_fact(boulder, "shape") == _UNSTABLE
    return (
        *_support(boulder, plan),
        _chain(boulder, plan),
        _count(boulder, plan),
        *((_ring(boulder, plan), _each(boulder, plan)) if ring else ()),
        _answers(boulder, plan),
    )


def _chain(boulder: Article, plan: Plan) -> Finding:
    """(c): nothing but chain."""
    gear = [plan.gear_item(one.gear) for one in plan.tie_downs_on(boulder.id)]
    missing = _without_gear(boulder, plan)
    other = any(item is not None and item.kind is not GearKind.CHAIN for item in gear)
    if other:
        verdict = Verdict.DOES_NOT_MEET
    else:
        verdict = Verdict.CANNOT_TELL if missing else Verdict.MEETS
    return said(
        f"us-{_NUMBER}-chain",
        "393.136(c)",
        (boulder.id,),
        plan,
        verdict,
        *(("note.boulder-chain",) if other else ()),
        unknown=missing,
        mend="mend.boulder-chain",
    )


def _without_gear(boulder: Article, plan: Plan) -> tuple[Missing, ...]:
    return tuple(
        Missing(field="gear", about=one.id)
        for one in plan.tie_downs_on(boulder.id)
        if plan.gear_item(one.gear) is None
    )


def _support(boulder: Article, plan: Plan) -> tuple[Finding, ...]:
    """(b)(2) timber, or (b)(4) a crib under a rounded side."""
    rule = f"us-{_NUMBER}-support"
    rounded = yes_fact(boulder, "rounded")
    if rounded is None:
        missing = missing_facts(boulder, "rounded")
        verdict = Verdict.CANNOT_TELL
        return (said(rule, "393.136(b)", (boulder.id,), plan, verdict, unknown=missing),)
    fact = "crib_contacts" if rounded else "timbers"
    row, unit = ("boulder-crib-contacts", "contact") if rounded else ("boulder-timbers", "timber")
    limit = Limit(
        rule=rule,
        clause=figure(row).citation.clause,
        article=boulder,
        facts=(fact,),
        given=counted_fact(count_fact(boulder, fact), unit),
        limit=printed_count(row, unit),
        at_most=False,
        step="required.boulder-crib" if rounded else "required.boulder-timbers",
        mend="mend.boulder-support",
        notes=() if rounded else ("note.boulder-advice",),
    )
    count = limit_finding(limit, plan)
    return (count,) if rounded else (count, _timber_size(boulder, plan))


def _timber_size(boulder: Article, plan: Plan) -> Finding:
    given = length_fact(boulder, "timber_size")
    limit = Limit(
        rule=f"us-{_NUMBER}-timber-size",
        clause="393.136(b)(2)",
        article=boulder,
        facts=("timber_size",),
        given=given,
        limit=printed_length("boulder-timber-size", given),
        at_most=False,
        step="required.boulder-timber-size",
        mend="mend.boulder-timber-size",
    )
    return limit_finding(limit, plan)


def _count(boulder: Article, plan: Plan) -> Finding:
    """(d) to (f): by the shape; only chain counts."""
    clause, kind = _kind(word_fact(boulder, "shape"), plan)
    asked = Asked(
        rule=f"us-{_NUMBER}-count",
        clause=clause,
        about=(boulder.id,),
        kinds=(kind,),
        inputs=fact_inputs(boulder, "shape"),
        unknown=(*missing_facts(boulder, "shape"), *_without_gear(boulder, plan)),
    )
    return kinds_finding(asked, plan.tie_downs_on(boulder.id), plan)


def _kind(shape: str | None, plan: Plan) -> tuple[str, Kind]:
    if shape == "cubic":
        number = printed_number("boulder-cubic-tie-downs")
        fits = _chain_lying(plan, "crosswise")
        return "393.136(d)", exactly(number, "required.boulder-cubic", fits, ("lay",))
    if shape == "stable":
        number = printed_number("boulder-stable-tie-downs")
        fits = _chain_lying(plan, "diagonal")
        return "393.136(e)", exactly(number, "required.boulder-stable", fits, ("lay",))
    fits = _chain_lying(plan, None)
    if shape is None:
        number = printed_number("boulder-cubic-tie-downs")
        return _NUMBER, Kind(step="required.boulder-open", low=number, high=None, fits=fits)
    number = printed_number("boulder-ring-chains")
    return "393.136(f)(2)", exactly(number, "required.boulder-unstable", fits)


def _chain_lying(plan: Plan, lay: Lay | None) -> Fits:
    """Chain that lies so; any lay where None is asked for."""

    def fits(tie_down: TieDown) -> bool | None:
        gear = plan.gear_item(tie_down.gear)
        told = [
            None if gear is None else gear.kind is GearKind.CHAIN,
            lay is None or (None if tie_down.lay is None else tie_down.lay == lay),
        ]
        return False if False in told else (None if None in told else True)

    return fits


def _share_of_weight(boulder: Article, figure_id: str) -> Amount | None:
    if boulder.mass is None:
        return None
    force_n = weight_n(boulder.mass) * figure(figure_id).value_us
    unit = "kg" if boulder.mass.unit == "g" else boulder.mass.unit
    return amount_of_si(force_n, unit, Dimension.FORCE)


def _missing_mass(boulder: Article) -> tuple[Missing, ...]:
    return () if boulder.mass is not None else (Missing(field="mass", about=boulder.id),)


def _ring(boulder: Article, plan: Plan) -> Finding:
    """(f)(1): the chain round it."""
    limit = Limit(
        rule=f"us-{_NUMBER}-ring",
        clause="393.136(f)(1)",
        article=boulder,
        facts=("ring_rating",),
        given=length_fact(boulder, "ring_rating"),
        limit=_share_of_weight(boulder, "boulder-ring-share"),
        at_most=False,
        step="required.boulder-ring",
        mend="mend.boulder-ring",
        unknown=_missing_mass(boulder),
    )
    return limit_finding(limit, plan)


def _each(boulder: Article, plan: Plan) -> Finding:
    """(f)(2): so many chains, each rated for its share; unknown ratings at both ends."""
    quarter = _share_of_weight(boulder, "boulder-ring-chain-share")
    holding = counted(plan.tie_downs_on(boulder.id), plan)
    us = uses_us_columns((boulder,))
    ratings = [assembly_rating(one, plan, us=us) for one in holding]
    line_n = Fraction(0) if quarter is None else quarter.si
    sure = [one for one in ratings if one.worst.si >= line_n]
    best = [one for one in ratings if one.best is None or one.best.si >= line_n]
    needed = printed_number("boulder-ring-chains")
    have: int | None = None
    if len(best) < needed:
        have = len(best)
    elif quarter is not None and len(sure) >= needed:
        have = len(sure)
    unrated = (
        Missing(field=part.asks, about=part.about)
        for one in best
        if one not in sure
        for part in one.unknown_parts
    )
    limit = Limit(
        rule=f"us-{_NUMBER}-each",
        clause="393.136(f)(2)",
        article=boulder,
        facts=(),
        given=counted_fact(have, TIE_DOWN),
        limit=printed_count("boulder-ring-chains", TIE_DOWN),
        at_most=False,
        step="required.boulder-each-open" if quarter is None else "required.boulder-each",
        values={} if quarter is None else {"quarter": quarter},
        mend="mend.boulder-each",
        unknown=(*_missing_mass(boulder), *dict.fromkeys(unrated)),
    )
    return limit_finding(limit, plan)


def _answers(boulder: Article, plan: Plan) -> Finding:
    rounded, shape = yes_fact(boulder, "rounded"), word_fact(boulder, "shape")
    questions = ["136-side", "136-taper"]
    if rounded is not None:
        questions.append("136-crib" if rounded else "136-width")
    if shape == "stable":
        questions.append("136-crossing")
    if shape == _UNSTABLE:
        questions += ["136-ring", "136-angle"]
    missing = missing_facts(boulder, "rounded", "shape")
    return answered_finding(_NUMBER, (boulder,), plan, questions, missing)


def _aggregate(group: Group, plan: Plan) -> Finding | None:
    """(d), (e): half the weight; 393.106(d) asks the same of the others."""
    if any(word_fact(one, "shape") not in ("cubic", "stable") for one in group.articles):
        return None
    return share_finding(_NUMBER, "boulder-aggregate-share", group, plan, "required.half")


SECTION_136 = Section(number=_NUMBER, findings=_findings, aggregate=_aggregate)
