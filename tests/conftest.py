"""What tests of several rooms share: a browser for the pages that people see."""

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
