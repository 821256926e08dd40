"""`judge --explain static-...` followed with pencil and paper: only what is printed is added up."""

import json
import re
from pathlib import Path

import pytest

from tests.cli.terminal import Terminal
from tests.readme import README, plan_file_shown
from triplog.securement.plan_names import RULE_SETS

PLAN = (Path(__file__).parent.parent / "securement" / "static_plan.toml").read_text()
OVER_THE_TOP = PLAN[PLAN.index("[[tie_down]]") :]
TWO_CHAINS = "\n".join(
    f"""[[tie_down]]
id = "C{number}"
holds = ["A"]
path = "direct"
gear = "S{number}"
from = "{side[0].upper()}2"
to = "lug"
touches = [["1.5 m", "{side} 1.2 m", "0.6 m"]]
"""
    for number, side in ((1, "left"), (2, "right"))
)
CHAINED = PLAN.replace(OVER_THE_TOP, TWO_CHAINS).replace("ratchet strap", "chain")
FORWARD_OPEN = 'forward = "nothing"'
STOPPED = PLAN.replace(
    FORWARD_OPEN, 'forward = "chocks", forward_rated = "9 kN", forward_up = "0.2 m"'
)
TIPPED = STOPPED.replace('height = "1.2 m"', 'height = "4 m"').replace('up = "0.6 m"', 'up = "3 m"')
ONE_CHAIN_SHORT = CHAINED.replace(
    '["1.5 m", "left 1.2 m", "0.6 m"]', '["3 m", "left 1.2 m", "0.4 m"]'
)
STACKED = (
    PLAN
    + """
[[article]]
id = "B"
what = "crated harrow"
mass = "900 kg"
length = "2 m"
width = "1.5 m"
height = "0.8 m"
at = ["2 m", "centre"]
on = "A"
friction = 0.3
blocked = { forward = "nothing", rearward = "nothing", left = "nothing", right = "nothing" }
"""
)
POUNDS = plan_file_shown(README.read_text())
PLANS = {
    "chains": CHAINED,
    "uneven chains": ONE_CHAIN_SHORT,
    "front stop": STOPPED,
    "tipped over the stop": TIPPED,
    "over the top": PLAN,
    "stack": STACKED,
    "pounds": POUNDS,
}
RULES = tuple(f"static-{one}" for one in ("forward", "rearward", "left", "right"))
ROW = re.compile(r"^  (.{20})((?: +-?\d+\.\d+){3})((?: +-?\d+(?:\.\d+)?){6})$")
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
Table = list[tuple[str, list[float]]]


@pytest.fixture
def terminal(tmp_path: Path) -> Terminal:
    return Terminal(folder=tmp_path)


def explained(terminal: Terminal, plan: str, rule: str) -> str:
    (terminal.folder / "plan.toml").write_text(plan)
    said = terminal.type("judge", "--file", "plan.toml", "--explain", rule)
    assert "sum " in said.out, said.err
    return said.out


def tables(text: str) -> list[tuple[list[float], Table]]:
    """Each table: the point that moments are about, and its rows of nine numbers."""
    found: list[tuple[list[float], Table]] = []
    for line in text.splitlines():
        if "; moments about (" in line:
            found.append(([float(one) for one in NUMBER.findall(line)], []))
        row = ROW.match(line)
        if row is not None:
            numbers = [float(one) for one in NUMBER.findall(row[2] + row[3])]
            found[-1][1].append((row[1].strip(), numbers))
    return found


@pytest.mark.parametrize("rule", RULES)
@pytest.mark.parametrize("name", PLANS)
def test_the_printed_forces_and_moments_add_up_to_nothing(
    terminal: Terminal, name: str, rule: str
) -> None:
    text = explained(terminal, PLANS[name], rule)
    found = tables(text)
    assert found, text
    for about, rows in found:
        assert any(row.startswith("weight of") for row, _ in rows)
        largest = max(abs(entry) for _, numbers in rows for entry in numbers[3:6])
        room = 1.5e-4 * largest * len(rows)  # a mm of lever, half a digit of force
        sums = [0.0] * 6
        for _, (*at, fx, fy, fz, mx, my, mz) in rows:
            x, y, z = (one - other for one, other in zip(at, about, strict=True))
            moments = [y * fz - z * fy, z * fx - x * fz, x * fy - y * fx]
            reach = max(1.0, abs(x), abs(y), abs(z))
            assert moments == pytest.approx([mx, my, mz], abs=2e-3 * largest + reach)
            sums = [a + b for a, b in zip(sums, [fx, fy, fz, *moments], strict=True)]
        assert sums[:3] == pytest.approx([0.0] * 3, abs=0.51 * len(rows)), text
        assert sums[3:] == pytest.approx([0.0] * 3, abs=room * 10), text


@pytest.mark.parametrize("rule", RULES)
@pytest.mark.parametrize("name", PLANS)
def test_no_printed_part_is_beyond_its_limit_and_no_friction_beyond_its_pressure(
    terminal: Terminal, name: str, rule: str
) -> None:
    text = explained(terminal, PLANS[name], rule)
    rubbed = re.findall(
        r"presses ([\d.]+); friction ([\d.]+) of ([\d.]+)\s+x ([\d.]+) =\s+([\d.]+)", text
    )
    assert rubbed
    for pressed, rubs, friction, again, most in rubbed:
        assert pressed == again
        assert float(friction) * float(pressed) == pytest.approx(float(most), abs=2.0, rel=1e-3)
        assert float(rubs) <= float(most) + 1.01
    for newtons, limit in re.findall(r": ([\d.]+) of (?:the )?([\d.]+) (?:N|lb)", text):
        assert float(newtons) <= float(limit) + 0.01
    for tension, *way in re.findall(r"; ([\d.]+) (?:N|lb) x \((\S+), (\S+), (\S+)\)", text):
        assert float(tension) >= 0.0
        assert sum(float(part) ** 2 for part in way) == pytest.approx(1.0, abs=1e-3)


