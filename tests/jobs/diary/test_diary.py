"""The week sheet goes out and comes back: filled cells arrive, nothing is lost, nobody gets another's."""

import csv
import io
from datetime import date

import pandas as pd
import pytest
from rosters import make_roster

from coachlib.errors import FileProblem, ReportProblem, RosterProblem
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.diary.taking import take_sheet, write_sheet

TODAY = date(2026, 12, 1)
WEEK = "2026-W49"
DIARY = (
    "date,start,planned,planned_min,target,rpe,remarks\n"
    "2026-11-20,,easy 45,45,easy,3,last week\n"
    "2026-12-01,07:00,easy 50,50,easy,,\n"
    "2026-12-01,18:00,4 x 4 min,60,short hard,,\n"
    "2026-12-03,,,,rest,,\n"
    "2026-12-05,,long 90,90,long,4,already written\n"
)


@pytest.fixture
def folder(tmp_path):
    folder = make_roster(tmp_path / "roster", "mira", "berta")
    (folder / "mira" / "diary.csv").write_text(DIARY)
    return folder


def sheet(folder, slug="mira", **options):
    roster = open_roster(folder)
    return write_sheet(roster, roster.athlete(slug), today=TODAY, out=io.StringIO(), **options)


def taken(folder, path, slug="mira", **options):
    told = io.StringIO()
    roster = open_roster(folder)
    status = take_sheet(roster, roster.athlete(slug), path, out=told, **options)
    return status, told.getvalue()


def rows_of(path):
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def fill_in(path, to, fields, *, delimiter=",", encoding="utf-8", change=None):
    """A sheet as a spreadsheet saves it after some cells were typed: ``fields`` by row number."""
    rows = rows_of(path)
    for at, cells in fields.items():
        rows[at].update(cells)
    for row in rows if change else ():
        change(row)
    with to.open("w", encoding=encoding, newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), delimiter=delimiter)
        writer.writeheader()
        writer.writerows(rows)
    return to


def diary(folder, slug="mira"):
    return open_roster(folder).athlete(slug).read_diary()


def test_the_sheet_says_whose_it_is_and_has_every_day_of_the_week(folder):
    rows = rows_of(sheet(folder))
    assert {(r["athlete"], r["week"]) for r in rows} == {("mira", WEEK)}
    assert sorted({r["date"] for r in rows}) == [
        f"2026-{d}" for d in ("11-30", *(f"12-0{n}" for n in range(1, 7)))
    ]
    assert [r["day"] for r in rows][:3] == ["Monday", "Tuesday", "Tuesday"]
    assert rows[2]["planned"] == "4 x 4 min"
    assert "last week" not in str(rows)


def test_what_was_filled_in_arrives_and_all_else_stays(folder, tmp_path):
    back = fill_in(sheet(folder), tmp_path / "a.csv", {
        1: {"rpe": "3", "talk": "comfortable", "remarks": "fine, cold"},
        2: {"rpe": "8", "done_min": "62"},
        0: {"done_min": "30", "remarks": "swam"},
    })  # fmt: skip
    status, told = taken(folder, back)
    assert status == 0
    assert "1 Dec, rpe: 3" in told
    assert "30 Nov, remarks: swam (a new row)" in told
    text = (folder / "mira" / "diary.csv").read_text()
    assert text.startswith("date,start,planned,planned_min,target,rpe,remarks")
    assert "2026-11-20,,easy 45,45,easy,3,last week" in text
    found = {(r.on.day, r.start.hour if r.start else None): r for r in diary(folder).rows}
    assert (found[1, 7].rpe, found[1, 7].remarks) == (3.0, "fine, cold")
    assert (found[1, 18].rpe, found[1, 18].done_min) == (8.0, 62.0)
    assert found[30, None].done_min == 30.0
    assert diary(folder).problems == ()


