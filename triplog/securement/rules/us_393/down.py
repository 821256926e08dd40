"""The downward force of 49 CFR 393.102(b): a fifth of the weight, where nothing contains it.

393.102(c)(3) deems 393.102 met by securing under 393.104 to 393.136. So where everything else
about the article meets, this is a yardstick, and *does not apply* where its inputs are unknown.
No leg presses down more than its whole tension; the angle of the legs is not worked out here, so
the force is between nothing and that sum, and only a sum that is too small settles the question.
"""

from fractions import Fraction

from triplog.securement.figures import acceleration
from triplog.securement.finding import (
    Basis,
    Finding,
    Input,
    Missing,
    Range,
    Scope,
    Step,
    Value,
    Verdict,
)
from triplog.securement.model import Article, Path, Plan, TieDown
from triplog.securement.quantity import (
    Amount,
    Dimension,
    amount_of_si,
    weight_n,
)
from triplog.securement.rating import nothing_for
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope


def down_finding(article: Article, plan: Plan, *, deemed: bool) -> Finding:
    """The finding of one article; `deemed` is whether all else about the article meets."""
    holding = tuple(one for one in plan.tie_downs_on(article.id) if nothing_for(one, plan) is None)
    missing = _missing(article, holding)
    required_n = _required_n(article)
    best_n = _best_n(holding)
    short = required_n is not None and best_n is not None and best_n < required_n
    if article.contained:
        verdict, missing = Verdict.DOES_NOT_APPLY, ()
    elif short and article.contained is False:
        verdict = Verdict.DOES_NOT_MEET
        missing = ()
    else:
        verdict = Verdict.DOES_NOT_APPLY if deemed else Verdict.CANNOT_TELL
    unit = Group(articles=(article,), tie_downs=()).unit

    def shown(force_n: Fraction) -> Amount:
        return amount_of_si(force_n, unit, Dimension.FORCE)

    open_range = bool(missing) and required_n is not None
    return Finding(
        rule="us-393.102-down",
        rule_set=RULE_SET,
        about=(article.id,),
        verdict=verdict,
        scope=Scope.YARDSTICK if deemed else law_scope(plan),
        citation=citation("393.102(b)"),
        required=shown(required_n) if required_n is not None and not article.contained else None,
        provided=shown(best_n or Fraction(0)) if verdict is Verdict.DOES_NOT_MEET else None,
        margin=shown((best_n or Fraction(0)) - (required_n or Fraction(0)))
        if verdict is Verdict.DOES_NOT_MEET
        else None,
        inputs=_inputs(article, holding),
        steps=_steps(
            article, legs=bool(holding), deemed=deemed, short=verdict is Verdict.DOES_NOT_MEET
        ),
        unknown=missing,
        range=Range(
            worst=shown(Fraction(0)),
            best=None if best_n is None else shown(best_n),
            decides=Step(id="decides.contained")
            if short
            else Step(id="decides.down", values={"required": shown(required_n)}),
        )
        if open_range and required_n is not None
        else None,
        mend=Step(id="mend.down") if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _required_n(article: Article) -> Fraction | None:
    if article.mass is None:
        return None
    return weight_n(article.mass) * acceleration("weight", "down").g


def _legs(tie_down: TieDown) -> int:
    """How many legs reach the deck: one from the article itself, otherwise at most two."""
    return 1 if tie_down.path is Path.DIRECT else 2


def _best_n(holding: tuple[TieDown, ...]) -> Fraction | None:
    """The most the legs could press down, all upright and none weaker than its tension."""
    if any(tie_down.tension is None for tie_down in holding):
        return None
    return sum((one.tension.si * _legs(one) for one in holding if one.tension), Fraction(0))


def _missing(article: Article, holding: tuple[TieDown, ...]) -> tuple[Missing, ...]:
    of_article = (("mass", article.mass), ("contained", article.contained))
    untensioned = [one for one in holding if one.tension is None]
    return (
        *(Missing(field=name, about=article.id) for name, value in of_article if value is None),
        *(Missing(field="tension", about=one.id) for one in untensioned),
        *(Missing(field="angle of the legs", about=one.id) for one in holding),
    )


def _inputs(article: Article, holding: tuple[TieDown, ...]) -> tuple[Input, ...]:
    contained = article.contained
    tension_basis = {"measured": Basis.MEASURED, "assumed": Basis.ESTIMATED}
    return (
        Input(
            name="contained",
            about=article.id,
            value=None if contained is None else ("yes" if contained else "no"),
            basis=Basis.UNKNOWN if contained is None else Basis.STATED,
        ),
        *(
            Input(
                name="tension",
                about=one.id,
                value=one.tension,
                basis=tension_basis.get(one.tension_basis or "", Basis.STATED),
            )
            for one in holding
            if one.tension is not None
        ),
    )


def _steps(article: Article, *, legs: bool, deemed: bool, short: bool) -> tuple[Step, ...]:
    if article.contained:
        return (Step(id="note.contained-down"),)
    lines: list[Step] = []
    if article.mass is not None:
        values: dict[str, Value] = {"mass": article.mass}
        lines.append(Step(id="required.fifth", values=values))
    if short:
        lines.append(Step(id="provided.upright-legs" if legs else "provided.none-counted"))
    if deemed:
        lines.append(Step(id="note.deemed"))
    return tuple(lines)
