"""Commodity sections of 49 CFR part 393, 393.124 to 393.136: the numbers the text prints.

Source: 49 CFR, text of late 2021 or later; the paragraph stands beside each case. Cases said to be
*worked out* are regression values of ours from that text, never published.
"""

import pytest

from tests.securement.plans import chain, found, length, plan, value_of
from tests.securement.sections import judged, ties
from tests.securement.test_section_124 import THROUGH, pipe
from tests.securement.test_section_130 import DIRECT, machine
from tests.securement.test_section_132 import under
from triplog.securement.assess import assess
from triplog.securement.figures import figure

PRINTED = [
    # paragraph, row, the US figure, the metric figure where one is printed
    ("393.124(b)(1)", "pipe-aggregate-share", "0.5", "0.5"),
    ("393.124(e)", "pipe-small-diameter-max", "45 in", "1143 mm"),
    ("393.124(e)(2)(ii)(A)", "pipe-lengthwise-thick-size", "1/2 in", ""),
    ("393.124(e)(2)(ii)(A)", "pipe-lengthwise-thin-size", "3/8 in", ""),
    ("393.124(e)(2)(ii)(B)", "pipe-transverse-every", "10 ft", "3.04 m"),
    ("393.126(b)(1)", "container-corners", "4", "4"),
    ("393.126(b)(2)", "container-play-max", "1/2 in", "1.27 cm"),
    ("393.126(b)(2)", "container-lift-max", "1 in", "2.54 cm"),
    ("393.126(d)(2)", "container-overhang-max", "5 ft", ""),
    ("393.128(b)(1)", "light-vehicle-tie-downs", "2", "2"),
    ("393.130(c)", "machine-tie-downs", "4", "4"),
    ("393.132(c)(2)", "flattened-three-sides", "2", "2"),
    ("393.132(c)(3)", "flattened-front-rear", "3", "3"),
    ("393.132(c)(4)", "flattened-no-walls", "4", "4"),
    ("393.134(b)(3)(i)", "roll-off-rear-tie-downs", "1", "1"),
    ("393.134(b)(3)(iii)", "roll-off-rear-hooks", "2", "2"),
    ("393.134(b)(4)", "roll-off-rear-distance-max", "79 in", "2 m"),
    ("393.136(b)(2)", "boulder-timbers", "2", "2"),
    ("393.136(b)(2)", "boulder-timber-size", "4 in", ""),
    ("393.136(b)(4)", "boulder-crib-contacts", "3", "3"),
    ("393.136(d)", "boulder-cubic-tie-downs", "2", "2"),
    ("393.136(e)", "boulder-stable-tie-downs", "2", "2"),
    ("393.136(d), (e)", "boulder-aggregate-share", "0.5", "0.5"),
    ("393.136(f)(1)", "boulder-ring-share", "0.5", "0.5"),
    ("393.136(f)(2)", "boulder-ring-chains", "4", "4"),
    ("393.136(f)(2)", "boulder-ring-chain-share", "0.25", "0.25"),
]


@pytest.mark.parametrize(("clause", "row", "us", "metric"), PRINTED)
def test_the_figures_stand_as_the_text_prints_them(
    clause: str, row: str, us: str, metric: str
) -> None:
    found_row = figure(row)
    assert found_row.citation.clause == clause
    assert found_row.citation.how_sure in ("read", "second-hand")
    for given, value, unit in (
        (us, found_row.value_us, found_row.unit_us),
        (metric, found_row.value_si, found_row.unit_si),
    ):
        if " " in given:
            assert (length(given).value, length(given).unit) == (value, unit)
        elif given:
            assert float(given) == value


# 393.124


def test_four_pipes_of_30000_lb_need_15000_lb_and_each_its_tie_down() -> None:
    """Worked out from 393.124(b)(1) and (e)(2)(i)."""
    whole = judged([pipe(facts={"pieces": 4})], ties(*[THROUGH] * 4), wll="7500 lb")
    assert value_of(found(whole, "us-393.124-aggregate").required) == 15_000
    assert value_of(found(whole, "us-393.124-count").required) == 4


