"""What the tests of the report share: one runner, and the sample letter made with it."""

from collections.abc import Iterator

import pytest
from report.sample import LONG_NOTE, write_book

from coachlib.report.page.page import blocks_of, render
from coachlib.report.workbooks.runner import BookRunner


@pytest.fixture(scope="session")
def runner() -> Iterator[BookRunner]:
    """One warm runner for all tests that do not break it."""
    with BookRunner(cell_limit_s=60) as runner:
        yield runner


@pytest.fixture(scope="session")
def letter(runner: BookRunner, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The sample letter's page."""
    book = write_book(tmp_path_factory.mktemp("books") / "sample.ipynb")
    return render(
        blocks_of(runner.run(book, {"note": LONG_NOTE})), title="Ada Example, 16 to 22 November 2026"
    )
