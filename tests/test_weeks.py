"""Which weeks are written, what is refused, and what is told at the end."""

from contextlib import nullcontext
from datetime import date
from pathlib import Path

import pytest
from fitbytes import START
from rosters import DAY_S, fit_data, make_roster, put, wandering

from coachlib.errors import BadArgument, RosterProblem
from coachlib.files.roster.folder import open_roster
from coachlib.jobs import weeks
from coachlib.jobs.call_sheet import SheetMade
from coachlib.jobs.history import latest_week
from coachlib.jobs.letters import LetterMade
from coachlib.jobs.recordings import Recordings

#: Recordings lie on Saturday 3 October 2026 (W40) and days after it.
MONDAY_W42 = date(2026, 10, 12)


@pytest.fixture
def roster(tmp_path):
    folder = make_roster(tmp_path / "roster", "anna", "berta")
    for day in (0, 3, 5):
        put(folder / "anna", f"a{day}.fit", fit_data(wandering(300, seed=day), start=START + day * DAY_S))
    return folder


def add_day(roster, day, *, slug="anna"):
    put(roster / slug, f"d{day}.fit", fit_data(wandering(300, seed=99), start=START + day * DAY_S))


@pytest.fixture
def asked(monkeypatch):
    """Letters are not made; what would be is kept.  Berta has no note, and her test is not decided."""
    made = []

    def make_letter(folder, own, week, *, runner, again, is_past, today):
        made.append((own.slug, week, is_past))
        is_berta = own.slug == "berta"
        return LetterMade(
            slug=own.slug, athlete=own.slug.title(), n_sessions=2, path=own.reports_dir / f"{week}.html",
            remarks="", for_coach={"has_note": not is_berta, "undecided": []},
        )  # fmt: skip

    def make_call_sheet(folder, week, *, runner, again):
        made.append(("sheet", week, None))
        return SheetMade(
            path=folder.reports_dir / f"{week}.html", strongest={"berta": "look at: x", "anna": ""}
        )

    monkeypatch.setattr(weeks, "make_letter", make_letter)
    monkeypatch.setattr(weeks, "make_call_sheet", make_call_sheet)
    monkeypatch.setattr(weeks, "BookRunner", nullcontext)
    return made


def written(roster, capsys, *, today=MONDAY_W42, **options):
    status = weeks.write_weeks(open_roster(roster), today=today, **options)
    return status, capsys.readouterr().out


def default_week(roster, today):
    return latest_week(open_roster(roster), today=today)


@pytest.mark.parametrize(
    ("today", "week"),
    [
        (date(2026, 10, 12), "2026-W41"),  # a Monday morning
        (date(2026, 10, 11), "2026-W40"),  # the Sunday before: W41 is not over
        (date(2026, 10, 18), "2026-W41"),
        (date(2027, 3, 1), "2026-W41"),  # nothing was recorded since
        (date(2026, 10, 4), "2026-W40"),  # nothing is over yet: the present one
    ],
)
def test_the_last_week_that_is_over_is_meant(roster, today, week):
    assert default_week(roster, today) == week


def test_a_run_on_monday_morning_does_not_change_the_week(roster):
    add_day(roster, 9)
    assert default_week(roster, date(2026, 10, 12)) == "2026-W41"


def test_weeks_that_begin_on_sunday(roster):
    with (roster / "roster.toml").open("a") as settings:
        settings.write('week_starts = "sunday"\n')
    assert default_week(roster, date(2026, 10, 10)) == "2026-W40"
    assert default_week(roster, date(2026, 10, 11)) == "2026-W41"


@pytest.mark.parametrize("days", [3000, -9900])
def test_a_date_that_cannot_be_moves_nobodys_monday_and_is_named(roster, days):
    add_day(roster, days, slug="berta")
    assert default_week(roster, MONDAY_W42) == "2026-W41"
    folder = open_roster(roster)
    recordings = Recordings(folder=folder, own=folder.athlete("berta"), today=MONDAY_W42)
    assert list(recordings.open()) == []
    assert list(recordings.unreadable) == [f"d{days}"]
    assert "it counts for no week" in recordings.unreadable[f"d{days}"].sentence


def test_one_week_is_told_with_what_to_open_and_to_do(roster, asked, capsys):
    status, out = written(roster, capsys)
    assert status == 0
    assert asked == [("anna", "2026-W41", False), ("berta", "2026-W41", False), ("sheet", "2026-W41", None)]
    note = roster.resolve() / "berta" / "notes" / "2026-W41.md"
    assert out.splitlines() == [
        "Letters for 2026-W41",
        "athlete       sessions  report                       anything wrong",
        "Berta         2         berta/reports/2026-W41.html  look at: x",
        "Anna          2         anna/reports/2026-W41.html   nothing",
        "(call sheet)            reports/2026-W41.html        nothing",
        "",
        f"Open {roster.resolve() / 'reports' / '2026-W41.html'} first: who needs you, and why.",
        f"Next: your own words for Berta go into {note}; then the same command again.",
    ]


