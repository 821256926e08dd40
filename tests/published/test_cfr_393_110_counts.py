"""The least number of tie-downs: 49 CFR 393.110(b) and (c), text of late 2021 or later.

Two kinds of rows, kept apart. *Printed*: the number stands in a source about the paragraph.
*Worked out by us*: the paragraph is the source, the number is our reading of it, a regression
value. Lengths in feet are compared with the printed feet.
"""

import pytest

from tests.securement.plans import article, found, length, mass, plan, strap, tie_down, value_of
from triplog.securement.assess import assess
from triplog.securement.finding import Verdict
from triplog.securement.model import Block, Direction
from triplog.securement.rules.us_393.needed import Need, tie_downs_needed

# Worked out by us from 393.110(b)(1), (b)(2), (b)(3) and (c).
WORKED_OUT = [
    ("5 ft", "1100 lb", False, 1),
    ("5 ft", "1101 lb", False, 2),
    ("10 ft", "40000 lb", False, 2),
    ("10.01 ft", "900 lb", False, 3),
    ("20 ft", "8000 lb", False, 3),
    ("20.01 ft", "8000 lb", False, 4),
    ("40 ft", "20000 lb", False, 5),
    ("48 ft", "20000 lb", False, 6),
    ("5 ft", "50000 lb", True, 1),
    ("10.01 ft", "9000 lb", True, 2),
    ("20 ft", "9000 lb", True, 2),
    ("25 ft", "9000 lb", True, 3),
    ("40 ft", "9000 lb", True, 4),
    ("53 ft", "9000 lb", True, 6),
]


@pytest.mark.parametrize(("long", "weighs", "blocked", "number"), WORKED_OUT)
def test_the_number_of_393_110_worked_out_by_us(
    long: str, weighs: str, blocked: bool, number: int
) -> None:
    need = tie_downs_needed(length(long), mass(weighs), blocked)
    assert need == Need(low=number, high=number)
    by = "blocking" if blocked else "nothing"
    one = article(weighs=weighs, long=long, blocked={Direction.FORWARD: Block(by=by)})
    for straps, verdict in ((number, Verdict.MEETS), (number - 1, Verdict.DOES_NOT_MEET)):
        gear = [strap(f"S{count}") for count in range(straps)]
        ties = [tie_down(f"T{count}", gear=f"S{count}") for count in range(straps)]
        finding = found(assess(plan([one], gear, ties)), "us-393.110-count")
        assert value_of(finding.required) == number
        assert finding.verdict is verdict


def test_a_short_light_article_needs_one_printed() -> None:
    """Printed, federal agency's page on the cargo rules: up to 5 ft and 1,100 lb, one."""
    assert tie_downs_needed(length("5 ft"), mass("1100 lb"), False).high == 1


@pytest.mark.parametrize("long", ["5.1 ft", "9.9 ft"])
@pytest.mark.parametrize("weighs", ["100 lb", "30000 lb"])
def test_a_middle_article_needs_two_whatever_it_weighs_printed(long: str, weighs: str) -> None:
    """Printed, same page: over 5 ft and under 10 ft, two, regardless of weight."""
    assert tie_downs_needed(length(long), mass(weighs), False).high == 2


def test_a_short_heavy_article_needs_two_worked_out_by_us() -> None:
    """Cases printed without their answer, in a quiz on the driver's handbook (4 ft 7 in, 1,237 lb)
    and one on a state's coil manual (4 ft, 1,500 lb); the number is 393.110(b)(2)(i), by us."""
    assert tie_downs_needed(length("4 ft 7 in"), mass("1237 lb"), False).high == 2
    assert tie_downs_needed(length("4 ft"), mass("1500 lb"), False).high == 2


def test_the_printed_metric_figures_are_used_for_metric_lengths() -> None:
    """393.110(b) prints 5 ft (1.52 m), 10 ft (3.04 m), 1,100 lb (500 kg); numbers by us."""
    assert tie_downs_needed(length("1.52 m"), mass("500 kg"), False).high == 1
    assert tie_downs_needed(length("1.53 m"), mass("500 kg"), False).high == 2
    assert tie_downs_needed(length("1.52 m"), mass("501 kg"), False).high == 2
    assert tie_downs_needed(length("3.04 m"), mass("500 kg"), False).high == 2
    assert tie_downs_needed(length("3.05 m"), mass("500 kg"), False).high == 3
    assert tie_downs_needed(length("6.08 m"), mass("500 kg"), False).high == 3


def test_a_load_of_18_ft_and_40200_lb_printed() -> None:
    """Printed, a US trade journal of 2015, p. 30: 18 ft not against a bulkhead needs 3 tie-downs,
    2 for the first 10 ft and 1 for the other 8 ft; 40,200 lb needs 20,100 lb."""
    findings = assess(plan([article(weighs="40200 lb", long="18 ft")]))
    assert value_of(found(findings, "us-393.110-count").required) == 3
    assert value_of(found(findings, "us-393.106-aggregate").required) == 20_100
