"""The facts a commodity's section asks for, and its questions that no number covers.

One row each, by name: what kind of value it takes and which section asks. Absent is not known.
A new fact or question is a row here; reader and schema follow it, `PLAN.md` describes it, and the
question in plain words stands in `wording/` under ASKED.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from triplog.securement.quantity import Quantity

Answer = Literal["yes", "no", "not looked at"]
ANSWERS: tuple[Answer, ...] = ("yes", "no", "not looked at")
FactValue = Quantity | int | bool | str


class FactKind(StrEnum):
    """What a fact's value is."""

    LENGTH = "length"
    MASS = "mass"
    FORCE = "force"
    COUNT = "count"
    YES_NO = "true or false"
    WORD = "word"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """`words` are those a WORD may be; `sections` those that ask for it."""

    name: str
    kind: FactKind
    sections: tuple[str, ...]
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A part of a section that a person answers with yes, no or not looked at.

    `id` begins with the number of the section, after `ca-` for Canada; `clause` is the paragraph;
    yes is the answer that meets it.
    """

    id: str
    clause: str


_L, _C, _Y, _W = FactKind.LENGTH, FactKind.COUNT, FactKind.YES_NO, FactKind.WORD
_F = FactKind.FORCE


def _fact(name: str, kind: FactKind, sections: str, words: str = "") -> Fact:
    return Fact(
        name=name,
        kind=kind,
        sections=tuple(sections.split()),
        words=tuple(words.split(", ")) if words else (),
    )


def _question(question_id: str, clause: str) -> Question:
    return Question(id=question_id, clause=clause)


FACTS: tuple[Fact, ...] = (
    # several sections
    _fact("pieces", _C, "393.116 393.120 393.122 393.124"),
    _fact("tiers", _C, "393.118 393.122 393.124"),
    _fact("stacks", _C, "393.116 393.132"),
    _fact("diameter", _L, "393.122 393.124"),
    _fact("eye", _W, "393.120 393.122", "vertical, crosswise, lengthwise"),
    _fact("unitized", _Y, "393.116 393.122 393.124"),
    _fact("overhang", _L, "393.116 393.126"),
    # 393.116
    _fact("processed", _Y, "393.116"),
    _fact("firewood", _Y, "393.116"),
    _fact("logs_lie", _W, "393.116", "crosswise, lengthwise"),
    _fact("shortwood", _Y, "393.116"),
    _fact("bunks", _C, "393.116"),
    _fact("wrappers", _C, "393.116"),
    _fact("wrappers_apart", _L, "393.116"),
    _fact("above_bunks", _Y, "393.116"),
    _fact("log_length", _L, "393.116"),
    _fact("edge_raised", _L, "393.116"),
    _fact("edge_within", _L, "393.116"),
    _fact("highest_log", _L, "393.116"),
    # 393.118
    _fact("tiers_held", _W, "393.118", "stakes, blocking, direct, spacers, each tier"),
    _fact("top_height", _L, "393.118"),
    _fact("spacer_width", _L, "393.118"),
    _fact("spacer_height", _L, "393.118"),
    # 393.120
    _fact("rows", _C, "393.120"),
    _fact("anchor_points", _Y, "393.120"),
    # 393.122
    _fact("roll_width", _L, "393.122"),
    _fact("void_behind", _L, "393.122"),
    _fact("mats_alone", _Y, "393.122"),
    _fact("gap", _L, "393.122"),
    _fact("blocking_roll_above", _L, "393.122"),
    _fact("blocking_roll_height", _L, "393.122"),
    # 393.124
    # 393.126
    _fact("loaded", _Y, "393.126"),
    _fact("lower_corners", _C, "393.126"),
    _fact("upper_corners", _C, "393.126"),
    _fact("corner_play", _L, "393.126"),
    _fact("corner_lift", _L, "393.126"),
    # 393.128
    # 393.130
    # 393.132
    _fact("wall_sides", _W, "393.132", "four sides, three sides, front and rear, none"),
    # 393.134
    _fact("integral_securement", _Y, "393.134"),
    _fact("rear_hooks", _C, "393.134"),
    _fact("rear_distance", _L, "393.134"),
    # 393.136
    _fact("shape", _W, "393.136", "cubic, stable, unstable"),
    _fact("rated_sides", _Y, "393.136"),
    _fact("rounded", _Y, "393.136"),
    _fact("timbers", _C, "393.136"),
    _fact("timber_size", _L, "393.136"),
    _fact("crib_contacts", _C, "393.136"),
    _fact("ring_rating", _F, "393.136"),
)

QUESTIONS: tuple[Question, ...] = (
    # 393.116
    _question("116-enclosed", "393.116(a)(3)"),
    _question("116-cradled", "393.116(b)(1)"),
    _question("116-stakes", "393.116(b)(2)"),
    _question("116-packed", "393.116(c)(1)"),
    _question("116-outside", "393.116(c)(2)"),
    _question("116-top", "393.116(c)(3)"),
    _question("116-loose", "393.116(c)(4)"),
    _question("116-slippery", "393.116(c)(4)"),
    _question("116-along", "393.116(d)(2)"),
    _question("116-thirds", "393.116(d)(3)"),
    _question("116-centre-stakes", "393.116(d)(4)"),
    _question("116-anchored", "393.116(d)(5)"),
    _question("116-no-gap", "393.116(d)(6)(i)"),
    _question("116-placed", "393.116(e)"),
    _question("116-each-bunk", "393.116(f)(1)"),
    _question("116-chocked", "393.116(f)(3)"),
    # 393.118
    _question("118-beside", "393.118(b)"),
    _question("118-stakes", "393.118(d)(1)"),
    _question("118-blocking", "393.118(d)(2)"),
    _question("118-spacers", "393.118(d)(3)(i)"),
    # 393.120
    _question("120-diagonals", "393.120(b)(1)"),
    _question("120-tipping", "393.120(b)(1)"),
    _question("120-forward", "393.120(b)(1)(iv)"),
    _question("120-front-rear", "393.120(b)(2)(i)"),
    _question("120-near-eye", "393.120(b)(2)(iii)"),
    _question("120-support", "393.120(c)(1)(i)"),
    _question("120-nailed", "393.120(c)(1)(i)"),
    _question("120-each-way", "393.120(c)(1)(ii)"),
    _question("120-straight", "393.120(d)(2)(ii)"),
    _question("120-both-parts", "393.120(d)(3)(ii)"),
    _question("120-along", "393.120(d)(1)(v)"),
    _question("120-contained", "393.120(e)"),
    # 393.122
    _question("122-tight", "393.122(b)(1)"),
    _question("122-sideways", "393.122(b)(2)"),
    _question("122-behind", "393.122(b)(3)"),
    _question("122-tip-sideways", "393.122(b)(4)(i)"),
    _question("122-tip-forward", "393.122(b)(4)(ii)"),
    _question("122-bands", "393.122(b)(5)"),
    _question("122-mats", "393.122(b)(6)"),
    _question("122-split", "393.122(c)"),
    _question("122-layer-below", "393.122(d)(1)"),
    _question("122-upper-layers", "393.122(d)(2)"),
    _question("122-raised-rear", "393.122(d)(4)"),
    _question("122-rolling", "393.122(e)(1)"),
    _question("122-chocks", "393.122(e)(2)"),
    _question("122-doors", "393.122(e)(3)"),
    _question("122-ends", "393.122(e)(4)"),
    _question("122-wells", "393.122(f)(2)"),
    _question("122-foremost", "393.122(f)(3)"),
    _question("122-last-wells", "393.122(f)(4)"),
    _question("122-forward", "393.122(g)(1)"),
    _question("122-rearward", "393.122(g)(2)"),
    _question("122-lateral", "393.122(g)(3)"),
    _question("122-next-layer", "393.122(h)(1)"),
    _question("122-in-wells", "393.122(h)(2)"),
    _question("122-upper-ends", "393.122(h)(3)"),
    # 393.124
    _question("124-blocking", "393.124(c)(4)"),
    _question("124-ends", "393.124(e)(1)"),
    _question("124-front-rear", "393.124(e)(1)"),
    _question("124-third-tier", "393.124(d)(3)"),
    _question("124-large-ends", "393.124(f)(1)"),
    _question("124-halves", "393.124(f)(2)"),
    # 393.126
    _question("126-independent", "393.126(b)(3)"),
    _question("126-supported", "393.126(c)(1)"),
    _question("126-balanced", "393.126(d)(1)"),
    _question("126-interference", "393.126(d)(3)"),
    _question("126-shifting", "393.126(d)(4)"),
    # 393.128
    _question("128-front-rear", "393.128(b)(1)"),
    _question("128-mounting", "393.128(b)(2)"),
    _question("128-wheels", "393.128(b)(3)"),
    # 393.130
    _question("130-accessories", "393.130(b)(1)"),
    _question("130-articulated", "393.130(b)(2)"),
    _question("130-all-ways", "393.130(c)(1)"),
    _question("130-points", "393.130(c)(2)"),
    # 393.132
    _question("132-linking", "393.132(b)(2)"),
    _question("132-loose", "393.132(c)(5)"),
    # 393.134
    _question("134-forward", "393.134(b)(1)"),
    _question("134-front", "393.134(b)(2)"),
    _question("134-rear", "393.134(b)(3)"),
    _question("134-stops", "393.134(b)(5)"),
    # 393.136
    _question("136-side", "393.136(b)(1)"),
    _question("136-width", "393.136(b)(2)"),
    _question("136-crib", "393.136(b)(4)"),
    _question("136-taper", "393.136(b)(5)"),
    _question("136-crossing", "393.136(e)(2)"),
    _question("136-ring", "393.136(f)(1)"),
    _question("136-angle", "393.136(f)(2)"),
    # Canada
    Question(id="ca-15-rub-rail", clause="NSC Standard 10 s.15"),
)

FACTS_BY_NAME = {fact.name: fact for fact in FACTS}
QUESTIONS_BY_ID = {question.id: question for question in QUESTIONS}
