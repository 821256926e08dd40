"""The questions of a section that no number covers, in one finding."""

from collections.abc import Iterable
from dataclasses import replace

from triplog.securement.cargo_facts import QUESTIONS_BY_ID, Answer
from triplog.securement.finding import Basis, Finding, Input, Missing, Step, Verdict
from triplog.securement.model import Article, Plan
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope

_LINES: dict[Answer | None, str] = {
    "yes": "note.answered-yes",
    "no": "note.answered-no",
    "not looked at": "note.answered-not-looked-at",
    None: "note.answered-by-nobody",
}
# Of answers that differ, the one that is further from settled counts.
_GRAVEST_FIRST: tuple[Answer, ...] = ("no", "not looked at", "yes")


def answered_finding(
    section: str,
    articles: tuple[Article, ...],
    plan: Plan,
    questions: Iterable[str],
    unknown: tuple[Missing, ...] = (),
) -> Finding:
    """*meets* if all are answered yes; one no is enough to fall short, one open not to know.

    `articles` are asked as one, and an answer given at one of them is given for all. `questions`
    are the ids of those that they raise; `unknown` the facts that leave open which ones do.
    """
    answers = {one: _answer(one, articles) for one in questions}
    said_no = [one for one, answer in answers.items() if answer == "no"]
    open_ones = [one for one, answer in answers.items() if answer in (None, "not looked at")]
    if said_no:
        verdict = Verdict.DOES_NOT_MEET
    else:
        verdict = Verdict.CANNOT_TELL if open_ones or unknown else Verdict.MEETS
    deciding = said_no or open_ones
    clause = QUESTIONS_BY_ID[deciding[0]].clause if len(deciding) == 1 else section
    first = articles[0].id
    return Finding(
        rule=f"us-{section}-answers",
        rule_set=RULE_SET,
        about=tuple(one.id for one in articles),
        verdict=verdict,
        scope=law_scope(plan),
        # The finer points of the questions and some paragraph letters were not read in the text.
        citation=replace(citation(clause), how_sure="second-hand"),
        inputs=tuple(
            Input(
                name=f"answers.{one}",
                about=first,
                value=answer,
                basis=Basis.UNKNOWN if answer is None else Basis.STATED,
            )
            for one, answer in answers.items()
        ),
        steps=tuple(
            Step(id=_LINES[answer], values={"id": one, "asked": one})
            for one, answer in answers.items()
        ),
        unknown=(*unknown, *(Missing(field=f"answers.{one}", about=first) for one in open_ones)),
        mend=Step(id="mend.answered-no") if said_no else None,
    )


def _answer(question: str, articles: tuple[Article, ...]) -> Answer | None:
    given = {one.answers.get(question) for one in articles}
    return next((one for one in _GRAVEST_FIRST if one in given), None)
