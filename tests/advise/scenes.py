"""Plans with a row of opposite anchor points and gear lying idle, in invented figures."""

import random
from collections.abc import Sequence
from dataclasses import replace

from triplog.securement.model import Gear, Plan
from triplog.securement.plan_file import read_plan

HEAD = """
format = "triplog-plan/1"
rules = {rules}
[vehicle]
gross_mass = "80000 lb"
use = "interstate business"
registered_in = "CA-ON"
front_structure = "none"
[[article]]
id = "A"
commodity = "general"
mass = "{mass} lb"
length = "{length} ft"
width = "7 ft"
height = "5 ft"
at = ["2 ft", "centre"]
blocked = {{ forward = "nothing", rearward = "nothing", left = "nothing", right = "nothing" }}
friction = 0.6
sharp_edges = false
rolls = false
contained = false
"""
ANCHOR = '[[anchor]]\nid = "{id}"\nat = ["{back} ft", "{side} 4 ft"]\nwll = "{wll} lb"\n'
STRAP = (
    '[[gear]]\nid = "S-{number}"\nkind = "{kind}"\nwll = "{wll} lb"\nmass = "{mass} lb"\n'
    'damage = []\nlength = "30 ft"\nlc = "{lc} lb"\nstf = "{stf} lb"\n'
)


RULES = (
    ("us-393",),
    ("us-393", "house"),
    ("house",),
    ("ca-nsc10",),
    ("us-393", "ca-nsc10"),
    ("en-12195-1",),
    ("static",),
    ("us-393", "static"),
)


def scene(
    mass: int,
    length: int,
    anchors: Sequence[int],
    straps: Sequence[tuple[int, int]],
    *,
    rules: Sequence[str] = ("us-393", "house"),
    kind: str = "ratchet strap",
) -> Plan:
    """One article, a pair of anchor points of each rating, a strap of each rating and mass."""
    text = HEAD.format(mass=mass, length=length, rules=str(list(rules)).replace("'", '"'))
    for number, wll in enumerate(anchors):
        for name, side in (("L", "left"), ("R", "right")):
            text += ANCHOR.format(id=f"{name}{number}", back=3 + 2 * number, side=side, wll=wll)
    for number, (wll, heavy) in enumerate(straps):
        text += STRAP.format(number=number, kind=kind, wll=wll, mass=heavy, lc=wll, stf=wll // 5)
    return read_plan(text.encode(), "plan.toml").plan


def without_gear(plan: Plan) -> tuple[Plan, tuple[Gear, ...]]:
    """The plan and, apart from it, the gear as stock."""
    return replace(plan, gear=()), plan.gear


def small_scene(seed: int) -> tuple[Plan, tuple[Gear, ...]]:
    """A scene small enough to try every choice."""
    draw = random.Random(seed)
    rules = draw.choice(RULES)
    most_lb = 14_000 if {"us-393", "house", "ca-nsc10"}.issuperset(rules) else 3_000
    plan = scene(
        draw.randrange(800, most_lb),
        draw.choice([4, 8, 14, 22]),
        [draw.choice([1_000, 2_000, 5_000]) for _ in range(draw.randint(1, 3))],
        [(draw.randrange(800, 5_000, 100), draw.randint(2, 12)) for _ in range(draw.randint(1, 4))],
        rules=rules,
    )
    return without_gear(plan)
