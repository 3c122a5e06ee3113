"""What tests of several rooms share: a browser for the pages that people see."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

import lab_in_browser
import pytest


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
