"""Which tie-downs on an article count towards a number, which do not, and what leaves it open."""

from triplog.securement.finding import Missing, Step
from triplog.securement.model import Article, Plan, TieDown
from triplog.securement.rating import NothingFor, nothing_for
from triplog.securement.rules.blocking import blocked_forward

_NOT_COUNTED = {
    NothingFor.DAMAGED: "note.not-counted-damaged",
    NothingFor.NO_TIE_DOWN: "note.not-counted-kind",
}


def counted(holding: tuple[TieDown, ...], plan: Plan) -> tuple[TieDown, ...]:
    """Those that count at all: no damaged gear, no mat or bar."""
    return tuple(one for one in holding if nothing_for(one, plan) is None)


def left_out_steps(holding: tuple[TieDown, ...], plan: Plan) -> tuple[Step, ...]:
    """A line per reason for the tie-downs that do not count."""
    names: dict[NothingFor, list[str]] = {}
    for tie_down in holding:
        reason = nothing_for(tie_down, plan)
        if reason is not None:
            names.setdefault(reason, []).append(tie_down.id)
    return tuple(
        Step(id=_NOT_COUNTED[reason], values={"tie_downs": ", ".join(ids)})
        for reason, ids in names.items()
    )


def count_unknown(article: Article, plan: Plan) -> tuple[Missing, ...]:
    """What 393.110 counts by and nobody has told."""
    facts = (
        ("length", article.length),
        ("blocked.forward", blocked_forward(article, plan)),
        ("mass", article.mass),
    )
    return tuple(Missing(field=field, about=article.id) for field, value in facts if value is None)
