"""A count by kinds of tie-down: so many of each kind a section asks for, each counted once.

A coil on its side, for example, asks for two tie-downs through its eye. A tie-down whose path, lay
or way through the eye nobody has told may be of any kind that fits what is told.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from triplog.securement.finding import (
    Count,
    Finding,
    Input,
    Missing,
    Range,
    Step,
    Value,
    Verdict,
)
from triplog.securement.model import Plan, TieDown
from triplog.securement.rules.us_393.counted import counted, left_out_steps
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope

TIE_DOWN = "tie-down"
Filled = list[list[str]]


def any_tie_down(_tie_down: TieDown) -> bool:
    """Fits every tie-down."""
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """So many tie-downs of one kind; `high` None: no upper end known.

    `step` is the id of the line that asks for them, filled with `number` and `values`. `fits` says
    whether a tie-down is of the kind, None where that is not told; `asks` names the fields of the
    tie-down that tell.
    """

    step: str
    low: int
    high: int | None
    fits: Callable[[TieDown], bool | None] = any_tie_down
    asks: tuple[str, ...] = ()
    values: Mapping[str, Value] = field(default_factory=dict)


def exactly(
    number: int,
    step: str,
    fits: Callable[[TieDown], bool | None] = any_tie_down,
    asks: tuple[str, ...] = (),
) -> Kind:
    """A kind whose number is known."""
    return Kind(step=step, low=number, high=number, fits=fits, asks=asks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a section asks of the tie-downs on some articles.

    `rule` is the finding's id, `unknown` what leaves a number open, `notes` further lines.
    """

    rule: str
    clause: str
    about: tuple[str, ...]
    kinds: tuple[Kind, ...]
    inputs: tuple[Input, ...] = ()
    unknown: tuple[Missing, ...] = ()
    notes: tuple[Step, ...] = ()


def kinds_finding(asked: Asked, holding: tuple[TieDown, ...], plan: Plan) -> Finding:
    """The count of the tie-downs that hold the articles, over both ends of what is not told."""
    counting = counted(holding, plan)
    kinds = asked.kinds
    lows = [kind.low for kind in kinds]
    highs = [kind.low if kind.high is None else kind.high for kind in kinds]
    sure = _filled(kinds, highs, counting, guess=False)
    best = _filled(kinds, lows, counting, guess=True)
    if all(kind.high is not None for kind in kinds) and _full(sure, highs):
        verdict, needed, filled = Verdict.MEETS, sum(highs), sure
    elif not _full(best, lows):
        verdict, needed, filled = Verdict.DOES_NOT_MEET, sum(lows), best
    else:
        verdict, needed, filled = Verdict.CANNOT_TELL, None, best
    if verdict is Verdict.CANNOT_TELL and all(kind.low == kind.high for kind in kinds):
        needed = sum(lows)
    told = verdict is not Verdict.CANNOT_TELL
    have = _number(filled)
    unknown = () if told else (*asked.unknown, *_untold(kinds, counting))
    return Finding(
        rule=asked.rule,
        rule_set=RULE_SET,
        about=asked.about,
        verdict=verdict,
        scope=law_scope(plan),
        citation=citation(asked.clause),
        required=None if needed is None else _tie_downs(needed),
        provided=_tie_downs(have) if told else None,
        margin=_tie_downs(have - needed) if told and needed is not None else None,
        inputs=asked.inputs,
        steps=(
            *(_kind_step(kind) for kind in kinds),
            *_provided_steps(filled, holding, kinds),
            *left_out_steps(holding, plan),
            *asked.notes,
        ),
        unknown=unknown,
        range=None if told else _range(sure, best),
        mend=_mend(kinds, sum(lows) - have) if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _filled(
    kinds: tuple[Kind, ...], numbers: list[int], counting: tuple[TieDown, ...], *, guess: bool
) -> Filled:
    """The tie-downs by kind, each once, so that as many places as possible are filled.

    With `guess` a tie-down that may be of a kind is taken for it. Sure ones are placed first. Of
    one kind alone, all that fit are there, more than needed too.
    """
    if len(kinds) == 1:
        answers = [(one.id, kinds[0].fits(one)) for one in counting]
        return [[name for name, fits in answers if fits or (guess and fits is None)]]
    places = [index for index, number in enumerate(numbers) for _ in range(number)]
    by_place: dict[int, TieDown] = {}

    def place(tie_down: TieDown, tried: set[int]) -> bool:
        for sure in (True, False) if guess else (True,):
            for number, index in enumerate(places):
                fits = kinds[index].fits(tie_down)
                if number in tried or (fits is not True if sure else fits is not None):
                    continue
                tried.add(number)
                if number not in by_place or place(by_place[number], tried):
                    by_place[number] = tie_down
                    return True
        return False

    for tie_down in counting:
        place(tie_down, set())
    kind_of = {tie_down.id: places[number] for number, tie_down in by_place.items()}
    return [
        [one.id for one in counting if kind_of.get(one.id) == index] for index in range(len(kinds))
    ]


def _full(filled: Filled, numbers: list[int]) -> bool:
    return all(len(ids) >= number for ids, number in zip(filled, numbers, strict=True))


def _number(filled: Filled) -> int:
    return sum(len(ids) for ids in filled)


def _tie_downs(number: int) -> Count:
    return Count(value=number, unit=TIE_DOWN)


def _kind_step(kind: Kind) -> Step:
    number = _tie_downs(kind.low)
    return Step(id=kind.step, values={"number": number, **kind.values})


def _provided_steps(
    filled: Filled, holding: tuple[TieDown, ...], kinds: tuple[Kind, ...]
) -> tuple[Step, ...]:
    if not _number(filled):
        return (Step(id="provided.none-of-the-kind" if holding else "provided.none"),)
    if len(kinds) == 1:
        return (Step(id="provided.count", values={"tie_downs": ", ".join(filled[0])}),)
    return tuple(
        Step(id="provided.kind", values={"place": number, "tie_downs": ", ".join(ids)})
        if ids
        else Step(id="provided.kind-none", values={"place": number})
        for number, ids in enumerate(filled, 1)
    )


def _untold(kinds: tuple[Kind, ...], counting: tuple[TieDown, ...]) -> tuple[Missing, ...]:
    told = {
        one.id: {"path": one.path, "lay": one.lay, "through_eye": one.through_eye}
        for one in counting
    }
    return tuple(
        dict.fromkeys(
            Missing(field=name, about=one.id)
            for one in counting
            for kind in kinds
            if kind.fits(one) is None
            for name in kind.asks
            if told[one.id][name] is None
        )
    )


def _range(sure: Filled, best: Filled) -> Range:
    return Range(
        worst=_tie_downs(_number(sure)),
        best=_tie_downs(max(_number(sure), _number(best))),
        decides=Step(id="decides.several"),
    )


def _mend(kinds: tuple[Kind, ...], short: int) -> Step:
    step_id = "mend.count" if all(kind.fits is any_tie_down for kind in kinds) else "mend.kinds"
    return Step(id=step_id, values={"short": _tie_downs(short)})