def test_the_same_sheet_again_changes_nothing(folder, tmp_path):
    back = fill_in(sheet(folder), tmp_path / "a.csv", {1: {"rpe": "3"}, 0: {"done_min": "30"}})
    taken(folder, back)
    before = (folder / "mira" / "diary.csv").read_bytes()
    status, told = taken(folder, back)
    assert (status, told) == (0, "No cells filled in in the diary of mira.\n")
    assert (folder / "mira" / "diary.csv").read_bytes() == before


def test_a_spreadsheet_of_another_country_is_understood(folder, tmp_path):
    """Semicolons, decimal commas, days before months, an old code page."""
    german = lambda row: row.update(date="{2}.{1}.{0}".format(*row["date"].split("-")))  # noqa: E731
    back = fill_in(
        sheet(folder), tmp_path / "a.csv", {1: {"rpe": "3,5", "sleep_h": "7,25", "remarks": "kühl; schön"}},
        delimiter=";", encoding="cp1252", change=german,
    )  # fmt: skip
    status, _ = taken(folder, back)
    assert status == 0
    (row,) = (r for r in diary(folder).rows if r.rpe == 3.5)
    assert (row.on, row.sleep_h, row.remarks) == (date(2026, 12, 1), 7.25, "kühl; schön")


def test_months_before_days_are_told_by_the_week(folder, tmp_path):
    american = lambda row: row.update(date="{1}/{2}/{0}".format(*row["date"].split("-")))  # noqa: E731
    back = fill_in(sheet(folder), tmp_path / "a.csv", {1: {"rpe": "3"}}, change=american)
    assert taken(folder, back)[0] == 0
    assert [r.on for r in diary(folder).rows if r.rpe == 3.0] == [date(2026, 11, 20), date(2026, 12, 1)]


def test_what_the_diary_says_otherwise_stays_and_is_told(folder, tmp_path):
    back = fill_in(sheet(folder), tmp_path / "a.csv", {6: {"rpe": "6", "health": "tired"}})
    status, told = taken(folder, back)
    assert status == 1
    assert "5 Dec, rpe: diary “4”, sheet “6”" in told
    assert "5 Dec, health: tired" in told
    (row,) = (r for r in diary(folder).rows if r.on.day == 5)
    assert (row.rpe, row.health, row.remarks) == (4.0, "tired", "already written")
    assert taken(folder, back, take=True)[0] == 0
    (row,) = (r for r in diary(folder).rows if r.on.day == 5)
    assert row.rpe == 6.0


def test_a_cell_that_was_emptied_takes_nothing_away(folder, tmp_path):
    back = fill_in(
        sheet(folder), tmp_path / "a.csv", {6: {"rpe": "", "remarks": "", "planned": "", "sleep_h": "8"}}
    )
    assert taken(folder, back)[0] == 0
    (row,) = (r for r in diary(folder).rows if r.on.day == 5)
    assert (row.rpe, row.remarks, row.planned, row.sleep_h) == (4.0, "already written", "long 90", 8.0)


def test_showing_writes_nothing(folder, tmp_path):
    back = fill_in(sheet(folder), tmp_path / "a.csv", {1: {"rpe": "3"}})
    _, told = taken(folder, back, show=True)
    assert "One cell would be filled in" in told
    assert (folder / "mira" / "diary.csv").read_text() == DIARY


def test_another_athletes_sheet_is_refused_whole(folder, tmp_path):
    back = fill_in(sheet(folder), tmp_path / "a.csv", {1: {"rpe": "3"}})
    with pytest.raises(
        RosterProblem, match='this row is of "mira", and berta\'s diary was asked for; nothing was'
    ):
        taken(folder, back, slug="berta")
    rows = rows_of(back)
    rows[2].update(athlete="berta", rpe="5")
    pd.DataFrame(rows).to_csv(back, index=False)
    with pytest.raises(RosterProblem, match='line 4: this row is of "berta"'):
        taken(folder, back)
    assert (folder / "mira" / "diary.csv").read_text() == DIARY
    assert not (folder / "berta" / "diary.csv").exists()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("date,rpe\n2026-12-01,3\n", "is no week sheet: it has no column `athlete` and no column `week`"),
        ("athlete,week,date,rpe\n,2026-W49,2026-12-01,3\n", "this row is of nobody"),
        (
            "athlete,week,date,rpe\nmira,2026-W49,2026-12-01,3\nmira,2026-W50,2026-12-08,3\n",
            "is of several weeks",
        ),
        ("athlete,week,date,rpe\nmira,49,2026-12-01,3\n", "a week is named by ISO year and number"),
    ],
)
def test_what_is_no_sheet_is_refused(folder, tmp_path, text, told):
    (tmp_path / "a.csv").write_text(text)
    with pytest.raises(RosterProblem, match=told):
        taken(folder, tmp_path / "a.csv")


