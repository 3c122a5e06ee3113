"""Nothing is lost: what was edited and not saved is offered on return, and refused where it no longer fits."""

import shutil

import pytest
from panel_roster import write_roster

from coachlib.files.roster.athlete_folder import decisions_path
from coachlib.panels.recording.panel import recording_panel


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("roster")
    return folder, write_roster(folder)


@pytest.fixture
def roster(written):
    folder, fit_path = written
    decisions_path(fit_path).unlink(missing_ok=True)
    shutil.rmtree(folder / ".coachlib" / "drafts", ignore_errors=True)
    return folder


def say(panel, **message):
    panel.editor._answer(message)
    assert panel.editor.errors == []
    return panel.editor.view


def kept_files(roster):
    return list((roster / ".coachlib" / "drafts").rglob("*.json"))


def close(panel):
    """What the end of its process does to a panel: its draft belongs to nobody."""
    for each in panel._unsaved.values():
        each.release()


def test_an_edit_is_kept_at_once_and_gone_when_saved(roster):
    panel = recording_panel(roster)
    assert kept_files(roster) == [], "looking is no edit"
    say(panel, edit="set_window", values={"start_s": 2000.0, "stop_s": 5000.0})
    assert len(kept_files(roster)) == 1
    say(panel, act="save")
    assert kept_files(roster) == []


def test_undone_to_the_beginning_nothing_is_kept(roster):
    panel = recording_panel(roster)
    say(panel, edit="set_kind", values={"kind": "easy"})
    say(panel, act="undo")
    assert kept_files(roster) == []


def test_on_return_it_is_offered_and_taken_up_whole(roster):
    before = recording_panel(roster)
    say(before, edit="set_window", values={"start_s": 2000.0, "stop_s": 5000.0})
    say(before, edit="reject", values={"suggestion": 0})
    state = before.subject.state
    close(before)
    after = recording_panel(roster)
    kept = after.editor.view["kept"]
    assert kept["fits"]
    assert kept["sentence"].endswith("were not saved.")
    assert kept["changes"] == ["Window: 0:33:20 to 1:23:20 (none saved yet)."]
    assert after.editor.view["window"] == [1800.0, 5400.0], "nothing is taken up unasked"
    view = say(after, act="take up")
    assert after.subject.state.draft == state.draft
    assert (view["kept"], view["can_undo"]) == (None, True)
    assert len(kept_files(roster)) == 1, "it is this window's now"


def test_dropped_it_is_gone(roster):
    before = recording_panel(roster)
    say(before, edit="set_kind", values={"kind": "easy"})
    close(before)
    after = recording_panel(roster)
    assert say(after, act="drop")["kept"] is None
    assert kept_files(roster) == []
    assert recording_panel(roster).editor.view["kept"] is None


def test_where_the_decisions_changed_meanwhile_it_is_refused_in_words_and_told(roster):
    before = recording_panel(roster)
    say(before, edit="set_kind", values={"kind": "easy"})
    close(before)
    other = recording_panel(roster)
    say(other, edit="set_kind", values={"kind": "long"})
    say(other, act="save")
    after = recording_panel(roster)
    kept = after.editor.view["kept"]
    assert not kept["fits"]
    assert "the decisions were saved anew since then" in kept["sentence"]
    assert "Kind: easy (was: long)." in kept["changes"]
    view = say(after, act="take up")
    assert view["failed"]
    assert "make them again" in view["status"]
    assert after.subject.state.decisions.kind == "long"


def test_reading_the_file_again_keeps_the_draft_in_sight(roster):
    panel, other = recording_panel(roster), recording_panel(roster)
    say(panel, edit="set_kind", values={"kind": "easy"})
    say(other, edit="set_kind", values={"kind": "long"})
    say(other, act="save")
    view = say(panel, act="save")
    assert view["failed"]
    assert view["refused_save"]
    view = say(panel, act="read again")
    assert view["kind"] == "long"
    assert "Kind: easy (was: long)." in view["kept"]["changes"]


def test_a_second_window_is_told_of_the_first(roster):
    first = recording_panel(roster)
    say(first, edit="set_kind", values={"kind": "easy"})
    second = recording_panel(roster)
    assert second.editor.view["kept"] is None, "the first is still open"
    assert "Another window has changes of this recording" in second.editor.view["status"]
    say(second, edit="set_kind", values={"kind": "race"})
    assert len(kept_files(roster)) == 2


def test_an_edit_stands_where_it_cannot_be_kept_and_the_coach_is_told(roster):
    panel = recording_panel(roster)
    (roster / ".coachlib" / "drafts").write_text("a file where the folder should be")
    try:
        view = say(panel, edit="set_kind", values={"kind": "easy"})
    finally:
        (roster / ".coachlib" / "drafts").unlink()
    assert view["failed"]
    assert "your changes cannot be kept" in view["status"]
    assert view["kind"] == "easy"
