"""Workbooks laid out for JupyterLab inside a roster."""

import json

import nbformat
import pytest
from panel_roster import write_roster

from coachlib.files.roster.folder import open_roster
from coachlib.panels.desk.lab import HOW_TO_RUN, lay_out_workbooks, set_copy_to
from coachlib.report.workbooks.books import workbooks_folder


@pytest.fixture
def roster(tmp_path):
    write_roster(tmp_path, seconds=60)
    return open_roster(tmp_path)


def sources(path):
    return [cell.source for cell in nbformat.read(path, as_version=4).cells]


def test_the_copies_know_their_roster(roster):
    books = lay_out_workbooks(roster)
    assert books == roster.path / ".coachlib" / "workbooks"
    assert {b.name for b in books.glob("*.ipynb")} == {b.name for b in workbooks_folder().glob("*.ipynb")}
    opening, how, parameters = sources(books / "recording.ipynb")[:3]
    assert opening.startswith("# One recording")
    assert how == HOW_TO_RUN
    assert "roster = '../..'" in parameters
    assert (books / "../..").resolve() == roster.path


def test_a_workbook_that_the_coach_changed_is_kept_beside_the_fresh_one(roster):
    book = lay_out_workbooks(roster) / "recording.ipynb"
    fresh = sources(book)
    changed = nbformat.read(book, as_version=4)
    changed.cells[0].source = "# Mine"
    nbformat.write(changed, book)
    lay_out_workbooks(roster)
    assert sources(book) == fresh
    assert sources(book.with_name("recording (changed).ipynb"))[0] == "# Mine"


def test_a_workbook_that_was_only_run_or_set_to_an_athlete_stays_as_it_is(roster):
    book = lay_out_workbooks(roster) / "recording.ipynb"
    run = nbformat.read(book, as_version=4)
    run.cells[2].execution_count = 7
    run.cells[2].source = run.cells[2].source.replace("athlete = None", 'athlete = "mira"')
    nbformat.write(run, book)
    lay_out_workbooks(roster)
    assert nbformat.read(book, as_version=4).cells[2].execution_count == 7
    assert 'athlete = "mira"' in sources(book)[2]
    assert not book.with_name("recording (changed).ipynb").exists()


def test_the_lab_asks_the_network_for_no_news(roster):
    lay_out_workbooks(roster)
    settings = json.loads((roster.path / ".coachlib" / "lab" / "overrides.json").read_text(encoding="utf-8"))
    news = settings["@jupyterlab/apputils-extension:notification"]
    assert news == {"checkForUpdates": False, "fetchNews": "false"}


def test_a_copy_is_set_to_a_subject_and_to_nothing_its_workbook_does_not_take(roster):
    subject = {"athlete": "m'ira\\n", "recording": "2026-10-03_treadmill", "week": "2026-W40"}
    copy = set_copy_to(roster, "recording", subject)
    parameters = {}
    exec(sources(copy)[2], parameters)
    assert (parameters["athlete"], parameters["recording"]) == (subject["athlete"], subject["recording"])
    assert "week" not in parameters
    assert parameters["roster"] == "../.."