# 393.130


def test_a_tractor_of_12000_lb_needs_four_tie_downs_and_6000_lb() -> None:
    """Printed, a land-grant university's extension page: four tie-downs, combined 6,000 lb. The
    page adds the ratings in full; 393.106(d)(1) counts chains to the machine at half, so four of
    1,500 lb add up to 3,000 lb here."""
    whole = judged([machine("12000 lb")], ties(*[DIRECT] * 4), wll="1500 lb")
    assert value_of(found(whole, "us-393.130-count").required) == 4
    aggregate = found(whole, "us-393.106-aggregate")
    assert value_of(aggregate.required) == 6_000
    assert value_of(aggregate.provided) == 3_000
    assert str(aggregate.verdict) == "does not meet"


def test_four_chains_of_6600_lb_hold_a_machine_of_14000_lb_and_up_to_26400_lb() -> None:
    """Printed, an enforcement officer in a machinery club's report: 7,000 lb needed, 13,200 lb
    there, up to a machine of 26,400 lb."""
    four = ties(*[DIRECT] * 4)
    whole = judged([machine("14000 lb")], four, wll="6600 lb")
    aggregate = found(whole, "us-393.106-aggregate")
    assert value_of(aggregate.required) == 7_000
    assert value_of(aggregate.provided) == 13_200
    for weighs, verdict in (("26400 lb", "meets"), ("26401 lb", "does not meet")):
        heavier = judged([machine(weighs)], four, wll="6600 lb")
        assert str(found(heavier, "us-393.106-aggregate").verdict) == verdict
        assert str(found(heavier, "us-393.130-count").verdict) == "meets"


def test_a_wheeled_machine_of_26000_lb_meets_with_200_lb_to_spare() -> None:
    """Worked out from 393.106(d)(1) and 393.130: 13,200 lb against 13,000 lb."""
    whole = judged([machine("26000 lb")], ties(*[DIRECT] * 4), wll="6600 lb")
    assert value_of(found(whole, "us-393.106-aggregate").margin) == 200


# 393.132


def test_three_stacks_between_a_front_and_a_rear_wall_need_nine_tie_downs() -> None:
    """Worked out from 393.132(c)(3)."""
    whole = under(9, wall_sides="front and rear", stacks=3)
    assert value_of(found(whole, "us-393.132-count").required) == 9


def test_four_unmarked_chains_of_three_eighths_hold_a_machine_of_up_to_10600_lb() -> None:
    """Printed, the same report: unmarked chain counts as grade 30, 2,650 lb; four direct ones add
    up to 5,300 lb, for a machine of up to 10,600 lb (49 CFR 393.108(d))."""
    gear = [chain(wll=None, size=length("3/8 in"))]
    for weighs, verdict in (("10600 lb", "meets"), ("10601 lb", "does not meet")):
        whole = assess(plan([machine(weighs)], gear, ties(*[DIRECT] * 4), rules=("us-393",)))
        aggregate = found(whole, "us-393.106-aggregate")
        assert value_of(aggregate.provided) == 5_300
        assert str(aggregate.verdict) == verdict


def test_one_and_a_half_times_the_weight_is_an_older_rule_that_is_not_reproduced() -> None:
    """Printed, a navy training manual for equipment operators: a crawler tractor of 55,000 lb,
    1.5 times its weight, 82,500 lb, eight chains of 11,000 lb. 393.106(d) asks for 27,500 lb, and
    eight such chains from the machine to the deck count 44,000 lb."""
    eight = ties(*[DIRECT] * 8)
    whole = judged([machine("55000 lb")], eight, wll="11000 lb")
    aggregate = found(whole, "us-393.106-aggregate")
    assert value_of(aggregate.required) == 27_500
    assert value_of(aggregate.provided) == 44_000
