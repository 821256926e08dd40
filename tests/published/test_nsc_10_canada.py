"""Source: NSC Standard 10, Cargo Securement (Canada), June 2013 edition, from pages that quote it.

*Printed*: the answer stands in the source named. *Worked out by us*: the rule is the source, the
number ours, a regression value. The metric 1.52 m and 500 kg are from memory.
In the files of `data/` the flags are V1 read, V2 second-hand, D worked out by us, M from memory.
"""

import csv
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path as FilePath

import pytest

from tests.securement.plans import (
    anchor,
    article,
    chain,
    found,
    length,
    mass,
    plan,
    strap,
    tie_down,
    value_of,
)
from triplog.securement.assess import assess
from triplog.securement.figures import figure
from triplog.securement.finding import Finding, Verdict
from triplog.securement.model import Block, Direction, Gear, GearKind, Path, Plan
from triplog.securement.quantity import Amount

DATA = FilePath(__file__).parent / "data"
COUNT, SUM = "ca-nsc10-count", "ca-nsc10-aggregate"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def judged(
    weighs: str, long: str, ratings: Sequence[str | None], *, blocked: bool = False
) -> tuple[Finding, ...]:
    by = {Direction.FORWARD: Block(by="timber" if blocked else "nothing")}
    gear = [strap(f"S{n}", wll=wll) for n, wll in enumerate(ratings)]
    ties = [tie_down(f"T{n}", gear=f"S{n}") for n in range(len(ratings))]
    one = article(weighs=weighs, long=long, blocked=by)
    return assess(plan([one], gear, ties, rules=("ca-nsc10",)))


def in_unit(finding: Finding, unit: str) -> Fraction:
    assert isinstance(finding.required, Amount)
    return finding.required.in_unit(unit).value


@pytest.mark.parametrize("row", rows("canada_counts.csv"), ids=lambda row: row["note"] or "row")
def test_number_and_sum_of_s_10_and_s_22(row: dict[str, str]) -> None:
    """The row of 3.65 m is printed (BC driving manual p.110); the others are worked out by us."""
    number = int(row["min_tiedowns"])
    blocked = row["blocked_forward"] == "yes"
    weighs, long = f"{row['mass_kg']} kg", f"{row['length_m']} m"
    enough = judged(weighs, long, ["20000 kg"] * number, blocked=blocked)
    assert value_of(found(enough, COUNT).required) == number
    assert found(enough, COUNT).verdict is Verdict.MEETS
    short = judged(weighs, long, ["20000 kg"] * (number - 1), blocked=blocked)
    assert found(short, COUNT).verdict is Verdict.DOES_NOT_MEET
    assert in_unit(found(enough, SUM), "kg") == Fraction(row["min_aggregate_wll_kg"])


def test_the_worked_example_of_the_bc_manual_printed() -> None:
    """BC driving manual p.110: 600 kg, 3.65 m, not blocked: 3 tie-downs, 300 kg together, 100 kg
    each; with 50 kg tie-downs, 6."""
    three = judged("600 kg", "3.65 m", ["100 kg"] * 3)
    assert value_of(found(three, COUNT).required) == 3
    assert in_unit(found(three, SUM), "kg") == 300
    assert {found(three, rule).verdict for rule in (COUNT, SUM)} == {Verdict.MEETS}
    assert found(judged("600 kg", "3.65 m", ["99 kg"] * 3), SUM).verdict is Verdict.DOES_NOT_MEET
    six = judged("600 kg", "3.65 m", ["50 kg"] * 6)
    assert {found(six, rule).verdict for rule in (COUNT, SUM)} == {Verdict.MEETS}
    five = judged("600 kg", "3.65 m", ["50 kg"] * 5)
    assert found(five, COUNT).verdict is Verdict.MEETS, "the number alone is enough"
    assert found(five, SUM).verdict is Verdict.DOES_NOT_MEET, "the strength is a minimum too"


def test_half_of_thirty_thousand_pounds_printed() -> None:
    """Printed, trade press, interview with Ontario enforcement: 30,000 lb needs 15,000 lb."""
    assert in_unit(found(judged("30000 lb", "20 ft", []), SUM), "lb") == 15_000


def test_four_straps_of_5400_lb_add_up_to_21600_lb_printed() -> None:
    """Printed, trade press on unmarked tie-downs, 2010."""
    finding = found(judged("20000 lb", "9 ft", ["5400 lb"] * 4), SUM)
    assert value_of(finding.provided) == 21_600


def test_one_unreadable_of_four_is_zero_rated_and_the_total_is_ours() -> None:
    """Same article: in Canada an unreadable strap is zero rated; 16,200 lb is worked out by us."""
    finding = found(judged("20000 lb", "9 ft", ["5400 lb"] * 3 + [None]), SUM)
    assert value_of(finding.provided) == 16_200


