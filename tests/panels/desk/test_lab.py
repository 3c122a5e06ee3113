"""Workbooks laid out for a roster, and the command that starts JupyterLab on them."""

import json

import nbformat
import pytest
from panel_roster import write_roster

from coachlib.files.roster.folder import open_roster
from coachlib.panels.desk.lab import lab_command, lay_out_workbooks, workbooks_folder


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
    parameters = sources(books / "recording.ipynb")[1]
    assert 'roster = "../.."' in parameters
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
    run.cells[1].execution_count = 7
    run.cells[1].source = run.cells[1].source.replace("athlete = None", 'athlete = "mira"')
    nbformat.write(run, book)
    lay_out_workbooks(roster)
    assert nbformat.read(book, as_version=4).cells[1].execution_count == 7
    assert 'athlete = "mira"' in sources(book)[1]
    assert not book.with_name("recording (changed).ipynb").exists()


def test_the_lab_is_local_and_asks_the_network_for_nothing(roster):
    books = lay_out_workbooks(roster)
    command = lab_command(books, browser=False)
    assert "--ServerApp.ip=127.0.0.1" in command
    assert "--no-browser" in command
    assert "--no-browser" not in lab_command(books, browser=True)
    settings = json.loads((roster.path / ".coachlib" / "lab" / "overrides.json").read_text(encoding="utf-8"))
    news = settings["@jupyterlab/apputils-extension:notification"]
    assert news == {"checkForUpdates": False, "fetchNews": "false"}
