"""What tests of several rooms share: a browser for the pages that people see."""

import shutil
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import lab_in_browser
import pytest

DEMO = Path(__file__).parents[1] / "athletes_demo"
_MADE = shutil.ignore_patterns("reports", ".coachlib")


@pytest.fixture(scope="session")
def judged_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo with all its recordings decoded and judged, once for all tests; they work on copies."""
    from coachlib.files.roster.folder import open_roster
    from coachlib.jobs.recordings import Recordings

    folder = Path(shutil.copytree(DEMO, tmp_path_factory.mktemp("judged") / "roster", ignore=_MADE))
    roster = open_roster(folder)
    for slug in roster.athletes():
        list(Recordings(folder=roster, own=roster.athlete(slug)).judged_until(date.max))
    return folder


@pytest.fixture(scope="session")
def demo_copy(judged_demo: Path) -> Callable[[Path], Path]:
    """Makes a copy of the demo in a folder that is not there yet; nothing of it has to be judged again."""
    return lambda folder: Path(shutil.copytree(judged_demo, folder))


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One browser for all tests of a file; skipped, saying so, where there is none."""
    playwright = pytest.importorskip("playwright.sync_api", reason="the browser tests need playwright")
    if lab_in_browser.chromium() is None:
        pytest.skip("the browser tests need Chromium; none was found")
    with playwright.sync_playwright() as play:
        browser = play.chromium.launch(executable_path=lab_in_browser.chromium(), args=lab_in_browser.FLAGS)
        yield browser
        browser.close()


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Say what was not looked at, and why: each reason with its number of tests."""
    skipped = terminalreporter.stats.get("skipped", [])
    reasons = Counter(_reason(report) for report in skipped)
    if reasons:
        terminalreporter.section("not looked at, and why")
        for reason, n in sorted(reasons.items()):
            terminalreporter.write_line(f"{n:4d}  {reason}")


def _reason(report: Any) -> str:
    """Why a test was skipped, so that tests skipped for one reason count together."""
    said = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
    return said.removeprefix("Skipped: ")
