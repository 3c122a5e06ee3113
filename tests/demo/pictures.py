"""Make the README's two pictures from the demo roster: ``python tests/demo/pictures.py``; needs Chromium."""

import io
import shutil
import sys
import tempfile
from contextlib import redirect_stdout
from datetime import date
from pathlib import Path

from playwright.sync_api import sync_playwright

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

import lab_in_browser  # noqa: E402
from desk_in_browser import DeskPage, desk  # noqa: E402

from coachlib.files.roster.folder import open_roster  # noqa: E402
from coachlib.jobs.weeks import write_weeks  # noqa: E402

DEMO = HERE.parent.parent / "athletes_demo"
PICTURES = HERE.parent.parent / ".pictures"
ATHLETE, RECORDING, WEEK = "ilva", "2026-11-21_treadmill", "2026-W47"


def main() -> None:
    """Make both in a copy of the demo, so that nothing of it changes."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as home, sync_playwright() as playwright:
        roster = Path(home) / "athletes_demo"
        shutil.copytree(DEMO, roster, ignore=shutil.ignore_patterns("reports", ".coachlib"))
        browser = playwright.chromium.launch(
            executable_path=lab_in_browser.chromium(), args=lab_in_browser.FLAGS
        )
        letter(browser, roster)
        trace(browser, roster, Path(home))
        browser.close()


def letter(browser, roster: Path) -> None:
    """The top of a letter."""
    with redirect_stdout(io.StringIO()):
        write_weeks(open_roster(roster), today=date.today(), week=WEEK, athletes=(ATHLETE,))
    page = browser.new_page(viewport={"width": 1040, "height": 900}, color_scheme="light")
    page.goto((roster / ATHLETE / "reports" / f"{WEEK}.html").as_uri())
    page.screenshot(
        path=PICTURES / "letter.png", clip={"x": 0, "y": 0, "width": 1040, "height": 1150}, full_page=True
    )
    page.close()


def trace(browser, roster: Path, home: Path) -> None:
    """The trace editor at the desk, on a test that is not decided yet."""
    with desk(roster, home) as way_in:
        page = browser.new_page(viewport={"width": 1240, "height": 1000}, color_scheme="light")
        DeskPage(page, way_in).go("recording", athlete=ATHLETE, recording=RECORDING)
        page.wait_for_timeout(2500)
        page.screenshot(path=PICTURES / "recording.png")
        page.close()


if __name__ == "__main__":
    main()
