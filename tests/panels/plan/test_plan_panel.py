"""The planning page: what is typed stands in the diary at once, conflicts are refused, sums and letter follow."""

from datetime import date

import pytest
from panel_roster import write_roster

from coachlib.errors import BadArgument, RosterProblem
from coachlib.files.roster.folder import open_roster
from coachlib.panels.plan.panel import plan_panel
from coachlib.panels.plan.plan_files import PlanFiles

#: The run is of Saturday 3 October 2026; the week after it is planned.
WEEK, NEXT = "2026-W40", "2026-W41"


@pytest.fixture
def roster(tmp_path):
    write_roster(tmp_path / "roster")
    return tmp_path / "roster"


def diary(roster):
    return (roster / "mira" / "diary.csv").read_text(encoding="utf-8")


def files(roster):
    folder = open_roster(roster)
    return PlanFiles(folder.athlete("mira"), NEXT, folder.settings)


def test_a_plan_is_typed_moved_taken_out_and_taken_back(roster):
    before = diary(roster)
    panel = plan_panel(roster, "mira", WEEK)
    assert panel.errors == []
    panel.add_row("2026-10-08")
    panel.type_cell(0, "planned", "4 x 4 min")
    panel.type_cell(0, "target", "short hard")
    panel.type_cell(0, "planned_min", "60")
    panel.type_cell(0, "date", "2026-10-09")
    assert diary(roster).startswith(before.splitlines()[0])
    assert "1 h 00 planned" in panel.beside.value.replace("\xa0", " ")
    assert "Friday" in panel.preview.value
    assert "4 x 4 min" in panel.preview.value.replace("\xa0", " ")
    assert panel.grid.grid["rows"][0]["note"].startswith("effort 7 to 9 of 10")
    panel.remove_row(0)
    assert panel.grid.grid["rows"] == []
    panel.undo_button.click()
    assert [r["cells"]["date"] for r in panel.grid.grid["rows"]] == ["2026-10-09"]
    while panel.files.can_undo:
        panel.undo()
    assert diary(roster) == before


def test_what_a_column_does_not_allow_is_refused_and_marked(roster):
    panel = plan_panel(roster, "mira", WEEK)
    panel.add_row("2026-10-08")
    panel.type_cell(0, "planned_min", "soon")
    assert "allowed: a number from 0 to 14400 minutes" in panel.status.value
    assert panel.grid.grid["refused"] == {"row": 0, "column": "planned_min"}
    panel.type_cell(0, "date", "2026-11-01")
    assert "outside the week" in panel.status.value


def test_another_hands_change_is_never_written_over(roster):
    panel = plan_panel(roster, "mira", WEEK)
    panel.add_row("2026-10-08")
    (roster / "mira" / "diary.csv").write_text(diary(roster) + "2026-10-10,long 90\n", encoding="utf-8")
    panel.type_cell(0, "planned", "easy 50")
    assert "changed elsewhere" in panel.status.value
    assert "easy 50" not in diary(roster)
    panel.undo_button.click()
    assert "long 90" in diary(roster)


def test_last_week_is_taken_over_without_its_test_onto_free_days(roster):
    path = roster / "mira" / "diary.csv"
    path.write_text(
        diary(roster) + "2026-09-29,easy 40,easy,3,,,,,,\n2026-09-30,strength,,4,,,,,,\n", encoding="utf-8"
    )
    panel = plan_panel(roster, "mira", WEEK)
    panel.again_button.click()
    assert [(r["cells"]["date"], r["cells"]["target"]) for r in panel.grid.grid["rows"]] == [
        ("2026-10-06", "easy"),
        ("2026-10-07", "strength"),
    ]
    panel.again_button.click()
    assert "still free" in panel.status.value


def test_the_next_test_comes_with_a_free_day_before_it_and_only_once(roster):
    panel = plan_panel(roster, "mira", WEEK)
    panel.test_button.click()
    rows = panel.grid.grid["rows"]
    assert [(r["cells"]["target"], r["cells"]["kind"]) for r in rows] == [
        ("rest", ""),
        ("test", "drift test"),
    ]
    days = [date.fromisoformat(r["cells"]["date"]) for r in rows]
    assert (days[1] - days[0]).days == 1
    panel.test_button.click()
    assert "holds a test already" in panel.status.value


def test_no_test_is_put_in_while_ill(roster):
    path = roster / "mira" / "athlete.toml"
    path.write_text(path.read_text() + '\n[[block]]\nfrom = 2026-10-02\nkind = "ill"\n', encoding="utf-8")
    panel = plan_panel(roster, "mira", WEEK)
    panel.test_button.click()
    assert panel.grid.grid["rows"] == []
    assert "Not done" in panel.status.value


def test_a_row_that_tells_of_what_was_done_stays_on_its_day_and_keeps_what_it_tells(roster):
    path = roster / "mira" / "diary.csv"
    path.write_text(diary(roster) + "2026-10-06,easy 40,easy,3,,,,,,went well\n", encoding="utf-8")
    plan = files(roster)
    (row,) = plan.rows()
    with pytest.raises(RosterProblem, match="stays on its day"):
        plan.change(row, "date", "2026-10-07")
    plan.remove(row)
    assert "went well" in diary(roster)
    assert "easy 40" not in diary(roster)


def test_an_event_goes_into_the_profile_and_the_week(roster):
    panel = plan_panel(roster, "mira", WEEK)
    panel.event_name.value, panel.event_day.value = "Hill race", date(2026, 10, 11)
    panel.event_button.click()
    assert 'name = "Hill race"' in (roster / "mira" / "athlete.toml").read_text()
    assert "Hill race" in panel.beside.value
    assert "Hill race" in panel.preview.value


def test_an_old_diary_is_planned_in_by_new_columns(roster):
    plan = files(roster)
    plan.add([{"date": "2026-10-06", "target": "easy", "planned_min": "45"}])
    head, *lines = diary(roster).splitlines()
    assert head.endswith("target,planned_min")
    assert lines[0].startswith("2026-10-03,drift test,drift test,4")
    assert [r.planned_min for r in plan.read_rows()] == [45.0]


def test_an_address_that_is_no_week_is_refused(roster):
    with pytest.raises(BadArgument, match="ISO year"):
        plan_panel(roster, "mira", "next week")
