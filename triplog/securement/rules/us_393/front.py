"""The front end structure, where it is what blocks the cargo: 49 CFR 393.114.

(b) height: 4 ft above the floor, or as high as blocks the cargo, whichever is lower; width: the
vehicle's, or as wide as blocks the cargo. (c) it withstands, at rest, half the weight of the cargo
carried if it is lower than 6 ft, four tenths if it is 6 ft or higher. What pierces it or passes
through an opening (d) is for a person to look at; equivalent devices (e) are not judged.
"""

from dataclasses import dataclass
from fractions import Fraction

from triplog.securement.figures import Figure, figure
from triplog.securement.finding import (
    Basis,
    Finding,
    Input,
    Missing,
    Range,
    Step,
    Value,
    Verdict,
)
from triplog.securement.model import Article, Direction, FrontStructure, Plan
from triplog.securement.quantity import Amount, Dimension, Quantity, amount_of_si, weight_n
from triplog.securement.rating import ZERO_FORCE
from triplog.securement.rules.blocking import by_front_structure
from triplog.securement.rules.groups import Group
from triplog.securement.rules.us_393.scope import RULE_SET, citation, law_scope

_VEHICLE = "vehicle"
# What it withstands is not told; where only the cargo's mass or its height is open, both ends of
# what is there are the same, and no range is shown.
_ANY_FORCE = Range(worst=ZERO_FORCE, best=None, decides=Step(id="decides.several"))


def front_findings(plan: Plan) -> tuple[Finding, ...]:
    """One finding on height and width and one on what it withstands; none if it blocks nothing."""
    behind = tuple(article for article in plan.articles if by_front_structure(article))
    if not behind:
        return ()
    structure = plan.vehicle.front_structure
    if structure == "none":
        return (_absent(behind, plan),)
    structure = structure or FrontStructure()
    return (_size_finding(behind, structure, plan), _force_finding(behind, structure, plan))


def _absent(behind: tuple[Article, ...], plan: Plan) -> Finding:
    return Finding(
        rule="us-393.114-front",
        rule_set=RULE_SET,
        about=tuple(article.id for article in behind),
        verdict=Verdict.DOES_NOT_MEET,
        scope=law_scope(plan),
        citation=citation("393.114"),
        steps=(Step(id="note.no-front-structure"),),
        mend=Step(id="mend.no-front-structure"),
    )


def _apart(behind: tuple[Article, ...]) -> tuple[Step, ...]:
    """A line for the articles that the plan has standing back from the structure."""
    names = [one.id for one in behind if one.at is not None and one.at.from_front_m > 0]
    return (Step(id="note.front-apart", values={"names": ", ".join(names)}),) if names else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Size:
    """One dimension of the structure against the lower of two needs; `meets` None: not known."""

    meets: bool | None
    steps: tuple[Step, ...]
    unknown: tuple[Missing, ...]


def _size_finding(behind: tuple[Article, ...], structure: FrontStructure, plan: Plan) -> Finding:
    height = _height(behind, structure)
    width = _width(behind, structure, plan)
    answers = (height.meets, width.meets)
    if False in answers:
        verdict = Verdict.DOES_NOT_MEET
    else:
        verdict = Verdict.CANNOT_TELL if None in answers else Verdict.MEETS
    return Finding(
        rule="us-393.114-front",
        rule_set=RULE_SET,
        about=tuple(article.id for article in behind),
        verdict=verdict,
        scope=law_scope(plan),
        citation=citation("393.114(b)"),
        inputs=(_input("height", structure.height), _input("width", structure.width)),
        steps=(*height.steps, *width.steps, *_apart(behind), Step(id="note.front-piercing")),
        unknown=(*height.unknown, *width.unknown),
        mend=Step(id="mend.front-size") if verdict is Verdict.DOES_NOT_MEET else None,
    )


def _height(behind: tuple[Article, ...], structure: FrontStructure) -> _Size:
    """High enough at 4 ft, or at the height where it meets the cargo if that is lower."""
    height = structure.height
    if height is None:
        return _Size(meets=None, steps=(), unknown=(_missing("front_structure.height"),))
    line = figure("front-height-min").amount(Dimension.LENGTH, us=height.is_us)
    if height.si >= line.si:
        values: dict[str, Value] = {"height": height, "line": line}
        return _Size(meets=True, steps=(Step(id="other.front-high", values=values),), unknown=())
    contacts = [_contact_height_m(article) for article in behind]
    low_for = [
        article
        for article, contact in zip(behind, contacts, strict=True)
        if contact is None or contact > height.si
    ]
    not_told = tuple(
        Missing(field="blocked.forward_up", about=article.id)
        for article in low_for
        if article.blocked[Direction.FORWARD].up is None or article.on != "deck"
    )
    values = {"height": height, "line": line}
    if len(not_told) < len(low_for):
        return _Size(meets=False, steps=(Step(id="other.front-low", values=values),), unknown=())
    if not_told:
        step = Step(id="other.front-maybe-low", values=values)
        return _Size(meets=None, steps=(step,), unknown=not_told)
    step = Step(id="other.front-high-enough", values=values)
    return _Size(meets=True, steps=(step,), unknown=())


def _contact_height_m(article: Article) -> Fraction | None:
    """How high above the floor the structure must reach to block the article, if told.

    Where nobody told, its whole height is enough.
    """
    up = article.blocked[Direction.FORWARD].up or article.height
    if up is None or article.on != "deck":
        return None
    base_m = article.at.up_m if article.at is not None else None
    return up.si + (base_m or Fraction(0))


