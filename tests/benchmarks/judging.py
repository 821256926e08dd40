"""A plan of twenty tie-downs judged: the rules alone, and the command with every rule set."""

from pathlib import Path

from tests.benchmarks.measure import Figure, by_turns, run_python
from tests.benchmarks.starting import SMALLEST, TRIPLOG
from tests.securement.plans import article, plan, strap, tie_down
from triplog.securement.assess import assess
from triplog.securement.plan_names import RULE_SETS

TIE_DOWNS = 20
TIMES = 5


def figures(place: Path) -> list[Figure]:
    """`assess` in a process that is running; the command from start to end.

    The floor of the command is one of ours that reads its arguments too and judges nothing: help
    alone would leave out what the command line's library loads to read them.
    """
    names = [f"{number}" for number in range(1, TIE_DOWNS + 1)]
    big = plan(
        [article("A", weighs="20000 lb", long="20 ft"), article("B", weighs="18000 lb")],
        [strap(f"S-{name}") for name in names],
        [
            tie_down(f"T{name}", gear=f"S-{name}", holds=("A",) if int(name) % 2 else ("B",))
            for name in names
        ],
    )
    assert len(assess(big)) > TIE_DOWNS

    def ours() -> None:
        for _ in range(TIMES):
            assess(big)

    return [
        by_turns(
            f"a plan of {TIE_DOWNS} tie-downs judged",
            ours,
            lambda: run_python(["-c", SMALLEST]),
            limit=0.1,
            ours_holds=TIMES,
        ),
        by_turns(
            f"triplog judge, {TIE_DOWNS} tie-downs, every rule set",
            lambda: run_python(["-c", TRIPLOG, "judge", "--file", str(_whole(place))]),
            lambda: run_python(["-c", TRIPLOG, "schema", "plan"]),
            limit=2,
        ),
    ]


def _whole(place: Path) -> Path:
    """A plan file with all that the rule sets ask for, under twenty tie-downs over the top."""
    rules = ", ".join(f'"{name}"' for name in RULE_SETS)
    text = [f'format = "triplog-plan/1"\nrules = [{rules}]\n{_VEHICLE}']
    for number in range(TIE_DOWNS):
        back = f"{2 + number} ft"
        text.append(
            f'[[anchor]]\nid = "L{number}"\nat = ["{back}", "left 4 ft"]\nwll = "5000 lb"\n'
            f'[[anchor]]\nid = "R{number}"\nat = ["{back}", "right 4 ft"]\nwll = "5000 lb"\n'
            f'[[gear]]\nid = "S-{number}"\n{_STRAP}'
            f'[[tie_down]]\nid = "T{number}"\nholds = ["{"A" if number < 10 else "B"}"]\n'
            f'gear = "S-{number}"\nfrom = "L{number}"\nto = "R{number}"\n{_TIED}'
        )
    path = place / "plan.toml"
    path.write_text("".join([*text, _ARTICLE.format("A", 1), _ARTICLE.format("B", 11.5)]))
    return path


_VEHICLE = """
[vehicle]
gross_mass = "80000 lb"
use = "interstate business"
registered_in = "CA-ON"
deck_length = "48 ft"
deck_width = "8 ft 6 in"
front_structure = "none"
"""
_STRAP = """kind = "ratchet strap"
width = "2 in"
length = "30 ft"
wll = "3300 lb"
lc = "1500 daN"
stf = "350 daN"
shf = "50 daN"
damage = []
"""
_TIED = """path = "over"
tension = "350 daN"
tensioner_side = "left"
edge_protection = { needed = 2, fitted = 2 }
knots = false
"""
_ARTICLE = """[[article]]
id = "{}"
commodity = "general"
mass = "12000 lb"
length = "10 ft"
width = "7 ft"
height = "5 ft"
at = ["{} ft", "centre"]
friction = 0.4
blocked = {{ forward = "nothing", rearward = "nothing", left = "nothing", right = "nothing" }}
sharp_edges = true
rolls = false
contained = false
stands_unaided = true
"""
