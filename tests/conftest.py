"""What every test has: a home of its own, a clock that stands, a journal."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, sync_playwright

from tests.builders import Journal, StandingClock, depart, new_journal
from tests.needs import missing, need

# Nothing but the page itself is asked for: no updates, no look-ups.
_QUIET = (
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"),
    *("--disable-background-networking", "--disable-component-update"),
)

# The same cases on every machine and every run: a slow or busy machine is no failure.
settings.register_profile(
    "triplog",
    database=None,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
settings.load_profile("triplog")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """The long runs are there for whoever asks for them: `-m long`."""
    if "long" in config.getoption("markexpr"):
        return
    long = [item for item in items if item.get_closest_marker("long")]
    items[:] = [item for item in items if item not in long]
    if long:
        config.hook.pytest_deselected(items=long)


@pytest.fixture(scope="session", autouse=True)
def _no_home_of_a_person(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test finds the journal of whoever runs it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TRIPLOG_HOME", str(tmp_path_factory.mktemp("home")))
        patch.setenv("TRIPLOG_HEADS", str(tmp_path_factory.mktemp("heads")))
        yield


@pytest.fixture
def clock() -> StandingClock:
    """A clock that stands until it is moved."""
    return StandingClock()


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    """A journal that has just been begun."""
    opened = new_journal(tmp_path / "triplog.sqlite3")
    yield opened
    opened.close()


@pytest.fixture
def on_the_road(journal: Journal) -> Journal:
    """A journal with one trip that has departed."""
    depart(journal)
    return journal


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """The browser, started once a file: its driver's event loop is over before the next."""
    need(["chromium"])
    with sync_playwright() as playwright:
        try:
            browser = playwright.chromium.launch(
                executable_path="/usr/bin/chromium", args=list(_QUIET)
            )
        except Exception as problem:  # the driver's errors have no common name
            missing(f"Chromium does not start here: {problem}")
        yield browser
        browser.close()
