"""What the section of an article's commodity asks: the facts and questions, and what is told."""

from dataclasses import dataclass
from typing import Any, Literal, cast

from triplog.desk.judging import judge_trip
from triplog.desk.refused import Refused
from triplog.journal.trip import Trip
from triplog.securement.cargo_facts import FACTS, QUESTIONS
from triplog.securement.finding import Finding
from triplog.wording.languages import words_of

_FACT, _ANSWER = "facts.", "answers."


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One thing asked about an article; `told` None: nobody has told it yet.

    `name` goes with the option `--fact` or `--answer`, as `option` says; `words` say what it is.
    """

    option: Literal["fact", "answer"]
    name: str
    told: object
    words: str


def asked_about(trip: Trip, article_id: str) -> tuple[Asked, ...]:
    """The facts and questions that the plan in force raises about an article, as judged now."""
    if article_id not in trip.article_ids:
        there = ", ".join(trip.article_ids) or "none yet"
        raise Refused(f"there is no article {article_id!r} on this plan; there is: {there}")
    findings = [one for one in judge_trip(trip).findings if article_id in one.about]
    raised = {name for finding in findings for name in _raised(finding, article_id)}
    articles = cast(list[dict[str, Any]], (trip.document or {})["article"])
    table = next(one for one in articles if one["id"] == article_id)
    words = words_of("en")
    facts = [
        Asked(
            option="fact",
            name=fact.name,
            told=table.get("facts", {}).get(fact.name),
            words=words.fields[f"{_FACT}{fact.name}"].format(about=article_id),
        )
        for fact in FACTS
        if f"{_FACT}{fact.name}" in raised
    ]
    answers = [
        Asked(
            option="answer",
            name=question.id,
            told=table.get("answers", {}).get(question.id),
            words=words.asked[question.id],
        )
        for question in QUESTIONS
        if f"{_ANSWER}{question.id}" in raised
    ]
    return (*facts, *answers)


def _raised(finding: Finding, article_id: str) -> list[str]:
    """The fields of the article that a finding goes by or misses."""
    given = [one.name for one in finding.inputs if one.about == article_id]
    return [*given, *(one.field for one in finding.unknown if one.about == article_id)]
