"""The friction under an article: as stated, as a mat is marked, or by the CTU Code's table.

The table holds for surfaces swept clean and free of frost, ice, snow, oil and grease. Otherwise,
and where it gives no wet value for a wet pair, no more than its least figure counts.
"""

import re
from dataclasses import dataclass

from triplog.securement.finding import Basis, Citation, Input, Missing, Step
from triplog.securement.model import Article, Plan
from triplog.securement.rules.en_12195.en_figures import (
    EVERY_SURFACE,
    NOT_CLEAN,
    friction_row,
)
from triplog.securement.rules.en_12195.span import ANYTHING, Span, exactly

_SOILED = re.compile(
    r"\b(frost|frosty|frozen|ice|icy|snow|snowy|oil|oily|grease|greasy|not swept( clean)?)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Friction:
    """`mu` at both ends, where it comes from, and what would tell it."""

    mu: Span
    input: Input
    steps: tuple[Step, ...] = ()
    missing: tuple[Missing, ...] = ()


def friction_of(article: Article, plan: Plan) -> Friction:
    """What is known of the friction between the article and what it stands on."""
    if article.friction is not None:
        value = float(article.friction)
        return _known(article, exactly(value), f"{article.friction:f}", Basis.STATED)
    mat = plan.gear_item(article.mat)
    if mat is not None:
        if mat.friction is None:
            return _unknown(article, Missing(field="friction", about=mat.id))
        return _known(article, exactly(float(mat.friction)), f"{mat.friction:f}", Basis.MARKED)
    if article.surfaces is None:
        return _unknown(article, Missing(field="friction", about=article.id))
    return _by_table(article, article.surfaces)


def _by_table(article: Article, surfaces: tuple[str, str]) -> Friction:
    bare = [_bare(one) for one in surfaces]
    soiled = any(_SOILED.search(one) for one in surfaces)
    row, most = friction_row(*bare), friction_row(NOT_CLEAN, EVERY_SURFACE)
    assert most is not None, "the table says what counts at most on soiled surfaces"
    cap = float(most.numbers["dry"])
    pair = " on ".join(bare)
    if row is None:
        missing = Missing(field="surfaces", about=article.id)
        return _unknown(article, missing, Span(low=0.0, high=cap) if soiled else ANYTHING)
    dry = float(row.numbers["dry"])
    wet = float(row.numbers["wet"]) if "wet" in row.numbers else min(dry, cap)
    if soiled:
        span, state = exactly(min(dry, cap)), "not clean"
    elif article.wet is None:
        span, state = Span(low=min(wet, dry), high=max(wet, dry)), "wet or dry"
    else:
        span, state = exactly(wet if article.wet else dry), "wet" if article.wet else "dry"
    capped = soiled or ("wet" not in row.numbers and article.wet is not False)
    number = f"{span.low:g}" if span.known else f"{span.low:g} to {span.high:g}"
    found = _known(
        article,
        span,
        f"{number} ({pair}, {state})",
        Basis.DEFAULT_TABLE,
        most.citation if capped and span.low < dry else row.citation,
    )
    noted = Step(id="note.en-friction-capped", values={"pair": pair, "most": f"{cap:g}"})
    return Friction(
        mu=found.mu,
        input=found.input,
        steps=(noted,) if capped else (),
        missing=() if span.known else (Missing(field="wet", about=article.id),),
    )


def _bare(surface: str) -> str:
    """The surface's own name, without what lies on it."""
    name = _SOILED.sub("", surface.partition(",")[0])
    return " ".join(name.replace(" with ", " ").split()).lower()


def _known(
    article: Article, mu: Span, shown: str, basis: Basis, citation: Citation | None = None
) -> Friction:
    told = Input(name="friction", about=article.id, value=shown, basis=basis, citation=citation)
    return Friction(mu=mu, input=told)


def _unknown(article: Article, missing: Missing, mu: Span = ANYTHING) -> Friction:
    return Friction(
        mu=mu,
        input=Input(name="friction", about=article.id, value=None, basis=Basis.UNKNOWN),
        missing=(missing,),
    )
