"""README.md shows what the program prints."""

from tests.readme import (
    README,
    list_now,
    list_shown,
    plan_file_shown,
    plan_run_shown,
    run,
    trip_shown,
)


def test_the_trip_in_the_readme_is_what_the_program_prints() -> None:
    shown = trip_shown(README.read_text())
    assert run(shown) == shown, "python -m tests.readme --write writes it anew"


def test_the_plan_file_in_the_readme_is_judged_as_shown() -> None:
    text = README.read_text()
    shown = plan_run_shown(text)
    assert run(shown, pump=plan_file_shown(text)) == shown, "python -m tests.readme --write"


def test_the_list_of_commands_in_the_readme_is_the_programs_own() -> None:
    assert list_shown(README.read_text()) == list_now(), "python -m tests.readme --write"


def test_the_trip_in_the_readme_is_about_a_dozen_commands() -> None:
    commands = [
        line for line in trip_shown(README.read_text()).splitlines() if " $ triplog" in line
    ]
    assert 10 <= len(commands) <= 16