def test_one_athlete_is_told_to_open_the_letter(roster, asked, capsys):
    _, out = written(roster, capsys, athletes=("anna",))
    assert out.splitlines()[-2:] == [
        f"Open {roster.resolve() / 'anna' / 'reports' / '2026-W41.html'}",
        "Next: read each letter, and send it the way you and the athlete agreed.",
    ]


def test_several_weeks_are_one_table(roster, asked, capsys):
    status, out = written(roster, capsys, first="2026-W40", last="2026-W42")
    assert status == 0
    assert [a[1] for a in asked if a[0] == "anna"] == ["2026-W40", "2026-W41", "2026-W42"]
    assert [a[2] for a in asked if a[0] == "anna"] == [True, False, False]
    lines = out.splitlines()
    assert lines[:2] == [
        "Letters for 2026-W40 to 2026-W42",
        "week      athlete       sessions  report                       anything wrong",
    ]
    assert sum(line.startswith("2026-W") for line in lines) == 9
    assert "Week 2026-W42 is unfinished: it lasts until 18 October 2026." in lines


def test_without_a_last_week_they_go_to_the_usual_one(roster, asked, capsys):
    written(roster, capsys, first="2026-W39", athletes=("anna",))
    assert [a[1] for a in asked] == ["2026-W39", "2026-W40", "2026-W41"]


def test_weeks_across_the_turn_of_a_year_of_53_weeks(roster, asked, capsys):
    written(roster, capsys, today=date(2027, 2, 1), first="2026-W52", last="2027-W01", athletes=("anna",))
    assert [a[1] for a in asked] == ["2026-W52", "2026-W53", "2027-W01"]


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (
            {"week": "2026-W43"},
            "week 2026-W43 begins on 19 October 2026 and has not begun; today is 12 October 2026",
        ),
        ({"first": "2026-W40", "last": "2026-W43"}, "has not begun"),
        (
            {"first": "2026-W42", "last": "2026-W40"},
            "the last week, 2026-W40, lies before the first, 2026-W42",
        ),
        ({"last": "2026-W40"}, "several weeks need a first one and a last one"),
        ({"first": "1990-W01", "last": "2026-W40"}, "at most 530 are written at once"),
    ],
)
def test_weeks_that_cannot_be_meant_are_refused(roster, asked, capsys, options, told):
    with pytest.raises(BadArgument, match=told):
        written(roster, capsys, **options)
    assert asked == []


def test_the_present_week_is_written_and_said_to_be_unfinished(roster, asked, capsys):
    _, out = written(roster, capsys, week="2026-W42")
    assert "Week 2026-W42 is unfinished: it lasts until 18 October 2026." in out


def test_an_old_week_by_default_is_said(roster, asked, capsys):
    _, out = written(roster, capsys, today=date(2026, 11, 2))
    assert "2026-W41 is the latest week with a recording; name a later one with --week." in out


def test_a_failure_leads_to_the_check(roster, asked, capsys, monkeypatch):
    def fails(folder, own, week, **options):
        raise RosterProblem("athlete.toml cannot be read")

    monkeypatch.setattr(weeks, "make_letter", fails)
    status, out = written(roster, capsys)
    assert status == 1
    assert out.splitlines()[-1].startswith("Next: coachlib check ")
    assert out.count("athlete.toml cannot be read") == 2


def test_an_undecided_test_comes_first(roster, asked, capsys, monkeypatch):
    def undecided(folder, own, week, **options):
        return LetterMade(
            slug=own.slug, athlete="Anna", n_sessions=1, path=Path("x.html"), remarks="",
            for_coach={"has_note": False, "undecided": ["2026-10-05_treadmill"]},
        )  # fmt: skip

    monkeypatch.setattr(weeks, "make_letter", undecided)
    monkeypatch.setattr(weeks, "_in_roster", lambda path, root: str(path))
    _, out = written(roster, capsys, athletes=("anna",))
    assert out.splitlines()[-1] == f"Next: decide the test of Anna: coachlib open {roster.resolve()}"


def test_nobody_and_nothing_lead_further(tmp_path, capsys):
    with pytest.raises(RosterProblem, match="add one with: coachlib new"):
        written(make_roster(tmp_path / "empty"), capsys)
    with pytest.raises(RosterProblem, match="no readable recording yet; file some away with `coachlib add"):
        written(make_roster(tmp_path / "one", "anna"), capsys)
