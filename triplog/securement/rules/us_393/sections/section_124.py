"""Concrete pipe lying loose on an open vehicle: 49 CFR 393.124.

Pipes that share tie-downs or go together are one group, all of one diameter (d)(1). Up to 45 in
inside (e): through each pipe, or over the group with the front and rear pipe held through; wider
(f): through each pipe, twice through one that touches nothing at its end.
"""

from collections.abc import Callable
from fractions import Fraction

from triplog.securement.finding import SEVERITY, Count, Finding, Missing, Step, Verdict
from triplog.securement.model import Article, Direction, GearKind, Plan, TieDown
from triplog.securement.quantity import Quantity
from triplog.securement.rules.blocking import blocked, blocked_forward
from triplog.securement.rules.groups import Group, groups_of
from triplog.securement.rules.us_393.sections.answered import answered_finding
from triplog.securement.rules.us_393.sections.facts import (
    count_fact,
    fact_inputs,
    length_fact,
    missing_facts,
)
from triplog.securement.rules.us_393.sections.kinds import (
    TIE_DOWN,
    Asked,
    Kind,
    exactly,
    kinds_finding,
)
from triplog.securement.rules.us_393.sections.limits import printed_length, printed_number
from triplog.securement.rules.us_393.sections.said import said
from triplog.securement.rules.us_393.sections.section import Section
from triplog.securement.rules.us_393.sections.shares import share_finding

_NUMBER = "393.124"
_COUNT = f"us-{_NUMBER}-count"
_LENGTHWISE = frozenset({GearKind.CHAIN, GearKind.WIRE_ROPE})
Pipes = tuple[Article, ...]


def _findings(articles: Pipes, plan: Plan) -> tuple[Finding, ...]:
    findings: list[Finding] = []
    for group in groups_of(plan):
        pipes = tuple(one for one in group.articles if one in articles)
        if pipes:
            findings += (_count(pipes, plan), _one_size(pipes, plan), _answers(pipes, plan))
    return tuple(findings)


def _count(pipes: Pipes, plan: Plan) -> Finding:
    """The way of the section that comes nearest; by the widest pipe where they differ."""
    wide = _is_wide(pipes)
    if wide is None:
        missing = tuple(one for pipe in pipes for one in missing_facts(pipe, "diameter"))
        open_kind = Kind(step="required.pipe-open", low=1, high=None)
        return _asked(pipes, plan, _NUMBER, (open_kind,), missing)
    if wide:
        return _wide_count(pipes, plan)
    ways = (_each(pipes, plan), *(_over(pipes, plan, thick=thick) for thick in (True, False)))
    return max(ways, key=lambda way: (SEVERITY[way.verdict], _margin(way)))


def _margin(finding: Finding) -> int:
    return finding.margin.value if isinstance(finding.margin, Count) else 0


def _is_wide(pipes: Pipes) -> bool | None:
    """Whether any pipe is wider inside than 45 in; None where that is not known."""
    answers = []
    for pipe in pipes:
        diameter = length_fact(pipe, "diameter")
        limit = printed_length("pipe-small-diameter-max", diameter)
        answers.append(None if diameter is None else diameter.si > limit.si)
    return True if True in answers else (None if None in answers else False)


def _number_of(pipes: Pipes) -> int:
    """An article is one pipe unless it says how many pieces it has."""
    return sum(count_fact(one, "pieces") or 1 for one in pipes)


def _each(pipes: Pipes, plan: Plan) -> Finding:
    """(e)(2)(i): through each pipe; a single pipe is the front and the rear one."""
    ends = printed_number("pipe-end-tie-downs")
    number = max(_number_of(pipes) * printed_number("pipe-each"), ends)
    kinds = (exactly(number, "required.pipe-each", _through, ("through_eye",)),)
    return _asked(pipes, plan, "393.124(e)(2)(i)", kinds)


