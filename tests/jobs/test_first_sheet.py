"""The sheet for the first test is made along with the letter, for whom a test may be asked."""

from datetime import date

import pytest
from fitbytes import START
from rosters import DAY_S, fit_data, make_roster, put, wandering

from coachlib.analysis.roster.one_thing import one_thing
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.history import week_of_athlete
from coachlib.jobs.sheets import against_test, save_protocol_sheet
from coachlib.jobs.weeks import write_weeks


@pytest.fixture
def roster(tmp_path):
    made = make_roster(tmp_path / "roster", "mira")
    put(made / "mira", "2026-10-03_treadmill.fit", fit_data(wandering(5400, seed=3), start=START))
    return made


def sheet_of(roster):
    folder = open_roster(roster)
    own, monday = folder.athlete("mira"), date(2026, 10, 5)
    if not one_thing(week_of_athlete(folder, own, "2026-W40")).is_test:
        return None
    against = against_test(folder, own, monday)
    return save_protocol_sheet(folder, own, against=against, today=monday).read_text(encoding="utf-8")


def test_it_asks_for_the_treadmill_where_one_was_run_on(roster):
    page = sheet_of(roster)
    assert "Do it on the treadmill, at one incline." in page
    assert "Why this one: " in page
    assert "60 minutes more at exactly this belt speed" in page


def test_the_end_of_a_week_says_where_it_lies(roster, capsys):
    write_weeks(open_roster(roster), today=date(2026, 10, 6))
    sheet = roster.resolve() / "mira" / "reports" / "next_test.html"
    assert f"Made along, how to do the next test: {sheet}" in capsys.readouterr().out
    assert sheet.is_file()
    write_weeks(open_roster(roster), today=date(2026, 10, 6))
    assert f"how to do the next test: {sheet}" in capsys.readouterr().out


def test_a_shorter_one_is_asked_of_whom_trains_shorter(tmp_path):
    made = make_roster(tmp_path / "short", "mira")
    for n in range(3):
        data = fit_data(wandering(2400, seed=n), start=START - n * DAY_S)
        put(made / "mira", f"2026-10-0{3 - n}_treadmill.fit", data)
    page = sheet_of(made)
    assert "A shorter steady test" in page
    assert "30 minutes more at exactly this" in page


@pytest.mark.parametrize(
    "profile",
    [
        '[[threshold]]\nwhich = "first"\non = 2026-10-01\nhr_bpm = 150\n',
        "heart_rate_medicine = true\n",
        "birth_year = 2012\n",
    ],
)
def test_none_is_made_where_none_is_asked(roster, profile):
    with (roster / "mira" / "athlete.toml").open("a") as file:
        file.write(profile)
    assert sheet_of(roster) is None


def test_a_day_of_pain_asks_for_none(roster):
    (roster / "mira" / "diary.csv").write_text("date,health\n2026-10-03,pain\n")
    assert sheet_of(roster) is None
