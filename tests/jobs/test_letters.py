import errno
import io
import json
import os
import re
from contextlib import nullcontext, redirect_stdout
from datetime import date

import pytest
from fitbytes import START
from rosters import DAY_S, fit_data, make_roster, put, wandering

from coachlib.errors import ReportProblem
from coachlib.files.roster.folder import open_roster
from coachlib.jobs import publishing, weeks
from coachlib.jobs.history import latest_week, read_athlete_week
from coachlib.report.workbooks.books import book_path
from coachlib.report.workbooks.runner import BookRunner

#: Two days after the byte writer's own start, so that a week begins.
MONDAY = START + 2 * DAY_S
TODAY = date(2026, 11, 23)


@pytest.fixture
def roster(tmp_path):
    folder = make_roster(tmp_path / "roster", "anna", "berta")
    for day in range(3):
        put(folder / "anna", f"a{day}.fit", fit_data(wandering(3000, seed=day), start=MONDAY + day * DAY_S))
    put(folder / "berta", "b.fit", fit_data(wandering(2400, seed=9), start=MONDAY + DAY_S, serial=2))
    return folder


@pytest.fixture(scope="module")
def warm():
    with BookRunner() as runner:
        yield runner


@pytest.fixture(autouse=True)
def one_process(monkeypatch, warm):
    """All letters of these tests are run in one warm process, as those of one roster are."""
    monkeypatch.setattr(weeks, "BookRunner", lambda: nullcontext(warm))


def made(folder, **changes):
    """Run the whole and give what was printed and the status."""
    said = io.StringIO()
    arguments = {"week": None, "athletes": (), "again": False, **changes}
    with redirect_stdout(said):
        status = weeks.write_weeks(open_roster(folder), today=TODAY, **arguments)
    return status, said.getvalue()


def page_of(folder, slug):
    (path,) = (folder / slug / "reports").glob("20*.html")
    return path


def test_every_athlete_gets_a_page_and_its_numbers(roster):
    status, said = made(roster)
    assert status == 0
    week = latest_week(open_roster(roster))
    for slug, sessions in (("anna", 3), ("berta", 1)):
        page = page_of(roster, slug)
        assert page.stem == week
        numbers = json.loads(page.with_suffix(".json").read_text())
        assert len(numbers["sessions"]) == sessions
        assert numbers["methods"]
        made_from = json.loads((roster / ".coachlib/made" / slug / f"{week}.json").read_text())["made_from"]
        assert all(re.fullmatch("[0-9a-f]{64}", sha) for sha in made_from["inputs"].values())
        assert f"{slug}/recordings" in " ".join(made_from["inputs"])
        assert slug in said


def test_one_athletes_page_holds_nothing_of_another(roster):
    made(roster)
    assert "Berta" not in page_of(roster, "anna").read_text()
    assert "Anna" not in page_of(roster, "berta").read_text()
    assert "anna" not in page_of(roster, "berta").with_suffix(".json").read_text()


def test_an_unchanged_letter_is_left_as_it_is_unless_asked(roster):
    made(roster)
    before = page_of(roster, "anna").stat().st_mtime_ns
    status, said = made(roster)
    assert status == 0
    assert "unchanged" in said
    assert page_of(roster, "anna").stat().st_mtime_ns == before
    made(roster, again=True, athletes=("anna",))
    assert page_of(roster, "anna").stat().st_mtime_ns > before


def test_a_changed_diary_makes_the_letter_again(roster):
    made(roster)
    before = page_of(roster, "anna").read_text()
    day = date.fromisocalendar(*map(int, page_of(roster, "anna").stem.split("-W")), 1)
    started = (
        open_roster(roster).store.activity(roster / "anna/recordings/a0.fit").local_start("Europe/Vienna")
    )
    (roster / "anna/diary.csv").write_text(f"date,remarks\n{started.date()},cold feet and a warm heart\n")
    made(roster)
    after = page_of(roster, "anna").read_text()
    assert day <= started.date()
    assert "cold feet and a warm heart" not in before
    assert "cold feet and a warm heart" in after


