"""Counters, rules as data, knowing where you are: each thing asked, and the tests that hold it."""

from tests.scheduler.duties_listed import Duty, wrong_with

LAW = "49 CFR 392.9(b)(2)"
COUNTERS = (
    Duty(
        asked="The first check counts the distance since departure and is due at 50.0 mi.",
        basis=LAW,
        tests=(
            "tests/scheduler/test_49_cfr_392_9.py"
            "::test_the_first_check_is_due_at_50_0_miles_and_late_beyond",
        ),
    ),
)


def test_each_thing_asked_has_a_basis_and_tests_that_are_there() -> None:
    assert wrong_with(COUNTERS) == []


def test_a_test_that_is_not_there_and_a_missing_basis_are_named() -> None:
    wrong = Duty(asked="Something.", basis=" ", tests=("tests/scheduler/test_due.py::test_no",))
    assert wrong_with([wrong]) == [
        "no basis: Something.",
        "no such test: tests/scheduler/test_due.py::test_no",
    ]
