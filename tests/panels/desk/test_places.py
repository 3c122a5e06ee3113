"""Addresses of the desk: what they may say, and what they lead to."""

import string
from datetime import date
from pathlib import Path

import desk_in_browser
import pytest
from hypothesis import given
from hypothesis import strategies as st
from panel_roster import write_roster

from coachlib.errors import CoachError
from coachlib.files.roster.folder import open_roster
from coachlib.panels.desk.books import book_for
from coachlib.panels.desk.handlers import made_page
from coachlib.panels.desk.subjects import checked, newest_week
from coachlib.report.page.places import PLACES, page_address, subject_of

#: What a folder or file may be called, in any script.
NAMES = st.text(
    st.characters(exclude_categories=("C", "Z"), exclude_characters="/\\"), min_size=1, max_size=80
).filter(lambda name: not name.startswith("."))


@given(athlete=NAMES, recording=NAMES)
def test_what_an_address_is_made_of_is_read_from_it(athlete, recording):
    address = page_address("recording", athlete=athlete, recording=recording, week="2026-W47")
    assert set(address) <= set(string.ascii_letters + string.digits + "/?&=-._~%")
    assert subject_of(address.partition("?")[2]) == {
        "athlete": athlete,
        "recording": recording,
        "week": "2026-W47",
    }


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ("roster=%2Fetc", "says “roster”"),
        ("interactive=False", "says “interactive”"),
        ("athlete=a&athlete=b", "twice"),
        ("athlete=", "no name of a folder"),
        ("athlete=..%2F..%2Fetc", "no name of a folder"),
        ("athlete=.coachlib", "no name of a folder"),
        ("athlete=a%5Cb", "no name of a folder"),
        ("recording=x%00y", "no name of a folder"),
        (f"recording={'x' * 300}", "no name of a folder"),
        ("week=2026-W99", "a week is named"),
        ("week=next", "no name of a folder|a week is named"),
    ],
)
def test_anything_else_is_refused_in_words(query, told):
    with pytest.raises(CoachError, match=told):
        subject_of(query)


@given(st.text(max_size=200))
def test_no_address_does_anything_but_be_read_or_refused(query):
    try:
        found = subject_of(query)
    except CoachError:
        return
    assert set(found) <= {"athlete", "recording", "week"}


@pytest.fixture
def roster(tmp_path):
    write_roster(tmp_path, seconds=60)
    return open_roster(tmp_path)


def test_who_and_what_is_not_on_the_roster_is_refused(roster):
    assert checked(roster, {"athlete": "Mira"}) == {"athlete": "mira"}
    with pytest.raises(CoachError, match="no athlete is called"):
        checked(roster, {"athlete": "nobody"})
    with pytest.raises(CoachError, match="mira has no recording “2026-01-01_run”"):
        checked(roster, {"athlete": "mira", "recording": "2026-01-01_run"})
    with pytest.raises(CoachError, match="a recording but no athlete"):
        checked(roster, {"recording": "2026-10-03_treadmill"})


def test_the_desk_opens_on_the_last_complete_week_with_recordings(roster):
    recordings = roster.path / "mira" / "recordings"
    assert newest_week(roster, date(2026, 10, 5)) == "2026-W40"
    assert newest_week(roster, date(2027, 8, 1)) == "2026-W40"
    assert newest_week(roster, date(2026, 10, 3)) is None, "the week is not over"
    (recordings / "2126-10-03_run.fit").write_bytes(b"")
    (recordings / "morning run.fit").write_bytes(b"")
    assert newest_week(roster, date(2026, 10, 5)) == "2026-W40", "a wrong clock moves nothing"


def test_the_browser_tests_know_every_place():
    assert set(desk_in_browser.DRAWN) == set(PLACES)


@pytest.mark.parametrize("key", PLACES)
def test_every_place_has_a_workbook_that_takes_its_subject(key, roster):
    subject = {"athlete": "mira", "week": "2026-W40", "recording": "2026-10-03_treadmill"}
    book = book_for(PLACES[key].book, roster=str(roster.path), subject=subject)
    [injected] = [cell for cell in book.cells if "injected-parameters" in cell.metadata.get("tags", [])]
    values = {}
    exec(injected.source, values)
    assert values["roster"] == str(roster.path)
    assert key == "roster" or values["athlete"] == "mira"


def test_only_pages_that_were_made_are_shown(roster, tmp_path_factory):
    reports = roster.path / "mira" / "reports"
    reports.mkdir()
    page = reports / "2026-W40.html"
    page.write_text("<p>A week</p>")
    (reports / "2026-W40.json").write_text("{}")
    outside = tmp_path_factory.mktemp("outside") / "secret.html"
    outside.write_text("secret")
    (reports / "linked.html").symlink_to(outside)
    (roster.path / "mira" / "x.html").write_text("not made")
    assert made_page(roster, "mira", "2026-W40.html") == page.resolve()
    for athlete, name in [
        ("mira", "2026-W40.json"),
        ("mira", "linked.html"),
        ("mira", "../x.html"),
        ("mira", "none.html"),
        ("mira", "\x00.html"),
        ("..", "2026-W40.html"),
        (".", "2026-W40.html"),
        ("nobody", "2026-W40.html"),
        (None, "2026-W40.html"),
    ]:
        assert made_page(roster, athlete, name) is None, (athlete, name)


def test_a_reports_folder_that_leads_out_of_the_roster_shows_nothing(roster, tmp_path_factory):
    outside: Path = tmp_path_factory.mktemp("elsewhere")
    (outside / "2026-W40.html").write_text("not of this roster")
    (roster.path / "mira" / "reports").symlink_to(outside, target_is_directory=True)
    assert made_page(roster, "mira", "2026-W40.html") is None