def test_one_failure_neither_stops_nor_taints_the_others(roster):
    (roster / "anna/athlete.toml").write_text('schema = 1\nname = "Anna"\nzones = "three"\n')
    status, said = made(roster)
    assert status == 1
    assert not (roster / "anna/reports").exists()
    assert page_of(roster, "berta").is_file()
    assert "zones" in said


def test_a_note_that_names_a_team_mate_is_refused_until_the_note_says_it_is_meant(roster):
    week = latest_week(open_roster(roster))
    note = roster / f"anna/notes/{week}.md"
    note.parent.mkdir()
    note.write_text("Good ride with Berta!")
    status, said = made(roster)
    assert status == 1
    assert "'Berta'" in said
    assert f"notes/{week}.md" in " ".join(said.split())
    note.write_text("names allowed: Berta\n\nGood ride with Berta!")
    status, said = made(roster)
    assert status == 0
    assert "names allowed: Berta" in said
    page = page_of(roster, "anna").read_text()
    assert "Good ride with Berta!" in page
    assert "names allowed" not in page
    (roster / "berta/notes").mkdir()
    (roster / f"berta/notes/{week}.md").write_text("Good ride with Anna!")
    assert made(roster)[0] == 1, "what one note allows, no other does"


def test_an_allowed_name_lets_no_other_through(roster):
    week = latest_week(open_roster(roster))
    (roster / "berta/athlete.toml").write_text('schema = 1\nname = "Berta Holmqvist"\n')
    (roster / "anna/notes").mkdir()
    (roster / f"anna/notes/{week}.md").write_text("names allowed: Berta\n\nBerta Holmqvist was there.")
    status, said = made(roster, athletes=("anna",))
    assert status == 1
    assert "'Holmqvist'" in said


def test_hostile_words_are_only_words(roster):
    week = latest_week(open_roster(roster))
    (roster / "anna/notes").mkdir()
    (roster / f"anna/notes/{week}.md").write_text(
        "**well** done <script>alert(1)</script> <img src=x onerror=y>"
    )
    started = (
        open_roster(roster).store.activity(roster / "anna/recordings/a0.fit").local_start("Europe/Vienna")
    )
    (roster / "anna/diary.csv").write_text(
        f'date,planned,remarks\n{started.date()},"<b>x</b>","</q><script>2</script>"\n'
    )
    assert made(roster)[0] == 0
    page = page_of(roster, "anna").read_text()
    assert "<script" not in page
    assert "<img" not in page
    assert "<strong>well</strong>" in page


def test_decisions_for_other_bytes_leave_the_session_in_and_say_so(roster):
    (roster / "anna/recordings/a1.decisions.toml").write_text(
        f'schema = 1\nfit_sha256 = "{0:064x}"\nkind = "easy"\n'
    )
    status, said = made(roster)
    assert status == 0
    assert "taken without its decisions" in said
    assert len(json.loads(page_of(roster, "anna").with_suffix(".json").read_text())["sessions"]) == 3


def test_a_damaged_recording_is_told_and_the_rest_is_used(roster):
    put(roster / "anna", "zz.fit", b"no fit at all")
    status, said = made(roster)
    assert status == 0
    assert "zz:" in said


def test_a_letter_is_small_and_whole(roster):
    made(roster)
    page = page_of(roster, "anna").read_text()
    assert len(page.encode()) < 300_000
    assert page.startswith("<!DOCTYPE html>")
    assert 'class="chart card"' not in page


def test_an_unknown_parameter_is_refused_before_the_run(warm):
    with pytest.raises(ReportProblem, match="no parameter 'athelete'"):
        warm.run(book_path("weekly_report"), {"athelete": "anna"})


def test_a_week_without_sessions_is_a_letter_too(roster):
    found = read_athlete_week(roster, "anna", "2026-W20")
    assert found.week.sessions == ()
    assert made(roster, week="2026-W20")[0] == 0
    assert "There is no recording this week." in (roster / "anna/reports/2026-W20.html").read_text()


def test_the_call_sheet_is_made_for_everybody_and_left_alone_when_unchanged(roster):
    week = latest_week(open_roster(roster))
    made(roster, athletes=("anna",))
    page = roster / "reports" / f"{week}.html"
    assert not page.exists()
    status, said = made(roster)
    assert status == 0
    assert "look at: test due" in said
    assert "Anna Example" in page.read_text()
    before = page.stat().st_mtime_ns
    made(roster)
    assert page.stat().st_mtime_ns == before


