"""Flattened or crushed vehicles: 49 CFR 393.132.

No webbing on them (b). So many tie-downs on each stack as the walls leave to do (c), none where
walls to the full height stand on four sides. The combined rating is that of 393.106(d).
"""

from collections.abc import Callable

from triplog.securement.figures import figure
from triplog.securement.finding import Finding, Missing, Verdict
from triplog.securement.model import WEBBING, Article, Plan, TieDown
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.sections.answered import answered_finding
from triplog.securement.rules.us_393.sections.facts import (
    count_fact,
    fact_inputs,
    missing_facts,
    word_fact,
)
from triplog.securement.rules.us_393.sections.kinds import Asked, Kind, kinds_finding
from triplog.securement.rules.us_393.sections.limits import printed_number
from triplog.securement.rules.us_393.sections.said import said
from triplog.securement.rules.us_393.sections.section import Section
from triplog.securement.rules.us_393.sections.section_130 import handbook_note

_NUMBER = "393.132"
_COUNT = f"us-{_NUMBER}-count"
_FOUR_SIDES = "four sides"
# The row of the figure, its line, by the walls there are.
_BY_WALLS = {
    "three sides": ("flattened-three-sides", "required.flattened-three-sides"),
    "front and rear": ("flattened-front-rear", "required.flattened-front-rear"),
    "none": ("flattened-no-walls", "required.flattened-no-walls"),
}


def _findings(articles: tuple[Article, ...], plan: Plan) -> tuple[Finding, ...]:
    return tuple(finding for one in articles for finding in _of(one, plan))


def _of(cars: Article, plan: Plan) -> tuple[Finding, ...]:
    return (_webbing(cars, plan), _count(cars, plan), _answers(cars, plan))


def _links_only(cars: Article) -> bool:
    """Whether somebody has looked and the webbing there is only links chain to anchor points."""
    return cars.answers.get("132-linking") == "yes"


def _webbing(cars: Article, plan: Plan) -> Finding:
    """(b): barred whatever its rating, but for the link."""
    gear = [plan.gear_item(one.gear) for one in plan.tie_downs_on(cars.id)]
    missing = _without_gear(cars, plan)
    webbing = any(item is not None and item.kind in WEBBING for item in gear)
    if webbing and not _links_only(cars):
        verdict = Verdict.DOES_NOT_MEET
    else:
        verdict = Verdict.CANNOT_TELL if missing and not _links_only(cars) else Verdict.MEETS
    return said(
        f"us-{_NUMBER}-webbing",
        "393.132(b)",
        (cars.id,),
        plan,
        verdict,
        *(("note.flattened-webbing",) if webbing else ()),
        unknown=missing,
        mend="mend.flattened-webbing",
    )


def bars(cars: Article, tie_down: TieDown, plan: Plan) -> bool:
    """Whether (b) is known to bar a tie-down on these cars."""
    gear = plan.gear_item(tie_down.gear)
    return gear is not None and gear.kind in WEBBING and not _links_only(cars)


def _without_gear(cars: Article, plan: Plan) -> tuple[Missing, ...]:
    return tuple(
        Missing(field="gear", about=one.id)
        for one in plan.tie_downs_on(cars.id)
        if plan.gear_item(one.gear) is None
    )


def _count(cars: Article, plan: Plan) -> Finding:
    walls, stacks = word_fact(cars, "wall_sides"), count_fact(cars, "stacks")
    if walls == _FOUR_SIDES:
        about = (cars.id,)
        note = "note.flattened-walls"
        return said(_COUNT, "393.132(c)(1)", about, plan, Verdict.DOES_NOT_APPLY, note)
    if walls is None:
        clause, kind = _NUMBER, Kind(step="required.flattened-open", low=0, high=None)
    else:
        row, step = _BY_WALLS[walls]
        each = printed_number(row)
        clause = figure(row).citation.clause
        kind = Kind(
            step=step,
            low=each * (stacks or 1),
            high=None if stacks is None else each * stacks,
            fits=_no_webbing(plan),
            values={"each": each},
        )
    asked = Asked(
        rule=_COUNT,
        clause=clause,
        about=(cars.id,),
        kinds=(kind,),
        inputs=fact_inputs(cars, "wall_sides", "stacks"),
        unknown=(*missing_facts(cars, "wall_sides", "stacks"), *_without_gear(cars, plan)),
        notes=(handbook_note(cars),),
    )
    return kinds_finding(asked, plan.tie_downs_on(cars.id), plan)


def _no_webbing(plan: Plan) -> Callable[[TieDown], bool | None]:
    def fits(tie_down: TieDown) -> bool | None:
        gear = plan.gear_item(tie_down.gear)
        return None if gear is None else gear.kind not in WEBBING

    return fits


def _answers(cars: Article, plan: Plan) -> Finding:
    walls = word_fact(cars, "wall_sides")
    if walls == _FOUR_SIDES:
        rule, note = f"us-{_NUMBER}-answers", "note.flattened-walls"
        return said(rule, "393.132(c)(5)", (cars.id,), plan, Verdict.DOES_NOT_APPLY, note)
    return answered_finding(_NUMBER, (cars,), plan, ("132-loose",))


def _aggregate(group: Group, plan: Plan) -> Finding | None:
    """393.106(d) holds, unless walls on all four sides hold every stack and no tie-down does."""
    walled = all(word_fact(one, "wall_sides") == _FOUR_SIDES for one in group.articles)
    if group.tie_downs or not walled:
        return None
    rule, note = f"us-{_NUMBER}-aggregate", "note.flattened-walls"
    return said(rule, "393.132(c)(1)", group.ids, plan, Verdict.DOES_NOT_APPLY, note)


SECTION_132 = Section(number=_NUMBER, findings=_findings, aggregate=_aggregate)