def _over(pipes: Pipes, plan: Plan, *, thick: bool) -> Finding:
    """(e)(2)(ii): lengthwise over the group and crosswise for every 10 ft, the ends through."""
    word = "pipe-lengthwise-thick" if thick else "pipe-lengthwise-thin"
    low, high = _crosswise_number(pipes)
    number = printed_number(word)
    kinds = (
        exactly(
            printed_number("pipe-end-tie-downs"), "required.pipe-ends", _through, ("through_eye",)
        ),
        Kind(
            step="required.pipe-lengthwise",
            low=number,
            high=number,
            fits=_lengthwise(plan, word),
            asks=("lay", "through_eye"),
            values={"size": printed_length(f"{word}-size", None)},
        ),
        Kind(
            step="required.pipe-crosswise",
            low=low,
            high=high,
            fits=_crosswise,
            asks=("lay",),
            values={"every": printed_length("pipe-transverse-every", pipes[0].length)},
        ),
    )
    missing = (*_unmeasured(pipes), *_unsized(pipes, plan))
    return _asked(pipes, plan, "393.124(e)(2)(ii)", kinds, missing, _fraction_note(pipes))


def _wide_count(pipes: Pipes, plan: Plan) -> Finding:
    """(f)(2): once through each pipe, twice through an end pipe that touches nothing there."""
    number = _number_of(pipes)
    each, more = printed_number("pipe-large-each"), printed_number("pipe-large-open-end")
    ends = (_stopped(pipes, plan, Direction.FORWARD), _stopped(pipes, plan, Direction.REARWARD))
    ends_max = min(number, len(ends))
    low = number * each + min(ends.count(False), ends_max) * (more - each)
    high = number * each + min(len(ends) - ends.count(True), ends_max) * (more - each)
    kind = Kind(step="required.pipe-wide", low=low, high=high, fits=_through, asks=("through_eye",))
    missing = tuple(
        Missing(field=f"blocked.{way}", about=pipes[0].id)
        for way, stopped in zip(("forward", "rearward"), ends, strict=True)
        if stopped is None
    )
    return _asked(pipes, plan, "393.124(f)(2)", (kind,), missing if low != high else ())


def _stopped(pipes: Pipes, plan: Plan, way: Direction) -> bool | None:
    """Whether something named stops the group at that end."""
    forward = way is Direction.FORWARD
    answers = [blocked_forward(one, plan) if forward else blocked(one, way, plan) for one in pipes]
    return True if True in answers else (None if None in answers else False)


def _asked(
    pipes: Pipes,
    plan: Plan,
    clause: str,
    kinds: tuple[Kind, ...],
    unknown: tuple[Missing, ...] = (),
    notes: tuple[Step, ...] = (),
) -> Finding:
    ids = {one.id for one in pipes}
    asked = Asked(
        rule=_COUNT,
        clause=clause,
        about=tuple(one.id for one in pipes),
        kinds=kinds,
        inputs=tuple(one for pipe in pipes for one in fact_inputs(pipe, "diameter", "pieces")),
        unknown=unknown,
        notes=notes,
    )
    holding = tuple(one for one in plan.tie_downs if ids.intersection(one.holds))
    return kinds_finding(asked, holding, plan)


def _through(tie_down: TieDown) -> bool | None:
    return tie_down.through_eye


def _crosswise(tie_down: TieDown) -> bool | None:
    """Over the group or through a pipe alike."""
    return None if tie_down.lay is None else tie_down.lay == "crosswise"


def _lengthwise(plan: Plan, word: str) -> Callable[[TieDown], bool | None]:
    """Chain or wire rope of the printed size at least, lengthwise over the group."""

    def fits(tie_down: TieDown) -> bool | None:
        gear = plan.gear_item(tie_down.gear)
        size = None if gear is None else gear.size
        told = [
            None if tie_down.lay is None else tie_down.lay == "lengthwise",
            None if tie_down.through_eye is None else not tie_down.through_eye,
            None if gear is None else gear.kind in _LENGTHWISE,
            None if size is None else size.si >= printed_length(f"{word}-size", size).si,
        ]
        return False if False in told else (None if None in told else True)

    return fits


