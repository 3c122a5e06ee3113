"""The letter page without a browser: what is typed lies on disk, what does not fit is refused."""

from datetime import date

import pytest
from panel_roster import write_roster

from coachlib.files.roster.diary_edit import DiaryTable, changed_diary
from coachlib.files.roster.folder import open_roster
from coachlib.panels.letter.diary_grid import choices_of
from coachlib.panels.letter.panel import LetterPanel, letter_panel
from coachlib.panels.letter.week_files import WeekFiles, weeks_of

TODAY = date(2026, 10, 6)


@pytest.fixture
def roster(tmp_path):
    write_roster(tmp_path, seconds=1800)
    return open_roster(tmp_path)


@pytest.fixture
def panel(roster):
    made = LetterPanel(roster, "mira", None, today=TODAY)
    assert made.errors == []
    return made


def diary(roster):
    return (roster.path / "mira" / "diary.csv").read_text(encoding="utf-8")


def test_it_opens_on_the_last_complete_week(panel):
    assert panel.week.value == "2026-W40"
    assert panel.week.label == "28 September to 4 October 2026"
    assert panel.keeper.subject == {"athlete": "mira", "week": "2026-W40"}
    [row] = panel.grid.grid["rows"]
    assert (row["day"], row["cells"]["rpe"], row["cells"]["remarks"]) == ("2026-10-03", "4", "talked once")


def test_the_note_is_kept_as_it_is_typed_and_shown_as_it_will_be(panel, roster):
    panel.note.value = "Keep the *easy* days easy.\n<!-- call her -->"
    note = roster.path / "mira" / "notes" / "2026-W40.md"
    assert note.read_text(encoding="utf-8") == panel.note.value
    assert "<em>easy</em>" in panel.preview.value
    assert "Note kept." in panel.status.value


def test_the_page_knows_which_words_lie_on_disk_so_that_others_can_be_typed_again(panel, roster):
    panel.note.value = "Mine"
    assert panel.keeper.kept == {"note": "Mine"}
    (roster.path / "mira" / "notes" / "2026-W40.md").write_text("Theirs", encoding="utf-8")
    panel.note.value = "Mine again"
    assert panel.keeper.kept == {"note": "Mine"}
    assert panel.grid.grid["of"] == "mira 2026-W40"


def test_a_note_that_somebody_else_changed_is_not_written_over(panel, roster):
    panel.note.value = "Mine"
    note = roster.path / "mira" / "notes" / "2026-W40.md"
    note.write_text("Theirs", encoding="utf-8")
    panel.note.value = "Mine again"
    assert note.read_text(encoding="utf-8") == "Theirs"
    assert "was changed elsewhere" in panel.status.value


def test_a_cell_goes_into_the_diary_and_nothing_else_changes(panel, roster):
    before = diary(roster)
    panel.type_cell(0, "rpe", "6")
    assert diary(roster) == before.replace("drift test,4,", "drift test,6,")
    panel.type_cell(0, "health", "tired")
    assert diary(roster).splitlines()[0] == before.splitlines()[0] + ",health"
    assert roster.athlete("mira").fresh().read_diary().rows[0].health == "tired"


@pytest.mark.parametrize(
    ("column", "text", "told"),
    [("rpe", "12", "a number from 0 to 10"), ("talk", "loud", "comfortable"), ("sleep_h", "long", "hours")],
)
def test_what_a_column_does_not_allow_is_refused_in_words_and_stays_in_its_field(
    panel, roster, column, text, told
):
    before = diary(roster)
    panel.type_cell(0, column, text)
    assert diary(roster) == before
    assert panel.status.value.count("Not written") == 1
    assert told in panel.status.value
    assert panel.grid.grid["refused"] == {"row": 0, "column": column}


def test_a_recording_without_a_row_gets_one_with_its_first_cell(roster):
    run = roster.path / "mira" / "recordings" / "2026-10-03_treadmill.fit"
    run.with_name("2026-09-30_run.fit").write_bytes(run.read_bytes())
    panel = LetterPanel(roster, "mira", "2026-W40", today=TODAY)
    assert [row["what"] for row in panel.grid.grid["rows"]] == ["run", ""]
    panel.type_cell(0, "rpe", "3")
    added = diary(roster).splitlines()[-1]
    assert added.startswith("2026-09-30,")
    assert added.endswith(",2026-09-30_run")
    assert [row.rpe for row in roster.athlete("mira").fresh().read_diary().rows] == [4, 3]


def test_a_day_without_a_recording_is_added_and_written_when_something_is_typed(panel, roster):
    before = diary(roster)
    panel.add_row("2026-10-01")
    assert [row["day"] for row in panel.grid.grid["rows"]] == ["2026-10-01", "2026-10-03"]
    assert diary(roster) == before
    panel.type_cell(0, "remarks", 'rested, "at last"')
    assert roster.athlete("mira").fresh().read_diary().rows[-1].remarks == 'rested, "at last"'