def test_chains_alike_are_both_used_up_forward_and_their_legs_are_in_the_table(
    terminal: Terminal,
) -> None:
    # Worked out here: a leg runs 2.5 m back and 0.6 m down, no way sideways: 2.571 m long.
    text = explained(terminal, CHAINED, "static-forward")
    assert "C1: 15000 of 15000 N (body S1), used up" in text
    assert (
        "C1 to L2: 2.571 m to (-4.000, 1.200, 0.000); 15000 N x (-0.9724, 0.0000, -0.2334)" in text
    )
    assert "C1: L2 (-4.000, 1.200, 0.000) - (-1.500, 1.200, 0.600)" in text
    (_, rows), *others = tables(text)
    assert not others
    legs = [numbers for name, numbers in rows if name == "C1 to L2"]
    assert [one[3:6] for one in legs] == [[-14586.0, 0.0, -3501.0]]


def test_a_front_stop_is_named_with_its_article_and_direction(terminal: Terminal) -> None:
    text = explained(terminal, STOPPED, "static-forward")
    assert "used up first: the block of A, forward" in text
    assert "block of A, forward: 9000 of 9000 N, used up" in text
    pushed = [numbers[3] for name, numbers in tables(text)[0][1] if name == "block of A, forward"]
    assert pushed == [-4500.0, -4500.0]


def test_a_stack_has_a_table_of_each_article(terminal: Terminal) -> None:
    text = explained(terminal, STACKED, "static-forward")
    assert "forces on A pushed forward" in text
    assert "forces on B pushed forward" in text


def test_uneven_chains_show_how_each_lengthens_and_what_the_sum_makes_of_it(
    terminal: Terminal,
) -> None:
    text = explained(terminal, ONE_CHAIN_SHORT, "static-forward")
    flat = re.sub(r"\s+", " ", text)
    assert "what sets the value: all slides straight on by" in text
    longer = re.findall(
        r"C\d: ([\d.]+) \+ ([\d.]+) N/mm x ([\d.]+) mm = ([\d.]+) N; back ([\d.]+) x ([\d.]+) = "
        r"([\d.]+)",
        flat,
    )
    assert len(longer) == 2
    for retained, rate, by, tension, share, again, back in longer:
        follows = float(retained) + float(rate) * float(by)
        assert follows == pytest.approx(float(tension), abs=0.6 + float(rate) * 6e-4)
        assert tension == again
        assert float(share) * float(tension) == pytest.approx(float(back), abs=1.5)
    held, weight, g = re.findall(r"= ([\d.]+); over the weight ([\d.]+): ([\d.]+)", flat)[0]
    assert float(held) / float(weight) == pytest.approx(float(g), abs=6e-4)


def test_what_is_less_a_little_off_the_direction_is_told(terminal: Terminal) -> None:
    # A block holds straight on only what friction does not: aslant it gives way sooner.
    text = explained(terminal, STOPPED.replace("9 kN", "90 kN"), "static-forward")
    told = re.search(r"provided .*?: (\d\.\d+) of the weight", text)
    less = re.search(r"\d degrees off, from forward to the (left|right): only (\d\.\d+)", text)
    assert told is not None
    assert less is not None
    assert float(less[2]) < float(told[1]) - 0.05
    assert "degrees off" not in explained(terminal, PLAN, "static-forward")


def test_the_same_is_to_be_had_as_plain_values(terminal: Terminal) -> None:
    (terminal.folder / "plan.toml").write_text(CHAINED)
    said = terminal.type("judge", "--file", "plan.toml", "--explain", "static-forward", "--json")
    (finding,) = json.loads(said.out)["findings"]
    account = finding["account"]
    assert account["routes"][0] == {
        "tie_down": "C1",
        "points_m": [[-4.0, 1.2, 0.0], [-1.5, 1.2, 0.6]],
    }
    (balance,) = account["forces"]["balances"]
    (table,) = balance["balanced"]
    for axis in range(3):
        assert sum(one["force_n"][axis] for one in table["acting"]) == pytest.approx(0, abs=1e-3)


def test_every_finding_of_every_rule_set_says_its_clause_and_why(terminal: Terminal) -> None:
    every = STACKED.replace('rules = ["static"]', f"rules = {json.dumps(list(RULE_SETS))}")
    (terminal.folder / "plan.toml").write_text(every)
    said = terminal.type("judge", "--file", "plan.toml", "--json")
    findings = json.loads(said.out)["findings"]
    assert {one["rule_set"] for one in findings} == set(RULE_SETS)
    why = re.compile(r"(?m)^ {16}(goes in|sum|not known|decides|mend) +\S")
    for rule in dict.fromkeys(one["rule"] for one in findings):
        said = terminal.type("judge", "--file", "plan.toml", "--explain", rule)
        same = [one for one in findings if one["rule"].startswith(rule)]
        assert len(re.findall(r"(?m)^ {16}asked +\S", said.out)) == len(same), rule
        assert len(re.findall(r"(?m)^ {16}clause +\S", said.out)) == len(same), rule
        for told in re.split(r"(?m)^ {16}asked ", said.out)[1:]:
            assert why.search(told), rule
