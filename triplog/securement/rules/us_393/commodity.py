"""Which section of 49 CFR 393.116 to 393.136 takes an article, if the general rules do not.

393.106(a): where one of these sections asks for more, it holds beside or instead of the general
rules. Some are asked only from a mass on, some leave a choice, which the plan records.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.figures import figure
from triplog.securement.finding import Basis, Input, Missing, Step
from triplog.securement.model import Article, Body, Commodity, Plan
from triplog.securement.quantity import Dimension, Quantity

GENERAL = "general"
_SECTION_ALWAYS = {
    Commodity.CONTAINER: "393.126",
    Commodity.FLATTENED_CAR: "393.132",
}
# Their own function weighs the choice: it stands only where the law leaves it.
_CHOOSING = frozenset({Commodity.MACHINE, Commodity.LIGHT_VEHICLE, Commodity.BOULDER})
_OF_WHEELED = (GENERAL, "393.128", "393.130")
_SECTION_BY_SUM = {
    Commodity.METAL_COIL: ("393.120", "coil-mass-min"),
    Commodity.PAPER_ROLL: ("393.122", "paper-roll-mass-min"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionAnswer:
    """The section that takes an article, or may take it.

    `word` is empty where that is settled; else it ends the rule id of the finding that says what
    is open, with `step` as its reason and `unknown` as what would settle it.
    """

    section: str
    word: str = ""
    step: Step | None = None
    unknown: tuple[Missing, ...] = ()


def section_answer(article: Article, plan: Plan) -> SectionAnswer | None:
    """The section that takes the article, or may; None where the general rules are enough."""
    commodity, chosen = article.commodity, article.section
    if chosen is not None and chosen != GENERAL and commodity not in _CHOOSING:
        return SectionAnswer(section=chosen)
    if commodity is None:
        return SectionAnswer(
            section="393.106",
            word="commodity",
            step=Step(id="note.commodity-unknown"),
            unknown=(Missing(field="commodity", about=article.id),),
        )
    if commodity in _SECTION_ALWAYS:
        return SectionAnswer(section=_SECTION_ALWAYS[commodity])
    answer = _SOMETIMES.get(commodity)
    return None if answer is None else answer(article, plan)


def commodity_inputs(article: Article) -> tuple[Input, ...]:
    """The commodity and the section chosen, as recorded."""
    pairs = (("commodity", article.commodity), ("section", article.section))
    return tuple(
        Input(name=name, about=article.id, value=str(value), basis=Basis.STATED)
        for name, value in pairs
        if value is not None
    )


def _may_apply(article: Article, section: str, *fields: str) -> SectionAnswer:
    """A section that applies or not, depending on facts nobody has given."""
    unknown = tuple(Missing(field=field, about=article.id) for field in fields)
    return _open_by(section, unknown)


def _open_by(section: str, unknown: tuple[Missing, ...]) -> SectionAnswer:
    step = Step(id="note.section-may-apply", values={"section": section})
    return SectionAnswer(section=section, word="applies", step=step, unknown=unknown)


def _choice(article: Article, section: str, choices: str) -> SectionAnswer:
    return SectionAnswer(
        section=section,
        word="choice",
        step=Step(id="note.section-choice", values={"choices": choices}),
        unknown=(Missing(field="section", about=article.id),),
    )


def _reaches(mass: Quantity, figure_id: str) -> bool:
    """Whether the mass is at least the printed figure, in the unit system it was given in."""
    return mass.si >= figure(figure_id).amount(Dimension.MASS, us=mass.is_us).si


def _logs(article: Article, plan: Plan) -> SectionAnswer | None:
    """393.116(a): unitized logs and a few processed ones may go by the general rules, if chosen."""
    unitized = article.facts.get("unitized")
    logs = [one for one in plan.articles if one.commodity is Commodity.LOGS]
    few = _few_processed(logs)
    if article.section != GENERAL or (unitized is False and few is False):
        return SectionAnswer(section="393.116")
    if unitized or few:
        return None
    unknown = [] if unitized is False else [Missing(field="facts.unitized", about=article.id)]
    if few is None:
        unknown += [
            Missing(field=f"facts.{name}", about=one.id)
            for one in logs
            for name in ("processed", "pieces")
            if name not in one.facts
        ]
    return _open_by("393.116", tuple(unknown))


def _few_processed(logs: list[Article]) -> bool | None:
    """Whether the whole load is no more than so many processed logs; None: not all is told."""
    most = int(figure("logs-processed-max").value_us)
    pieces = [one.facts.get("pieces") for one in logs]
    processed = [one.facts.get("processed") for one in logs]
    if sum(one for one in pieces if isinstance(one, int)) > most or False in processed:
        return False
    return None if None in pieces or None in processed else True


def _paper_rolls(article: Article, plan: Plan) -> SectionAnswer | None:
    """393.122(a): as coils; rolls unitized on a pallet may go by the general rules, if chosen."""
    answer = _by_sum(article, plan)
    if answer is None or article.section != GENERAL:
        return answer
    unitized = article.facts.get("unitized")
    if unitized is None:
        return _may_apply(article, answer.section, "facts.unitized")
    return None if unitized else answer


def _by_sum(article: Article, plan: Plan) -> SectionAnswer | None:
    """Coils and paper rolls: their masses count together, one or grouped."""
    assert article.commodity is not None
    section, figure_id = _SECTION_BY_SUM[article.commodity]
    alike = [other for other in plan.articles if other.commodity is article.commodity]
    masses = [other.mass for other in alike if other.mass is not None]
    us = masses[0].is_us if masses else True
    line_kg = figure(figure_id).amount(Dimension.MASS, us=us).si
    if sum((mass.si for mass in masses), Fraction(0)) >= line_kg:
        return SectionAnswer(section=section)
    unweighed = tuple(
        Missing(field="mass", about=other.id) for other in alike if other.mass is None
    )
    if not unweighed:
        return None
    return _open_by(section, unweighed)


def _dressed_lumber(article: Article, plan: Plan) -> SectionAnswer | None:
    """393.118(c), (e): one tier and sided vehicles go by the general rules."""
    if not in_tiers(article, plan) or plan.vehicle.body is Body.SIDED:
        return None
    if plan.vehicle.body is None:
        return _open_by("393.118", (Missing(field="body", about="vehicle"),))
    return SectionAnswer(section="393.118")


def in_tiers(article: Article, plan: Plan) -> bool:
    """Whether the bundle stands on another or under one, or is entered as several tiers."""
    lumber = {one.id for one in plan.articles if one.commodity is Commodity.DRESSED_LUMBER}
    if article.on in lumber:
        return True
    if any(one.on == article.id for one in plan.articles if one.id in lumber):
        return True
    tiers = article.facts.get("tiers")
    return isinstance(tiers, int) and tiers > figure("lumber-tiers-general-max").value_us


def _concrete_pipe(article: Article, plan: Plan) -> SectionAnswer | None:
    """393.124(a): on open vehicles; bundles and sided vehicles go by the general rules."""
    if article.facts.get("unitized") is True or plan.vehicle.body is Body.SIDED:
        return None
    if plan.vehicle.body is None:
        return _open_by("393.124", (Missing(field="body", about="vehicle"),))
    return SectionAnswer(section="393.124")


def _wheeled(article: Article, _plan: Plan) -> SectionAnswer | None:
    """From 10,000 lb on 393.130 holds; below it cars go by 393.128 and machines by a choice.

    393.130(a) lets lighter ones go by 393.130, 393.128 or the general rules: as recorded.
    """
    chosen = article.section if article.section in _OF_WHEELED else None
    if article.mass is None:
        if chosen == "393.130":
            return SectionAnswer(section=chosen)
        return _may_apply(article, "393.130", "mass")
    if _reaches(article.mass, "machine-mass-min"):
        return SectionAnswer(section="393.130")
    if chosen is None and article.commodity is Commodity.LIGHT_VEHICLE:
        return SectionAnswer(section="393.128")
    if chosen is None:
        return _choice(article, "393.130", ", ".join(_OF_WHEELED))
    return None if chosen == GENERAL else SectionAnswer(section=chosen)


def _roll_off(article: Article, _plan: Plan) -> SectionAnswer | None:
    """393.134(a): on vehicles that have no securement of their own for it."""
    if article.facts.get("integral_securement") is True:
        return None
    return SectionAnswer(section="393.134")


def _boulder(article: Article, plan: Plan) -> SectionAnswer | None:
    """393.136: above the heavy line it holds; between the lines the choice is recorded.

    It is for open vehicles and for sides that are not rated to contain boulders.
    """
    rated = article.facts.get("rated_sides")
    mass = article.mass
    if rated is True or (mass is not None and not _reaches(mass, "boulder-choice-mass-min")):
        return None
    if rated is None and plan.vehicle.body is Body.SIDED:
        return _may_apply(article, "393.136", "facts.rated_sides")
    # exactly at the heavy line neither row of 136(a) helps
    if article.section == "393.136" or (mass is not None and _reaches(mass, "boulder-mass-above")):
        return SectionAnswer(section="393.136")
    if mass is None:
        return _may_apply(article, "393.136", "mass")
    volume_m3 = _box_volume_m3(article)
    if volume_m3 is None:
        return _may_apply(article, "393.136", "length, width and height")
    if volume_m3 > figure("boulder-volume-above").value_si:
        return _may_apply(article, "393.136", "volume")
    return None if article.section == GENERAL else _choice(article, "393.136", "general, 393.136")


def _box_volume_m3(article: Article) -> Fraction | None:
    """The volume of the box around the article: at least its own."""
    if article.length is None or article.width is None or article.height is None:
        return None
    return article.length.si * article.width.si * article.height.si


_SOMETIMES: dict[Commodity, Callable[[Article, Plan], SectionAnswer | None]] = {
    Commodity.LOGS: _logs,
    Commodity.METAL_COIL: _by_sum,
    Commodity.PAPER_ROLL: _paper_rolls,
    Commodity.CONCRETE_PIPE: _concrete_pipe,
    Commodity.DRESSED_LUMBER: _dressed_lumber,
    Commodity.MACHINE: _wheeled,
    Commodity.LIGHT_VEHICLE: _wheeled,
    Commodity.ROLL_OFF: _roll_off,
    Commodity.BOULDER: _boulder,
}
