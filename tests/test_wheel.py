"""The built wheel carries the workbooks and the letter's template, and works outside a checkout."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from report.sample import write_book

from coachlib.commands.help import TOPICS

ROOT = Path(__file__).parent.parent

OUTSIDE = """
import sys
from pathlib import Path
import coachlib
from coachlib.report.workbooks.books import workbooks_folder
from coachlib.report.page.gate import check_page
from coachlib.report.page.page import blocks_of, render
from coachlib.report.workbooks.runner import BookRunner

site, book = Path(sys.argv[1]), Path(sys.argv[2])
assert Path(coachlib.__file__).is_relative_to(site), coachlib.__file__
assert workbooks_folder() == site / "coachlib" / "workbooks", workbooks_folder()
with BookRunner() as runner:
    done = runner.run(book, {"name": "Ada"})
page = render(blocks_of(done), title="Ada")
check_page(page)
assert "prefers-color-scheme" in page
print(len(page))
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    """The wheel of this checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(ROOT)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return next(folder.glob("*.whl"))


def test_the_wheel_holds_workbooks_template_and_licence(wheel):
    held = set(zipfile.ZipFile(wheel).namelist())
    books = {f"coachlib/workbooks/{path.name}" for path in (ROOT / "workbooks").glob("*.ipynb")}
    template = {"coachlib/report/page/page.html.j2", "coachlib/report/look/letter.css"}
    assert books <= held
    assert template <= held
    topics = {
        f"coachlib/commands/topics/{path.name}" for path in (ROOT / "coachlib/commands/topics").iterdir()
    }
    assert topics <= held
    assert len(topics) == len(TOPICS)
    assert "coachlib/py.typed" in held
    assert any(name.endswith("licenses/LICENSE") for name in held)
    assert not [name for name in held if name.startswith(("tests", "athletes_demo")) or "__pycache__" in name]


def test_the_installed_wheel_makes_a_letter_from_any_folder(wheel, tmp_path):
    site = tmp_path / "site"
    command = [sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--target", str(site), str(wheel)]
    subprocess.run([*command, "--disable-pip-version-check"], check=True)
    book = write_book(tmp_path / "book.ipynb")
    done = subprocess.run(
        [sys.executable, "-c", OUTSIDE, str(site), str(book)],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(site)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert int(done.stdout) > 10_000
