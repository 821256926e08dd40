"""Whether the general rules are enough for an article: the commodity sections ask first.

393.106(a): where 393.116 to 393.136 ask for more, they hold beside or instead of the general
rules. None of them is built yet, so an article they take is *cannot tell*, never *meets*.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.figures import figure
from triplog.securement.finding import Basis, Finding, Input, Missing, Scope, Step, Verdict
from triplog.securement.model import Article, Commodity, Plan
from triplog.securement.quantity import Dimension, Quantity
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope

GENERAL = "general"
_SECTION_ALWAYS = {
    Commodity.LOGS: "393.116",
    Commodity.CONCRETE_PIPE: "393.124",
    Commodity.CONTAINER: "393.126",
    Commodity.FLATTENED_CAR: "393.132",
    Commodity.ROLL_OFF: "393.134",
}
_SECTION_BY_SUM = {
    Commodity.METAL_COIL: ("393.120", "coil-mass-min"),
    Commodity.PAPER_ROLL: ("393.122", "paper-roll-mass-min"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionAnswer:
    """Why the general rules alone do not settle an article.

    `section` is the section that applies or may apply; `word` ends the rule id; `unknown` is what
    would settle it (the section itself where it is not built).
    """

    section: str
    word: str
    step: Step
    unknown: tuple[Missing, ...]


def section_answer(article: Article, plan: Plan) -> SectionAnswer | None:
    """The section that takes the article, or may; None where the general rules are enough."""
    commodity, chosen = article.commodity, article.section
    if chosen is not None and chosen != GENERAL:
        return _not_built(article, chosen)
    if commodity is None:
        return SectionAnswer(
            section="393.106(a)",
            word="commodity",
            step=Step(id="note.commodity-unknown"),
            unknown=(Missing(field="commodity", about=article.id),),
        )
    if commodity in _SECTION_ALWAYS:
        return _not_built(article, _SECTION_ALWAYS[commodity])
    answer = _SOMETIMES.get(commodity)
    return None if answer is None else answer(article, plan)


def general_scope(articles: Iterable[Article], plan: Plan) -> Scope:
    """The scope of the general count and aggregate: a yardstick where a section takes an article.

    An article whose commodity is not known is judged by the general rules; a finding of its own
    asks for the commodity.
    """
    for article in articles:
        if article.commodity is not None and section_answer(article, plan) is not None:
            return Scope.YARDSTICK
    return law_scope(plan)


def commodity_inputs(article: Article) -> tuple[Input, ...]:
    """The commodity and the section chosen, as recorded."""
    pairs = (("commodity", article.commodity), ("section", article.section))
    return tuple(
        Input(name=name, about=article.id, value=str(value), basis=Basis.STATED)
        for name, value in pairs
        if value is not None
    )


def commodity_findings(plan: Plan) -> tuple[Finding, ...]:
    """393.106(a): one finding, *cannot tell*, per article the general rules do not settle."""
    findings = []
    for article in plan.articles:
        answer = section_answer(article, plan)
        if answer is None:
            continue
        findings.append(
            Finding(
                rule=f"us-{answer.section.removesuffix('(a)')}-{answer.word}",
                rule_set=RULE_SET,
                about=(article.id,),
                verdict=Verdict.CANNOT_TELL,
                scope=law_scope(plan),
                citation=citation(answer.section),
                inputs=commodity_inputs(article),
                steps=(answer.step,),
                unknown=answer.unknown,
            )
        )
    return tuple(findings)


def _not_built(article: Article, section: str) -> SectionAnswer:
    return SectionAnswer(
        section=section,
        word="not-built",
        step=Step(id="note.section-not-built", values={"section": section}),
        unknown=(Missing(field=f"section {section}", about=article.id),),
    )


def _may_apply(article: Article, section: str, *fields: str) -> SectionAnswer:
    """A section that applies or not, depending on facts nobody has given."""
    return SectionAnswer(
        section=section,
        word="not-built",
        step=Step(id="note.section-may-apply", values={"section": section}),
        unknown=tuple(Missing(field=field, about=article.id) for field in fields),
    )


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


def _by_sum(article: Article, plan: Plan) -> SectionAnswer | None:
    """Coils and paper rolls: their masses count together, one or grouped."""
    assert article.commodity is not None
    section, figure_id = _SECTION_BY_SUM[article.commodity]
    alike = [other for other in plan.articles if other.commodity is article.commodity]
    masses = [other.mass for other in alike if other.mass is not None]
    us = masses[0].is_us if masses else True
    line_kg = figure(figure_id).amount(Dimension.MASS, us=us).si
    if sum((mass.si for mass in masses), Fraction(0)) >= line_kg:
        return _not_built(article, section)
    unweighed = tuple(
        Missing(field="mass", about=other.id) for other in alike if other.mass is None
    )
    if not unweighed:
        return None
    step = Step(id="note.section-may-apply", values={"section": section})
    return SectionAnswer(section=section, word="not-built", step=step, unknown=unweighed)


def _dressed_lumber(article: Article, plan: Plan) -> SectionAnswer | None:
    """393.118(c): a single tier goes by the general rules; more tiers need the section."""
    lumber = {other.id for other in plan.articles if other.commodity is Commodity.DRESSED_LUMBER}
    carries = any(other.on == article.id for other in plan.articles if other.id in lumber)
    if article.on in lumber or carries:
        return _not_built(article, "393.118")
    return None


def _wheeled(article: Article, _plan: Plan) -> SectionAnswer | None:
    """Machines and cars: from 10,000 lb on 393.130 holds; below it the choice is recorded."""
    if article.mass is None:
        return _may_apply(article, "393.130", "mass")
    if _reaches(article.mass, "machine-mass-min"):
        return _not_built(article, "393.130")
    if article.section == GENERAL:
        return None
    section = "393.128" if article.commodity is Commodity.LIGHT_VEHICLE else "393.130"
    return _choice(article, section, "general, 393.128, 393.130")


def _boulder(article: Article, _plan: Plan) -> SectionAnswer | None:
    """393.136: above the heavy line it holds; between the lines the choice is recorded."""
    if article.mass is not None and not _reaches(article.mass, "boulder-choice-mass-min"):
        return None
    if article.mass is None:
        return _may_apply(article, "393.136", "mass")
    if _reaches(article.mass, "boulder-mass-above"):  # exactly there neither row of 136(a) helps
        return _not_built(article, "393.136")
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
    Commodity.METAL_COIL: _by_sum,
    Commodity.PAPER_ROLL: _by_sum,
    Commodity.DRESSED_LUMBER: _dressed_lumber,
    Commodity.MACHINE: _wheeled,
    Commodity.LIGHT_VEHICLE: _wheeled,
    Commodity.BOULDER: _boulder,
}
