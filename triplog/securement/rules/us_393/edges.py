"""Edge protection wherever a tie-down could be worn or cut: 49 CFR 393.104(f)(4)."""

from dataclasses import dataclass

from triplog.securement.finding import (
    Basis,
    Citation,
    Count,
    Finding,
    Input,
    Missing,
    Scope,
    Step,
    Verdict,
)
from triplog.securement.model import WEBBING, Article, EdgeProtection, GearKind, Plan, TieDown
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope

_CUT_BY_EDGES = WEBBING | {GearKind.CORDAGE}
_NOTHING_SAID = EdgeProtection()


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgesRule:
    """Whose rule it is; what it asks is the same in the United States and in Canada."""

    rule: str
    rule_set: str
    citation: Citation
    scope: Scope


def edges_findings(plan: Plan) -> tuple[Finding, ...]:
    """393.104(f)(4), one finding per article."""
    rule = EdgesRule(
        rule="us-393.104-edges",
        rule_set=RULE_SET,
        citation=citation("393.104(f)(4)"),
        scope=law_scope(plan),
    )
    return tuple(edges_finding(article, plan, rule) for article in plan.articles)


def edges_finding(article: Article, plan: Plan, rule: EdgesRule) -> Finding:
    """Whether each contact that needs a protector has one.

    A protector fitted on one tie-down does not serve another. Webbing, rope and gear that is not
    known need their contacts told on an article with sharp edges; chain and wire rope only where
    somebody says that a contact needs protection.
    """
    holding = plan.tie_downs_on(article.id)
    asked = (one for tie_down in holding for one in _missing(article, tie_down, plan))
    missing = tuple(dict.fromkeys(asked))
    needed = sum(_said(tie_down).needed or 0 for tie_down in holding)
    served = sum(_served(_said(tie_down)) for tie_down in holding)
    short_of = [tie_down.id for tie_down in holding if _short(_said(tie_down))]
    any_contact = any(_said(tie_down).needed is not None for tie_down in holding)
    if short_of:
        verdict = Verdict.DOES_NOT_MEET
    elif missing:
        verdict = Verdict.CANNOT_TELL
    elif any_contact:
        verdict = Verdict.MEETS
    else:
        verdict = Verdict.DOES_NOT_APPLY
    shows_counts = any_contact and (bool(short_of) or not missing)
    short = _protectors(needed - served)
    return Finding(
        rule=rule.rule,
        rule_set=rule.rule_set,
        about=(article.id,),
        verdict=verdict,
        scope=rule.scope,
        citation=rule.citation,
        required=_protectors(needed) if shows_counts else None,
        provided=_protectors(served) if shows_counts else None,
        margin=_protectors(served - needed) if shows_counts else None,
        inputs=_inputs(article, holding),
        steps=_steps(article, holding),
        unknown=missing,
        mend=Step(id="mend.protectors", values={"short": short, "names": ", ".join(short_of)})
        if short_of
        else None,
    )


def _said(tie_down: TieDown) -> EdgeProtection:
    return tie_down.edge_protection or _NOTHING_SAID


def _served(said: EdgeProtection) -> int:
    return min(said.needed or 0, said.fitted or 0)


def _short(said: EdgeProtection) -> bool:
    return said.needed is not None and said.fitted is not None and said.fitted < said.needed


def _missing(article: Article, tie_down: TieDown, plan: Plan) -> tuple[Missing, ...]:
    said = _said(tie_down)
    if said.needed is not None:
        if said.needed > 0 and said.fitted is None:
            return (Missing(field="edge_protection.fitted", about=tie_down.id),)
        return ()
    gear = plan.gear_item(tie_down.gear)
    if article.sharp_edges is False or (gear is not None and gear.kind not in _CUT_BY_EDGES):
        return ()
    if article.sharp_edges is None:
        return (Missing(field="sharp_edges", about=article.id),)
    return (Missing(field="edge_protection.needed", about=tie_down.id),)


def _protectors(number: int) -> Count:
    return Count(value=number, unit="edge protector")


def _inputs(article: Article, holding: tuple[TieDown, ...]) -> tuple[Input, ...]:
    sharp = article.sharp_edges
    edges = Input(
        name="sharp_edges",
        about=article.id,
        value=None if sharp is None else ("yes" if sharp else "no"),
        basis=Basis.UNKNOWN if sharp is None else Basis.STATED,
    )
    said = (
        Input(
            name=f"edge_protection.{name}",
            about=tie_down.id,
            value=None if number is None else _protectors(number),
            basis=Basis.UNKNOWN if number is None else Basis.STATED,
        )
        for tie_down in holding
        if tie_down.edge_protection is not None
        for name, number in (
            ("needed", tie_down.edge_protection.needed),
            ("fitted", tie_down.edge_protection.fitted),
        )
    )
    return (edges, *said)


def _steps(article: Article, holding: tuple[TieDown, ...]) -> tuple[Step, ...]:
    if not holding:
        return (Step(id="note.no-tie-downs"),)
    lines: list[Step] = []
    if article.sharp_edges is not None:
        lines.append(Step(id="note.edges-sharp" if article.sharp_edges else "note.edges-blunt"))
    lines += [
        Step(
            id="other.protectors",
            values={
                "tie_down": tie_down.id,
                "needed": said.needed,
                "fitted": said.fitted,
            },
        )
        for tie_down in holding
        if (said := _said(tie_down)).needed and said.fitted is not None
    ]
    return tuple(lines)