def test_two_cases_of_a_driver_test_bank_worked_out_by_us() -> None:
    """The bank printed no answer: 3 x 4,000, 2 x 6,500 and 8,000 lb; heaviest cargo of 5,000 lb."""
    several = ["4000 lb"] * 3 + ["6500 lb"] * 2 + ["8000 lb"]
    assert value_of(found(judged("20000 lb", "9 ft", several), SUM).provided) == 33_000
    assert found(judged("10000 lb", "1 m", ["5000 lb"]), SUM).verdict is Verdict.MEETS
    assert found(judged("10001 lb", "1 m", ["5000 lb"]), SUM).verdict is Verdict.DOES_NOT_MEET


@pytest.mark.parametrize(
    ("path", "to", "canada", "united_states"),
    [
        (Path.OVER, "R1", 1000, 1000),
        (Path.DIRECT, "eye", 1000, 500),
        (Path.SAME_SIDE, "R1", 1000, 500),
    ],
)
def test_what_a_strap_counts_in_each_country(
    path: Path, to: str, canada: int, united_states: int
) -> None:
    """Second-hand: the definition of anchor point on a training page and chapter 2 of the driver's
    handbook; back to the same side, the words give two anchored ends and the result is ours."""
    whole = plan(
        [article(weighs="1000 kg", long="1 m")],
        [strap("S", wll="1000 kg")],
        [tie_down(gear="S", path=path, ends=("L1", to))],
        rules=("us-393", "ca-nsc10"),
    )
    findings = assess(whole)
    assert value_of(found(findings, SUM).provided) == canada
    assert value_of(found(findings, "us-393.106-aggregate").provided) == united_states


def unmarked(row: dict[str, str]) -> Gear:
    size = length(f"{row['size_mm']} mm")
    if row["component"] == "chain":
        return chain("G", size=size, grade=row["grade_or_type"])
    if row["component"].startswith("wire rope"):
        return Gear(id="G", kind=GearKind.WIRE_ROPE, size=size, damage=())
    return strap("G", wll=None, width=size)


def holding(gear: Gear) -> Plan:
    return plan(
        [article(weighs="90000 kg", long="1 m")],
        [gear],
        [tie_down(gear="G", ends=("L1", "R1"))],
        anchors=[anchor("L1", wll="90000 kg"), anchor("R1", wll="90000 kg")],
        rules=("us-393", "ca-nsc10"),
    )


@pytest.mark.parametrize(
    "row", rows("wll_defaults_ca_us.csv"), ids=lambda row: f"{row['component']} {row['size_mm']}"
)
def test_what_a_piece_without_a_rating_counts_in_each_country(row: dict[str, str]) -> None:
    """49 CFR 393.108 tables as reproduced; in Canada only chain marked with its grade, whose table
    is assumed to be the same, and nothing else (NSC 10 s.11(3), (4), second-hand)."""
    findings = assess(holding(unmarked(row)))
    assert value_of(found(findings, "us-393.106-aggregate").provided) == int(row["wll_kg"])
    graded = row["ca_default_allowed"].startswith("only if marked with grade")
    expected = int(row["wll_kg"]) if graded else 0
    assert value_of(found(findings, SUM).provided) == expected


def test_four_unmarked_chains_count_in_one_country_and_not_in_the_other_printed() -> None:
    """Printed, machinery club report of a patrol officer: unmarked 3/8 in chain counts as grade 30,
    2,650 lb, four direct ones 5,300 lb. Zero in Canada: trade press on unmarked tie-downs, 2010."""
    gear = [chain(f"C{n}", size=length("3/8 in")) for n in range(4)]
    ties = [
        tie_down(f"T{n}", gear=f"C{n}", path=Path.DIRECT, ends=(f"A{n}", f"eye {n}"))
        for n in range(4)
    ]
    whole = plan([article(weighs="10600 lb")], gear, ties, rules=("us-393", "ca-nsc10"))
    findings = assess(whole)
    assert value_of(found(findings, "us-393.106-aggregate").provided) == 5300
    assert found(findings, "us-393.106-aggregate").verdict is Verdict.MEETS
    assert value_of(found(findings, SUM).provided) == 0


def test_the_downward_share_is_a_fifth_read() -> None:
    """Read: Quebec C-24.2 r.30 s.3(2), for an article not fully contained."""
    assert figure("down-share", "figures_ca").value_si == Fraction("0.2")


def test_the_lines_from_memory_say_so() -> None:
    for name in ("count-short-length-max", "count-light-mass-max"):
        assert figure(name, "figures_ca").citation.how_sure == "memory"
    assert mass("500 kg").si == figure("count-light-mass-max", "figures_ca").value_si