def _crosswise_number(pipes: Pipes) -> tuple[int, int | None]:
    """One for every 10 ft in the words of the text, and at least one."""
    load_m = _load_length_m(pipes)
    if load_m is None:
        return 1, None
    number = max(1, load_m // _every_m(pipes))
    return number, number


def _every_m(pipes: Pipes) -> Fraction:
    return printed_length("pipe-transverse-every", pipes[0].length).si


def _load_length_m(pipes: Pipes) -> Fraction | None:
    """From the front of the first to the rear of the last; None where places are not known."""
    lengths = [one.length.si for one in pipes if one.length is not None]
    if len(lengths) < len(pipes):
        return None
    if len(pipes) == 1:
        return lengths[0]
    fronts = [one.at.from_front_m for one in pipes if one.at is not None]
    if len(fronts) < len(pipes):
        return None
    rears = [front + length for front, length in zip(fronts, lengths, strict=True)]
    return max(rears) - min(fronts)


def _unmeasured(pipes: Pipes) -> tuple[Missing, ...]:
    if _load_length_m(pipes) is not None:
        return ()
    pairs = ((one.id, name, getattr(one, name)) for one in pipes for name in ("length", "at"))
    return tuple(Missing(field=name, about=about) for about, name, value in pairs if value is None)


def _unsized(pipes: Pipes, plan: Plan) -> tuple[Missing, ...]:
    """The gear and the sizes that would tell whether a tie-down is thick enough."""
    ids = {one.id for one in pipes}
    missing = []
    for one in plan.tie_downs:
        if ids.isdisjoint(one.holds):
            continue
        gear = plan.gear_item(one.gear)
        if gear is None:
            missing.append(Missing(field="gear", about=one.id))
        elif gear.kind in _LENGTHWISE and gear.size is None:
            missing.append(Missing(field="size", about=gear.id))
    return tuple(dict.fromkeys(missing))


def _fraction_note(pipes: Pipes) -> tuple[Step, ...]:
    """The stricter reading, where the load is no whole number of lengths."""
    load_m = _load_length_m(pipes)
    if load_m is None or load_m % _every_m(pipes) == 0:
        return ()
    number = Count(value=int(load_m // _every_m(pipes)) + 1, unit=TIE_DOWN)
    if number.value == _crosswise_number(pipes)[0]:
        return ()
    return (Step(id="note.pipe-fraction", values={"number": number}),)


def _one_size(pipes: Pipes, plan: Plan) -> Finding:
    """(d)(1): a group holds pipes of one diameter."""
    told: list[Quantity | None] = [length_fact(one, "diameter") for one in pipes]
    sizes = {one.si for one in told if one is not None}
    missing = tuple(one for pipe in pipes for one in missing_facts(pipe, "diameter"))
    if len(sizes) > 1:
        verdict = Verdict.DOES_NOT_MEET
    else:
        verdict = Verdict.CANNOT_TELL if missing and len(pipes) > 1 else Verdict.MEETS
    about = tuple(one.id for one in pipes)
    return said(
        f"us-{_NUMBER}-groups",
        "393.124(d)(1)",
        about,
        plan,
        verdict,
        unknown=missing,
        mend="mend.pipe-groups",
    )


def _answers(pipes: Pipes, plan: Plan) -> Finding:
    wide = _is_wide(pipes)
    missing = [one for pipe in pipes for one in missing_facts(pipe, "tiers")]
    if wide is None:
        missing += [one for pipe in pipes for one in missing_facts(pipe, "diameter")]
    tiers = [count_fact(one, "tiers") or 0 for one in pipes]
    questions = ["124-blocking"]
    if wide is not None:
        own = ("124-large-ends", "124-halves") if wide else ("124-ends", "124-front-rear")
        questions += own
    if max(tiers) >= printed_number("pipe-third-tier"):
        questions.append("124-third-tier")
    return answered_finding(_NUMBER, pipes, plan, questions, tuple(missing))


def _aggregate(group: Group, plan: Plan) -> Finding:
    return share_finding(_NUMBER, "pipe-aggregate-share", group, plan, "required.half")


SECTION_124 = Section(number=_NUMBER, findings=_findings, aggregate=_aggregate)
