"""The questions of a section that no number covers, in one finding per article."""

from collections.abc import Iterable

from triplog.securement.cargo_facts import QUESTIONS_BY_ID
from triplog.securement.finding import Basis, Finding, Input, Missing, Step, Verdict
from triplog.securement.model import Article, Plan
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope

_LINES = {
    "yes": "note.answered-yes",
    "no": "note.answered-no",
    "not looked at": "note.answered-not-looked-at",
    None: "note.answered-by-nobody",
}


def answered_finding(
    section: str,
    article: Article,
    plan: Plan,
    questions: Iterable[str],
    unknown: tuple[Missing, ...] = (),
) -> Finding:
    """*meets* if all are answered yes; one no is enough to fall short, one open not to know.

    `questions` are the ids of those that this article raises; `unknown` the facts that leave open
    which ones do. The clause is that of the first question that decides.
    """
    asked = tuple(dict.fromkeys(questions))
    answers = {one: article.answers.get(one) for one in asked}
    said_no = [one for one, answer in answers.items() if answer == "no"]
    open_ones = [one for one, answer in answers.items() if answer in (None, "not looked at")]
    if said_no:
        verdict = Verdict.DOES_NOT_MEET
    else:
        verdict = Verdict.CANNOT_TELL if open_ones or unknown else Verdict.MEETS
    deciding = said_no or open_ones
    clause = QUESTIONS_BY_ID[deciding[0]].clause if len(deciding) == 1 else section
    mend = Step(id="mend.answered-no") if said_no else None
    return Finding(
        rule=f"us-{section}-answers",
        rule_set=RULE_SET,
        about=(article.id,),
        verdict=verdict,
        scope=law_scope(plan),
        citation=citation(clause),
        inputs=tuple(
            Input(
                name=f"answers.{one}",
                about=article.id,
                value=answer,
                basis=Basis.UNKNOWN if answer is None else Basis.STATED,
            )
            for one, answer in answers.items()
        ),
        steps=tuple(
            Step(id=_LINES[answer], values={"asked": one}) for one, answer in answers.items()
        ),
        unknown=(
            *unknown,
            *(Missing(field=f"answers.{one}", about=article.id) for one in open_ones),
        ),
        mend=mend,
    )
