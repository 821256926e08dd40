"""All commodity sections, and which of them takes an article or a group of a plan."""

from collections.abc import Iterable

from triplog.securement.finding import Finding, Scope, Verdict
from triplog.securement.model import Article, Plan
from triplog.securement.rules.groups import Group, groups_of
from triplog.securement.rules.us_393.commodity import commodity_inputs, section_answer
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope
from triplog.securement.rules.us_393.sections.section import Section
from triplog.securement.rules.us_393.sections.section_116 import SECTION_116
from triplog.securement.rules.us_393.sections.section_118 import SECTION_118
from triplog.securement.rules.us_393.sections.section_120 import SECTION_120
from triplog.securement.rules.us_393.sections.section_122 import SECTION_122
from triplog.securement.rules.us_393.sections.section_124 import SECTION_124
from triplog.securement.rules.us_393.sections.section_126 import SECTION_126
from triplog.securement.rules.us_393.sections.section_128 import SECTION_128
from triplog.securement.rules.us_393.sections.section_130 import SECTION_130
from triplog.securement.rules.us_393.sections.section_132 import SECTION_132
from triplog.securement.rules.us_393.sections.section_134 import SECTION_134
from triplog.securement.rules.us_393.sections.section_136 import SECTION_136

SECTIONS: tuple[Section, ...] = (
    SECTION_116,
    SECTION_118,
    SECTION_120,
    SECTION_122,
    SECTION_124,
    SECTION_126,
    SECTION_128,
    SECTION_130,
    SECTION_132,
    SECTION_134,
    SECTION_136,
)
_BY_NUMBER = {section.number: section for section in SECTIONS}


def section_in_force(article: Article, plan: Plan) -> Section | None:
    """The section that takes the article; None: the general rules, or which one is open."""
    answer = section_answer(article, plan)
    return None if answer is None or answer.word else _BY_NUMBER[answer.section]


def section_of_group(group: Group, plan: Plan) -> Section | None:
    """The section that takes every article of the group; a mixed group goes by 393.106(d)."""
    first, *others = (section_in_force(article, plan) for article in group.articles)
    return first if all(other is first for other in others) else None


def groups_in_force(plan: Plan) -> tuple[Group, ...]:
    """The groups of the plan, with the articles that a section says are one."""
    joined = [ids for section, taken in _taken(plan) for ids in section.joined(taken)]
    return groups_of(plan, joined)


def counted_generally(article: Article, plan: Plan) -> bool:
    """Whether 393.110 counts the tie-downs on the article."""
    section = section_in_force(article, plan)
    return section is None or section.general_count(article, plan)


def general_scope(articles: Iterable[Article], plan: Plan) -> Scope:
    """The scope of the general count and aggregate: a yardstick where they may not be the rule.

    An article whose commodity is not known is judged by the general rules; a finding of its own
    asks for the commodity.
    """
    for article in articles:
        if article.commodity is None and article.section is None:
            continue
        answer = section_answer(article, plan)
        if answer is not None and answer.word:
            return Scope.YARDSTICK
    return law_scope(plan)


def commodity_findings(plan: Plan) -> tuple[Finding, ...]:
    """393.106(a): one finding, *cannot tell*, per article whose section is open."""
    findings = []
    for article in plan.articles:
        answer = section_answer(article, plan)
        if answer is None or not answer.word:
            continue
        clause = answer.section + ("(a)" if answer.word == "commodity" else "")
        findings.append(
            Finding(
                rule=f"us-{answer.section}-{answer.word}",
                rule_set=RULE_SET,
                about=(article.id,),
                verdict=Verdict.CANNOT_TELL,
                scope=law_scope(plan),
                citation=citation(clause),
                inputs=commodity_inputs(article),
                steps=() if answer.step is None else (answer.step,),
                unknown=answer.unknown,
            )
        )
    return tuple(findings)


def section_findings(plan: Plan) -> tuple[Finding, ...]:
    """What each section says of the articles it takes, then of their combined rating."""
    findings: list[Finding] = []
    groups = groups_in_force(plan)
    for section, taken in _taken(plan):
        findings += section.findings(taken, plan)
        for group in groups:
            if section_of_group(group, plan) is section:
                aggregate = section.aggregate(group, plan)
                findings += () if aggregate is None else (aggregate,)
    return tuple(findings)


def _taken(plan: Plan) -> list[tuple[Section, tuple[Article, ...]]]:
    """The sections that take any article, with those they take, in the order of the sections."""
    found = [(one, section_in_force(one, plan)) for one in plan.articles]
    by_section = [
        (section, tuple(article for article, taken_by in found if taken_by is section))
        for section in SECTIONS
    ]
    return [(section, taken) for section, taken in by_section if taken]
