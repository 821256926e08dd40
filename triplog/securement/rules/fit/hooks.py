"""Each end fitting goes into the anchor point it is meant for: by kind, and by clear width."""

from itertools import permutations

from triplog.securement.finding import SEVERITY, Finding, Missing, Scope, Step, Verdict
from triplog.securement.model import WEBBING, Anchor, Gear, Part, Path, Plan, TieDown
from triplog.securement.rating import NO_TIE_DOWN
from triplog.securement.rules.bundles import Answer, YesNoRule, bundled
from triplog.securement.rules.fit.sources import COMMON_PRACTICE, RULE_SET

# A flat hook is as wide as its webbing. How wide another hook is, its kind does not tell.
_WIDE_AS_WEBBING = frozenset({"flat hook"})
_TAKES_WEBBING = "winch"


def hook_findings(plan: Plan) -> tuple[Finding, ...]:
    """`fit-hook`: every end of a tie-down in the plan holds in its anchor point.

    Which way round gear is laid is free, so its fittings are tried both ways. An end on a winch
    needs none. What an anchor point accepts is taken from the plan, never guessed from its kind.
    """
    rule = YesNoRule(
        rule="fit-hook", rule_set=RULE_SET, citation=COMMON_PRACTICE, mend="mend.fit-hook"
    )
    answers = (
        _hooks(tie_down, plan)
        for tie_down in plan.tie_downs
        if (gear := plan.gear_item(tie_down.gear)) is None or gear.kind not in NO_TIE_DOWN
    )
    return bundled(rule, Scope.COMMON_PRACTICE, answers)


def _hooks(tie_down: TieDown, plan: Plan) -> Answer:
    gear = plan.gear_item(tie_down.gear)
    if gear is None:
        return Answer(about=tie_down.id, verdict=Verdict.CANNOT_TELL, asks="gear")
    if gear.fittings == ():
        step = Step(id="note.fit-no-fittings", values={"gear": gear.id})
        return Answer(about=tie_down.id, verdict=Verdict.DOES_NOT_APPLY, steps=(step,))
    missing: list[Missing] = []
    anchors: list[Anchor] = []
    for field, end in (("from", tie_down.from_anchor), ("to", tie_down.to)):
        anchor = plan.anchor(end)
        if anchor is None and (field == "from" or tie_down.path is not Path.DIRECT):
            missing.append(Missing(field=field, about=tie_down.id))
        if anchor is not None and not _is_winch(anchor, gear):
            anchors.append(anchor)
    ends = _best_way_round(tie_down, gear, anchors)
    verdict = min((end.verdict for end in ends), key=SEVERITY.__getitem__, default=Verdict.MEETS)
    if missing and verdict is Verdict.MEETS:
        verdict = Verdict.CANNOT_TELL
    unknown = (*missing, *(one for end in ends for one in end.unknown))
    return Answer(
        about=tie_down.id,
        verdict=verdict,
        steps=tuple(step for end in ends for step in end.steps),
        unknown=unknown if verdict is Verdict.CANNOT_TELL else (),
    )


def _is_winch(anchor: Anchor, gear: Gear) -> bool:
    return gear.kind in WEBBING and _plain(anchor.kind or "") == _TAKES_WEBBING


def _best_way_round(tie_down: TieDown, gear: Gear, anchors: list[Anchor]) -> tuple[Answer, ...]:
    """An answer for each anchor point, by the way round that fits best."""
    listed = gear.fittings or ()
    unlisted = (None,) * (len(anchors) - len(listed))
    ways = (
        tuple(
            _end(tie_down, gear, fitting, anchor)
            for fitting, anchor in zip(way, anchors, strict=True)
        )
        for way in permutations((*listed, *unlisted), len(anchors))
    )
    return min(ways, key=lambda way: sorted(-SEVERITY[one.verdict] for one in way)[::-1])


def _end(tie_down: TieDown, gear: Gear, fitting: Part | None, anchor: Anchor) -> Answer:
    kind = None if fitting is None or fitting.kind is None else _plain(fitting.kind)
    if kind is None:
        field = "fittings" if fitting is None else "fittings.kind"
        return _not_known(tie_down, Missing(field=field, about=gear.id))
    wide, clear = gear.width, anchor.opening
    said = {"tie_down": tie_down.id, "anchor": anchor.id, "hook": kind}
    if (
        kind in _WIDE_AS_WEBBING
        and gear.kind in WEBBING
        and wide is not None
        and clear is not None
        and clear.si < wide.si
    ):
        step = Step(id="note.fit-narrow", values={**said, "wide": wide, "opening": clear})
        return Answer(about=tie_down.id, verdict=Verdict.DOES_NOT_MEET, steps=(step,))
    if anchor.accepts is None:
        return _not_known(tie_down, Missing(field="accepts", about=anchor.id))
    accepted = [_plain(one) for one in anchor.accepts]
    if kind in accepted:
        return Answer(about=tie_down.id, verdict=Verdict.MEETS)
    values = {**said, "names": ", ".join(accepted) or "nothing"}
    step = Step(id="note.fit-other-hook", values=values)
    return Answer(about=tie_down.id, verdict=Verdict.DOES_NOT_MEET, steps=(step,))


def _not_known(tie_down: TieDown, missing: Missing) -> Answer:
    return Answer(about=tie_down.id, verdict=Verdict.CANNOT_TELL, unknown=(missing,))


def _plain(kind: str) -> str:
    """A kind of fitting or anchor point as people write it: case, spaces and plural aside."""
    return " ".join(kind.lower().split()).removesuffix("s")