def test_a_diary_that_somebody_else_changed_is_not_written_over(panel, roster):
    path = roster.path / "mira" / "diary.csv"
    path.write_text(diary(roster) + "2026-10-04,easy\n", encoding="utf-8")
    theirs = diary(roster)
    panel.type_cell(0, "rpe", "6")
    assert diary(roster) == theirs
    assert "changed elsewhere" in panel.status.value


def test_what_keeps_a_letter_from_being_made_stands_there(roster):
    (roster.path / "mira" / "diary.csv").write_text("date,rpe\n2026-10-03,17\n", encoding="utf-8")
    panel = LetterPanel(roster, "mira", "2026-W40", today=TODAY)
    assert "a number from 0 to 10" in panel.hindrances.value


def test_a_diary_that_is_no_table_is_told_and_left_alone(roster):
    (roster.path / "mira" / "diary.csv").write_bytes(b'date,remarks\n2026-10-03,"open\n')
    panel = LetterPanel(roster, "mira", "2026-W40", today=TODAY)
    assert "mend it first" in panel.hindrances.value
    assert panel.errors == []


def test_weeks_are_offered_of_recordings_notes_and_letters(roster):
    own = roster.athlete("mira")
    (own.path / "notes").mkdir()
    (own.path / "notes" / "2026-W38.md").write_text("x")
    (own.path / "notes" / "ideas.md").write_text("x")
    assert weeks_of(own, roster.settings, date(2026, 10, 20)) == ("2026-W42", "2026-W40", "2026-W38")


@pytest.mark.parametrize(
    "data", [b"", b"\xef\xbb\xbfdate;rpe\r\n2026-10-03;3,5\r\n", b"date\trpe\n2026-10-03\t3\n"]
)
def test_a_files_form_survives(data):
    table = DiaryTable.of(data)
    changed = changed_diary(data, 0 if table.rows else None, {"date": "2026-10-03", "remarks": "fine"})
    assert changed.startswith(b"\xef\xbb\xbf") == data.startswith(b"\xef\xbb\xbf")
    assert (b"\r\n" in changed) == (b"\r\n" in data)
    again = DiaryTable.of(changed)
    assert (again.delimiter, again.cell(0, "remarks")) == (table.delimiter if data else ",", "fine")
    assert again.cell(0, "rpe") == (table.cell(0, "rpe") if data else "")


def test_days_are_read_in_the_rosters_own_order_and_a_line_before_the_table_stays():
    data = b"sep=;\n" + b"date;rpe\n03.10.2026;3\n"
    table = DiaryTable.of(data, day_first=True)
    assert table.rows_between(date(2026, 10, 3), date(2026, 10, 3)) == (0,)
    assert DiaryTable.of(data).rows_between(date(2026, 1, 1), date(2026, 12, 31)) == ()
    assert changed_diary(data, 0, {"rpe": "4"}, day_first=True) == data.replace(b";3\n", b";4\n")


def test_words_a_column_allows_are_offered():
    assert choices_of("health") == ["ok", "tired", "ill", "pain"]
    assert choices_of("rpe") == []


def test_without_a_screen_it_is_the_note(roster):
    WeekFiles(roster.athlete("mira"), "2026-W40", roster.settings).save_note("Well done.")
    still = letter_panel(roster.path, "mira", "2026-W40", interactive=False)
    assert "Well done." in still.page


def test_it_writes_the_letter_beside_the_page(panel, roster):
    sent = []
    panel.keeper.send = sent.append
    panel.write()
    panel.written()
    assert (roster.path / "mira" / "reports" / "2026-W40.html").is_file(), panel.status.value
    assert sent == [{"go": "/desk/made/mira/2026-W40.html"}]
    assert not panel.write_button.disabled


def test_what_needs_a_physician_first_is_settled_by_name_and_then_gone(panel, roster):
    assert panel.red_flags.children == ()
    panel.type_cell(0, "remarks", "My chest felt tight on the stairs.")
    [shown] = panel.red_flags.children
    words, (by, button) = shown.children[0], shown.children[1].children
    assert "My chest felt tight on the stairs" in words.value
    assert "physician" in words.value
    button.click()
    assert "it is not said who has seen to it" in panel.status.value
    assert roster.athlete("mira").fresh().athlete().settled == ()
    by.value = "Dr Ohm"
    button.click()
    assert "by Dr Ohm" in panel.status.value
    assert panel.red_flags.children == ()
    [kept] = roster.athlete("mira").fresh().athlete().settled
    assert (kept.remark_on, kept.on, kept.by) == (date(2026, 10, 3), TODAY, "Dr Ohm")
    assert panel.errors == []


def test_settling_one_day_leaves_what_was_written_later_open(panel, roster):
    panel.type_cell(0, "remarks", "Dizzy at the end.")
    panel.settle(date(2026, 10, 2), "Maren")
    assert len(panel.red_flags.children) == 1
