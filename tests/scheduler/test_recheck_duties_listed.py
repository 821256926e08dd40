"""Counters, rules as data, knowing where the trip is: each thing asked, and what holds it."""

import pytest

from tests.scheduler.duties_listed import Duty, unmarked, wrong_with
from tests.scheduler.duties_of_checks import DUE_AND_CLOSED
from tests.scheduler.duties_of_counters import COUNTED
from tests.scheduler.duties_of_knowing import KNOWING_WHERE, RULES_AS_DATA


@pytest.mark.parametrize("duties", [COUNTED, DUE_AND_CLOSED, RULES_AS_DATA, KNOWING_WHERE])
def test_each_thing_asked_has_a_basis_and_tests_that_are_there(duties: tuple[Duty, ...]) -> None:
    assert wrong_with(duties) == []
    assert unmarked(duties) == []


def test_nothing_is_asked_in_two_lists() -> None:
    asked = [one.asked for one in (*COUNTED, *DUE_AND_CLOSED, *RULES_AS_DATA, *KNOWING_WHERE)]
    assert len(asked) == len(set(asked))


def test_a_test_that_is_not_there_and_a_missing_basis_are_named() -> None:
    wrong = Duty(asked="Something.", basis=" ", tests=("tests/scheduler/test_due.py::test_no",))
    assert wrong_with([wrong, wrong]) == [
        "no basis: Something.",
        "no such test: tests/scheduler/test_due.py::test_no",
        "asked twice, or nothing asked: 'Something.'",
        "no basis: Something.",
        "no such test: tests/scheduler/test_due.py::test_no",
    ]