def test_the_call_sheets_links_lead_to_what_was_made(roster):
    made(roster)
    [page] = (roster / "reports").glob("*.html")
    links = re.findall(r'<a href="([^"]+)">', page.read_text())
    assert f"../anna/reports/{page.name}" in links
    assert all((page.parent / link).exists() for link in links)


def test_a_letter_made_after_the_sheet_is_linked_by_the_next_one(roster):
    week = latest_week(open_roster(roster))
    (roster / "anna/notes").mkdir()
    note = roster / f"anna/notes/{week}.md"
    note.write_text("Good ride with Berta Example!")
    made(roster)
    page, link = roster / "reports" / f"{week}.html", f"../anna/reports/{week}.html"
    assert link not in page.read_text()
    note.write_text("names allowed: Berta\nGood ride with Berta Example!")
    made(roster)
    assert link in page.read_text()


def test_whose_letter_could_not_be_made_stands_on_the_sheet_and_in_the_table(roster):
    (roster / "anna/athlete.toml").write_text('schema = 1\nname = "Anna"\nzones = "three"\n')
    status, said = made(roster)
    assert status == 1
    [page] = (roster / "reports").glob("*.html")
    assert "key `zones` is" in page.read_text()
    [row] = [line for line in said.splitlines() if line.startswith("anna")]
    assert "none" in row
    assert "look at: unreadable" in row


def test_the_table_fits_a_terminal_of_eighty_columns(roster):
    said = io.StringIO()
    with redirect_stdout(said):
        weeks.write_weeks(open_roster(roster), today=TODAY, width=80)
    lines = said.getvalue().splitlines()
    assert [line for line in lines if len(line) > 80 and str(roster) not in line] == []
    week = latest_week(open_roster(roster))
    assert sum(f"/reports/{week}.html" in line and str(roster) not in line for line in lines) == 2


@pytest.fixture
def past(roster):
    """A roster whose letters were made before its latest week began, and that week's name."""
    week = latest_week(open_roster(roster))
    made(roster, athletes=("anna",))
    put(roster / "anna", "later.fit", fit_data(wandering(2400, seed=4), start=MONDAY + 8 * DAY_S))
    assert latest_week(open_roster(roster)) > week
    return roster, week


def correct_diary(roster):
    """A late correction within the first week."""
    activity = open_roster(roster).store.activity(roster / "anna/recordings/a0.fit")
    on = activity.local_start("Europe/Vienna").date()
    (roster / "anna/diary.csv").write_text(f"date,remarks\n{on},cold feet and a warm heart\n")


def test_a_sent_letter_stays_when_something_is_corrected_late(past):
    roster, week = past
    letter = roster / f"anna/reports/{week}.html"
    before = letter.read_bytes()
    correct_diary(roster)
    status, said = made(roster, week=week, athletes=("anna",))
    assert status == 0
    assert letter.read_bytes() == before
    assert "stays as it was made, since then diary.csv" in " ".join(said.split())
    assert "--again" in said
    status, said = made(roster, week=week, athletes=("anna",), again=True)
    assert status == 0
    assert "cold feet" in letter.read_text()
    assert (roster / f"anna/reports/{week}.former-1.html").read_bytes() == before
    assert "the former one is kept beside it; different: the sessions" in " ".join(said.split())


def test_a_sent_letter_stays_when_the_program_is_another(past, monkeypatch):
    roster, week = past
    letter = roster / f"anna/reports/{week}.html"
    before = letter.read_bytes()
    monkeypatch.setattr("coachlib.jobs.fingerprint.__version__", "9.9")
    _, said = made(roster, week=week, athletes=("anna",))
    assert letter.read_bytes() == before
    assert "since then the program" in " ".join(said.split())


def test_a_sent_letter_of_an_earlier_version_stays_and_a_damaged_one_does_not(past):
    roster, week = past
    letter = roster / f"anna/reports/{week}.html"
    numbers = json.loads(letter.with_suffix(".json").read_text())
    earlier = {key: value for key, value in numbers.items() if key != "page_sha256"}
    letter.with_suffix(".json").write_text(json.dumps(earlier))
    letter.write_text("<p>as an earlier version wrote it</p>")
    _, said = made(roster, week=week, athletes=("anna",))
    assert letter.read_text() == "<p>as an earlier version wrote it</p>"
    assert "what changed since is not known" in " ".join(said.split())
    letter.write_bytes(b"")
    made(roster, week=week, athletes=("anna",))
    assert letter.read_text().startswith("<!DOCTYPE html>")