def _width(behind: tuple[Article, ...], structure: FrontStructure, plan: Plan) -> _Size:
    """As wide as the deck, or as the widest article it blocks; narrower, nobody can tell."""
    width = structure.width
    if width is None:
        return _Size(meets=None, steps=(), unknown=(_missing("front_structure.width"),))
    deck = plan.vehicle.deck_width
    covers_deck = deck is not None and width.si >= deck.si
    if covers_deck or all(_reaches_across(width, article) for article in behind):
        values: dict[str, Value] = {"width": width}
        return _Size(meets=True, steps=(Step(id="other.front-wide", values=values),), unknown=())
    step = Step(id="other.front-maybe-narrow", values={"width": width})
    unknown = tuple(
        Missing(field="width", about=article.id) for article in behind if article.width is None
    ) or (_missing("front_structure.width that blocks the cargo"),)
    return _Size(meets=None, steps=(step,), unknown=unknown)


def _reaches_across(width: Quantity, article: Article) -> bool:
    """Whether the structure, in the middle of the deck, is as wide as the article where it stands.

    An article whose place nobody told is taken to stand behind it.
    """
    if article.width is None:
        return False
    aside_m = Fraction(0) if article.at is None else abs(article.at.left_m)
    return width.si >= article.width.si + 2 * aside_m


def _missing(field: str) -> Missing:
    return Missing(field=field, about=_VEHICLE)


def _input(name: str, value: Quantity | None) -> Input:
    basis = Basis.UNKNOWN if value is None else Basis.STATED
    return Input(name=f"front_structure.{name}", about=_VEHICLE, value=value, basis=basis)


def _force_finding(behind: tuple[Article, ...], structure: FrontStructure, plan: Plan) -> Finding:
    """(c): the force it withstands, against a share of the weight of all the cargo carried."""
    cargo = Group(articles=plan.articles, tie_downs=())
    weight = sum((weight_n(one.mass) for one in cargo.articles if one.mass is not None), Fraction())
    unweighed = tuple(Missing(field="mass", about=a.id) for a in cargo.articles if a.mass is None)
    low, high = _shares(structure)
    rated = structure.rated or _rated_of_blocks(behind)
    unknown = [*unweighed]
    if low != high:
        unknown.append(_missing("front_structure.height"))
    if rated is None:
        unknown.append(_missing("front_structure.rated"))
        verdict = Verdict.CANNOT_TELL
    elif rated.si < weight * low:
        verdict = Verdict.DOES_NOT_MEET
    elif unweighed or rated.si < weight * high:
        verdict = Verdict.CANNOT_TELL
    else:
        verdict = Verdict.MEETS

    def shown(force_n: Fraction) -> Amount:
        return amount_of_si(force_n, cargo.unit, Dimension.FORCE)

    share = low if verdict is Verdict.DOES_NOT_MEET else high
    required_n = None if unweighed and verdict is Verdict.CANNOT_TELL else weight * share
    both = required_n is not None and rated is not None and not unweighed
    short_n = weight * share - (rated.si if rated is not None else 0)
    return Finding(
        rule="us-393.114-front",
        rule_set=RULE_SET,
        about=tuple(article.id for article in behind),
        verdict=verdict,
        scope=law_scope(plan),
        citation=citation("393.114(c)"),
        required=None if required_n is None else shown(required_n),
        provided=None if rated is None else shown(rated.si),
        margin=shown(-short_n) if both else None,
        inputs=(_input("height", structure.height), _input("rated", rated)),
        steps=_force_steps(cargo, structure, share),
        unknown=tuple(unknown),
        range=_ANY_FORCE if rated is None else None,
        mend=Step(id="mend.front-force", values={"short": shown(short_n)})
        if verdict is Verdict.DOES_NOT_MEET
        else None,
    )


def _shares(structure: FrontStructure) -> tuple[Fraction, Fraction]:
    """The share of the weight to withstand, at both ends where the height is not known."""
    low, tall = figure("front-low-share"), figure("front-tall-share")
    height = structure.height
    if height is None:
        return _ordered(low, tall)
    line = figure("front-tall-height-min").amount(Dimension.LENGTH, us=height.is_us)
    share = (tall if height.si >= line.si else low).value_us
    return share, share


def _ordered(one: Figure, other: Figure) -> tuple[Fraction, Fraction]:
    return min(one.value_us, other.value_us), max(one.value_us, other.value_us)


def _rated_of_blocks(behind: tuple[Article, ...]) -> Quantity | None:
    """What the plan says the structure holds, said with the articles: the least of it."""
    said = [article.blocked[Direction.FORWARD].rated for article in behind]
    return min((one for one in said if one is not None), key=lambda one: one.si, default=None)


def _force_steps(cargo: Group, structure: FrontStructure, share: Fraction) -> tuple[Step, ...]:
    known_n = sum((weight_n(one.mass) for one in cargo.articles if one.mass), Fraction(0))
    values: dict[str, Value] = {
        "share": str(share),
        "weight": amount_of_si(known_n, cargo.unit, Dimension.FORCE),
    }
    if structure.height is None:
        return (Step(id="required.front-force-unknown-height", values=values),)
    values["height"] = structure.height
    if any(one.mass is None for one in cargo.articles):
        return (Step(id="required.front-force-open", values=values),)
    return (Step(id="required.front-force", values=values),)