def test_a_file_that_is_not_there_is_told(folder, tmp_path):
    with pytest.raises(FileProblem, match=r"nowhere.csv is not there; name the sheet that came back"):
        taken(folder, tmp_path / "nowhere.csv")


def test_a_row_that_cannot_be_is_told_and_stops_no_other(folder, tmp_path):
    back = fill_in(sheet(folder), tmp_path / "a.csv", {
        1: {"rpe": "12"}, 2: {"rpe": "8"}, 3: {"rpe": "2", "date": "2026-12-20"},
    })  # fmt: skip
    status, told = taken(folder, back)
    assert status == 1
    assert (
        'line 3: column `rpe` is "12"; allowed: a number from 0 to 10 (CR-10); this row was not taken' in told
    )
    assert "2026-12-20 is no day of week 2026-W49" in told
    assert [r.rpe for r in diary(folder).rows] == [3.0, None, 8.0, None, 4.0]


def test_two_rows_that_fit_are_not_guessed_at(folder, tmp_path):
    (tmp_path / "a.csv").write_text("athlete,week,date,rpe\nMira Example,2026-W49,2026-12-01,3\n")
    status, told = taken(folder, tmp_path / "a.csv")
    assert status == 1
    assert "was not taken: the diary has several rows of that day" in told
    assert (folder / "mira" / "diary.csv").read_text() == DIARY


def test_no_formula_travels_either_way(folder, tmp_path):
    (folder / "mira" / "diary.csv").write_text("date,planned\n2026-12-01,=1+1\n")
    path = sheet(folder)
    assert rows_of(path)[1]["planned"] == "'=1+1"
    back = fill_in(path, tmp_path / "a.csv", {1: {"remarks": "=HYPERLINK(1)"}})
    taken(folder, back)
    assert ",'=HYPERLINK(1)" in (folder / "mira" / "diary.csv").read_text()
    assert diary(folder).rows[0].remarks == "=HYPERLINK(1)"
    assert taken(folder, back)[1].startswith("No cells filled in")


def test_a_sheet_with_another_athletes_name_stays_inside(folder):
    (folder / "mira" / "diary.csv").write_text("date,planned\n2026-12-01,easy with Berta\n")
    with pytest.raises(ReportProblem, match="holds the name of another athlete"):
        sheet(folder)
    assert not (folder / "mira" / "reports" / f"{WEEK}_diary.csv").exists()


def test_an_athlete_in_miles_writes_degrees_fahrenheit(folder, tmp_path):
    profile = folder / "mira" / "athlete.toml"
    profile.write_text(profile.read_text() + 'units = "imperial"\n')
    (folder / "mira" / "diary.csv").write_text("date,temperature_c\n2026-11-30,10\n2026-12-01,\n")
    path = sheet(folder)
    assert [r["temperature_f"] for r in rows_of(path)][:2] == ["50", ""]
    taken(folder, fill_in(path, tmp_path / "a.csv", {1: {"temperature_f": "68"}}))
    assert [r.temperature_c for r in diary(folder).rows] == [10.0, 20.0]


def test_an_empty_diary_gets_its_first_rows(folder, tmp_path):
    back = fill_in(sheet(folder, "berta"), tmp_path / "a.csv", {0: {"done_min": "30", "rpe": "2"}})
    assert taken(folder, back, slug="berta")[0] == 0
    assert [(r.on, r.done_min, r.rpe) for r in diary(folder, "berta").rows] == [
        (date(2026, 11, 30), 30.0, 2.0)
    ]