def test_a_page_that_was_emptied_is_made_again(roster):
    made(roster, athletes=("anna",))
    page_of(roster, "anna").write_bytes(b"")
    _, said = made(roster, athletes=("anna",))
    assert page_of(roster, "anna").read_text().startswith("<!DOCTYPE html>")
    assert "unchanged" not in said


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EIO])
def test_a_disk_that_fails_for_one_athlete_does_not_stop_the_others(roster, monkeypatch, number):
    made(roster)
    before = page_of(roster, "anna").read_bytes()
    written = publishing.write_together

    def failing(contents, **options):
        if any("anna" in path.parts for path in contents):
            raise OSError(number, os.strerror(number))
        written(contents, **options)

    monkeypatch.setattr(publishing, "write_together", failing)
    stamp = page_of(roster, "berta").stat().st_mtime_ns
    status, said = made(roster, again=True)
    assert status == 1
    assert os.strerror(number) in " ".join(said.split())
    assert "then try again" in " ".join(said.split())
    assert page_of(roster, "anna").read_bytes() == before
    assert page_of(roster, "berta").stat().st_mtime_ns > stamp


def test_a_row_without_a_recording_but_with_a_start_is_a_letter_too(roster):
    on = date.fromisocalendar(*map(int, latest_week(open_roster(roster)).split("-W")), 2)
    (roster / "anna/diary.csv").write_text(f"date,start,planned,rpe\n{on},06:15,strength,4\n")
    status, said = made(roster, athletes=("anna",))
    assert status == 0, said
    assert "strength" in page_of(roster, "anna").read_text()


def test_private_words_reach_nobody(roster):
    week = latest_week(open_roster(roster))
    (roster / "anna/notes").mkdir()
    (roster / f"anna/notes/{week}.md").write_text(
        "Good.\n<!-- PLANTED worry -->\n[Mon]: rest\n\n2026. is over"
    )
    (roster / "anna/athlete.toml").write_text(
        'schema = 1\nname = "Anna Example"\n[[threshold]]\nwhich = "first"\non = 2020-01-01\nhr_bpm = 150\n'
        'note = "PLANTED doubt"\n'
    )
    put(roster / "anna", "PLANTED_stray.fit", b"no fit at all")
    status, said = made(roster)
    assert status == 0
    assert "PLANTED_stray" in said, "the coach is told"
    for path in (roster / "anna/reports").iterdir():
        sent = path.read_text()
        assert "PLANTED" not in sent
        for hidden in (
            "12345",
            "Test roster",
            str(roster),
            'criterion_pct": 5.0,\n  "stale',
            '"sha256"',
            '"device"',
        ):
            assert hidden not in sent
    page = page_of(roster, "anna").read_text()
    assert "[Mon]: rest" in page
    assert "2026. is over" in page


def sheet_of(folder, slug):
    """What the sheet for the next test says on top."""
    page = (folder / slug / "reports" / "next_test.html").read_text("utf-8")
    return page.partition("<h1>")[2].partition("</h1>")[0], page


def test_the_sheet_of_a_test_lies_beside_the_letter_that_asks_for_it_and_never_asks_what_the_letter_forbids(
    roster,
):
    _, said = made(roster)
    assert "for 2 athletes, how to do the next test: next_test.html" in " ".join(said.split())
    assert sheet_of(roster, "anna")[0] == "A shorter steady test"
    (roster / "anna" / "diary.csv").write_text("date,rpe,health,remarks\n2026-10-11,3,ill,fever\n")
    _, said = made(roster)
    title, page = sheet_of(roster, "anna")
    assert title == "No test for now"
    assert "ill" in page
    assert "How it goes" not in page
    assert "anna/reports/next_test.html" not in said


def test_a_sheet_of_a_past_week_is_not_written(roster):
    made(roster, week="2026-W40")
    assert not (roster / "anna" / "reports" / "next_test.html").exists()
