"""The performance criteria of 49 CFR 393.102, text of late 2021 or later.

*Printed* stands beside a number the source prints; *worked out by us* beside the rest.
"""

import pytest

from tests.securement.plans import article, found, plan, value_of
from triplog.securement.assess import assess
from triplog.securement.finding import Finding

FORTY = "40000 lb"


def of(weighs: str, which: str) -> Finding:
    return found(assess(plan([article(weighs=weighs)])), f"us-393.102-{which}")


@pytest.mark.parametrize(
    ("which", "clause", "pounds"),
    [
        ("breaking-forward", "393.102(a)(1)", 32_000),
        ("breaking-rearward", "393.102(a)(1)", 20_000),
        ("breaking-lateral", "393.102(a)(1)", 20_000),
        ("wll-forward", "393.102(a)(2)", 17_400),
        ("wll-rearward", "393.102(a)(2)", 20_000),
        ("wll-lateral", "393.102(a)(2)", 10_000),
        ("down", "393.102(b)", 8_000),
    ],
)
def test_each_criterion_asks_for_its_share_of_the_weight(
    which: str, clause: str, pounds: int
) -> None:
    """49 CFR 393.102(a)(1), (a)(2), (b): the shares are printed, the products worked out by us."""
    finding = of(FORTY, which)
    assert finding.citation.clause == clause
    assert value_of(finding.required) == pounds


def test_a_quiz_on_the_drivers_handbook_asks_for_the_forward_force() -> None:
    """A quiz on the Driver's Handbook on Cargo Securement: 37,000 lb, 0.8 g (share printed,
    29,600 lb worked out by us)."""
    assert value_of(of("37000 lb", "breaking-forward").required) == 29_600


def test_a_course_quiz_in_kilograms() -> None:
    """Printed, a course quiz: 4,250 kg rearward of 8,500 kg, 10,240 kg forward of 12,800 kg."""
    assert value_of(of("8500 kg", "breaking-rearward").required) == 4250
    assert value_of(of("12800 kg", "breaking-forward").required) == 10_240
