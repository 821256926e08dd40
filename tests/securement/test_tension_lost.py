"""How much of the planned tension may go before the static estimate falls short.

Regression values worked out here from statics; no published ones.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from tests.securement.en_plans import UNBLOCKED, crate, en_plan, over, webbing
from tests.securement.plans import force, length
from triplog.securement.model import Block, Direction, Plan
from triplog.securement.tension_lost import loss_allowed


def _pressed(tension: str | None = "1250 daN", *, friction: str = "0.56") -> Plan:
    """10 t on 0.56 / 1.4 = 0.4, blocked forward, under two upright straps on alternate sides."""
    rated = Block(by="dunnage", rated=force("80 kN"), up=length("0.5 m"))
    told: dict[str, Any] = {} if tension is None else {"tension": force(tension)}
    plan = en_plan(
        crate(friction=Decimal(friction), blocked={**UNBLOCKED, Direction.FORWARD: rated}),
        [
            over(1, "2", tensioner_side="left", **told),
            over(2, "4", tensioner_side="right", **told),
        ],
        gear=[webbing("S1", wll=force("2500 daN")), webbing("S2", wll=force("2500 daN"))],
    )
    return replace(plan, rules=("static",))


def test_what_may_be_lost_is_what_sliding_sideways_does_not_need() -> None:
    """0.5 / 0.4 - 1 of 98.1 kN must press, 24.525 kN; two straps of 12.5 kN press with 1.5 of
    it each, 37.5 kN; 65.4 % must stay, 42 of 64 parts when rounded up."""
    assert loss_allowed(_pressed()) == Fraction(64 - 42, 64)


def test_a_load_that_holds_without_its_straps_may_lose_it_all() -> None:
    assert loss_allowed(_pressed(friction="0.75")) == 1


def test_nothing_is_said_where_the_plan_falls_short_as_it_is() -> None:
    assert loss_allowed(_pressed("300 daN")) is None


def test_nothing_is_said_without_a_tension_or_where_the_estimate_is_not_asked_for() -> None:
    assert loss_allowed(_pressed(None)) is None
    assert loss_allowed(replace(_pressed(), rules=("us-393",))) is None
