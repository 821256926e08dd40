"""Articles that could roll: chocks, wedges, a cradle or the like, 49 CFR 393.106(c)(1)."""

from triplog.securement.finding import Basis, Finding, Input, Missing, Step, Verdict
from triplog.securement.model import Article, Commodity, Direction, Plan
from triplog.securement.rules.blocking import blocked
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope

_ON_WHEELS = frozenset({Commodity.LIGHT_VEHICLE, Commodity.MACHINE})
_ALONG = (Direction.FORWARD, Direction.REARWARD)


def rolling_findings(plan: Plan) -> tuple[Finding, ...]:
    """One finding per article: what rolls is stopped, by something named, in every direction.

    Nobody tells which way the article would roll, so one direction left open is enough to fall
    short, and one not told is enough not to know. What stands on wheels or tracks along the
    vehicle rolls forward and rearward only.
    """
    return tuple(_rolling_finding(article, plan) for article in plan.articles)


def _rolling_finding(article: Article, plan: Plan) -> Finding:
    wheeled = article.commodity in _ON_WHEELS and not _crosswise(article)
    asked = _ALONG if wheeled else tuple(Direction)
    answers = {direction: blocked(article, direction, plan) for direction in asked}
    missing: tuple[Missing, ...] = ()
    steps: tuple[Step, ...] = ()
    mend = None
    if article.rolls is None:
        verdict = Verdict.CANNOT_TELL
        missing = (Missing(field="rolls", about=article.id),)
    elif not article.rolls:
        verdict = Verdict.DOES_NOT_APPLY
        steps = (Step(id="note.does-not-roll"),)
    else:
        missing = tuple(
            Missing(field=f"blocked.{direction}", about=article.id)
            for direction, answer in answers.items()
            if answer is None
        )
        open_ways = ", ".join(way for way, answer in answers.items() if answer is False)
        steps = tuple(
            Step(id="other.stopped", values={"direction": str(way), "by": article.blocked[way].by})
            for way, answer in answers.items()
            if answer
        ) + ((Step(id="note.rolls-along"),) if wheeled else ())
        if open_ways:
            verdict = Verdict.DOES_NOT_MEET
            mend = Step(id="mend.chocks", values={"directions": open_ways})
        else:
            verdict = Verdict.CANNOT_TELL if missing else Verdict.MEETS
    return Finding(
        rule="us-393.106-rolling",
        rule_set=RULE_SET,
        about=(article.id,),
        verdict=verdict,
        scope=law_scope(plan),
        citation=citation("393.106(c)(1)"),
        inputs=_inputs(article),
        steps=steps,
        unknown=missing,
        mend=mend,
    )


def _crosswise(article: Article) -> bool:
    """Whether its longer side lies across the vehicle, so that its wheels may too."""
    length, width = article.length, article.width
    return length is not None and width is not None and width.si > length.si


def _inputs(article: Article) -> tuple[Input, ...]:
    rolls = article.rolls
    return (
        Input(
            name="rolls",
            about=article.id,
            value=None if rolls is None else ("yes" if rolls else "no"),
            basis=Basis.UNKNOWN if rolls is None else Basis.STATED,
        ),
    )
